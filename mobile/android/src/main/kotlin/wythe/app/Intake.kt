package wythe.app

import android.app.Activity
import android.content.ActivityNotFoundException
import android.content.Intent
import android.net.Uri
import android.os.Bundle
import android.provider.MediaStore
import java.io.File
import java.io.IOException
import wythe.core.Field
import wythe.core.Level

/** Photos and files that come from other apps, and files that go to them. */
class Intake(private val page: ScreenActivity, saved: Bundle?) {
    private val core get() = page.core
    private var ask: String? = saved?.getString(ASK)
    private var file: File? = saved?.getString(FILE)?.let(::File)
    private var isPhoto = saved?.getBoolean(PHOTO) ?: false
    private var written: File? = saved?.getString(WRITTEN)?.let(::File)

    /** Keeps what is awaited: the camera is another app, and this one may end meanwhile. */
    fun keep(kept: Bundle) {
        kept.putString(ASK, ask)
        kept.putString(FILE, file?.path)
        kept.putBoolean(PHOTO, isPhoto)
        kept.putString(WRITTEN, written?.path)
    }

    /** Lets the camera app write a photo into the app's own folder. */
    fun photograph(ask: String) {
        val wanted = PhotoShelf.fresh(page)
        this.ask = ask
        file = wanted
        isPhoto = true
        val intent = Intent(MediaStore.ACTION_IMAGE_CAPTURE)
            .putExtra(MediaStore.EXTRA_OUTPUT, PhotoShelf.uri(wanted))
            .addFlags(Intent.FLAG_GRANT_WRITE_URI_PERMISSION)
        start(intent, CAMERA, "no-camera")
    }

    /** Lets the person choose a file. */
    fun bring(ask: String, isPhoto: Boolean) {
        this.ask = ask
        this.isPhoto = isPhoto
        val intent = Intent(Intent.ACTION_OPEN_DOCUMENT).addCategory(Intent.CATEGORY_OPENABLE)
            .setType(if (isPhoto) "image/*" else "*/*")
        if (!isPhoto) intent.putExtra(Intent.EXTRA_MIME_TYPES, arrayOf("application/pdf", "image/jpeg", "image/png"))
        start(intent, CHOOSE, "file")
    }

    /** Makes a file in the background, then lets the person say where it goes. */
    fun write(name: String, type: String, make: (Field, String) -> String) {
        val made = File(page.cacheDir, name)
        page.tell(core.say("working", name))
        core.run({ make(it, made.path) }, { words ->
            page.tell(words)
            written = made
            val intent = Intent(Intent.ACTION_CREATE_DOCUMENT).addCategory(Intent.CATEGORY_OPENABLE)
                .setType(type).putExtra(Intent.EXTRA_TITLE, name)
            start(intent, SAVE, "file")
        }, page::tell)
    }

    private fun start(intent: Intent, request: Int, missing: String) {
        try {
            @Suppress("DEPRECATION") // The newer form is not there on the oldest level.
            page.startActivityForResult(intent, request)
        } catch (_: ActivityNotFoundException) {
            page.tell(core.say(missing), Level.CAUTION)
        } catch (_: SecurityException) {
            page.tell(core.say("no-permission"), Level.CAUTION)
        }
    }

    /** What another app gave back. */
    fun came(request: Int, result: Int, data: Intent?) {
        if (result != Activity.RESULT_OK) return
        when (request) {
            CAMERA -> file?.let { taken -> ask?.let { page.take(it, taken, isPhoto = true, justTaken = true) } }
            CHOOSE -> data?.data?.let { chosen(it) }
            SAVE -> data?.data?.let { save(it) }
        }
    }

    private fun chosen(uri: Uri) {
        val ask = ask ?: return
        val mine = PhotoShelf.fresh(page)
        core.run({ copy(uri, mine) }, { copied ->
            if (copied) page.take(ask, mine, isPhoto) else page.tell(core.say("file"), Level.CAUTION)
        }, page::tell)
    }

    private fun copy(uri: Uri, to: File): Boolean = try {
        page.contentResolver.openInputStream(uri)?.use { from -> to.outputStream().use { from.copyTo(it) } } != null
    } catch (_: IOException) {
        false
    }

    private fun save(uri: Uri) {
        val made = written ?: return
        core.run({
            try {
                page.contentResolver.openOutputStream(uri)?.use { to -> made.inputStream().use { it.copyTo(to) } }
            } catch (_: IOException) {
                null
            }
        }, { copied -> if (copied == null) page.tell(core.say("file"), Level.CAUTION) else made.delete() }, page::tell)
    }

    private companion object {
        const val ASK = "intake.ask"
        const val FILE = "intake.file"
        const val PHOTO = "intake.photo"
        const val WRITTEN = "intake.written"
        const val CAMERA = 1
        const val CHOOSE = 2
        const val SAVE = 3
    }
}
