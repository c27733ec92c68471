package wythe.app

import android.content.Intent
import android.os.Build
import android.os.Bundle
import android.view.View
import android.view.ViewGroup.LayoutParams.WRAP_CONTENT
import android.widget.LinearLayout
import wythe.core.Canvas
import wythe.core.Device
import wythe.core.JobRow
import wythe.core.JobStanding
import wythe.core.Level
import wythe.core.Paint

/** The jobs on this phone, what presses first first, each with its wall. */
class JobsActivity : Page() {
    private var search = ""
    private var after: String? = null
    private var asked = 0
    private val rows = mutableMapOf<String, LinearLayout>()
    private lateinit var list: LinearLayout
    private lateinit var more: LinearLayout

    override fun restored(saved: Bundle?) {
        search = saved?.getString(SEARCH).orEmpty()
    }

    override fun onSaveInstanceState(kept: Bundle) {
        super.onSaveInstanceState(kept)
        kept.putString(SEARCH, search)
    }

    override fun changed() {
        val state = core.state ?: return
        if (state.business == null) return begin()
        title(core.say("jobs"), listOf(state.business.orEmpty()))
        body.removeAllViews()
        val wanted = face.entry(core.say("search"), search).apply {
            hint = core.say("search")
            setHintTextColor(face.palette.of(Paint.MORTAR))
            addTextChangedListener(
                After {
                    search = it
                    fill()
                }
            )
        }
        list = face.column()
        more = face.column()
        body.addView(wanted, face.wide(face.gap))
        body.addView(list, face.wide())
        body.addView(more, face.wide())
        val smell = face.button(core.say("smell")) { startActivity(Intent(this, SmellActivity::class.java)) }
        val settings = face.button(core.say("settings")) { startActivity(Intent(this, SettingsActivity::class.java)) }
        next(face.row(smell, settings))
        fill()
        weigh()
    }

    private fun fill() {
        after = null
        asked++
        list.removeAllViews()
        rows.clear()
        page()
    }

    private fun page() {
        val (round, from, wanted) = Triple(asked, after, search.takeIf { it.isNotBlank() })
        core.run({ it.jobs(from, wanted, PAGE) }, { found ->
            if (!isDestroyed && round == asked) {
                found.rows.forEach { add(it) }
                after = found.next
                more.removeAllViews()
                if (found.next != null) more.addView(face.button(core.say("more")) { page() }, face.wide(face.gap))
                if (list.childCount == 0) list.addView(face.text(core.say("no-jobs")), face.wide(face.gap))
                walls(found.rows.map { it.job }, round)
            }
        }, ::tell)
    }

    private fun add(row: JobRow) {
        val column = face.column(
            face.text(row.label, Face.BODY + Face.STEP_UP, Paint.WATER, bold = true),
            face.text(row.address.joinToString(", "), paint = Paint.MORTAR)
        ).apply {
            minimumHeight = face.target
            background = face.plate(Paint.MORTAR, false)
            setPadding(face.gap, face.gap, face.gap, face.gap)
            isClickable = true
            isFocusable = true
            contentDescription = row.label
            setOnClickListener { ScreenActivity.open(this@JobsActivity, row.job, "job") }
        }
        rows[row.job] = column
        list.addView(column, face.wide(face.gap))
    }

    /** Walls come after the names, so that the names are there at once. */
    private fun walls(jobs: List<String>, round: Int) {
        val canvas = Canvas(WALL, 1.0)
        core.run({ it.standing(jobs, canvas) }, { standing ->
            if (!isDestroyed && round == asked) standing.forEach { wall(it) }
        }, ::tell)
    }

    private fun wall(standing: JobStanding) {
        val row = rows[standing.job] ?: return
        row.addView(
            PictureView(this, face, standing.wall).apply {
                importantForAccessibility = View.IMPORTANT_FOR_ACCESSIBILITY_NO
                isClickable = false
                isFocusable = false
                setOnClickListener { row.performClick() }
            },
            LinearLayout.LayoutParams(face.dp(WALL.toInt() + 1), WRAP_CONTENT).apply { topMargin = face.gap }
        )
        row.addView(face.text(standing.words), face.wide())
        standing.due?.let { row.addView(face.text(core.say("due", it), bold = true), face.wide()) }
        standing.stop?.let { row.addView(face.text(it, paint = Paint.OXIDE, bold = true), face.wide()) }
        row.contentDescription = listOfNotNull(row.contentDescription, standing.words, standing.due, standing.stop)
            .joinToString(". ")
    }

    /** Works out in the background what presses; the order is there when the list is next shown. */
    private fun weigh() {
        core.run({ it.weigh(WEIGH) }, { left -> if (left > 0u && !isDestroyed) weigh() }, {})
    }

    /** A phone of nobody: whose is it? */
    private fun begin() {
        title(core.say("begin"))
        body.removeAllViews()
        val business = face.entry(core.say("begin-business"), "")
        val person = face.entry(core.say("name"), "")
        listOf(core.say("begin-business") to business, core.say("name") to person).forEach { (label, entry) ->
            body.addView(face.text(label, bold = true), face.wide(face.gap))
            body.addView(entry, face.wide())
        }
        body.addView(face.text(core.say("begin-words"), paint = Paint.MORTAR), face.wide(face.gap))
        next(
            face.button(core.say("begin"), filled = true) {
                val device = Device(person.text.toString(), "lead", Build.MODEL.orEmpty())
                val name = business.text.toString()
                if (name.isBlank() || device.person.isBlank()) {
                    tell(core.say("begin-words"), Level.CAUTION)
                } else {
                    core.run({ it.beginBusiness(name, device) }, { core.look(::changed, ::tell) }, ::tell)
                }
            }
        )
    }

    private companion object {
        const val SEARCH = "search"
        const val WALL = 120.0
        val PAGE = 20u
        val WEIGH = 20u
    }
}
