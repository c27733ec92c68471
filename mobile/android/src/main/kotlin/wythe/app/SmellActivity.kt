package wythe.app

import android.os.Bundle
import wythe.core.Level
import wythe.core.Paint

/** A smell of gas: wants no touches here. Everybody out; the rest is written down outside. */
class SmellActivity : Page() {
    override val roof = true

    /** Shown at once: it must not wait for the store. */
    override fun restored(saved: Bundle?) = changed()

    override fun changed() {
        title(core.say("smell"))
        body.removeAllViews()
        val words = core.say("smell-words")
        body.addView(face.text(words, Face.ROOF_TEXT, Paint.OXIDE, bold = true), face.wide(face.gap))
        body.addView(face.note(Level.NOTE, core.say("smell"), core.say("smell-outside"), null), face.wide(face.gap))
        next(null)
    }
}
