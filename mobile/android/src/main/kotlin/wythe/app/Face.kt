package wythe.app

import android.content.Context
import android.content.res.ColorStateList
import android.content.res.Configuration
import android.graphics.Color
import android.graphics.Typeface
import android.graphics.drawable.Drawable
import android.graphics.drawable.GradientDrawable
import android.graphics.drawable.RippleDrawable
import android.text.InputType
import android.util.TypedValue
import android.view.Gravity
import android.view.View
import android.view.ViewGroup.LayoutParams.MATCH_PARENT
import android.view.ViewGroup.LayoutParams.WRAP_CONTENT
import android.widget.Button
import android.widget.EditText
import android.widget.LinearLayout
import android.widget.TextView
import wythe.core.Level
import wythe.core.Paint

/** The colours of the house on one ground; each text at least 7:1. */
enum class Palette(
    val ground: Int,
    val ink: Int,
    val mortar: Int,
    val clay: Int,
    val water: Int,
    val oxide: Int,
    val ochre: Int
) {
    LIGHT(0xF6F1E7, 0x1D1A17, 0x4A443D, 0x7A331C, 0x0E4A5C, 0x8C1C13, 0x5E4400),
    DARK(0x1D1A17, 0xF6F1E7, 0xC9C1B4, 0xE9B48F, 0x8FD0DE, 0xFFB4A6, 0xF0C35A),
    SUNLIGHT(0xFFFFFF, 0x1D1A17, 0x1D1A17, 0x1D1A17, 0x1D1A17, 0x1D1A17, 0x1D1A17);

    /** The colour of a paint. */
    fun of(paint: Paint): Int = opaque(
        when (paint) {
            Paint.INK -> ink
            Paint.MORTAR -> mortar
            Paint.CLAY -> clay
            Paint.WATER -> water
            Paint.OXIDE -> oxide
            Paint.OCHRE -> ochre
            Paint.GROUND -> ground
        }
    )

    companion object {
        private const val OPAQUE = 0xFF shl 24

        fun opaque(colour: Int) = colour or OPAQUE

        fun of(configuration: Configuration, sunlight: Boolean): Palette {
            val night = configuration.uiMode and Configuration.UI_MODE_NIGHT_MASK
            return when {
                sunlight -> SUNLIGHT
                night == Configuration.UI_MODE_NIGHT_YES -> DARK
                else -> LIGHT
            }
        }
    }
}

/** The one place that knows colours, sizes and the plain parts of which views are made. */
class Face(private val context: Context, val palette: Palette, val roof: Boolean = false) {
    private val density = context.resources.displayMetrics.density
    val target = dp(if (roof) ROOF_TARGET else TARGET)
    val gap = dp(if (roof) ROOF_GAP else GAP)
    val ground get() = palette.of(Paint.GROUND)
    val ink get() = palette.of(Paint.INK)

    fun dp(units: Int): Int = (units * density + HALF).toInt()

    fun text(words: CharSequence, size: Float = body, paint: Paint = Paint.INK, bold: Boolean = false) =
        TextView(context).apply {
            text = words
            setTextSize(TypedValue.COMPLEX_UNIT_SP, size)
            setTextColor(palette.of(paint))
            typeface = if (bold) Typeface.DEFAULT_BOLD else Typeface.DEFAULT
            setTextIsSelectable(false)
            setPadding(0, dp(2), 0, dp(2))
        }

    fun heading(words: CharSequence) = text(words, body + STEP_UP, Paint.CLAY, bold = true).apply {
        markHeading()
        setPadding(0, dp(ROOF_GAP), 0, dp(2))
    }

    /** A button with its verb: [filled] is the one thing to do next. */
    fun button(verb: CharSequence, filled: Boolean = false, chosen: Boolean = false, press: () -> Unit) =
        Button(context).apply {
            text = verb
            isAllCaps = false
            setTextSize(TypedValue.COMPLEX_UNIT_SP, if (roof) ROOF_TEXT else body)
            setTextColor(if (filled || chosen) ground else palette.of(Paint.WATER))
            minHeight = target
            minimumHeight = target
            minWidth = target
            minimumWidth = target
            gravity = Gravity.CENTER
            stateListAnimator = null
            setPadding(dp(ROOF_GAP), dp(GAP), dp(ROOF_GAP), dp(GAP))
            background = plate(Paint.WATER, filled || chosen)
            isSelected = chosen
            setOnClickListener { press() }
        }

