package wythe.app

import org.junit.After
import org.junit.Assert.assertEquals
import org.junit.Assert.assertTrue
import org.junit.Before
import org.junit.Test
import org.junit.runner.RunWith
import org.robolectric.RuntimeEnvironment
import org.robolectric.annotation.Config

/** From the list of jobs to a recorded answer, on the oldest and the newest level. */
@RunWith(ShellRunner::class)
@Config(sdk = [26, 35])
class OneScreenTest {
    private val robot = Robot()
    private var job = ""
    private val app get() = RuntimeEnvironment.getApplication() as WytheApp

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

    @Test fun aNumberIsTypedReadBackAndRecorded() {
        robot.start<JobsActivity>()
        robot.shoot("jobs-${android.os.Build.VERSION.SDK_INT}")
        val row = robot.views().first { it.isClickable && it.contentDescription?.startsWith("Featherstep") == true }
        robot.tap(row.contentDescription.toString())
        robot.shoot("job-${android.os.Build.VERSION.SDK_INT}")
        val survey = robot.texts().first { it.startsWith("Survey\n") && it.contains(" of ") }
        robot.tap(survey)
        val cords = "Cords of wood a year"
        val label = robot.texts().first { it.startsWith("Cords") }
        assertTrue("$label is not $cords", label.startsWith("Cords"))
        robot.type(label, "4.5")
        robot.tap("Record: $label")
        robot.shoot("survey-${android.os.Build.VERSION.SDK_INT}")
        val told = robot.texts().filter { it.startsWith("Recorded.") }
        assertEquals(1, told.size)
        assertTrue(told.toString(), told.single().contains("4.5"))
    }

    @Test fun aRefusalIsToldAndWhatWasTypedStaysOverRotationAndTheEndOfTheProcess() {
        val job = job
        robot.begin(ScreenActivity::class.java, ScreenActivity.intent(app, job, "stage/survey"))
        val label = robot.texts().first { it.startsWith("Cords") }
        robot.type(label, "900")
        robot.tap("Record: $label")
        assertTrue(robot.texts().toString(), robot.texts().any { it.contains("900") && it.contains("outside") })
        robot.turn("+w891dp-h411dp-land")
        assertEquals("900", (robot.find(label) as android.widget.EditText).text.toString())
        robot.die()
        assertEquals("900", (robot.find(label) as android.widget.EditText).text.toString())
    }
}
