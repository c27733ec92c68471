//! The PDFs that go to others against the standards that they say they follow, by veraPDF.

use std::path::Path;
use std::process::Command;

use super::Check;
use crate::house::House;
use crate::need::{self, Need, Source};
use crate::process::{minutes, read};

const VERAPDF: &str = "bindings/xtask/verapdf";

pub const CHECK: Check = Check {
    name: "pdf",
    what: "veraPDF finds in claim.pdf and the job's tag every standard that they declare",
    needs: &[
        Need::Program {
            name: "unzip",
            proof: &["-v"],
            source: Source::Debian("unzip"),
        },
        Need::Program {
            name: "pdfinfo",
            proof: &["-v"],
            source: Source::Debian("poppler-utils"),
        },
        Need::Program {
            name: "java",
            proof: &["-version"],
            source: Source::Debian("default-jre-headless"),
        },
        Need::Program {
            name: "mvn",
            proof: &["--version"],
            source: Source::Debian("maven"),
        },
        Need::Maven { pom: VERAPDF },
    ],
    wants: &[],
    run: look,
};

fn look(house: &House) -> Result<(), String> {
    let claims = house.demo()?.packs().map(|pack| pack.unpacked.join("claim.pdf"));
    for pdf in claims.chain([house.folder("demo").join("job-tag.pdf")]) {
        let declared = declared(&read(Command::new("pdfinfo").arg("-meta").arg(&pdf), minutes(1))?);
        if !declared.iter().any(|profile| !profile.starts_with("ua")) {
            return Err(format!("{} does not say that it is PDF/A", pdf.display()));
        }
        for profile in &declared {
            validate(house, &pdf, profile)?;
            println!("{} follows {profile}", pdf.display());
        }
    }
    Ok(())
}

fn validate(house: &House, pdf: &Path, profile: &str) -> Result<(), String> {
    let mut java = Command::new("java");
    java.arg("-cp")
        .arg(need::jars(house, VERAPDF).join("*"))
        .arg("org.verapdf.apps.GreenfieldCliWrapper");
    java.args(["--format", "text", "--verbose", "--flavour", profile])
        .arg(pdf);
    let said = read(&mut java, minutes(3))?;
    if said.lines().any(|line| line.starts_with("PASS ")) {
        Ok(())
    } else {
        Err(format!(
            "veraPDF does not find {profile} in {}:\n{said}",
            pdf.display()
        ))
    }
}

/// The profiles that the file's metadata declare, in veraPDF's names: `2a`, `4`, `ua1`.
fn declared(metadata: &str) -> Vec<String> {
    let mut profiles = Vec::new();
    if let Some(part) = property(metadata, "pdfaid:part") {
        let level = property(metadata, "pdfaid:conformance")
            .unwrap_or_default()
            .to_lowercase();
        profiles.push(format!("{part}{level}"));
    }
    if let Some(part) = property(metadata, "pdfuaid:part") {
        profiles.push(format!("ua{part}"));
    }
    profiles
}

/// A property of XMP, written as an element or as an attribute.
fn property<'a>(metadata: &'a str, name: &str) -> Option<&'a str> {
    let after = |open: &str| {
        metadata
            .find(open)
            .and_then(|at| metadata.get(at.saturating_add(open.len())..))
    };
    let value = |rest: &'a str, close: char| rest.split(close).next().map(str::trim);
    after(&format!("<{name}>"))
        .and_then(|rest| value(rest, '<'))
        .or_else(|| after(&format!("{name}=\"")).and_then(|rest| value(rest, '"')))
        .filter(|value| !value.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn declared_profiles_are_read_from_elements_and_attributes() {
        let elements = "<pdfaid:part>2</pdfaid:part><pdfaid:conformance>A</pdfaid:conformance>";
        assert_eq!(declared(elements), ["2a"]);
        let attributes = "<rdf:Description pdfaid:part=\"4\" pdfuaid:part=\"1\"/>";
        assert_eq!(declared(attributes), ["4", "ua1"]);
        assert!(declared("<rdf:Description/>").is_empty());
    }
}
