//! The Android shell over the real core, on this machine: its tests, its style, and the oldest level it runs on.

use std::fs;
use std::path::Path;

use super::Check;
use crate::generated;
use crate::house::House;
use crate::need::{Need, Source};
use crate::process::{minutes, run};

const SHELL: &str = "mobile/android";
const FRAMEWORK: &str = "/usr/share/android-framework-res/framework-res.apk";

pub const CHECK: Check = Check {
    name: "android",
    what: "the Android shell over the real core under Robolectric: tests, ktlint, calls that the oldest level lacks",
    needs: &[
        Need::Program {
            name: "java",
            proof: &["-version"],
            source: Source::Debian("openjdk-17-jdk-headless"),
        },
        Need::Program {
            name: "mvn",
            proof: &["--version"],
            source: Source::Debian("maven"),
        },
        Need::Program {
            name: "aapt2",
            proof: &["version"],
            source: Source::Debian("aapt"),
        },
        Need::File {
            path: FRAMEWORK,
            package: "android-framework-res",
        },
    ],
    wants: &[],
    run: look,
};

fn look(house: &House) -> Result<(), String> {
    generated::compare(house)?;
    let library = generated::library(house)?;
    let out = house.folder("android");
    resources(house, &out)?;
    let folder = library.parent().unwrap_or(&house.target);
    let mut maven = house.command("mvn");
    maven
        .args(["--batch-mode", "--quiet", "--activate-profiles", "lint"])
        .arg("--file")
        .arg(house.root.join(SHELL).join("pom.xml"))
        .arg(format!("-Dout={}", out.display()))
        .arg(format!("-Dcore.library.dir={}", folder.display()))
        .arg("verify");
    run(&mut maven, minutes(40))?;
    println!("Screenshots: {}", out.join("shots").display());
    Ok(())
}

/// Links the resources, for the tests and for the names that code knows them by.
fn resources(house: &House, out: &Path) -> Result<(), String> {
    let (made, names) = (out.join("res"), out.join("r"));
    for folder in [&made, &names] {
        fs::create_dir_all(folder).map_err(|why| format!("{} cannot be made: {why}", folder.display()))?;
    }
    let main = house.root.join(SHELL).join("src").join("main");
    let compiled = made.join("compiled.zip");
    let mut compile = house.command("aapt2");
    compile.arg("compile").arg("--dir").arg(main.join("res"));
    run(compile.arg("-o").arg(&compiled), minutes(2))?;
    let mut link = house.command("aapt2");
    link.args(["link", "-I", FRAMEWORK, "--manifest"])
        .arg(main.join("AndroidManifest.xml"))
        .arg("--java")
        .arg(names)
        .arg("-o")
        .arg(made.join("resources.apk"))
        .arg(&compiled);
    run(&mut link, minutes(2))
}
