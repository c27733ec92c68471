package wythe.app

import java.io.File
import java.util.concurrent.Callable
import java.util.concurrent.Executors
import java.util.concurrent.TimeUnit
import java.util.concurrent.atomic.AtomicInteger
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertNotEquals
import org.junit.Assert.assertTrue
import org.junit.Before
import org.junit.Rule
import org.junit.Test
import org.junit.rules.TemporaryFolder
import wythe.core.Block
import wythe.core.Canvas
import wythe.core.ChangeSignal
import wythe.core.Field
import wythe.core.How
import wythe.core.KeyBox
import wythe.core.PaperSize
import wythe.core.Reader
import wythe.core.Trouble
import wythe.core.checkPack

/** The core from plain Kotlin, as nobody should call it: no Android in here. */
class MisuseTest {
    @get:Rule val folders = TemporaryFolder()
    private val phone = MadePhone()
    private lateinit var folder: File
    private lateinit var field: Field
    private lateinit var job: String

    @Before fun open() {
        folder = folders.newFolder("store")
        field = phone.open(folder)
        job = MadePhone.prepare(field)
    }

    @After fun close() {
        field.shut()
        field.close()
    }

    private fun code(work: () -> Any?): String = try {
        "taken: ${work()}"
    } catch (trouble: Trouble.Refused) {
        assertTrue(trouble.told.message.isNotEmpty() && trouble.told.detail.isNotEmpty())
        trouble.told.code
    }

    private fun answer(address: String, typed: String) = field.recordAnswer(job, address, typed, NONE)

    @Test fun errorsHaveCodesFieldsAndWords() {
        val told = try {
            answer(CORDS, "900")
            null
        } catch (trouble: Trouble.Refused) {
            trouble.told
        }
        assertEquals("out_of_range", told?.code)
        assertEquals(CORDS, told?.field)
        field.setLanguage("es")
        assertEquals("no_reason", code { field.recordNote(job, "  ") })
        assertEquals("no_job", code { field.screen("ffff", "job", CANVAS) })
        assertEquals("not_one_of", code { field.screen(job, "stage/moon", CANVAS) })
    }

    @Test fun callsAfterTheEndSaySo() {
        field.shut()
        field.shut()
        assertEquals("closed", code { field.state() })
        assertEquals("closed", code { answer(CORDS, "4") })
        assertEquals("closed", code { field.resume() })
        field = phone.open(folder)
        assertEquals("Ninefold Hearth", field.state().business)
    }

    @Test fun oneStoreIsOpenOnce() {
        assertEquals("store_in_use", code { phone.open(folder) })
    }

    @Test fun threadsTakeTurns() {
        val pool = Executors.newFixedThreadPool(THREADS)
        val work = (1..THREADS).map { number ->
            Callable {
                repeat(ROUNDS) {
                    answer(CORDS, "$number")
                    field.screen(job, "stage/survey", CANVAS)
                }
            }
        }
        pool.invokeAll(work).forEach { it.get() }
        pool.shutdown()
        assertTrue(pool.awaitTermination(1, TimeUnit.MINUTES))
        assertTrue(field.readiness(job).missing.isNotEmpty())
    }

    @Test fun theSignalOfAChangeMayCallBack() {
        val seen = AtomicInteger()
        field.listen(object : ChangeSignal {
            override fun changed(job: String?) {
                field.screen(checkNotNull(job), "job", CANVAS)
                seen.incrementAndGet()
            }
        })
        answer(CORDS, "4")
        assertEquals("out_of_range", code { answer(CORDS, "900") })
        assertEquals(1, seen.get())
    }

    @Test fun aListenerThatFailsDoesNotUndoWhatWasRecorded() {
        field.listen(object : ChangeSignal {
            override fun changed(job: String?) = error("the listener is wrong")
        })
        assertTrue(answer(CORDS, "4").readBack.startsWith("4"))
        field.listen(null)
    }

