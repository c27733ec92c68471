//! Prints the sample document in Letter and in A4 into a folder, to be looked at and validated:
//! `cargo run -p wythe-pack --example paper_sample -- FOLDER`.
//!
//! To validate, fetch `org.verapdf.apps:greenfield-apps` (1.28.2 at the time of writing) from Maven
//! Central with `mvn dependency:copy-dependencies -DoutputDirectory=lib`, then, for each file,
//! `java -cp 'lib/*' org.verapdf.apps.GreenfieldCliWrapper --format text -f 2a FILE` for PDF/A-2a and the
//! same with `-f ua1` for PDF/UA-1; each prints PASS or FAIL.

use wythe_pack::paper;

mod sample;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("name a folder to write to")?;
    let folder = std::path::Path::new(&folder);
    for (name, size) in [
        ("letter.pdf", paper::PageSize::Letter),
        ("a4.pdf", paper::PageSize::A4),
    ] {
        let printed = paper::print(&sample::document(size)?)?;
        std::fs::write(folder.join(name), printed.pdf)?;
    }
    Ok(())
}
