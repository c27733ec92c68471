use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, Cursor, Read, Write};

use ed25519_dalek::Signer;
use wythe_job::{Chain, Digest, Fact, FactId, Facts, JobId, Keeper, Original, Trust};

use crate::archive::{ArchiveWriter, measure};
use crate::check::{Opened, Report, check_contents, facts_of};
use crate::claims::{Claims, Row};
use crate::fault::PackFault;
use crate::manifest::{
    ForkLine, LeftOutLine, LeftOutOriginalLine, Manifest, MemberLine, PackReader, Packer, Programme,
    WhyLeftOut,
};
use crate::members::{
    CLAIM_PDF, CLAIMS, FACTS, FACTS_JSON, FIRST, MANIFEST, Member, READ_ME, SIGNATURE, SUMS, digest_in,
    original_name, sums_text,
};

/// The words for a person who has never seen a pack, in English.
pub const READ_ME_FIRST: &str = include_str!("read_me_first.txt");

/// Where the originals are.
pub trait Originals {
    /// Opens an original; `None` when it is not here. It is opened twice while a pack is written.
    ///
    /// # Errors
    /// When it is here and cannot be read.
    fn open(&self, original: &Original) -> io::Result<Option<Box<dyn Read + '_>>>;
}

/// What a pack is made of.
pub struct PackInput<'a> {
    /// The job.
    pub job: JobId,
    /// All facts of the job, of every device.
    pub facts: &'a Facts,
    /// The certificates of the business; those that the pack needs are taken.
    pub trust: &'a Trust,
    /// Facts of the business's stream that revoke devices.
    pub revocations: &'a [Fact],
    /// Numbers that stand twice in a chain and that the business vouches for.
    pub forks: BTreeSet<(Chain, u64)>,
    /// The site's date for which the claim was reckoned, `YYYY-MM-DD`.
    pub as_of: String,
    /// The language of the PDF and the rows, as BCP 47.
    pub language: String,
    /// The programme's name and the digest of its rules.
    pub programme: (String, Digest),
    /// The digest of the guide.
    pub guide: Digest,
    /// Name and version of the program.
    pub software: String,
    /// For whom.
    pub reader: PackReader,
    /// Facts whose content this reader need not see; those erased need not be named.
    pub left_out: BTreeSet<FactId>,
    /// Originals that this reader need not see.
    pub left_out_originals: BTreeSet<Digest>,
    /// The rows of the evidence table. Members that do not get into the pack are taken out of them.
    pub rows: Vec<Row>,
    /// The PDF.
    pub claim_pdf: &'a [u8],
    /// The words for a stranger, [`READ_ME_FIRST`] or the same in another language.
    pub read_me: &'a str,
}

/// Why a pack was not written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PackError {
    /// An original could not be read, or the file not written.
    #[error("the pack was not written: {0}")]
    Io(#[from] io::Error),
    /// An original is not the file that was recorded.
    #[error("the original {0} is not the file that was recorded; it was damaged since")]
    OriginalDamaged(Digest),
    /// What was given does not make a pack that passes its check.
    #[error("no pack can be made of this: {0}")]
    WouldNotPass(#[from] PackFault),
}

impl PackError {
    /// The stable code.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Io(_) => "io",
            Self::OriginalDamaged(_) => "original_damaged",
            Self::WouldNotPass(_) => "would_not_pass",
        }
    }
}

/// Writes a pack, signed by `packer`, whose certificate must be in `input.trust`. Nothing is written
/// unless what is written passes [`crate::check`]. Returns what that check reports.
///
/// # Errors
/// [`PackError`].
pub fn write(
    input: &PackInput<'_>,
    packer: &Keeper,
    originals: &dyn Originals,
    out: impl Write,
) -> Result<Report, PackError> {
    let facts = packed_facts(input);
    let files = measure_originals(&facts, input, originals)?;
    let packed: BTreeMap<String, &Original> = files
        .iter()
        .filter_map(|file| Some((file.member.as_ref()?.name.clone(), &file.original)))
        .collect();
    let mut opened = Opened {
        members: Vec::new(),
        kept: content_before_manifest(input, &facts, &packed),
    };
    for name in FIRST {
        opened.members.push(match name {
            CLAIM_PDF => Member::of(name, input.claim_pdf),
            _ => Member::of(name, opened.bytes(name)),
        });
    }
    let mut members: Vec<Member> = files.iter().filter_map(|file| file.member.clone()).collect();
    members.sort_by(|a, b| a.name.cmp(&b.name));
    opened.members.extend(members);

    let manifest = manifest(input, packer, &facts, &files, &opened.members).to_text();
    let signature = packer.key.sign(manifest.as_bytes()).to_bytes();
    for (name, bytes) in [(MANIFEST, manifest.into_bytes()), (SIGNATURE, signature.to_vec())] {
        opened.members.push(Member::of(name, &bytes));
        opened.kept.insert(name.to_owned(), bytes);
    }
    let sums = sums_text(&opened.members).into_bytes();
    opened.members.push(Member::of(SUMS, &sums));
    opened.kept.insert(SUMS.to_owned(), sums);
    let report = check_contents(&opened, Some(input.trust.fingerprint()))?;

    let mut archive = ArchiveWriter::new(out);
    for member in &opened.members {
        match packed.get(&member.name) {
            Some(original) => archive.add(member, reopen(originals, original)?)?,
            None if member.name == CLAIM_PDF => archive.add(member, input.claim_pdf)?,
            None => archive.add(member, Cursor::new(opened.bytes(&member.name)))?,
        }
    }
    archive.finish()?;
    Ok(report)
}

