package wythe.app

import java.io.File
import java.util.concurrent.atomic.AtomicLong
import wythe.core.Device
import wythe.core.Field
import wythe.core.Fix
import wythe.core.KeyBox
import wythe.core.Locator
import wythe.core.LogSink
import wythe.core.NewJob
import wythe.core.PhoneClock
import wythe.core.PhoneTime

/** A phone made for tests: an open key box, a clock that is set, no place. */
class MadePhone : Platform {
    val time = AtomicLong(START)
    override val keys = object : KeyBox {
        override fun wrap(key: ByteArray) = key

        override fun open(wrapped: ByteArray): ByteArray? = wrapped
    }
    override val clock = object : PhoneClock {
        override fun now() = PhoneTime(time.addAndGet(SECOND), OFFSET)
    }
    override val locator = object : Locator {
        override fun here(): Fix? = null
    }
    override val log = object : LogSink {
        override fun note(level: String, text: String) = Unit
    }
    override val instance: ByteArray? = null

    /** Opens a store beside the app, as the office does that prepares it. */
    fun open(folder: File): Field = Field.open(folder.path, null, keys, clock, locator)

    companion object {
        // 2026-03-02 09:00 at the site.
        private const val START = 1_772_467_200_000L
        private const val SECOND = 1_000L
        private const val OFFSET: Short = -420

        val FIXTURES = File("../../fixtures")

        /** A business with its programme and one job. Gives the job. */
        fun prepare(field: Field, label: String = "Featherstep, 12 Nowhere Lane"): String {
            field.beginBusiness("Ninefold Hearth", Device("Bram Copperkettle", "lead", "room"))
            field.recordProgramme("larkspur.toml", FIXTURES.resolve("programmes/larkspur.toml").readText())
            return field.recordJob(job(label))
        }

        fun job(label: String) =
            NewJob(label, listOf("12 Nowhere Lane", "Larkspur Basin"), "America/Denver", null, "larkspur")
    }
}
