package wythe.app

import android.graphics.Rect
import android.view.View
import android.view.ViewGroup
import android.widget.Button
import android.widget.EditText
import android.widget.ScrollView
import android.widget.TextView
import kotlin.math.pow

/** What is wrong with how a page looks: each a sentence. */
class Looks(private val robot: Robot, private val target: Int) {
    private val density = robot.activity.resources.displayMetrics.density

    fun wrong(): List<String> {
        val all = robot.views().toList()
        return clipped(all) + small(all) + nameless(all) + pale(all) + overlapping(all)
    }

    /** Every letter that was given is laid out inside its view and inside the page's width. */
    private fun clipped(all: List<View>) =
        all.filterIsInstance<TextView>().filter { it.text.isNotEmpty() }.mapNotNull { text ->
            val layout = text.layout ?: return@mapNotNull "\"${text.text}\" is not laid out"
            val room = text.height - text.compoundPaddingTop - text.compoundPaddingBottom
            val across = Rect().also { text.getGlobalVisibleRect(it) }
            val isScrolled = text is EditText
            val widest = (0 until layout.lineCount).maxOf { layout.getLineMax(it) }
            val space = text.width - text.compoundPaddingLeft - text.compoundPaddingRight
            when {
                isScrolled -> null
                layout.height > room + 1 -> "\"${text.text}\" is ${layout.height} high in $room"
                widest > space + 1 -> "\"${text.text}\" is $widest wide in $space"
                broken(layout) -> "\"${text.text}\" is broken inside a word"
                across.width() > 0 && across.width() < text.width -> "\"${text.text}\" leaves the page"
                (0 until layout.lineCount).any { layout.getEllipsisCount(it) > 0 } -> "\"${text.text}\" is cut off"
                else -> null
            }
        }

    private fun broken(layout: android.text.Layout) = (0 until layout.lineCount - 1).any { line ->
        val end = layout.getLineEnd(line)
        layout.text[end - 1].isLetterOrDigit() && layout.text[end].isLetterOrDigit()
    }

    /** What is pressed is as large as a finger, or a glove. */
    private fun small(all: List<View>) = all.filter { it.isClickable && it !is ScrollView && it.parent !is ScrollView }
        .filter { it is Button || it is EditText || it.hasOnClickListeners() }
        .filter { it.height < target * density - 1 || it.width < target * density - 1 }
        .map { "\"${nameOf(it)}\" is ${(it.width / density).toInt()} by ${(it.height / density).toInt()} dp" }

    /** What is pressed has a name for who cannot see it. */
    private fun nameless(all: List<View>) = all.filter {
        it.isClickable &&
            (it is Button || it is EditText || it.hasOnClickListeners())
    }
        .filter { nameOf(it).isBlank() }
        .map { "a ${it.javaClass.simpleName} has no name" }

    private fun nameOf(view: View): String =
        view.contentDescription?.toString() ?: (view as? TextView)?.text?.toString().orEmpty()

    /** Text against what lies under it. */
    private fun pale(all: List<View>) =
        all.filterIsInstance<TextView>().filter { it.text.isNotEmpty() }.mapNotNull { text ->
            val page = robot.activity as Page
            val filled = text is Button && text.currentTextColor == page.face.ground
            val ground = if (filled) page.face.palette.of(wythe.core.Paint.WATER) else page.face.ground
            val ratio = contrast(text.currentTextColor, ground)
            if (ratio < LEAST_CONTRAST) "\"${text.text}\" has a contrast of $ratio" else null
        }

    /** Views of one parent do not lie over each other. */
    private fun overlapping(all: List<View>): List<String> = all.filterIsInstance<ViewGroup>().flatMap { group ->
        val places = (0 until group.childCount).map { group.getChildAt(it) }
            .filter { it.visibility == View.VISIBLE && it.width > 0 && it.height > 0 }
            .map { it to Rect(it.left, it.top, it.right, it.bottom) }
        if (group.javaClass.name.startsWith("android.widget.Linear")) {
            places.flatMapIndexed { at, (view, place) ->
                places.drop(at + 1).filter { (_, other) -> Rect.intersects(place, other) }
                    .map { (other, _) -> "\"${nameOf(view)}\" lies over \"${nameOf(other)}\"" }
            }
        } else {
            emptyList()
        }
    }

    companion object {
        const val LEAST_CONTRAST = 7.0

        /** By WCAG 2.2, "contrast ratio" and "relative luminance". */
        fun contrast(one: Int, other: Int): Double {
            val (light, dark) = listOf(luminance(one), luminance(other)).sortedDescending()
            return (light + 0.05) / (dark + 0.05)
        }

        private fun luminance(colour: Int): Double {
            val share = { shift: Int ->
                val channel = (colour shr shift and 0xFF) / 255.0
                if (channel <= 0.04045) channel / 12.92 else ((channel + 0.055) / 1.055).pow(2.4)
            }
            return 0.2126 * share(16) + 0.7152 * share(8) + 0.0722 * share(0)
        }
    }
}
