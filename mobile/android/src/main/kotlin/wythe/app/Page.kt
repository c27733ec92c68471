package wythe.app

import android.app.Activity
import android.os.Bundle
import android.view.Gravity
import android.view.View
import android.view.ViewGroup.LayoutParams.MATCH_PARENT
import android.view.ViewGroup.LayoutParams.WRAP_CONTENT
import android.view.WindowManager
import android.widget.LinearLayout
import android.widget.ScrollView
import android.widget.TextView
import wythe.core.Canvas
import wythe.core.Level
import wythe.core.Paint
import wythe.core.Trouble

/** What all pages have: a way back, a title, a body that scrolls, one next action at the thumb. */
abstract class Page : Activity() {
    val core: Core get() = (application as WytheApp).core
    lateinit var face: Face
        private set
    protected lateinit var body: LinearLayout
        private set
    protected lateinit var scroll: ScrollView
        private set
    private lateinit var head: LinearLayout
    private lateinit var foot: LinearLayout
    private lateinit var told: LinearLayout
    private var built: Pair<String, Boolean>? = null
    private val watcher = { if (!isFinishing && !isDestroyed) changed() }

    protected open val roof = false

    override fun onCreate(savedInstanceState: Bundle?) {
        super.onCreate(savedInstanceState)
        build()
        restored(savedInstanceState)
        begin()
    }

    /** Reads the state of the store first, since it says language and colours. */
    private fun begin() {
        if (core.state == null) {
            body.addView(face.text(core.say("working", core.say("opening")), paint = Paint.MORTAR))
        }
        core.look({
            if (!isDestroyed) {
                build()
                changed()
            }
        }, ::tell)
    }

    /** Takes back what was kept over a rotation or the end of the process. */
    protected open fun restored(saved: Bundle?) = Unit

    /** Shows anew what the store holds. */
    protected abstract fun changed()

    override fun onStart() {
        super.onStart()
        core.watch(watcher)
    }

    /** Another page may have changed language or colours meanwhile. */
    override fun onRestart() {
        super.onRestart()
        core.look({
            if (!isDestroyed) {
                if (look() != built) build()
                changed()
            }
        }, ::tell)
    }

    private fun look() = core.state?.let { it.language to it.sunlight }

    override fun onStop() {
        core.unwatch(watcher)
        super.onStop()
    }

    private fun build() {
        built = look()
        face = Face(this, Palette.of(resources.configuration, core.state?.sunlight == true), roof)
        head = face.column().apply { setPadding(face.dp(SIDE), face.dp(TOP), face.dp(SIDE), face.dp(TOP)) }
        told = face.column()
        body = face.column().apply { setPadding(face.dp(SIDE), 0, face.dp(SIDE), face.dp(SIDE)) }
        foot = face.column().apply { setPadding(face.dp(SIDE), face.dp(TOP), face.dp(SIDE), face.dp(TOP)) }
        scroll = ScrollView(this).apply { addView(body, MATCH_PARENT, WRAP_CONTENT) }
        val page = face.column().apply {
            setBackgroundColor(face.ground)
            addView(head, face.wide())
            addView(told, face.wide())
            addView(scroll, LinearLayout.LayoutParams(MATCH_PARENT, 0, 1f))
            addView(foot, face.wide())
        }
        // A wide screen keeps one column of a width that is read easily.
        val frame = LinearLayout(this).apply {
            gravity = Gravity.CENTER_HORIZONTAL
            setBackgroundColor(face.ground)
            addView(page, LinearLayout.LayoutParams(columnWidth(), MATCH_PARENT))
        }
        frame.setOnApplyWindowInsetsListener { view, insets ->
            @Suppress("DEPRECATION") // The newer form is not there on the oldest level.
            view.setPadding(
                insets.systemWindowInsetLeft,
                insets.systemWindowInsetTop,
                insets.systemWindowInsetRight,
                insets.systemWindowInsetBottom
            )
            insets
        }
        setContentView(frame)
        bars()
        frame.requestApplyInsets()
    }

    /** The signs of the system's bars are dark on light ground. */
    @Suppress("DEPRECATION") // The newer form is not there on the oldest level.
    private fun bars() {
        val dark = face.palette == Palette.DARK
        val flags = View.SYSTEM_UI_FLAG_LIGHT_STATUS_BAR or View.SYSTEM_UI_FLAG_LIGHT_NAVIGATION_BAR
        window.decorView.systemUiVisibility = if (dark) 0 else flags
        window.addFlags(WindowManager.LayoutParams.FLAG_DRAWS_SYSTEM_BAR_BACKGROUNDS)
        window.statusBarColor = face.ground
        window.navigationBarColor = face.ground
    }

    private fun columnWidth(): Int {
        val wide = resources.displayMetrics.widthPixels
        return if (wide > face.dp(WIDEST)) face.dp(WIDEST) else MATCH_PARENT
    }

    /** Where drawings are laid out: dp, and words grow with the person's text size. */
    protected fun canvas(): Canvas {
        val metrics = resources.displayMetrics
        val wide = minOf(metrics.widthPixels / metrics.density, WIDEST.toFloat()) - 2 * SIDE - 1
        return Canvas(wide.toDouble(), (POINT * resources.configuration.fontScale).toDouble())
    }

    /** The way back, where one is, and the title. */
    protected fun title(title: String, place: List<String> = emptyList(), beside: View? = null) {
        head.removeAllViews()
        if (!isTaskRoot || this !is JobsActivity) {
            head.addView(
                face.button(core.say("back")) { finish() },
                LinearLayout.LayoutParams(WRAP_CONTENT, WRAP_CONTENT)
            )
        }
        place.filter { it.isNotEmpty() }.forEach { head.addView(face.text(it, paint = Paint.MORTAR), face.wide()) }
        head.addView(
            face.text(title, Face.TYPED, bold = true),
            face.wide()
        )
        beside?.let { head.addView(it, face.wide(face.gap)) }
        setTitle(title)
    }

    /** The one next action. */
    protected fun next(view: View?) {
        foot.removeAllViews()
        view?.let { foot.addView(it, face.wide()) }
    }

    /** Says what came of something, above the body and to a screen reader. */
    fun tell(words: String, level: Level = Level.NOTE) {
        told.removeAllViews()
        told.setPadding(face.dp(SIDE), 0, face.dp(SIDE), 0)
        val paint = if (level == Level.STOP) Paint.OXIDE else Paint.INK
        val line: TextView = face.text(words, paint = paint, bold = true)
        line.accessibilityLiveRegion = View.ACCESSIBILITY_LIVE_REGION_POLITE
        told.addView(line, face.wide())
    }

    fun quiet() = told.removeAllViews()

    /** Says why something was not done. */
    fun tell(trouble: Trouble.Refused) {
        if (!isDestroyed) tell(trouble.told.message, Level.STOP)
    }

    protected companion object {
        const val SIDE = 16
        const val TOP = 8
        const val WIDEST = 720

        // A point of paper in dp, so that the smallest words of a drawing are 13 sp.
        const val POINT = 1.6f
    }
}
