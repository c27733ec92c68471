package wythe.app

import android.content.Context
import android.content.Intent
import android.os.Bundle
import wythe.core.Level
import wythe.core.Paint
import wythe.core.StrokePoint
import wythe.core.ToSign

/** The words, the box to draw in, and apart from it the act of signing. */
class SignActivity : Page() {
    private val job: String get() = intent.getStringExtra(JOB).orEmpty()
    private val ask: String get() = intent.getStringExtra(ASK).orEmpty()
    private var name = ""
    private var strokes: List<List<StrokePoint>> = emptyList()

    override fun restored(saved: Bundle?) {
        name = saved?.getString(NAME).orEmpty()
        strokes = SignaturePad.unflat(saved?.getIntArray(STROKES) ?: IntArray(0))
    }

    override fun onSaveInstanceState(kept: Bundle) {
        super.onSaveInstanceState(kept)
        kept.putString(NAME, name)
        kept.putIntArray(STROKES, SignaturePad.flat(strokes))
    }

    override fun changed() {
        if (core.state == null) return
        core.run({ it.toSign(job, ask) }, { if (!isDestroyed) show(it) }, ::tell)
    }

    private fun show(words: ToSign) {
        title(intent.getStringExtra(LABEL).orEmpty())
        body.removeAllViews()
        body.addView(face.text(words.words, Face.BODY + Face.STEP_UP), face.wide())
        body.addView(face.text(core.say("name"), bold = true), face.wide(face.gap))
        val entry = face.entry(core.say("name"), name).apply { addTextChangedListener(After { name = it }) }
        body.addView(entry, face.wide())
        body.addView(face.text(core.say("sign-here"), paint = Paint.MORTAR), face.wide(face.gap))
        val pad = SignaturePad(this, face, core.say("sign-here"))
        pad.strokes = strokes
        pad.onStroke = { strokes = pad.strokes }
        body.addView(pad, face.wide())
        val clear = face.button(core.say("sign-clear")) {
            strokes = emptyList()
            pad.strokes = strokes
        }
        body.addView(clear, face.wide(face.gap))
        body.addView(face.button(core.say("sign-decline")) { act("declined", words.shown) }, face.wide(face.gap))
        body.addView(face.heading(core.say("sign-covers")), face.wide())
        words.covers.forEach { body.addView(face.text(it), face.wide()) }
        next(face.button(core.say("sign-now"), filled = true) { act("signed", words.shown) })
    }

    private fun act(act: String, shown: String) {
        if (name.isBlank()) return tell(core.say("name"), Level.CAUTION)
        if (act == "signed" && strokes.isEmpty()) return tell(core.say("sign-here"), Level.CAUTION)
        val drawn = if (act == "signed") strokes else emptyList()
        core.run({ it.recordSignature(job, ask, act, shown, name, drawn) }, { finish() }, ::tell)
    }

    companion object {
        private const val JOB = "job"
        private const val ASK = "ask"
        private const val LABEL = "label"
        private const val NAME = "name"
        private const val STROKES = "strokes"

        fun open(from: Context, job: String, ask: String, label: String) =
            from.startActivity(intent(from, job, ask, label))

        fun intent(from: Context, job: String, ask: String, label: String): Intent =
            Intent(from, SignActivity::class.java).putExtra(JOB, job).putExtra(ASK, ask).putExtra(LABEL, label)
    }
}