    @Test fun aKeyBoxThatFailsIsTold() {
        field.shut()
        val broken = object : KeyBox {
            override fun wrap(key: ByteArray) = key

            override fun open(wrapped: ByteArray): ByteArray? = null
        }
        field = Field.open(folder.path, null, broken, phone.clock, phone.locator)
        assertEquals("key_closed", code { answer(CORDS, "4") })
        assertTrue("what it holds stays readable", field.screen(job, "job", CANVAS).blocks.isNotEmpty())
        field.shut()
        val throws = object : KeyBox {
            override fun wrap(key: ByteArray) = key

            override fun open(wrapped: ByteArray): ByteArray? = error("the key store is locked")
        }
        field = Field.open(folder.path, null, throws, phone.clock, phone.locator)
        assertEquals("fault", code { answer(CORDS, "4") })
    }

    @Test fun hugeAndEmptyStringsAndPathsThatAreNot() {
        val huge = "9".repeat(HUGE)
        assertEquals("missing", code { answer(CORDS, "") })
        assertNotEquals("", code { answer(CORDS, huge) })
        assertEquals("too_long", code { answer(NAME, huge) })
        assertEquals("address", code { answer("", "1") })
        assertEquals("address", code { answer(huge, "1") })
        assertEquals("no_job", code { field.screen("", "job", CANVAS) })
        assertEquals("no_job", code { field.screen(huge, "job", CANVAS) })
        val name = "Ünï \uD83D\uDD25 ‏עברית"
        assertEquals("breaks_rule", code { answer(NAME, "a\u0000b") })
        assertTrue(answer(NAME, name).fact.isNotEmpty())
        assertEquals("file", code { field.recordPhoto(job, PHOTO, "/no/such/photo.jpg", true, null) })
        assertEquals("file", code { field.recordPhoto(job, PHOTO, "", true, null) })
        assertEquals("file", code { field.carryIn("/no/such/file") })
        assertEquals("file", code { field.carryOut("/no/such/folder/file") })
        assertEquals("file", code { field.pack(job, "/no/such/folder/a.zip", Reader.FULL, PaperSize.A4) })
        assertEquals("file", code { checkPack("/no/such/file", null) })
        assertTrue(field.jobs(huge, huge, UInt.MAX_VALUE).rows.isEmpty())
        val file = folders.newFile("no-photo.jpg").apply { writeText("words") }
        assertEquals("media_not_a_photo", code { field.recordPhoto(job, PHOTO, file.path, true, null) })
        assertEquals("media_empty", code { field.recordPhoto(job, PHOTO, folders.newFile().path, true, null) })
    }

    @Test fun draftsComeBack() {
        field.keepDraft(job, CORDS, "4 1/")
        field.shut()
        field = phone.open(folder)
        assertEquals("4 1/", draft())
        answer(CORDS, "4.5")
        assertEquals(null, draft())
    }

    private fun draft() = field.screen(job, "stage/survey", CANVAS).blocks.filterIsInstance<Block.Ask>()
        .first { it.id == CORDS }.draft

    /** Memory outside of Java's heap is what would leak: resident size after a first third, and at the end. */
    @Test fun thousandsOfScreensLeakNothing() {
        repeat(SCREENS) { field.screen(job, "job", CANVAS) }
        val before = resident()
        repeat(2 * SCREENS) { field.screen(job, "job", CANVAS) }
        val grown = resident() - before
        assertTrue("grew by $grown kB", grown < GROWTH_KB)
    }

    private fun resident(): Long {
        System.gc()
        val line = File("/proc/self/status").readLines().first { it.startsWith("VmRSS:") }
        return line.filter(Char::isDigit).toLong()
    }

    private companion object {
        val CANVAS = Canvas(380.0, 1.6)
        val NONE = How(null, null)
        const val CORDS = "survey.cords"
        const val NAME = "survey.owner_name@owner:1"
        const val PHOTO = "survey.stove_in_place@old_stove:1"
        const val THREADS = 4
        const val ROUNDS = 5
        const val HUGE = 2_000_000
        const val SCREENS = 700
        const val GROWTH_KB = 60_000
    }
}
