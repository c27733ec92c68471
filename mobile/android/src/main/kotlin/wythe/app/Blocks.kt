package wythe.app

import android.app.Activity
import android.graphics.Bitmap
import android.graphics.BitmapFactory
import android.text.Editable
import android.text.InputType
import android.text.TextWatcher
import android.view.View
import android.view.inputmethod.EditorInfo
import android.widget.CheckBox
import android.widget.EditText
import android.widget.ImageView
import android.widget.LinearLayout
import wythe.core.Block
import wythe.core.BlockState
import wythe.core.Level
import wythe.core.Paint
import wythe.core.Touch

/** What a person does on a screen. */
interface Deeds {
    fun open(id: String)

    fun show(drawing: Block.Drawing)

    fun act(action: String)

    fun draft(ask: String, typed: String)

    fun answer(ask: Block.Ask, typed: String, anyway: String? = null)

    fun agree(ask: Block.Ask, typed: String, reason: String)

    fun photo(ask: Block.Ask)

    fun file(ask: Block.Ask)

    fun sign(ask: Block.Ask)

    fun roof(ask: Block.Ask)

    fun ticked(item: String, there: Boolean)

    fun preview(original: String, shown: (Bitmap?) -> Unit)
}

/** The one place that maps the blocks of a screen to views. */
class Blocks(private val activity: Activity, private val face: Face, private val core: Core, private val deeds: Deeds) {
    /** Asks that a stop held: their reason is asked for beneath. */
    val held = mutableSetOf<String>()

    fun view(block: Block): View = when (block) {
        is Block.Text -> text(block)
        is Block.Ask -> ask(block)
        is Block.Note -> face.note(block.level, block.word, block.text, block.liftedBy)
        is Block.Figures -> figures(block)
        is Block.Drawing -> drawing(block)
        is Block.Items -> list(block)
        is Block.Action -> face.button(block.label) { deeds.act(block.id) }
    }

    private fun text(block: Block.Text) = if (block.heading) face.heading(block.text) else face.text(block.text)

    private fun ask(block: Block.Ask): View {
        val column = face.column()
        column.addView(face.text(block.label, bold = true), face.wide(face.gap))
        if (block.state == BlockState.NOT_NEEDED) {
            column.addView(face.text(core.say("not-needed"), paint = Paint.MORTAR), face.wide())
            return column
        }
        block.help?.let { column.addView(face.text(it, paint = Paint.MORTAR), face.wide()) }
        if (block.optional && block.state == BlockState.EMPTY) {
            column.addView(face.text(core.say("optional"), paint = Paint.MORTAR), face.wide())
        }
        block.value?.let { column.addView(face.text(it, Face.TYPED), face.wide()) }
        block.remark?.let {
            column.addView(face.text(it, paint = Paint.OCHRE), face.wide())
        }
        block.said.forEach { said ->
            column.addView(face.text("${said.text} · ${said.person}, ${said.`when`}"), face.wide())
        }
        block.originals.forEach { original -> column.addView(picture(block, original), face.wide(face.gap)) }
        if (block.state == BlockState.DISAGREEING) {
            agreement(block, column)
        } else {
            control(block, column)
        }
        return column
    }

    private fun control(block: Block.Ask, column: LinearLayout) {
        when {
            block.timer != null -> timer(block, column)

            block.kind == "photo" -> photo(block, column)

            block.kind == "paper" -> column.addView(labelled("paper", block) { deeds.file(block) }, face.wide(face.gap))

            block.kind == "signature" -> column.addView(
                labelled("sign", block) {
                    deeds.sign(block)
                },
                face.wide(face.gap)
            )

            block.choices.isNotEmpty() -> choices(block, column)

            else -> typed(block, column)
        }
        if (block.id in held) anyway(block, column)
    }

    /** A button whose words for a screen reader name the ask too. */
    private fun labelled(word: String, block: Block.Ask, press: () -> Unit) =
        face.button(core.say(word), press = press).apply { contentDescription = "${core.say(word)}: ${block.label}" }

