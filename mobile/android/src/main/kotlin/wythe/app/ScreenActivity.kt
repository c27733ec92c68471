package wythe.app

import android.content.Context
import android.content.Intent
import android.graphics.Bitmap
import android.os.Bundle
import android.view.View
import java.io.File
import wythe.core.Block
import wythe.core.How
import wythe.core.Level
import wythe.core.Move
import wythe.core.PaperSize
import wythe.core.PhotoTaken
import wythe.core.Reader
import wythe.core.Recorded
import wythe.core.Screen
import wythe.core.TimerDeed
import wythe.core.Trouble

/** Any screen of a job, as the core describes it. */
class ScreenActivity :
    Page(),
    Deeds {
    private val job: String get() = intent.getStringExtra(JOB).orEmpty()
    private val screenId: String get() = intent.getStringExtra(SCREEN).orEmpty()
    private lateinit var blocks: Blocks
    private lateinit var intake: Intake
    private val shown = LinkedHashMap<String, Pair<Block, View>>()
    private var safe = mutableSetOf<String>()
    private var begunAt = false

    /** What is asked about a photo that is less than it could be; it stays until that is answered. */
    private var weak: View? = null

    override fun restored(saved: Bundle?) {
        intake = Intake(this, saved)
        begunAt = saved != null
        safe = saved?.getStringArrayList(SAFE).orEmpty().toMutableSet()
    }

    override fun onSaveInstanceState(kept: Bundle) {
        super.onSaveInstanceState(kept)
        intake.keep(kept)
        kept.putStringArrayList(SAFE, ArrayList(safe))
    }

    override fun changed() {
        val state = core.state ?: return
        check(state.language.isNotEmpty())
        val canvas = canvas()
        core.run({ it.screen(job, screenId, canvas) }, { if (!isDestroyed) show(it) }, ::tell)
    }

    private fun show(screen: Screen) {
        if (!::blocks.isInitialized || body.childCount == 0) {
            blocks = Blocks(this, face, core, this)
            shown.clear()
        }
        title(screen.title, screen.place)
        paint(screen)
        next(weak ?: nextOf(screen))
        val at = intent.getStringExtra(ASK)
        if (!begunAt && at != null) {
            begunAt = true
            scroll.post { reveal(at) }
        }
    }

    /** Only what changed is made anew, so that focus, scroll and what is being typed stay. */
    private fun paint(screen: Screen) {
        val before = HashMap(shown)
        shown.clear()
        screen.blocks.forEachIndexed { at, block ->
            val id = "$at ${idOf(block)}"
            val old = before[id]
            val view = if (old != null && alike(old.first, block)) old.second else blocks.view(block)
            shown[id] = block to view
        }
        val wanted = shown.values.map { it.second }
        (body.childCount - 1 downTo 0).forEach { at -> if (body.getChildAt(at) !in wanted) body.removeViewAt(at) }
        wanted.forEachIndexed { at, view ->
            if (body.getChildAt(at) !== view) {
                (view.parent as? android.view.ViewGroup)?.removeView(view)
                body.addView(view, at, face.wide(face.gap))
            }
        }
        if (screenId == "job") extras()
    }

    /** What can be done with a whole job. */
    private fun extras() {
        val missing = face.button(core.say("missing")) { open("missing") }
        val pack = face.button(core.say("pack")) {
            intake.write(job.take(SHORT) + ".zip", "application/zip") { field, path ->
                core.say("packed", field.pack(job, path, Reader.PROGRAMME, PaperSize.LETTER).pages.toString())
            }
        }
        val smell = face.button(core.say("smell")) { startActivity(Intent(this, SmellActivity::class.java)) }
        val visits = face.button(core.say("visits")) { open("visits") }
        val column = face.column(visits)
        column.addView(missing, face.wide(face.gap))
        column.addView(pack, face.wide(face.gap))
        column.addView(smell, face.wide(face.gap))
        body.addView(column, face.wide(face.gap))
    }

    private fun alike(old: Block, new: Block): Boolean =
        if (old is Block.Ask && new is Block.Ask) old.copy(draft = null) == new.copy(draft = null) else old == new

    private fun nextOf(screen: Screen): View? {
        val id = screen.next ?: return null
        val ask = screen.blocks.filterIsInstance<Block.Ask>().find { it.id == id }
        val item = screen.blocks.filterIsInstance<Block.Items>().flatMap { it.items }.find { it.id == id }
        val action = screen.blocks.filterIsInstance<Block.Action>().find { it.id == id }
        if (action != null) return face.button(action.label, filled = true) { act(id) }
        val label = ask?.label ?: item?.title
        val verb = when (ask?.kind) {
            "photo" -> core.say("photo")
            "paper" -> core.say("paper")
            "signature" -> core.say("sign")
            null -> core.say("next")
            else -> core.say("record")
        }
        return face.button(listOfNotNull(verb, label).joinToString(": "), filled = true) {
            when (ask?.kind) {
                null -> open(id)
                "photo" -> photo(ask)
                "paper" -> file(ask)
                "signature" -> sign(ask)
                "length" -> roof(ask)
                else -> reveal(id)
            }
        }
    }

    /** Brings an ask into view and its entry into focus. */
    private fun reveal(ask: String) {
        val view = shown.values.find { (block, _) -> idOf(block) == ask }?.second ?: return
        scroll.smoothScrollTo(0, view.top)
        focusable(view)?.requestFocus()
    }

    private fun focusable(view: View): View? = when (view) {
        is android.widget.EditText, is android.widget.Button -> view

        is android.view.ViewGroup ->
            (0 until view.childCount).firstNotNullOfOrNull { focusable(view.getChildAt(it)) }

        else -> null
    }

    override fun open(id: String) {
        core.run({ it.opening(job, id) }, { there ->
            if (there != null && !isDestroyed) {
                if (there.screen == screenId && there.ask != null) {
                    reveal(there.ask.orEmpty())
                } else {
                    open(this, job, there.screen, there.ask)
                }
            }
        }, ::tell)
    }

    override fun show(drawing: Block.Drawing) = DrawingActivity.open(this, job, screenId, drawing.id)

    override fun act(action: String) {
        if (action.startsWith(MOMENT)) return come(action.removePrefix(MOMENT))
        val parts = action.split("/")
        when (parts.first()) {
            "timer" -> timer(action.removePrefix("timer/").substringBeforeLast("/"), parts.last())

            "again" -> core.run({ it.recordAgain(job, parts.last()) }, {}, ::tell)

            "print" -> intake.write(parts[1] + ".pdf", "application/pdf") { field, path ->
                val what = action.removePrefix("print/")
                core.say("printed", field.print(job, what, path, PaperSize.LETTER).pages.toString())
            }
        }
    }

    /** Arriving, pausing, going on, leaving: what is still needed is said before the truck is gone. */
    private fun come(moment: String) {
        val left = safe.map { it.removePrefix("left-safe-") }
        val move = Move(screenId.removePrefix("visit/"), moment, emptyList(), null, left)
        core.run({ it.recordVisit(job, move) }, { moved ->
            val words = listOfNotNull(core.say("recorded"), moved.stillNeeds)
            tell(words.joinToString(" "), if (moved.stillNeeds == null) Level.NOTE else Level.CAUTION)
        }, ::tell)
    }

    private fun timer(ask: String, deed: String) {
        val what = TimerDeed.entries.find { it.name.equals(deed, ignoreCase = true) } ?: return
        core.run({ it.recordTimer(job, ask, what) }, { recorded ->
            recorded?.let { said(it) }
            // A start or a tap is a draft, and drafts send no signal of their own to other pages.
            changed()
        }, ::tell)
    }

    override fun draft(ask: String, typed: String) = core.run({ it.keepDraft(job, ask, typed) }, {}, ::tell)

    override fun answer(ask: Block.Ask, typed: String, anyway: String?) {
        core.run({ it.recordAnswer(job, ask.id, typed, How(null, anyway)) }, { recorded ->
            blocks.held -= ask.id
            said(recorded)
        }, { trouble ->
            if (trouble.told.code == "held") blocks.held += ask.id
            again(ask.id)
            tell(trouble)
        })
    }

    /** Makes an ask's view anew with what the core has of it. */
    private fun again(ask: String) {
        shown.keys.filter { it.substringAfter(' ') == ask }.forEach { id ->
            shown[id]?.let { (block, view) -> shown[id] = Block.Text(idOf(block), "", false) to view }
        }
        changed()
    }

    override fun agree(ask: Block.Ask, typed: String, reason: String) =
        core.run({ it.recordAgreement(job, ask.id, typed, reason) }, { said(it) }, ::tell)

    override fun photo(ask: Block.Ask) = intake.photograph(ask.id)

    override fun file(ask: Block.Ask) = intake.bring(ask.id, ask.kind == "photo")

    override fun sign(ask: Block.Ask) = SignActivity.open(this, job, ask.id, ask.label)

    override fun roof(ask: Block.Ask) = RoofActivity.open(this, job, screenId, ask.id)

    override fun ticked(item: String, there: Boolean) {
        if (there) safe += item else safe -= item
    }

    override fun preview(original: String, shown: (Bitmap?) -> Unit) =
        core.run({ Blocks.bitmap(it.preview(job, original)) }, shown) { shown(null) }

    @Deprecated("The newer form is not there on the oldest level.")
    override fun onActivityResult(request: Int, result: Int, data: Intent?) {
        super.onActivityResult(request, result, data)
        intake.came(request, result, data)
    }

    /** Takes a photo or paper in, tells the verdict at once. The file goes when the core has its copy. */
    fun take(ask: String, file: File, isPhoto: Boolean, justTaken: Boolean = false, best: String? = null) {
        core.run({ field ->
            if (isPhoto) {
                field.recordPhoto(
                    job,
                    ask,
                    file.path,
                    justTaken,
                    best
                )
            } else {
                field.recordPaper(job, ask, file.path)
            }
        }, { taken ->
            weak = null
            if (taken is PhotoTaken) verdict(ask, file, taken, justTaken) else said()
            if (taken !is PhotoTaken || enough(taken)) file.delete()
        }, ::tell)
    }

    private fun enough(taken: PhotoTaken) = taken.grade == "good" || taken.grade == "usable"

    private fun verdict(ask: String, file: File, taken: PhotoTaken, justTaken: Boolean) {
        val seen = if (taken.seenBefore) core.say("photo-seen") else null
        val words = listOfNotNull(
            core.say("photo-verdict", taken.verdict),
            taken.wayOut,
            seen
        )
        tell(words.joinToString(". "), if (enough(taken)) Level.NOTE else Level.CAUTION)
        if (!enough(taken)) {
            weak = bestOrAgain(ask, file, justTaken)
            next(weak)
        }
    }

    private fun bestOrAgain(ask: String, file: File, justTaken: Boolean): View {
        val reason = face.entry(core.say("photo-best"), "")
        val column = face.column(face.text(core.say("photo-best"), bold = true), reason)
        val keep = face.button(core.say("photo-keep")) {
            val best = reason.text.toString()
            if (best.isNotBlank()) take(ask, file, isPhoto = true, justTaken, best)
        }
        val again = face.button(core.say("photo-again"), filled = true) { intake.photograph(ask) }
        column.addView(face.row(keep, again), face.wide(face.gap))
        return column
    }

    private fun said(recorded: Recorded) {
        val unusual = recorded.unusual?.let { " ($it)" }.orEmpty()
        tell("${core.say("recorded")} ${recorded.readBack}$unusual")
    }

    private fun said() = tell(core.say("recorded"))

    companion object {
        private const val JOB = "job"
        private const val SCREEN = "screen"
        private const val ASK = "ask"
        private const val SAFE = "safe"
        private const val MOMENT = "visit-moment-"
        private const val SHORT = 8

        fun open(from: Context, job: String, screen: String, ask: String? = null) {
            from.startActivity(intent(from, job, screen, ask))
        }

        fun intent(from: Context, job: String, screen: String, ask: String? = null): Intent =
            Intent(from, ScreenActivity::class.java).putExtra(JOB, job).putExtra(SCREEN, screen).putExtra(ASK, ask)

        /** A block's own id, whichever block it is. */
        fun idOf(block: Block): String = when (block) {
            is Block.Text -> block.id
            is Block.Ask -> block.id
            is Block.Note -> block.id
            is Block.Figures -> block.id
            is Block.Drawing -> block.id
            is Block.Items -> block.id
            is Block.Action -> block.id
        }
    }
}
