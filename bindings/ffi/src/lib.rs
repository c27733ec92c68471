//! What the phone shells call. The only crate beside the generator that knows uniffi.
uniffi::setup_scaffolding!();
