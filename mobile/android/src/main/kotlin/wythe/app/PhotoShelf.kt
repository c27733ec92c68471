package wythe.app

import android.content.ContentProvider
import android.content.ContentValues
import android.content.Context
import android.database.Cursor
import android.net.Uri
import android.os.ParcelFileDescriptor
import java.io.File
import java.io.FileNotFoundException

/** Lets the camera write a photo into the app's own folder, by a name that is given once. */
class PhotoShelf : ContentProvider() {
    override fun onCreate() = true

    override fun openFile(uri: Uri, mode: String): ParcelFileDescriptor {
        val name = uri.lastPathSegment.orEmpty()
        val context = context ?: throw FileNotFoundException(name)
        if (!NAME.matches(name)) throw FileNotFoundException(name)
        return ParcelFileDescriptor.open(File(folder(context), name), ParcelFileDescriptor.parseMode(mode))
    }

    override fun getType(uri: Uri) = "image/jpeg"

    override fun query(
        uri: Uri,
        projection: Array<String>?,
        selection: String?,
        arguments: Array<String>?,
        order: String?
    ): Cursor? = null

    override fun insert(uri: Uri, values: ContentValues?): Uri? = null

    override fun update(uri: Uri, values: ContentValues?, selection: String?, arguments: Array<String>?) = 0

    override fun delete(uri: Uri, selection: String?, arguments: Array<String>?) = 0

    companion object {
        private val NAME = Regex("""photo-\d+\.jpg""")

        /** Where photos lie until the core has taken them in. */
        fun folder(context: Context) = File(context.filesDir, "photos").apply { mkdirs() }

        fun fresh(context: Context) = File(folder(context), "photo-${System.nanoTime()}.jpg")

        fun uri(file: File): Uri = Uri.parse("content://wythe.app.photos/${file.name}")
    }
}
