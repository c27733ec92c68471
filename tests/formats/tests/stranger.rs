//! Two checkers written apart, one in Rust and one in Python from `fixtures/formats` alone, say the
//! same of every pack. The Python tier needs `cbor2` and `pynacl`; without them it is skipped, aloud.
//! `cargo xtask check --only python` brings them and sets `WYTHE_PYTHON`; then nothing is skipped.

#[cfg(test)]
mod damage;
#[cfg(test)]
mod made;

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;
    use std::path::{Path, PathBuf};
    use std::process::Command;

    use wythe_job::Fingerprint;
    use wythe_pack::check_bytes;

    use crate::damage::{CONSISTENT, Case, Cases};

    fn python_folder() -> PathBuf {
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../python")
    }

    /// Python with the two packages, or none.
    fn python() -> Option<String> {
        let brought = std::env::var("WYTHE_PYTHON").ok();
        let python = brought.clone().unwrap_or_else(|| "python3".into());
        let imports = Command::new(&python).args(["-c", "import cbor2, nacl"]).output();
        if imports.is_ok_and(|output| output.status.success()) {
            return Some(python);
        }
        let told = "SKIPPED: python3 with cbor2 and pynacl is not here; the stranger's checker did not run";
        assert!(brought.is_none(), "{told}");
        println!("{told}");
        None
    }

    fn rust_verdict(case: &Case, trust: Fingerprint) -> String {
        match check_bytes(&case.pack, case.trust.then_some(trust)) {
            Ok(_) => CONSISTENT.to_owned(),
            Err(fault) => fault.code().to_owned(),
        }
    }

    #[test]
    fn every_damage_is_named_and_every_good_pack_passes() {
        let cases = Cases::new();
        assert!(cases.all.len() >= 200, "{} packs", cases.all.len());
        let mut wrong = Vec::new();
        let mut codes: BTreeMap<String, usize> = BTreeMap::new();
        for case in &cases.all {
            let found = rust_verdict(case, cases.made.fingerprint());
            let expected = case.code.unwrap_or(&found);
            if found != expected || (case.code.is_none() && found == CONSISTENT) {
                wrong.push(format!("{}: {found}, expected {:?}", case.name, case.code));
            }
            *codes.entry(found).or_default() += 1;
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
        println!("{} packs: {codes:?}", cases.all.len());
        assert!(codes[CONSISTENT] >= 30, "good ones too: {codes:?}");
        let sorts = [
            "flipped: ",
            "dropped: ",
            "reordered: ",
            "swapped: ",
            "re-signed: ",
            "forked: ",
            "erased: ",
            "another business: ",
            "certificates: stale: ",
            "forged: ",
        ];
        for sort in sorts {
            let here = cases
                .all
                .iter()
                .filter(|case| case.name.starts_with(sort))
                .count();
            println!("{sort}{here}");
            assert!(here > 0, "no pack is damaged so: {sort}");
        }
        assert_eq!(
            codes.len(),
            36,
            "every code of the format stands for some damage: {codes:?}"
        );
    }

    #[test]
    fn the_strangers_checker_says_the_same_of_every_pack() {
        let Some(python) = python() else { return };
        let cases = Cases::new();
        let folder = tempfile::tempdir().unwrap();
        let mut expected: BTreeMap<String, (String, String)> = BTreeMap::new();
        let mut paths: BTreeMap<bool, Vec<PathBuf>> = BTreeMap::new();
        for (index, case) in cases.all.iter().enumerate() {
            let path = folder.path().join(format!("{index:03}.zip"));
            std::fs::write(&path, &case.pack).unwrap();
            let verdict = rust_verdict(case, cases.made.fingerprint());
            expected.insert(path.to_str().unwrap().to_owned(), (case.name.clone(), verdict));
            paths.entry(case.trust).or_default().push(path);
        }
        let mut wrong = Vec::new();
        let mut heard = 0;
        for (trust, paths) in paths {
            let mut command = Command::new(&python);
            command
                .arg("-B")
                .arg(python_folder().join("check_pack.py"))
                .arg("--json");
            if trust {
                command.arg("--trust").arg(cases.made.fingerprint().to_string());
            }
            let output = command.args(paths).output().unwrap();
            let told = String::from_utf8(output.stderr).unwrap();
            assert!(told.is_empty(), "{told}");
            for line in String::from_utf8(output.stdout).unwrap().lines() {
                let line: serde_json::Value = serde_json::from_str(line).unwrap();
                let (name, verdict) = &expected[line["pack"].as_str().unwrap()];
                heard += 1;
                if line["code"] != verdict.as_str() {
                    wrong.push(format!(
                        "{name}: Rust {verdict}, Python {} {}",
                        line["code"], line["why"]
                    ));
                }
            }
        }
        assert_eq!(heard, cases.all.len());
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    }

    #[test]
    fn the_strangers_checker_reads_the_golden_files() {
        let Some(python) = python() else { return };
        let golden = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/formats/golden");
        for (script, argument) in [
            ("check_golden.py", golden.clone()),
            ("check_pack.py", golden.join("pack.zip")),
        ] {
            let mut command = Command::new(&python);
            let output = command
                .arg("-B")
                .arg(python_folder().join(script))
                .arg(argument)
                .output()
                .unwrap();
            assert!(
                output.status.success(),
                "{script}: {}",
                String::from_utf8_lossy(&output.stderr)
            );
        }
    }
}
