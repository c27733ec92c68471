package wythe.app

import org.junit.runners.model.FrameworkMethod
import org.robolectric.RobolectricTestRunner
import org.robolectric.internal.bytecode.InstrumentationConfiguration

/**
 * Robolectric loads every class anew for each API level. The core is one per process, and so is its table of callbacks
 * into Kotlin: were the bindings loaded twice, the later copy would take the earlier one's calls. So they stay outside.
 */
class ShellRunner(test: Class<*>) : RobolectricTestRunner(test) {
    override fun createClassLoaderConfig(method: FrameworkMethod): InstrumentationConfiguration =
        InstrumentationConfiguration.Builder(super.createClassLoaderConfig(method))
            .doNotAcquirePackage("com.sun.jna.")
            .doNotAcquirePackage("wythe.core.")
            .build()
}
