package wythe.app

import android.annotation.SuppressLint
import android.content.Context
import android.util.TypedValue
import android.view.View
import android.widget.LinearLayout

/** What was tapped so far on the tape pad, written as a person would type it. */
data class Tape(
    val feet: String = "",
    val whole: String = "",
    val part: Pair<Int, Int>? = null,
    val metric: Boolean = false
) {
    /** "3 ft 4 1/2 in", "289 mm"; empty for nothing. */
    val typed: String
        get() {
            if (metric) return if (whole.isEmpty()) "" else "$whole mm"
            val inches = listOfNotNull(
                whole.takeIf { it.isNotEmpty() },
                part?.let { (over, under) -> "$over/$under" }
            )
            val parts = listOfNotNull(
                feet.takeIf { it.isNotEmpty() }?.let { "$it ft" },
                inches.takeIf { it.isNotEmpty() }?.let { it.joinToString(" ") + " in" }
            )
            return parts.joinToString(" ")
        }

    fun digit(digit: Int) =
        if (whole.length >= LONGEST) this else copy(whole = (whole + digit).trimStart('0').ifEmpty { "0" })

    fun fraction(over: Int, under: Int) = copy(part = over to under)

    /** What was tapped are feet; inches follow. */
    fun feet() = if (whole.isEmpty() || feet.isNotEmpty()) this else copy(feet = whole, whole = "")

    fun back() = when {
        part != null -> copy(part = null)
        whole.isNotEmpty() -> copy(whole = whole.dropLast(1))
        else -> copy(feet = feet.dropLast(1))
    }

    companion object {
        private const val LONGEST = 5
        private val FORM = Regex("""(?:(\d+) ft)? ?(?:(\d+)? ?(?:(\d+)/(\d+))? in)?""")
        private val MILLIMETRES = Regex("""(\d+) mm""")

        /** What a draft holds, where it was tapped here. */
        fun of(typed: String, metric: Boolean): Tape {
            MILLIMETRES.matchEntire(typed)?.let { return Tape(whole = it.groupValues[1], metric = true) }
            val found = FORM.matchEntire(typed) ?: return Tape(metric = metric)
            val (feet, whole, over, under) = found.destructured
            val part = if (over.isEmpty()) null else over.toInt() to under.toInt()
            return Tape(feet, whole, part, metric && typed.isEmpty())
        }
    }
}

/** Whole inches as digits, fractions in rows, feet, millimetres, a step back. */
@SuppressLint("ViewConstructor")
class TapePad(
    context: Context,
    private val face: Face,
    private val say: (String) -> String,
    start: Tape,
    private val changed: (Tape) -> Unit
) : LinearLayout(context) {
    private var sixteenths = start.part?.second == SIXTEENTHS

    /** What was tapped so far. */
    var tape = start
        private set

    init {
        orientation = VERTICAL
        lay()
    }

    private fun set(next: Tape) {
        val relay = next.metric != tape.metric
        tape = next
        if (relay) lay()
        changed(next)
    }

    private fun lay() {
        removeAllViews()
        val digit = { n: Int -> face.button("$n") { set(tape.digit(n)) } }
        add(digit(1), digit(2), digit(3))
        add(digit(4), digit(5), digit(6))
        add(digit(7), digit(8), digit(9))
        val back = word("pad-step-back") { set(tape.back()) }
        if (tape.metric) {
            add(digit(0), back)
            add(word("pad-to-inches") { set(Tape()) })
            return
        }
        add(word("pad-feet") { set(tape.feet()) }, digit(0), back)
        val part = { over: Int, under: Int ->
            face.button("$over/$under") { set(tape.fraction(over, under)) }.apply {
                contentDescription = "$over/$under in"
            }
        }
        if (sixteenths) {
            add(part(1, SIXTEENTHS), part(3, SIXTEENTHS), part(5, SIXTEENTHS), part(7, SIXTEENTHS))
            add(part(9, SIXTEENTHS), part(11, SIXTEENTHS), part(13, SIXTEENTHS), part(15, SIXTEENTHS))
        } else {
            add(part(1, 8), part(1, 4), part(3, 8), part(1, 2))
            add(part(5, 8), part(3, 4), part(7, 8))
        }
        val other = if (sixteenths) "pad-eighths" else "pad-sixteenths"
        add(
            word(other) {
                sixteenths = !sixteenths
                lay()
            },
            word("pad-to-millimetres") { set(Tape(metric = true)) }
        )
    }

    /** A key with a word on it, which stays whole: it is set smaller where it does not fit. */
    private fun word(id: String, press: () -> Unit) = face.button(say(id), press = press).apply {
        maxLines = 1
        setPadding(face.gap, 0, face.gap, 0)
        setAutoSizeTextTypeUniformWithConfiguration(SMALLEST, LARGEST, 1, TypedValue.COMPLEX_UNIT_SP)
    }

    private fun add(vararg views: View) = addView(face.row(*views), face.wide(face.gap))

    private companion object {
        const val SIXTEENTHS = 16
        const val SMALLEST = 8
        const val LARGEST = 28
    }
}
