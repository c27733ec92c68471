package wythe.app

import android.annotation.SuppressLint
import android.content.Context
import android.graphics.Canvas
import android.graphics.DashPathEffect
import android.graphics.Paint
import android.graphics.Path
import android.graphics.Rect
import android.graphics.Typeface
import android.os.Bundle
import android.view.GestureDetector
import android.view.MotionEvent
import android.view.ScaleGestureDetector
import android.view.View
import android.view.accessibility.AccessibilityNodeInfo
import android.view.accessibility.AccessibilityNodeProvider
import kotlin.math.max
import kotlin.math.min
import wythe.core.Mark
import wythe.core.Picture
import wythe.core.Step
import wythe.core.Touch

/** Paints a drawing of the core. Units of the drawing are dp. [roams] lets it be panned and zoomed. */
@SuppressLint("ViewConstructor")
class PictureView(context: Context, private val face: Face, val picture: Picture, private val roams: Boolean = false) :
    View(context) {
    private val density = resources.displayMetrics.density
    private val pens = Paint(Paint.ANTI_ALIAS_FLAG)
    private var zoom = 1f
    private var panX = 0f
    private var panY = 0f

    /** What a touch on something does. */
    var onTouchOf: ((Touch) -> Unit)? = null

    private val pinch = ScaleGestureDetector(
        context,
        object : ScaleGestureDetector.SimpleOnScaleGestureListener() {
            override fun onScale(detector: ScaleGestureDetector): Boolean {
                zoomBy(detector.scaleFactor, detector.focusX, detector.focusY)
                return true
            }
        }
    )
    private val finger = GestureDetector(
        context,
        object : GestureDetector.SimpleOnGestureListener() {
            override fun onDown(event: MotionEvent) = true

            override fun onSingleTapUp(event: MotionEvent): Boolean {
                val hit = at(event.x, event.y)
                if (hit != null && onTouchOf != null) onTouchOf?.invoke(hit) else performClick()
                return true
            }

            override fun onScroll(first: MotionEvent?, now: MotionEvent, dx: Float, dy: Float): Boolean {
                if (!roams) return false
                panX -= dx
                panY -= dy
                stay()
                return true
            }

            override fun onDoubleTap(event: MotionEvent): Boolean {
                if (roams) zoomBy(DOUBLE, event.x, event.y)
                return roams
            }
        }
    )

    init {
        contentDescription = picture.alt
        isFocusable = true
        isClickable = true
    }

    /** Zooms about a place in the view. */
    fun zoomBy(factor: Float, x: Float, y: Float) {
        val wanted = (zoom * factor).coerceIn(1f, MOST)
        val real = wanted / zoom
        panX = x - (x - panX) * real
        panY = y - (y - panY) * real
        zoom = wanted
        stay()
    }

    private fun fit(): Float = if (roams && width > 0 && height > 0) {
        min(width / (picture.width * density), height / (picture.height * density)).toFloat()
    } else {
        min(1.0, width / max(1.0, picture.width * density)).toFloat()
    }

    private fun stay() {
        val across = (picture.width * density).toFloat() * fit() * zoom
        val down = (picture.height * density).toFloat() * fit() * zoom
        panX = panX.coerceIn(min(0f, width - across), max(0f, width - across))
        panY = panY.coerceIn(min(0f, height - down), max(0f, height - down))
        invalidate()
    }

    private fun at(x: Float, y: Float): Touch? {
        val scale = density * fit() * zoom
        val (px, py) = ((x - panX) / scale).toDouble() to ((y - panY) / scale).toDouble()
        return picture.touches
            .filter { px in it.left - SLACK..it.right + SLACK && py in it.top - SLACK..it.bottom + SLACK }
            .minByOrNull { (it.right - it.left) * (it.bottom - it.top) + off(it, px, py) }
    }

    private fun off(touch: Touch, x: Double, y: Double): Double {
        val (dx, dy) = x - (touch.left + touch.right) / 2 to y - (touch.top + touch.bottom) / 2
        return dx * dx + dy * dy
    }

    override fun onMeasure(widthSpec: Int, heightSpec: Int) {
        if (roams) return super.onMeasure(widthSpec, heightSpec)
        val wanted = (picture.width * density).toInt() + 1
        val across = resolveSize(wanted, widthSpec)
        val scale = min(1.0, across / max(1.0, picture.width * density))
        setMeasuredDimension(across, (picture.height * density * scale).toInt() + 1)
    }

    @SuppressLint("ClickableViewAccessibility")
    override fun onTouchEvent(event: MotionEvent): Boolean {
        if (roams) {
            parent?.requestDisallowInterceptTouchEvent(true)
            pinch.onTouchEvent(event)
        }
        return finger.onTouchEvent(event) || super.onTouchEvent(event)
    }

    override fun onDraw(canvas: Canvas) {
        canvas.save()
        canvas.translate(panX, panY)
        val scale = density * fit() * zoom
        canvas.scale(scale, scale)
        picture.marks.forEach { mark ->
            when (mark) {
                is Mark.Path -> path(canvas, mark)
                is Mark.Words -> words(canvas, mark)
            }
        }
        canvas.restore()
    }

    private fun path(canvas: Canvas, mark: Mark.Path) {
        val path = Path().apply { fillType = Path.FillType.EVEN_ODD }
        mark.steps.forEach { step ->
            when (step) {
                is Step.Move -> path.moveTo(step.x.toFloat(), step.y.toFloat())

                is Step.Line -> path.lineTo(step.x.toFloat(), step.y.toFloat())

                is Step.Curve -> path.cubicTo(
                    step.ax.toFloat(),
                    step.ay.toFloat(),
                    step.bx.toFloat(),
                    step.by.toFloat(),
                    step.x.toFloat(),
                    step.y.toFloat()
                )

                is Step.Close -> path.close()
            }
        }
        mark.fill?.let { fill ->
            pens.reset()
            pens.isAntiAlias = true
            pens.style = Paint.Style.FILL
            pens.color = face.palette.of(fill)
            canvas.drawPath(path, pens)
        }
        mark.stroke?.let { stroke ->
            pens.reset()
            pens.isAntiAlias = true
            pens.style = Paint.Style.STROKE
            pens.strokeWidth = mark.width.toFloat()
            pens.color = face.palette.of(stroke)
            if (mark.dash.isNotEmpty()) {
                pens.pathEffect = DashPathEffect(FloatArray(mark.dash.size) { mark.dash[it].toFloat() }, 0f)
            }
            canvas.drawPath(path, pens)
        }
    }

    private fun words(canvas: Canvas, mark: Mark.Words) {
        pens.reset()
        pens.isAntiAlias = true
        pens.textSize = mark.size.toFloat()
        pens.typeface = if (mark.bold) Typeface.DEFAULT_BOLD else Typeface.DEFAULT
        pens.color = face.palette.of(mark.paint)
        canvas.save()
        canvas.translate(mark.x.toFloat(), mark.y.toFloat())
        canvas.rotate(-mark.turn.toFloat())
        canvas.drawText(mark.text, -(pens.measureText(mark.text) * mark.before).toFloat(), 0f, pens)
        canvas.restore()
    }

    /** A screen reader meets each touchable thing by its words. */
    override fun getAccessibilityNodeProvider(): AccessibilityNodeProvider? =
        if (picture.touches.isEmpty() || onTouchOf == null) null else Nodes()

    private inner class Nodes : AccessibilityNodeProvider() {
        override fun createAccessibilityNodeInfo(id: Int): AccessibilityNodeInfo? {
            if (id == HOST_VIEW_ID) {
                val info = AccessibilityNodeInfo.obtain(this@PictureView)
                onInitializeAccessibilityNodeInfo(info)
                picture.touches.indices.forEach { info.addChild(this@PictureView, it) }
                return info
            }
            val touch = picture.touches.getOrNull(id) ?: return null
            val scale = density * fit() * zoom
            val place = IntArray(2).also(::getLocationOnScreen)
            return AccessibilityNodeInfo.obtain(this@PictureView, id).apply {
                packageName = context.packageName
                className = "android.widget.Button"
                contentDescription = touch.label
                isClickable = true
                isEnabled = true
                isVisibleToUser = true
                addAction(AccessibilityNodeInfo.AccessibilityAction.ACTION_CLICK)
                setParent(this@PictureView)
                setBoundsInScreen(
                    Rect(
                        place[0] + (panX + touch.left * scale).toInt(),
                        place[1] + (panY + touch.top * scale).toInt(),
                        place[0] + (panX + touch.right * scale).toInt(),
                        place[1] + (panY + touch.bottom * scale).toInt()
                    )
                )
            }
        }

        override fun performAction(id: Int, action: Int, arguments: Bundle?): Boolean {
            val touch = picture.touches.getOrNull(id)
            if (touch == null || action != AccessibilityNodeInfo.ACTION_CLICK) return false
            onTouchOf?.invoke(touch)
            return true
        }
    }

    private companion object {
        const val DOUBLE = 2f
        const val MOST = 12f

        // Half a target's width around a brick: a finger is wider than it.
        const val SLACK = 20.0
    }
}
