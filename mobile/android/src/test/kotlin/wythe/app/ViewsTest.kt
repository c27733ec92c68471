package wythe.app

import android.app.Activity
import android.content.Intent
import android.graphics.Bitmap
import android.graphics.BitmapFactory
import android.graphics.Canvas
import android.graphics.Color
import android.graphics.Rect
import java.io.File
import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Before
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.RuntimeEnvironment
import wythe.core.How
import wythe.core.Move

/** Each main view in each look: nothing cut or overlapping, targets, contrast, names; and one sheet to look at. */
@RunWith(ShellRunner::class)
class ViewsTest {
    private val app get() = RuntimeEnvironment.getApplication() as WytheApp
    private var job = ""

    @Before fun prepare() {
        val phone = MadePhone()
        WytheApp.platform = { phone }
        phone.open(WytheApp.store(app)).use { field ->
            job = MadePhone.prepare(field)
            field.recordJob(MadePhone.job("Thistledown, 3 Nowhere Court"))
            fill(field)
            field.shut()
        }
    }

    private fun fill(field: wythe.core.Field) {
        val answer = { ask: String, typed: String -> field.recordAnswer(job, ask, typed, How(null, null)) }
        field.recordVisit(job, Move("survey", "arrived", emptyList(), "clear, calm", emptyList()))
        answer("survey.gas_smell", "no")
        answer("survey.owner_name@owner:1", "Tansy Featherstep")
        answer("survey.stove_connected@old_stove:1", "yes")
        answer("survey.cords", "4.5")
        answer("survey.tile_inside_a@tile_section:1", "6 1/2 in")
        answer("survey.tile_inside_b@tile_section:1", "19 3/8 in")
        answer("survey.fuel", "natural gas")
        field.keepDraft(job, "survey.collar_to_top", "21")
        field.recordTimer(job, "gas.test_time", wythe.core.TimerDeed.START)
    }

    @After fun close() {
        app.core.close()
        app.core.settle()
    }

    private class Shown(val name: String, val kind: Class<out Activity>, val intent: Intent?, val target: Int = 48)

    private fun pages(): List<Shown> {
        val screen = { id: String -> ScreenActivity.intent(app, job, id) }
        val roof = RoofActivity.intent(app, job, "stage/survey", "survey.tile_inside_a@tile_section:1")
        val drawing = DrawingActivity.intent(app, job, "job", "wall")
        val sign = SignActivity.intent(app, job, "walk_through.owner_signature@owner:1", "Signature")
        return listOf(
            Shown("jobs", JobsActivity::class.java, null),
            Shown("job", ScreenActivity::class.java, screen("job")),
            Shown("visit", ScreenActivity::class.java, screen("visit/survey")),
            Shown("stage", ScreenActivity::class.java, screen("stage/gas")),
            Shown("missing", ScreenActivity::class.java, screen("missing")),
            Shown("roof", RoofActivity::class.java, roof, 64),
            Shown("sign", SignActivity::class.java, sign),
            Shown("drawing", DrawingActivity::class.java, drawing),
            Shown("settings", SettingsActivity::class.java, null),
            Shown("smell", SmellActivity::class.java, null)
        )
    }

    private fun look(name: String, qualifiers: String, scale: Float, language: String, sunlight: Boolean = false) {
        RuntimeEnvironment.setQualifiers(qualifiers)
        RuntimeEnvironment.setFontScale(scale)
        app.core.run({
            it.setLanguage(language)
            it.setScreens(false, sunlight)
        })
        app.core.settle()
        val wrong = mutableListOf<String>()
        val shots = pages().map { page ->
            val robot = Robot()
            robot.begin(page.kind, page.intent)
            wrong += Looks(robot, page.target).wrong().map { "$name, ${page.name}: $it" }
            robot.shoot("$name-${page.name}").also { robot.controller.pause().stop().destroy() }
        }
        sheet("sheet-$name", shots)
        assertEquals(wrong.joinToString("\n"), 0, wrong.size)
    }

    @Test fun light() = look("light", "+en-rUS-w411dp-h891dp-notnight", 1f, "en")

    @Test fun dark() = look("dark", "+es-rES-w411dp-h891dp-night", 1f, "es")

    @Test fun sunlight() = look("sunlight", "+en-rUS-w411dp-h891dp-notnight", 1f, "en", sunlight = true)

    @Test fun large() = look("large", "+es-rES-w411dp-h891dp-notnight", 2f, "es")

    @Test fun tablet() = look("tablet", "+en-rUS-w800dp-h1280dp-notnight", 1f, "en")

    @Test fun landscape() = look("landscape", "+en-rUS-w891dp-h411dp-land-night", 1f, "en")

    /** All shots of one look side by side. */
    private fun sheet(name: String, shots: List<File>) {
        val tile = 360
        val pictures = shots.map { shot ->
            val options = BitmapFactory.Options().apply { inSampleSize = 2 }
            val png = shot.readBytes()
            checkNotNull(BitmapFactory.decodeByteArray(png, 0, png.size, options))
        }
        val high = pictures.maxOf { it.height * tile / it.width }
        val sheet = Bitmap.createBitmap(tile * 5 + 60, (high + 10) * 2, Bitmap.Config.ARGB_8888)
        val canvas = Canvas(sheet)
        canvas.drawColor(Color.GRAY)
        pictures.forEachIndexed { at, picture ->
            val (x, y) = at % 5 * (tile + 10) to at / 5 * (high + 10)
            canvas.drawBitmap(picture, null, Rect(x, y, x + tile, y + picture.height * tile / picture.width), null)
        }
        val file = File(System.getProperty("shots")!!, "$name.png")
        file.outputStream().use { check(sheet.compress(Bitmap.CompressFormat.PNG, 100, it)) }
    }
}