    private fun photo(block: Block.Ask, column: LinearLayout) {
        val word = if (block.originals.isEmpty()) "photo" else "photo-more"
        column.addView(labelled(word, block) { deeds.photo(block) }, face.wide(face.gap))
        column.addView(labelled("file", block) { deeds.file(block) }, face.wide(face.gap))
    }

    private fun choices(block: Block.Ask, column: LinearLayout) {
        val buttons = block.choices.map { choice ->
            val chosen = choice.label == block.value
            face.button(choice.label, chosen = chosen) { deeds.answer(block, choice.code) }.apply {
                contentDescription = "${block.label}: ${choice.label}"
            }
        }
        if (buttons.size == 2) {
            column.addView(face.row(*buttons.toTypedArray()), face.wide(face.gap))
        } else {
            buttons.forEach { column.addView(it, face.wide(face.gap)) }
        }
    }

    private fun typed(block: Block.Ask, column: LinearLayout) {
        val entry = entry(block.label, block.draft.orEmpty(), kindOf(block.kind)) { deeds.draft(block.id, it) }
        val record = labelled("record", block) { deeds.answer(block, entry.text.toString()) }
        entry.setOnEditorActionListener { _, action, _ ->
            val done = action == EditorInfo.IME_ACTION_DONE
            if (done) deeds.answer(block, entry.text.toString())
            done
        }
        column.addView(entry, face.wide(face.gap))
        if (block.kind == "length") {
            column.addView(face.row(labelled("roof", block) { deeds.roof(block) }, record), face.wide(face.gap))
        } else {
            column.addView(record, face.wide(face.gap))
        }
    }

    private fun entry(label: String, value: String, kind: Int, typed: (String) -> Unit): EditText =
        face.entry(label, value, kind).apply {
            imeOptions = EditorInfo.IME_ACTION_DONE
            addTextChangedListener(After { typed(it) })
        }

    private fun kindOf(kind: String) = when (kind) {
        "text", "list" -> InputType.TYPE_CLASS_TEXT or InputType.TYPE_TEXT_FLAG_CAP_SENTENCES

        "count" -> InputType.TYPE_CLASS_NUMBER

        // Figures come with units and fractions: the letters must be at hand.
        else -> InputType.TYPE_CLASS_TEXT or InputType.TYPE_TEXT_FLAG_NO_SUGGESTIONS
    }

    private fun anyway(block: Block.Ask, column: LinearLayout) {
        val reason = face.entry(core.say("anyway"), "")
        column.addView(face.text(core.say("anyway"), paint = Paint.OCHRE, bold = true), face.wide(face.gap))
        column.addView(reason, face.wide())
        val typed = block.draft.orEmpty()
        column.addView(
            face.button(core.say("record")) { deeds.answer(block, typed, reason.text.toString()) },
            face.wide(face.gap)
        )
    }

    private fun agreement(block: Block.Ask, column: LinearLayout) {
        val value = entry("${core.say("agree-value")}: ${block.label}", block.draft.orEmpty(), kindOf(block.kind)) {
            deeds.draft(block.id, it)
        }
        val reason = face.entry("${core.say("reason")}: ${block.label}", "")
        column.addView(face.text(core.say("agree-value")), face.wide(face.gap))
        column.addView(value, face.wide())
        column.addView(face.text(core.say("reason")), face.wide(face.gap))
        column.addView(reason, face.wide())
        column.addView(
            labelled("agree", block) { deeds.agree(block, value.text.toString(), reason.text.toString()) },
            face.wide(face.gap)
        )
    }

