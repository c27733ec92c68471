//! The first byte chooses a reckoning, the rest is its input: whatever it is, it is answered or refused.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let names: Vec<&str> = wythe_trade::list().map(|entry| entry.name).collect();
    let Some((which, text)) = bytes.split_first() else {
        return;
    };
    let name = names[usize::from(*which) % names.len()];
    match wythe_trade::reckon(name, &String::from_utf8_lossy(text)) {
        Ok(answer) => assert!(answer.is_object()),
        Err(refusal) => assert!(!refusal.message.is_empty()),
    }
});
