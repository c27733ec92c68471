package wythe.app

import android.app.Application
import android.os.Handler
import android.os.Looper
import java.util.concurrent.Executors
import wythe.core.ChangeSignal
import wythe.core.Field
import wythe.core.State
import wythe.core.Trouble
import wythe.core.languages
import wythe.core.logTo
import wythe.core.sentence
import wythe.core.words

/** The one place that runs core calls, off the main thread and one after the other. */
class Core(private val app: Application, private val platform: Platform) {
    private val queue = Executors.newSingleThreadExecutor { work -> Thread(work, "core") }
    private val main = Handler(Looper.getMainLooper())
    private var field: Field? = null
    private var resting = false
    private val watchers = mutableSetOf<() -> Unit>()

    /** How the store stands, as it was read last. */
    @Volatile
    var state: State? = null
        private set

    private var spoken = ""
    private var said: Map<String, String> = emptyMap()

    /** Runs [work] on the open store and gives what came of it on the main thread. */
    fun <T> run(work: (Field) -> T, done: (T) -> Unit = {}, wrong: (Trouble.Refused) -> Unit = {}) {
        queue.execute {
            try {
                val result = work(opened())
                main.post { done(result) }
            } catch (trouble: Trouble.Refused) {
                main.post { wrong(trouble) }
            }
        }
    }

    /** Reads how the store stands, then calls [done] on the main thread. */
    fun look(done: () -> Unit, wrong: (Trouble.Refused) -> Unit = {}) = run({ field -> field.state() }, { read ->
        state = read
        done()
    }, wrong)

    /** Now, as the phone's clock shows it. */
    fun nowMs(): Long = platform.clock.now().utcMs

    /** A word of the shell in the person's language. */
    fun say(id: String): String {
        val language = state?.language ?: systemLanguage()
        if (language != spoken) {
            said = words(language)
            spoken = language
        }
        return said[PREFIX + id].orEmpty()
    }

    /** A sentence of the shell with its values. */
    fun say(id: String, vararg values: String): String =
        sentence(state?.language ?: systemLanguage(), PREFIX + id, values.asList())

    /** Calls [watcher] on the main thread whenever something was recorded. */
    fun watch(watcher: () -> Unit) {
        watchers += watcher
    }

    fun unwatch(watcher: () -> Unit) {
        watchers -= watcher
    }

    /** Lets go of the store's file while nobody looks; the next call goes on. */
    fun rest() = queue.execute {
        if (!resting) {
            try {
                field?.pause()
                resting = field != null
            } catch (_: Trouble.Refused) {
                // It stays open, which is no harm.
            }
        }
    }

    /** Waits until what was begun is done: for tests. */
    internal fun settle() {
        queue.submit(Runnable {}).get()
    }

    /** Closes the store, after what was begun. */
    fun close() = queue.execute {
        field?.shut()
        field?.destroy()
        field = null
        resting = false
    }

    private fun opened(): Field {
        val open = field ?: open().also { field = it }
        if (resting) {
            open.resume()
            resting = false
        }
        return open
    }

    private fun open(): Field {
        logTo(platform.log)
        val folder = WytheApp.store(app).path
        val opened = Field.open(folder, platform.instance, platform.keys, platform.clock, platform.locator)
        opened.listen(object : ChangeSignal {
            override fun changed(job: String?) {
                main.post { watchers.toList().forEach { it() } }
            }
        })
        return opened
    }

    private fun systemLanguage(): String {
        val tag = app.resources.configuration.locales[0].language
        return if (tag in languages()) tag else languages().first()
    }

    private companion object {
        const val PREFIX = "phone-"
    }
}
