//! Writes the Kotlin and Swift bindings from the library's metadata.

fn main() {
    uniffi::uniffi_bindgen_main();
}