fn reopen<'o>(originals: &'o dyn Originals, original: &Original) -> io::Result<Box<dyn Read + 'o>> {
    let gone = || io::Error::other(format!("the original {} is gone", original.digest));
    originals.open(original)?.ok_or_else(gone)
}

/// The facts in the order of the file, without the payloads that do not go into this pack.
fn packed_facts(input: &PackInput<'_>) -> Vec<Fact> {
    let mut facts: Vec<Fact> = input.facts.iter().cloned().collect();
    facts.sort_by_key(facts_of::place);
    let erased = facts_of::erased_by(&facts);
    let dropped = |fact: &Fact| erased.contains(&fact.id()) || input.left_out.contains(&fact.id());
    let drop = |fact: Fact| {
        if dropped(&fact) {
            fact.without_payload()
        } else {
            fact
        }
    };
    facts.into_iter().map(drop).collect()
}

/// An original that the packed facts name: its member, or why there is none.
struct File {
    original: Original,
    member: Option<Member>,
    why: WhyLeftOut,
}

fn measure_originals(
    facts: &[Fact],
    input: &PackInput<'_>,
    originals: &dyn Originals,
) -> Result<Vec<File>, PackError> {
    let erased = facts_of::erased_originals(facts);
    let mut files: BTreeMap<Digest, File> = BTreeMap::new();
    for original in facts.iter().filter_map(|fact| fact.body()?.original().cloned()) {
        if files.contains_key(&original.digest) {
            continue;
        }
        let digest = original.digest;
        let why = if erased.contains(&digest) {
            WhyLeftOut::Erased
        } else if input.left_out_originals.contains(&digest) {
            WhyLeftOut::Reader
        } else {
            WhyLeftOut::NotHere
        };
        let content = match why {
            WhyLeftOut::NotHere => originals.open(&original)?,
            _ => None,
        };
        let name = original_name(digest, &original.media_type);
        let member = content.map(|content| measure(&name, content)).transpose()?;
        if member.as_ref().is_some_and(|member| member.sha256 != digest) {
            return Err(PackError::OriginalDamaged(digest));
        }
        let file = File {
            original,
            member,
            why,
        };
        files.insert(digest, file);
    }
    Ok(files.into_values().collect())
}

fn content_before_manifest(
    input: &PackInput<'_>,
    facts: &[Fact],
    packed: &BTreeMap<String, &Original>,
) -> BTreeMap<String, Vec<u8>> {
    let mut rows = input.rows.clone();
    for row in &mut rows {
        row.members
            .retain(|name| packed.contains_key(name) || digest_in(name).is_none());
    }
    let claims = Claims {
        as_of: input.as_of.clone(),
        format: 1,
        job: input.job,
        language: input.language.clone(),
        rows,
    };
    let cbor: Vec<u8> = facts.iter().flat_map(Fact::encode).collect();
    [
        (READ_ME, input.read_me.as_bytes().to_vec()),
        (CLAIMS, claims.to_text().into_bytes()),
        (FACTS, cbor),
        (FACTS_JSON, facts_of::facts_json(facts).into_bytes()),
    ]
    .into_iter()
    .map(|(name, bytes)| (name.to_owned(), bytes))
    .collect()
}

fn manifest(
    input: &PackInput<'_>,
    packer: &Keeper,
    facts: &[Fact],
    files: &[File],
    members: &[Member],
) -> Manifest {
    let mut revocations: Vec<&Fact> = input.revocations.iter().collect();
    revocations.sort_by_key(|fact| fact.id());
    revocations.dedup_by_key(|fact| fact.id());
    let revoked = facts_of::revoked_devices(&revocations);
    let mut signers: BTreeSet<Chain> = BTreeSet::from([packer.chain]);
    signers.extend(revocations.iter().map(|fact| fact.envelope().chain()));
    signers.extend(facts.iter().map(|fact| fact.envelope().chain()));
    let certificates = input.trust.certificates();
    let needed = certificates.filter(|certificate| signers.contains(&certificate.chain()));
    let absent = facts.iter().filter(|fact| fact.payload().is_none()).map(Fact::id);
    let erased = facts_of::erased_by(facts);
    let mut left_out: Vec<LeftOutLine> = absent
        .filter(|id| input.left_out.contains(id) && !erased.contains(id))
        .map(|fact| LeftOutLine {
            fact,
            reason: WhyLeftOut::Reader,
        })
        .collect();
    left_out.sort_by_key(|line| line.fact);
    let fork = |(chain, number): &(Chain, u64)| ForkLine {
        device: chain.device,
        epoch: chain.epoch,
        number: *number,
    };
    let gone = files.iter().filter(|file| file.member.is_none());
    Manifest {
        as_of: input.as_of.clone(),
        business: input.trust.business(),
        certificates: needed
            .map(|certificate| hex::encode(certificate.bytes()))
            .collect(),
        chains: facts_of::chain_lines(facts, |chain| revoked.contains(&chain.device)),
        facts: u64::try_from(facts.len()).unwrap_or(u64::MAX),
        fingerprint: input.trust.fingerprint().to_string(),
        forks: input.forks.iter().map(fork).collect(),
        format: 1,
        guide: input.guide,
        job: input.job,
        language: input.language.clone(),
        left_out,
        left_out_originals: gone
            .map(|file| LeftOutOriginalLine {
                reason: file.why,
                sha256: file.original.digest,
            })
            .collect(),
        members: members.iter().map(MemberLine::from).collect(),
        packed_by: Packer {
            device: packer.chain.device,
            epoch: packer.chain.epoch,
        },
        programme: Programme {
            digest: input.programme.1,
            id: input.programme.0.clone(),
        },
        reader: input.reader,
        revocations: revocations
            .iter()
            .map(|fact| hex::encode(fact.encode()))
            .collect(),
        software: input.software.clone(),
    }
}
