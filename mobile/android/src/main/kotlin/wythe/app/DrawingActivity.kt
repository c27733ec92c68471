package wythe.app

import android.content.Context
import android.content.Intent
import android.view.ViewGroup.LayoutParams.MATCH_PARENT
import android.widget.LinearLayout
import wythe.core.Block

/** One drawing, to be panned and zoomed. */
class DrawingActivity : Page() {
    override fun changed() {
        if (core.state == null) return
        val job = intent.getStringExtra(JOB).orEmpty()
        val screen = intent.getStringExtra(SCREEN).orEmpty()
        val canvas = canvas()
        core.run({ it.screen(job, screen, canvas) }, { if (!isDestroyed) show(it.blocks, it.title) }, ::tell)
    }

    private fun show(blocks: List<Block>, title: String) {
        val wanted = intent.getStringExtra(DRAWING)
        val drawing = blocks.filterIsInstance<Block.Drawing>().find { it.id == wanted } ?: return finish()
        title(title)
        body.removeAllViews()
        scroll.isFillViewport = true
        val view = PictureView(this, face, drawing.picture, roams = true)
        body.addView(view, LinearLayout.LayoutParams(MATCH_PARENT, 0, 1f))
        val middle = { factor: Float -> view.zoomBy(factor, view.width / 2f, view.height / 2f) }
        next(face.row(face.button("−") { middle(1 / STEP) }, face.button("+") { middle(STEP) }))
    }

    companion object {
        private const val JOB = "job"
        private const val SCREEN = "screen"
        private const val DRAWING = "drawing"
        private const val STEP = 1.5f

        fun open(from: Context, job: String, screen: String, drawing: String) =
            from.startActivity(intent(from, job, screen, drawing))

        fun intent(from: Context, job: String, screen: String, drawing: String): Intent =
            Intent(from, DrawingActivity::class.java).putExtra(JOB, job).putExtra(SCREEN, screen)
                .putExtra(DRAWING, drawing)
    }
}
