package wythe.app

import android.app.Activity
import android.content.Intent
import android.graphics.Bitmap
import android.graphics.Canvas
import android.os.Looper
import android.os.SystemClock
import android.view.MotionEvent
import android.view.View
import android.view.ViewGroup
import android.view.inputmethod.EditorInfo
import android.widget.EditText
import android.widget.TextView
import java.io.File
import java.time.Duration
import org.robolectric.Robolectric
import org.robolectric.RuntimeEnvironment
import org.robolectric.Shadows.shadowOf
import org.robolectric.android.controller.ActivityController

/** A person at the phone: finds by words, types, taps, draws, and waits for the core. */
class Robot {
    lateinit var controller: ActivityController<out Activity>
        private set
    val activity: Activity get() = controller.get()
    private val app get() = RuntimeEnvironment.getApplication() as WytheApp

    inline fun <reified A : Activity> start(intent: Intent? = null) = begin(A::class.java, intent)

    fun <A : Activity> begin(kind: Class<A>, intent: Intent?) {
        controller = Robolectric.buildActivity(kind, intent).setup()
        settle()
    }

    /** Lets the core end what was begun, and the views show it. */
    fun settle() {
        repeat(ROUNDS) {
            app.core.settle()
            shadowOf(Looper.getMainLooper()).idleFor(Duration.ofMillis(STEP_MS))
        }
    }

    /** All views that are shown, top to bottom. */
    fun views(): Sequence<View> = shown(activity.window.decorView)

    private fun shown(view: View): Sequence<View> = sequence {
        if (view.visibility == View.VISIBLE) {
            yield(view)
            if (view is ViewGroup) (0 until view.childCount).forEach { yieldAll(shown(view.getChildAt(it))) }
        }
    }

    fun texts(): List<String> = views().filterIsInstance<TextView>().map { it.text.toString() }.toList()

    /** The view with these words, written or for a screen reader. */
    fun find(words: String): View = views().filter { it.isClickable || it is EditText }.find {
        it.contentDescription?.toString() == words || (it as? TextView)?.text?.toString() == words
    } ?: error("\"$words\" is not on the screen: ${texts()}")

    /** A tap by touch events, after scrolling to it, as a finger does. */
    fun tap(words: String) {
        val view = find(words)
        view.requestRectangleOnScreen(android.graphics.Rect(0, 0, view.width, view.height), true)
        settle()
        stroke(view, listOf(0.5f to 0.5f, 0.5f to 0.5f))
        settle()
        follow()
    }

    fun type(words: String, text: String) {
        val view = find(words) as EditText
        view.requestRectangleOnScreen(android.graphics.Rect(0, 0, view.width, view.height), true)
        check(view.requestFocus())
        val connection = checkNotNull(view.onCreateInputConnection(EditorInfo()))
        text.forEach { check(connection.commitText(it.toString(), 1)) }
        settle()
    }

    /** A stroke through points that are shares of the view. */
    fun stroke(target: View, points: List<Pair<Float, Float>>) {
        val at = IntArray(2).also(target::getLocationInWindow)
        val down = SystemClock.uptimeMillis()
        points.forEachIndexed { i, (fx, fy) ->
            val action = when (i) {
                0 -> MotionEvent.ACTION_DOWN
                points.lastIndex -> MotionEvent.ACTION_UP
                else -> MotionEvent.ACTION_MOVE
            }
            val (x, y) = at[0] + fx * target.width to at[1] + fy * target.height
            val event = MotionEvent.obtain(down, down + STROKE_MS * i, action, x, y, 0)
            activity.dispatchTouchEvent(event)
            event.recycle()
        }
        shadowOf(Looper.getMainLooper()).idleFor(Duration.ofMillis(TAP_MS))
    }

    /** Goes where the page asked to go. */
    private fun follow() {
        val next = shadowOf(activity).nextStartedActivity ?: return
        val name = next.component?.className ?: return
        if (!name.startsWith("wythe.app")) return
        @Suppress("UNCHECKED_CAST")
        begin(Class.forName(name) as Class<Activity>, next)
    }

    /** Turns the phone. */
    fun turn(qualifiers: String) {
        RuntimeEnvironment.setQualifiers(qualifiers)
        controller.configurationChange()
        controller.visible()
        settle()
    }

    /** The process ends and the system brings the page back from what it kept. */
    fun die() {
        val kept = android.os.Bundle()
        val (kind, intent) = activity.javaClass to activity.intent
        controller.pause().stop().saveInstanceState(kept)
        controller.destroy()
        app.core.close()
        app.core.settle()
        controller = Robolectric.buildActivity(kind, intent).setup(kept)
        settle()
    }

    fun shoot(name: String): File {
        settle()
        val view = activity.window.decorView
        val bitmap = Bitmap.createBitmap(view.width, view.height, Bitmap.Config.ARGB_8888)
        view.draw(Canvas(bitmap))
        val file = File(System.getProperty("shots")!!, "$name.png")
        file.parentFile!!.mkdirs()
        file.outputStream().use { check(bitmap.compress(Bitmap.CompressFormat.PNG, 100, it)) }
        return file
    }

    private companion object {
        const val ROUNDS = 4
        const val STEP_MS = 50L
        const val STROKE_MS = 8L
        const val TAP_MS = 300L
    }
}
