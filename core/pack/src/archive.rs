//! The one way in which a pack's ZIP file is written (PKWARE APPNOTE, version 2.0): members stored,
//! one time, nothing between, before or after. What is read is compared with what would be written.

use std::io::{self, Read, Seek, SeekFrom, Write};

use sha2::{Digest as _, Sha256};
use wythe_job::Digest;

use crate::fault::PackFault;
use crate::members::{MAX_MEMBERS, Member};

const END_BYTES: u64 = 22;
const CENTRAL_BYTES: usize = 46;
/// The longest name that a pack can have; an original's is shorter.
const MAX_NAME: usize = 100;

/// Writes members one after the other.
pub(crate) struct ArchiveWriter<W: Write> {
    out: W,
    at: u64,
    central: Vec<u8>,
    count: u16,
}

impl<W: Write> ArchiveWriter<W> {
    pub(crate) fn new(out: W) -> Self {
        Self {
            out,
            at: 0,
            central: Vec::new(),
            count: 0,
        }
    }

    /// Writes a member whose bytes must have the size and sum that were stated.
    pub(crate) fn add(&mut self, member: &Member, mut content: impl Read) -> io::Result<()> {
        let stated = Stated {
            name: member.name.as_bytes(),
            crc: member.crc,
            size: narrow(member.size)?,
            offset: narrow(self.at)?,
        };
        self.out.write_all(&stated.local())?;
        let mut sum = crc32fast::Hasher::new();
        let copied = each_block(&mut content, member.size, |block| {
            sum.update(block);
            self.out.write_all(block)
        })?;
        if copied != member.size || sum.finalize() != member.crc || content.read(&mut [0])? != 0 {
            return Err(io::Error::other(format!(
                "{} changed while it was packed",
                member.name
            )));
        }
        self.central.extend(stated.central());
        self.at += stated.whole_bytes();
        self.count += 1;
        Ok(())
    }

    pub(crate) fn finish(mut self) -> io::Result<()> {
        let end = end_record(
            self.count,
            narrow(u64::try_from(self.central.len()).unwrap_or(u64::MAX))?,
            narrow(self.at)?,
        );
        narrow(self.at + u64::try_from(self.central.len() + end.len()).unwrap_or(u64::MAX))?;
        self.out.write_all(&self.central)?;
        self.out.write_all(&end)?;
        self.out.flush()
    }
}

/// What the central headers state of a member.
struct Stated<'a> {
    name: &'a [u8],
    crc: u32,
    size: u32,
    offset: u32,
}

impl Stated<'_> {
    /// Bytes 4 to 27 of a local header, without the signature before and the length of the name after.
    fn middle(&self) -> Vec<u8> {
        let mut bytes = vec![0x14, 0, 0, 0, 0, 0, 0, 0, 0x21, 0];
        bytes.extend(self.crc.to_le_bytes());
        bytes.extend(self.size.to_le_bytes());
        bytes.extend(self.size.to_le_bytes());
        bytes.extend(u16::try_from(self.name.len()).unwrap_or(u16::MAX).to_le_bytes());
        bytes
    }

    fn local(&self) -> Vec<u8> {
        let mut bytes = b"PK\x03\x04".to_vec();
        bytes.extend(self.middle());
        bytes.extend([0, 0]);
        bytes.extend(self.name);
        bytes
    }

    fn central(&self) -> Vec<u8> {
        let mut bytes = b"PK\x01\x02\x14\x03".to_vec();
        bytes.extend(self.middle());
        bytes.extend([0; 8]);
        bytes.extend([0, 0, 0xa4, 0x81]);
        bytes.extend(self.offset.to_le_bytes());
        bytes.extend(self.name);
        bytes
    }

    /// Local header, name and content together.
    fn whole_bytes(&self) -> u64 {
        30 + u64::try_from(self.name.len()).unwrap_or(u64::MAX) + u64::from(self.size)
    }
}

fn end_record(count: u16, central_bytes: u32, central_at: u32) -> Vec<u8> {
    let mut bytes = b"PK\x05\x06\0\0\0\0".to_vec();
    bytes.extend(count.to_le_bytes());
    bytes.extend(count.to_le_bytes());
    bytes.extend(central_bytes.to_le_bytes());
    bytes.extend(central_at.to_le_bytes());
    bytes.extend([0, 0]);
    bytes
}

fn narrow(number: u64) -> io::Result<u32> {
    u32::try_from(number).map_err(|_| io::Error::other("a claim pack must be smaller than 4 GiB"))
}

/// Hands over the next `size` bytes in blocks; fewer when the source ends. Returns how many.
fn each_block(
    content: &mut impl Read,
    size: u64,
    mut take: impl FnMut(&[u8]) -> io::Result<()>,
) -> io::Result<u64> {
    let mut block = vec![0; 1 << 16];
    let mut left = content.take(size);
    let mut copied = 0;
    loop {
        let count = left.read(&mut block)?;
        if count == 0 {
            return Ok(copied);
        }
        take(block.get(..count).unwrap_or_default())?;
        copied += u64::try_from(count).unwrap_or_default();
    }
}

