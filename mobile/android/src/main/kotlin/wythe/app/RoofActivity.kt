package wythe.app

import android.content.Context
import android.content.Intent
import android.os.Bundle
import android.text.InputType
import wythe.core.Block
import wythe.core.BlockState
import wythe.core.How
import wythe.core.Level
import wythe.core.Paint
import wythe.core.Screen

/** One ask a view, large: for gloves and for numbers that are called down. */
class RoofActivity : Page() {
    override val roof = true
    private val job: String get() = intent.getStringExtra(JOB).orEmpty()
    private val screenId: String get() = intent.getStringExtra(SCREEN).orEmpty()
    private var at = ""

    override fun restored(saved: Bundle?) {
        at = saved?.getString(AT) ?: intent.getStringExtra(ASK).orEmpty()
    }

    override fun onSaveInstanceState(kept: Bundle) {
        super.onSaveInstanceState(kept)
        kept.putString(AT, at)
    }

    override fun changed() {
        if (core.state == null) return
        val canvas = canvas()
        core.run({ it.screen(job, screenId, canvas) }, { if (!isDestroyed) show(it) }, ::tell)
    }

    private fun show(screen: Screen) {
        val asks = screen.blocks.filterIsInstance<Block.Ask>().filter { one(it) }
        val ask = asks.find { it.id == at } ?: asks.firstOrNull() ?: return finish()
        at = ask.id
        val number = asks.indexOf(ask)
        title(ask.label, listOf(core.say("of", "${number + 1}", "${asks.size}")))
        body.removeAllViews()
        ask.help?.let { body.addView(face.text(it, paint = Paint.MORTAR), face.wide()) }
        ask.value?.let { body.addView(face.text(it, Face.ROOF_TEXT, bold = true), face.wide()) }
        val following = asks.drop(number + 1).find { it.state == BlockState.EMPTY } ?: asks.getOrNull(number + 1)
        val onward = { following?.let { move(it.id) } ?: finish() }
        when {
            ask.choices.isNotEmpty() -> choices(ask, onward)
            ask.kind == "length" -> tape(ask, onward)
            else -> typed(ask, onward)
        }
    }

    private fun one(ask: Block.Ask) = ask.state != BlockState.NOT_NEEDED && ask.state != BlockState.DISAGREEING &&
        ask.timer == null && ask.kind !in listOf("photo", "paper", "signature")

    private fun move(to: String) {
        at = to
        quiet()
        scroll.scrollTo(0, 0)
        changed()
    }

    private fun choices(ask: Block.Ask, onward: () -> Unit) {
        ask.choices.forEach { choice ->
            val button = face.button(choice.label, chosen = choice.label == ask.value) {
                record(ask, choice.code, onward)
            }
            button.contentDescription = "${ask.label}: ${choice.label}"
            body.addView(button, face.wide(face.gap))
        }
        next(face.button(core.say("next")) { onward() })
    }

    private fun tape(ask: Block.Ask, onward: () -> Unit) {
        val line = face.text(ask.draft.orEmpty(), Face.ROOF_TEXT, bold = true)
        line.accessibilityLiveRegion = android.view.View.ACCESSIBILITY_LIVE_REGION_POLITE
        body.addView(line, face.wide(face.gap))
        val start = Tape.of(ask.draft.orEmpty(), core.state?.metric == true)
        val pad = TapePad(this, face, { core.say(it) }, start) { tape ->
            line.text = tape.typed
            core.run({ it.keepDraft(job, ask.id, tape.typed) }, {}, ::tell)
            readBack(ask, tape.typed) { line.text = it }
        }
        body.addView(pad, face.wide())
        next(face.button(core.say("record"), filled = true) { record(ask, pad.tape.typed, onward) })
    }

    private fun readBack(ask: Block.Ask, typed: String, show: (String) -> Unit) {
        if (typed.isEmpty()) return
        core.run({ it.understand(ask.id, typed) }, { if (at == ask.id) show(it.readBack) }, {})
    }

    private fun typed(ask: Block.Ask, onward: () -> Unit) {
        val entry = face.entry(ask.label, ask.draft.orEmpty(), InputType.TYPE_CLASS_TEXT)
        entry.addTextChangedListener(After { typed -> core.run({ it.keepDraft(job, ask.id, typed) }, {}, ::tell) })
        body.addView(entry, face.wide(face.gap))
        next(face.button(core.say("record"), filled = true) { record(ask, entry.text.toString(), onward) })
    }

    private fun record(ask: Block.Ask, typed: String, onward: () -> Unit) {
        core.run({ it.recordAnswer(job, ask.id, typed, How(null, null)) }, { recorded ->
            onward()
            val unusual = recorded.unusual?.let { " ($it)" }.orEmpty()
            val level = if (recorded.unusual == null) Level.NOTE else Level.CAUTION
            tell("${core.say("recorded")} ${recorded.readBack}$unusual", level)
        }, ::tell)
    }

    companion object {
        private const val JOB = "job"
        private const val SCREEN = "screen"
        private const val ASK = "ask"
        private const val AT = "at"

        fun open(from: Context, job: String, screen: String, ask: String) =
            from.startActivity(intent(from, job, screen, ask))

        fun intent(from: Context, job: String, screen: String, ask: String): Intent =
            Intent(from, RoofActivity::class.java).putExtra(JOB, job).putExtra(SCREEN, screen).putExtra(ASK, ask)
    }
}
