package wythe.app

import android.app.Activity
import android.graphics.Bitmap
import android.graphics.Color
import android.widget.EditText
import java.io.File
import kotlin.math.sin
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Before
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.RuntimeEnvironment
import org.robolectric.Shadows.shadowOf
import wythe.core.Block
import wythe.core.BlockState
import wythe.core.Canvas

/** What a crew does on a phone beyond typing a number. */
@RunWith(ShellRunner::class)
class DeedsTest {
    private val robot = Robot()
    private val app get() = RuntimeEnvironment.getApplication() as WytheApp
    private var job = ""

    @Before fun prepare() {
        val phone = MadePhone()
        WytheApp.platform = { phone }
        phone.open(WytheApp.store(app)).use { field ->
            job = MadePhone.prepare(field)
            field.shut()
        }
    }

    @After fun close() {
        app.core.close()
        app.core.settle()
    }

    private fun ask(screen: String, id: String): Block.Ask {
        var found: Block.Ask? = null
        app.core.run({ field ->
            found = field.screen(job, screen, CANVAS).blocks.filterIsInstance<Block.Ask>().first { it.id == id }
        })
        app.core.settle()
        return checkNotNull(found)
    }

    private fun open(screen: String, ask: String? = null) =
        robot.begin(ScreenActivity::class.java, ScreenActivity.intent(app, job, screen, ask))

    @Test fun theTapePadMeasuresOneAfterTheOther() {
        robot.begin(RoofActivity::class.java, RoofActivity.intent(app, job, "stage/survey", TILE_A))
        val first = robot.activity.title
        listOf("1", "1").forEach { robot.tap(it) }
        robot.tap("3/8 in")
        assertTrue(robot.texts().toString(), robot.texts().any { it.contains("11 3/8 in") && it.contains("289 mm") })
        robot.turn("+w891dp-h411dp-land")
        assertTrue("the draft is back", robot.texts().any { it.contains("11 3/8 in") })
        robot.tap("Record")
        assertTrue("the next ask is there", robot.activity.title != first)
        assertEquals(BlockState.FILLED, ask("stage/survey", TILE_A).state)
    }

    @Test fun yesAndNoAreOneTap() {
        open("stage/survey")
        val label = ask("stage/survey", MAIN_HEAT).label
        robot.tap("$label: yes")
        assertEquals("yes", ask("stage/survey", MAIN_HEAT).value)
        robot.tap("$label: no")
        assertEquals("no", ask("stage/survey", MAIN_HEAT).value)
    }

    @Test fun aVisitBeginsAndEnds() {
        open("visit/survey")
        robot.tap("Arrive")
        robot.tap("Leave")
        assertTrue(robot.texts().contains("Arrive"))
    }

    @Test fun theClockOfTheGasTestOutlivesTheProcess() {
        open("stage/gas", SPAN)
        val label = ask("stage/gas", SPAN).label
        robot.tap("Start the clock: $label")
        robot.die()
        robot.tap("Stop and record: $label")
        assertEquals(BlockState.EMPTY == ask("stage/gas", SPAN).state, false)
    }

    private fun camera(draw: (Bitmap) -> Unit): File {
        val asked = shadowOf(robot.activity).nextStartedActivityForResult
        assertEquals("android.media.action.IMAGE_CAPTURE", asked.intent.action)
        val photo = checkNotNull(PhotoShelf.folder(app).listFiles()).ifEmpty { null }?.single()
            ?: File(PhotoShelf.folder(app), checkNotNull(target(asked.intent)))
        val bitmap = Bitmap.createBitmap(WIDE, HIGH, Bitmap.Config.ARGB_8888)
        draw(bitmap)
        photo.outputStream().use { bitmap.compress(Bitmap.CompressFormat.JPEG, QUALITY, it) }
        shadowOf(robot.activity).receiveResult(asked.intent, Activity.RESULT_OK, null)
        robot.settle()
        return photo
    }

    @Suppress("DEPRECATION")
    private fun target(intent: android.content.Intent) =
        intent.getParcelableExtra<android.net.Uri>("output")?.lastPathSegment

    @Test fun aPhotoGetsItsVerdictAtOnce() {
        open("stage/survey", PHOTO)
        val label = ask("stage/survey", PHOTO).label
        robot.tap("Take the photo: $label")
        camera { it.eraseColor(Color.BLACK) }
        val told = robot.texts().joinToString("\n")
        assertTrue(told, told.contains("As evidence:"))
        robot.shoot("deed-photo")
        assertTrue("take it again is offered", robot.texts().contains("Take it again"))
        assertTrue(ask("stage/survey", PHOTO).originals.isNotEmpty())
    }

    @Test fun aPhoneWithoutACameraSaysWhatToDo() {
        shadowOf(app).checkActivities(true)
        open("stage/survey", PHOTO)
        robot.tap("Take the photo: ${ask("stage/survey", PHOTO).label}")
        assertTrue(robot.texts().any { it.contains("no camera app") })
    }

    @Test fun drawingIsNotSigning() {
        open("stage/plan")
        val quote = ask("stage/plan", QUOTE)
        robot.tap("Sign: ${quote.label}")
        robot.type("Name in full", "Tansy Featherstep")
        val pad = robot.views().filterIsInstance<SignaturePad>().single()
        pad.requestRectangleOnScreen(android.graphics.Rect(0, 0, pad.width, pad.height), true)
        robot.settle()
        robot.stroke(pad, (0..40).map { 0.1f + 0.8f * it / 40 to 0.5f + 0.3f * sin(it / 4f) })
        robot.settle()
        assertEquals(BlockState.EMPTY, ask("stage/plan", QUOTE).state)
        robot.turn("+w891dp-h411dp-land")
        assertEquals("Tansy Featherstep", (robot.find("Name in full") as EditText).text.toString())
        assertEquals(1, robot.views().filterIsInstance<SignaturePad>().single().strokes.size)
        robot.shoot("deed-sign")
        robot.tap("I sign this")
        assertEquals(BlockState.FILLED, ask("stage/plan", QUOTE).state)
    }

    @Test fun settingsChangeLanguageAndColours() {
        robot.start<SettingsActivity>()
        robot.tap("español".replaceFirstChar { it.uppercase() })
        robot.settle()
        app.core.look({})
        robot.settle()
        assertEquals("es", app.core.state?.language)
        assertEquals("Ajustes", app.core.say("settings"))
    }

    @Test fun aSmellOfGasIsShownWithoutTheStore() {
        robot.start<SmellActivity>()
        assertTrue(robot.texts().any { it.contains("Everybody out") })
        assertTrue("wants no touches", robot.views().filterIsInstance<android.widget.Button>().count() <= 1)
    }

    private companion object {
        val CANVAS = Canvas(380.0, 1.6)
        const val TILE_A = "survey.tile_inside_a@tile_section:1"
        const val MAIN_HEAT = "survey.main_heat"
        const val PHOTO = "survey.stove_in_place@old_stove:1"
        const val SPAN = "gas.test_time"
        const val QUOTE = "plan.quote_signature@owner:1"
        const val WIDE = 1600
        const val HIGH = 1200
        const val QUALITY = 90
    }
}