    /** A plate with an outline, filled or not. */
    fun plate(paint: Paint, filled: Boolean): Drawable {
        val shape = GradientDrawable().apply {
            cornerRadius = dp(CORNER).toFloat()
            setStroke(dp(2), palette.of(paint))
            setColor(if (filled) palette.of(paint) else ground)
        }
        val touched = ColorStateList.valueOf(Color.argb(TOUCH_ALPHA, TOUCH_GREY, TOUCH_GREY, TOUCH_GREY))
        return RippleDrawable(touched, shape, null)
    }

    fun entry(label: String, value: String, kind: Int = InputType.TYPE_CLASS_TEXT) = EditText(context).apply {
        setText(value)
        inputType = kind
        contentDescription = label
        setTextSize(TypedValue.COMPLEX_UNIT_SP, if (roof) ROOF_TEXT else TYPED)
        setTextColor(ink)
        minHeight = target
        minimumHeight = target
        setPadding(dp(ROOF_GAP), dp(GAP), dp(ROOF_GAP), dp(GAP))
        background = plate(Paint.MORTAR, false)
        // What is typed is a draft of the core, never the system's to restore over it.
        isSaveEnabled = false
        setSelection(text.length)
    }

    fun column(vararg views: View) = LinearLayout(context).apply {
        orientation = LinearLayout.VERTICAL
        views.forEach { addView(it, wide()) }
    }

    /** Views side by side, as wide as each other. */
    fun row(vararg views: View) = LinearLayout(context).apply {
        orientation = LinearLayout.HORIZONTAL
        views.forEachIndexed { at, view ->
            addView(
                view,
                LinearLayout.LayoutParams(0, MATCH_PARENT, 1f).apply { if (at > 0) marginStart = gap }
            )
        }
    }

    fun wide(top: Int = 0) = LinearLayout.LayoutParams(MATCH_PARENT, WRAP_CONTENT).apply { topMargin = top }

    /** A stop with a thick bar, a caution with a thin one: the word says it too. */
    fun note(level: Level, word: String, words: String, liftedBy: String?): View {
        val (paint, bar) = when (level) {
            Level.STOP -> Paint.OXIDE to dp(STOP_BAR)
            Level.CAUTION -> Paint.OCHRE to dp(CAUTION_BAR)
            Level.NOTE -> Paint.MORTAR to dp(1)
        }
        val told = column(text("$word: $words", body, paint, bold = level == Level.STOP))
        liftedBy?.let { told.addView(text(it, body, paint)) }
        return LinearLayout(context).apply {
            setPadding(0, gap, 0, gap)
            addView(View(context).apply { setBackgroundColor(palette.of(paint)) }, bar, MATCH_PARENT)
            addView(
                told,
                LinearLayout.LayoutParams(0, WRAP_CONTENT, 1f).apply { marginStart = dp(ROOF_GAP) }
            )
        }
    }

    val body get() = if (roof) ROOF_TEXT - ROOF_STEP else BODY

    companion object {
        const val BODY = 16f
        const val TYPED = 22f
        const val ROOF_TEXT = 28f
        const val STEP_UP = 2f
        private const val ROOF_STEP = 6f
        private const val TARGET = 48
        private const val ROOF_TARGET = 64
        private const val GAP = 8
        private const val ROOF_GAP = 12
        private const val CORNER = 4
        private const val STOP_BAR = 8
        private const val CAUTION_BAR = 3
        private const val HALF = 0.5f
        private const val TOUCH_ALPHA = 80
        private const val TOUCH_GREY = 128
    }
}

/** Marks a heading for a screen reader; the oldest level has no such mark. */
private fun TextView.markHeading() {
    accessibilityDelegate = object : View.AccessibilityDelegate() {
        override fun onInitializeAccessibilityNodeInfo(
            host: View,
            info: android.view.accessibility.AccessibilityNodeInfo
        ) {
            super.onInitializeAccessibilityNodeInfo(host, info)
            info.setCollectionItemInfo(
                android.view.accessibility.AccessibilityNodeInfo.CollectionItemInfo.obtain(0, 1, 0, 1, true)
            )
        }
    }
}
