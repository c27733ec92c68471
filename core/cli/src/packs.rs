//! Claim packs: making one, checking one; and plain papers for the demonstration.

use std::fs::{self, File};
use std::io::BufReader;
use std::path::Path;

use serde_json::json;
use wythe_app::guide::Date;
use wythe_app::job::{Digest, Fingerprint, JobId, Moment};
use wythe_app::pack::paper::{Block, Document, Foot, Level, PageSize, print};
use wythe_app::pack::{PackReader, Report, WhyLeftOut, check as check_pack};
use wythe_app::{PackOptions, Packed, SOFTWARE};

use crate::args::{CheckArgs, PackArgs, Paper, Reader};
use crate::phone::Phone;
use crate::platform::open_begun;
use crate::trouble::Trouble;
use crate::typed::{answer, day};

pub fn pack(args: &PackArgs, json: bool) -> Result<String, Trouble> {
    let phone = open_begun(&args.store.store, json)?;
    let job = phone.find_job(&args.job)?;
    let reader = match args.reader {
        Reader::Full => PackReader::Full,
        Reader::Programme => PackReader::Programme,
        Reader::Owner => PackReader::Owner,
        Reader::Auditor => PackReader::Auditor,
        Reader::Recycler => PackReader::Recycler,
    };
    let options = PackOptions {
        reader,
        size: args.paper.into(),
        today: day(args.today.as_deref())?,
    };
    let packed = phone.pack(job, &args.out, &options)?;
    let value = json!({ "pack": packed.report.pack, "pages": packed.pages });
    let (_, _, fingerprint) = phone.business()?;
    let text = format!(
        "{} ({} pages)\nwythe check-pack {} --trust {fingerprint}\n",
        args.out.display(),
        packed.pages,
        args.out.display()
    );
    Ok(answer(json, &value, &text))
}

/// Prints a paper for the crew into a file.
pub fn print_paper(
    phone: &Phone,
    job: JobId,
    what: &str,
    (out, paper): (&Path, Paper),
    today: Option<Date>,
    json: bool,
) -> Result<String, Trouble> {
    let printed = phone.print(job, what, paper.into(), today)?;
    fs::write(out, &printed.pdf).map_err(|why| Trouble::file(out.display().to_string(), &why))?;
    let text = format!("{} ({} pages)\n", out.display(), printed.pages);
    Ok(answer(json, &json!({ "pages": printed.pages }), &text))
}

pub fn make(
    phone: &Phone,
    job: JobId,
    file: &Path,
    size: PageSize,
    today: Option<Date>,
) -> Result<Packed, Trouble> {
    Ok(phone.pack(
        job,
        file,
        &PackOptions {
            reader: PackReader::Full,
            size,
            today,
        },
    )?)
}

pub fn check(args: &CheckArgs, json: bool) -> Result<String, Trouble> {
    let report = checked(&args.file, args.trust.as_deref())?;
    Ok(answer(
        json,
        &serde_json::to_value(&report).unwrap_or_default(),
        &in_words(&report),
    ))
}

/// The line that says how a pack's check ended.
pub fn check_file(file: &Path, trust: Option<&str>) -> Result<String, Trouble> {
    Ok(in_words(&checked(file, trust)?))
}

pub fn pack_id(file: &Path) -> Result<Digest, Trouble> {
    Ok(checked(file, None)?.pack)
}

fn checked(file: &Path, trust: Option<&str>) -> Result<Report, Trouble> {
    let trust = match trust {
        None => None,
        Some(text) => Some(Fingerprint::read(text).ok_or_else(|| {
            Trouble::Usage("A fingerprint has 64 hexadecimal digits, in groups as you like.".to_owned())
        })?),
    };
    let opened = File::open(file).map_err(|why| Trouble::file(file.display().to_string(), &why))?;
    check_pack(BufReader::new(opened), trust)
        .map_err(|fault| Trouble::Pack(format!("{fault} ({})", fault.code())))
}

fn in_words(report: &Report) -> String {
    let whose = if report.trusted {
        "signed by the business you named"
    } else {
        "consistent, signer not known to you"
    };
    let mut text = format!(
        "In order: {whose}. Pack {}, {} entries, {} photos and papers, as of {}.\n",
        report.pack.short(),
        report.facts,
        report.originals,
        report.as_of
    );
    for line in left_out(report) {
        text.push_str(&line);
        text.push('\n');
    }
    text
}

/// What the pack itself says is not in it.
fn left_out(report: &Report) -> Vec<String> {
    let files = |wanted: WhyLeftOut| {
        let all = report.left_out_originals.iter();
        all.filter(|(_, why)| *why == wanted).count()
    };
    let lines = [
        (
            "Left out, as this reader need not see it",
            report.left_out.len(),
            files(WhyLeftOut::Reader),
        ),
        (
            "Erased, as an entry of each says",
            report.erased.len(),
            files(WhyLeftOut::Erased),
        ),
        ("Not yet at the device that packed", 0, files(WhyLeftOut::NotHere)),
    ];
    let there = lines.into_iter().filter(|(_, facts, files)| facts + files > 0);
    there
        .map(|(why, facts, files)| format!("{why}: content of entries: {facts}; photos and papers: {files}."))
        .collect()
}

/// A paper as somebody outside would send it: a title and lines.
pub fn plain_paper(title: &str, lines: &[String], at: Moment) -> Result<Vec<u8>, Trouble> {
    let mut blocks = vec![Block::Heading(Level::One, title.to_owned())];
    blocks.extend(lines.iter().map(|line| Block::Paragraph(line.as_str().into())));
    let date = wythe_app::guide::local_date(at, "UTC").unwrap_or_default();
    let document = Document {
        title: title.to_owned(),
        language: "en".to_owned(),
        as_of: date.into(),
        author: title.to_owned(),
        creator: SOFTWARE.to_owned(),
        id: title.to_owned(),
        size: PageSize::Letter,
        foot: Foot {
            left: String::new(),
            pages: "{page} / {pages}".to_owned(),
            right: String::new(),
        },
        blocks,
    };
    let printed = print(&document).map_err(|why| Trouble::Usage(why.to_string()))?;
    Ok(printed.pdf)
}