/// The size, CRC-32 and SHA-256 of a content.
pub(crate) fn measure(name: &str, mut content: impl Read) -> io::Result<Member> {
    let (mut sum, mut hash) = (crc32fast::Hasher::new(), Sha256::new());
    let size = each_block(&mut content, u64::MAX, |block| {
        sum.update(block);
        hash.update(block);
        Ok(())
    })?;
    Ok(Member {
        name: name.to_owned(),
        size,
        crc: sum.finalize(),
        sha256: Digest(hash.finalize().into()),
    })
}

/// A member as the central headers list it.
pub(crate) struct Listed {
    /// Its name; bytes that are not ASCII are shown as `?` and so have no place in a pack.
    pub(crate) name: String,
    pub(crate) size: u32,
    raw_name: Vec<u8>,
    crc: u32,
    offset: u32,
}

impl Listed {
    fn stated(&self) -> Stated<'_> {
        Stated {
            name: &self.raw_name,
            crc: self.crc,
            size: self.size,
            offset: self.offset,
        }
    }
}

/// Reads the list of members; every byte of it must be as [`ArchiveWriter`] would write it.
pub(crate) fn list<R: Read + Seek>(file: &mut R) -> Result<Vec<Listed>, PackFault> {
    let length = file.seek(SeekFrom::End(0))?;
    let whole = END_BYTES..1 << 32;
    if !whole.contains(&length) {
        return Err(PackFault::NotAPack);
    }
    let end = read_at(file, length - END_BYTES, END_BYTES)?;
    let count = u16_at(&end, 8);
    if !end.starts_with(b"PK\x05\x06") || usize::from(count) > MAX_MEMBERS {
        return Err(PackFault::NotAPack);
    }
    let broken = |what: &str| PackFault::ZipLayout(what.to_owned());
    let (central_bytes, central_at) = (u32_at(&end, 12), u32_at(&end, 16));
    let fits = u64::from(central_at) + u64::from(central_bytes) + END_BYTES == length;
    if !fits || end != end_record(count, central_bytes, central_at) {
        return Err(broken("its end record"));
    }
    let central = read_at(file, u64::from(central_at), u64::from(central_bytes))?;
    let mut rest = central.as_slice();
    let mut members = Vec::new();
    let mut offset = 0u64;
    for index in 1..=count {
        let here = || broken(&format!("its entry for member {index}"));
        let name_bytes = usize::from(u16_at(rest, 28));
        let size = CENTRAL_BYTES + name_bytes;
        let (entry, after) = rest
            .split_at_checked(size)
            .filter(|_| (1..=MAX_NAME).contains(&name_bytes))
            .ok_or_else(here)?;
        let raw_name = entry.get(CENTRAL_BYTES..).unwrap_or_default().to_vec();
        let ascii = |b: &u8| if b.is_ascii() { char::from(*b) } else { '?' };
        let member = Listed {
            name: raw_name.iter().map(ascii).collect(),
            size: u32_at(entry, 20),
            crc: u32_at(entry, 16),
            offset: u32_at(entry, 42),
            raw_name,
        };
        if u64::from(member.offset) != offset || entry != member.stated().central() {
            return Err(here());
        }
        offset += member.stated().whole_bytes();
        members.push(member);
        rest = after;
    }
    if !rest.is_empty() || offset != u64::from(central_at) {
        return Err(broken("bytes that belong to no member"));
    }
    Ok(members)
}

/// Reads a member through, comparing its header and sum; keeps its bytes if wanted.
pub(crate) fn read_member<R: Read + Seek>(
    file: &mut R,
    listed: &Listed,
    keep: bool,
) -> Result<(Member, Vec<u8>), PackFault> {
    let stated = listed.stated();
    let local = stated.local();
    let found = read_at(
        file,
        u64::from(listed.offset),
        u64::try_from(local.len()).unwrap_or(u64::MAX),
    )?;
    if found != local {
        return Err(PackFault::ZipLayout(format!("the header of {}", listed.name)));
    }
    let mut kept = Vec::new();
    let (mut sum, mut hash) = (crc32fast::Hasher::new(), Sha256::new());
    let size = each_block(file, u64::from(listed.size), |block| {
        sum.update(block);
        hash.update(block);
        if keep {
            kept.extend_from_slice(block);
        }
        Ok(())
    })?;
    if size != u64::from(listed.size) || sum.finalize() != listed.crc {
        return Err(PackFault::Checksum(listed.name.clone()));
    }
    let member = Member {
        name: listed.name.clone(),
        size,
        crc: listed.crc,
        sha256: Digest(hash.finalize().into()),
    };
    Ok((member, kept))
}

/// Reads so many bytes at an offset; fewer where the file ends.
fn read_at<R: Read + Seek>(file: &mut R, at: u64, count: u64) -> io::Result<Vec<u8>> {
    file.seek(SeekFrom::Start(at))?;
    let mut bytes = Vec::new();
    file.take(count).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn u16_at(bytes: &[u8], at: usize) -> u16 {
    let found = bytes.get(at..).and_then(<[u8]>::first_chunk);
    found.map_or(0, |two| u16::from_le_bytes(*two))
}

fn u32_at(bytes: &[u8], at: usize) -> u32 {
    let found = bytes.get(at..).and_then(<[u8]>::first_chunk);
    found.map_or(0, |four| u32::from_le_bytes(*four))
}
