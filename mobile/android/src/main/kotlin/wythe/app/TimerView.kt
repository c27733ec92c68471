package wythe.app

import android.annotation.SuppressLint
import android.content.Context
import android.media.AudioManager
import android.media.ToneGenerator
import android.os.Handler
import android.os.Looper
import android.view.View
import android.widget.LinearLayout
import wythe.core.Paint
import wythe.core.Timer

/** Shows how long a timer of the core has run, and calls when its time is over. */
@SuppressLint("ViewConstructor")
class TimerView(context: Context, private val face: Face, private val core: Core, private val timer: Timer) :
    LinearLayout(context) {
    private val beat = Handler(Looper.getMainLooper())
    private val clock = face.text("", Face.ROOF_TEXT, bold = true)
    private val over = face.text(core.say("time-is-over"), paint = Paint.OCHRE, bold = true)
    private val tick = Runnable { show() }
    private var called = false

    init {
        orientation = VERTICAL
        addView(clock, face.wide())
        if (timer.taps.isNotEmpty()) {
            addView(face.text(core.say("taps", timer.taps.size.toString())), face.wide())
        }
        over.visibility = View.GONE
        over.accessibilityLiveRegion = View.ACCESSIBILITY_LIVE_REGION_ASSERTIVE
        addView(over, face.wide())
        show()
    }

    private fun show() {
        val started = timer.startedMs ?: return
        val seconds = (core.nowMs() - started).coerceAtLeast(0) / SECOND_MS
        clock.text = "%d:%02d".format(seconds / MINUTE, seconds % MINUTE)
        val after = timer.callAfter
        if (after != null && seconds >= after && over.visibility == View.GONE) {
            over.visibility = View.VISIBLE
            call()
        }
        if (isAttachedToWindow) beat.postDelayed(tick, SECOND_MS)
    }

    private fun call() {
        if (called) return
        called = true
        try {
            val tone = ToneGenerator(AudioManager.STREAM_ALARM, ToneGenerator.MAX_VOLUME)
            tone.startTone(ToneGenerator.TONE_CDMA_ALERT_CALL_GUARD, TONE_MS)
            beat.postDelayed({ tone.release() }, 2L * TONE_MS)
        } catch (_: RuntimeException) {
            // A phone without a free tone still shows it.
        }
    }

    override fun onAttachedToWindow() {
        super.onAttachedToWindow()
        show()
    }

    override fun onDetachedFromWindow() {
        beat.removeCallbacks(tick)
        super.onDetachedFromWindow()
    }

    private companion object {
        const val SECOND_MS = 1000L
        const val MINUTE = 60
        const val TONE_MS = 2000
    }
}
