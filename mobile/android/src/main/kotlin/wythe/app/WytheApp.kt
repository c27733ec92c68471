package wythe.app

import android.app.Application
import android.content.ComponentCallbacks2
import java.io.File

/** The app: holds the one core. */
class WytheApp : Application() {
    /** Where core calls are run. */
    val core: Core by lazy { Core(this, platform(this)) }

    override fun onTrimMemory(level: Int) {
        super.onTrimMemory(level)
        if (level >= ComponentCallbacks2.TRIM_MEMORY_UI_HIDDEN) core.rest()
    }

    companion object {
        /** What of the phone is used; a test puts its own in. */
        var platform: (Application) -> Platform = { Phone(it) }

        /** Where the store lies. */
        fun store(app: Application) = File(app.filesDir, "store")
    }
}
