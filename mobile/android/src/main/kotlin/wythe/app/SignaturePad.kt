package wythe.app

import android.annotation.SuppressLint
import android.content.Context
import android.graphics.Canvas
import android.graphics.Paint
import android.graphics.Path
import android.view.MotionEvent
import android.view.View
import wythe.core.StrokePoint

/** A box to sign in with a finger. Points are kept in thousandths of its width, so that it may be turned. */
@SuppressLint("ViewConstructor")
class SignaturePad(context: Context, private val face: Face, label: String) : View(context) {
    private val ink = Paint(Paint.ANTI_ALIAS_FLAG).apply {
        style = Paint.Style.STROKE
        strokeCap = Paint.Cap.ROUND
        strokeJoin = Paint.Join.ROUND
        strokeWidth = face.dp(PEN).toFloat()
        color = face.ink
    }
    private val frame = Paint().apply {
        style = Paint.Style.STROKE
        strokeWidth = face.dp(2).toFloat()
        color = face.palette.of(wythe.core.Paint.MORTAR)
    }
    private var begun = 0L

    /** The strokes so far. */
    var strokes: List<List<StrokePoint>> = emptyList()
        set(value) {
            field = value
            invalidate()
        }

    /** Called when a stroke ends. */
    var onStroke: (() -> Unit)? = null

    init {
        contentDescription = label
        isFocusable = true
        minimumHeight = face.dp(HEIGHT)
    }

    override fun onMeasure(widthSpec: Int, heightSpec: Int) =
        setMeasuredDimension(getDefaultSize(suggestedMinimumWidth, widthSpec), resolveSize(face.dp(HEIGHT), heightSpec))

    override fun onDraw(canvas: Canvas) {
        canvas.drawColor(face.ground)
        canvas.drawRect(0f, 0f, width.toFloat(), height.toFloat(), frame)
        val unit = width / THOUSAND
        strokes.forEach { stroke ->
            val path = Path()
            stroke.forEachIndexed { at, point ->
                val (x, y) = point.x * unit to point.y * unit
                if (at == 0) path.moveTo(x, y)
                path.lineTo(x, y)
            }
            canvas.drawPath(path, ink)
        }
    }

    @SuppressLint("ClickableViewAccessibility")
    override fun onTouchEvent(event: MotionEvent): Boolean {
        when (event.actionMasked) {
            MotionEvent.ACTION_DOWN -> {
                parent.requestDisallowInterceptTouchEvent(true)
                if (strokes.isEmpty()) begun = event.eventTime
                strokes = strokes + listOf(listOf(point(event.x, event.y, event.eventTime)))
            }

            MotionEvent.ACTION_MOVE, MotionEvent.ACTION_UP -> {
                val more = (0 until event.historySize).map { at ->
                    point(event.getHistoricalX(at), event.getHistoricalY(at), event.getHistoricalEventTime(at))
                } + point(event.x, event.y, event.eventTime)
                strokes = strokes.dropLast(1) + listOf(strokes.lastOrNull().orEmpty() + more)
                if (event.actionMasked == MotionEvent.ACTION_UP) onStroke?.invoke()
            }

            else -> return false
        }
        return true
    }

    private fun point(x: Float, y: Float, time: Long): StrokePoint {
        val unit = width / THOUSAND
        val ms = (time - begun).coerceAtLeast(0)
        return StrokePoint((x / unit).toInt(), (y / unit).toInt(), ms.toUInt())
    }

    companion object {
        private const val THOUSAND = 1000f
        private const val PEN = 3
        private const val HEIGHT = 180

        /** Strokes as numbers, to be kept over a rotation or the end of the process. */
        fun flat(strokes: List<List<StrokePoint>>): IntArray =
            strokes.flatMap { stroke -> listOf(stroke.size) + stroke.flatMap { listOf(it.x, it.y, it.ms.toInt()) } }
                .toIntArray()

        fun unflat(numbers: IntArray): List<List<StrokePoint>> {
            val strokes = mutableListOf<List<StrokePoint>>()
            var at = 0
            while (at < numbers.size) {
                val size = numbers[at++]
                strokes += List(size) { StrokePoint(numbers[at++], numbers[at++], numbers[at++].toUInt()) }
            }
            return strokes
        }
    }
}