    private fun timer(block: Block.Ask, column: LinearLayout) {
        val timer = block.timer ?: return
        if (timer.startedMs != null) column.addView(TimerView(activity, face, core, timer), face.wide(face.gap))
        timer.actions.forEachIndexed { at, action ->
            column.addView(
                face.button(action.label, filled = at == 0 && timer.startedMs != null) { deeds.act(action.id) }.apply {
                    contentDescription = "${action.label}: ${block.label}"
                },
                face.wide(face.gap)
            )
        }
        // A time that was taken with another clock is typed.
        if (timer.startedMs == null) typed(block, column)
    }

    private fun picture(block: Block.Ask, original: String): View {
        val frame = ImageView(activity).apply {
            adjustViewBounds = true
            maxHeight = face.dp(PREVIEW)
            scaleType = ImageView.ScaleType.FIT_START
            contentDescription = block.label
        }
        deeds.preview(original) { shown ->
            if (shown == null) frame.visibility = View.GONE else frame.setImageBitmap(shown)
        }
        return frame
    }

    private fun figures(block: Block.Figures): View {
        val column = face.column(face.heading(block.title))
        block.lines.forEach { line ->
            column.addView(face.text(line.name, paint = Paint.MORTAR), face.wide())
            column.addView(face.text(line.text, Face.BODY + Face.STEP_UP, bold = true), face.wide())
        }
        if (block.missing.isNotEmpty()) {
            val missing = block.missing.joinToString(", ")
            column.addView(face.text(core.say("waits-for", missing), paint = Paint.MORTAR), face.wide())
        }
        block.remarks.forEach { line ->
            val (paint, bold) = when (line.level) {
                Level.STOP -> Paint.OXIDE to true
                Level.CAUTION -> Paint.OCHRE to false
                Level.NOTE -> Paint.INK to false
            }
            column.addView(face.text(line.text, paint = paint, bold = bold), face.wide())
        }
        block.earlier.forEach { earlier ->
            column.addView(face.text("${core.say("earlier")}: $earlier", paint = Paint.MORTAR), face.wide())
        }
        return column
    }

    private fun drawing(block: Block.Drawing): View {
        val picture = PictureView(activity, face, block.picture)
        if (block.picture.touches.isNotEmpty()) {
            picture.onTouchOf = { touch: Touch -> deeds.open(touch.id) }
        }
        val column = face.column(picture)
        column.addView(face.button(core.say("drawing-larger")) { deeds.show(block) }, face.wide(face.gap))
        return column
    }

    private fun list(block: Block.Items): View {
        val column = face.column()
        block.items.forEach { item ->
            val view = if (block.id == "left-safe") {
                CheckBox(activity).apply {
                    text = item.title
                    textSize = face.body
                    setTextColor(face.ink)
                    buttonTintList = android.content.res.ColorStateList.valueOf(face.palette.of(Paint.WATER))
                    minHeight = face.target
                    isSaveEnabled = false
                    setOnCheckedChangeListener { _, there -> deeds.ticked(item.id, there) }
                }
            } else if (block.id == "load") {
                face.column(face.text(item.title, bold = true), face.text(item.detail, paint = Paint.MORTAR))
            } else {
                face.button(listOf(item.title, item.detail).filter { it.isNotEmpty() }.joinToString("\n")) {
                    deeds.open(item.id)
                }.apply { gravity = android.view.Gravity.START or android.view.Gravity.CENTER_VERTICAL }
            }
            column.addView(view, face.wide(face.gap))
        }
        return column
    }

    companion object {
        private const val PREVIEW = 180

        /** Reads a preview at the size at which it is shown. */
        fun bitmap(jpeg: ByteArray?): Bitmap? = jpeg?.let { BitmapFactory.decodeByteArray(it, 0, it.size) }
    }
}

/** Calls back with what was typed. */
class After(private val typed: (String) -> Unit) : TextWatcher {
    override fun beforeTextChanged(text: CharSequence, start: Int, count: Int, after: Int) = Unit

    override fun onTextChanged(text: CharSequence, start: Int, before: Int, count: Int) = Unit

    override fun afterTextChanged(text: Editable) = typed(text.toString())
}
