package wythe.app

import java.util.Locale
import wythe.core.Person
import wythe.core.State
import wythe.core.languages

/** Who uses this phone, in which language and units, and screens for sunlight. */
class SettingsActivity : Page() {
    override fun changed() {
        val state = core.state ?: return
        title(core.say("settings"))
        body.removeAllViews()
        person(state)
        heading("language")
        languages().forEach { tag ->
            val own = Locale.forLanguageTag(tag)
            val name = own.getDisplayLanguage(own).replaceFirstChar { it.titlecase(own) }
            choice(name, tag == state.language) { core.run({ it.setLanguage(tag) }, { look() }, ::tell) }
        }
        heading("units")
        choice(core.say("pad-inches"), !state.metric) { screens(false, state.sunlight) }
        choice(core.say("millimetres"), state.metric) { screens(true, state.sunlight) }
        choice(core.say("sunlight"), state.sunlight) { screens(state.metric, !state.sunlight) }
    }

    private fun heading(word: String) = body.addView(face.heading(core.say(word)), face.wide())

    private fun choice(label: String, chosen: Boolean, press: () -> Unit) =
        body.addView(face.button(label, chosen = chosen, press = press), face.wide(face.gap))

    private fun person(state: State) {
        val who = state.person ?: return
        val name = face.entry(core.say("name"), who.name)
        val licence = face.entry(core.say("licence"), who.licence.orEmpty())
        val until = face.entry(core.say("licence-until"), who.licenceUntil.orEmpty())
        listOf("name" to name, "licence" to licence, "licence-until" to until).forEach { (word, entry) ->
            body.addView(face.text(core.say(word), bold = true), face.wide(face.gap))
            body.addView(entry, face.wide())
        }
        next(
            face.button(core.say("keep"), filled = true) {
                val told = Person(name.text.toString(), who.role, licence.text.toString(), until.text.toString())
                core.run({ it.recordPerson(told) }, { look() }, ::tell)
            }
        )
    }

    private fun screens(metric: Boolean, sunlight: Boolean) =
        core.run({ it.setScreens(metric, sunlight) }, { look() }, ::tell)

    /** Language and colours are the whole page's: it is made anew. */
    private fun look() = core.look({ if (!isDestroyed) recreate() }, ::tell)
}
