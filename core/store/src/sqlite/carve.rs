//! Reading rows out of a damaged SQLite file, page by page and byte by byte, without its indexes,
//! its inner pages or its own idea of where rows are. Follows <https://www.sqlite.org/fileformat2.html>.
//!
//! Nothing that is found is believed: facts, payloads and kept values carry hashes, and whoever takes
//! them compares.

use std::collections::HashMap;
use std::io::{ErrorKind, Read, SeekFrom};

use super::schema::PAGE_BYTES;
use crate::disk::Readable;

const PAGE: usize = PAGE_BYTES as usize;
/// The journal's head, and the head of each frame in it.
const JOURNAL_HEAD: u64 = 32;
const FRAME_HEAD: u64 = 24;
/// The most that a row may hold: a fact's two parts at their longest, with room to spare.
const MOST_BYTES: usize = 1024 * 1024;
/// How many ways of putting an overflowing row together are tried.
const MOST_WAYS: u32 = 64;
/// The longest head of a row, in bytes.
const MOST_HEAD: u8 = 40;

/// A column's value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Column {
    Null,
    Integer(i64),
    Blob(Vec<u8>),
    Text(Vec<u8>),
}

/// What a column is, as a row's head says, with its length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    Null,
    Integer(usize),
    Blob(usize),
    Text(usize),
}

impl Kind {
    fn of(serial: u64) -> Option<Self> {
        let length = || usize::try_from((serial - 12) / 2).ok();
        Some(match serial {
            0 => Self::Null,
            1..=4 => Self::Integer(usize::try_from(serial).ok()?),
            5 => Self::Integer(6),
            6 => Self::Integer(8),
            9 => Self::Integer(0),
            12.. if serial.is_multiple_of(2) => Self::Blob(length()?),
            13.. => Self::Text(length()?),
            _ => return None,
        })
    }

    fn length(self) -> usize {
        match self {
            Self::Null => 0,
            Self::Integer(length) | Self::Blob(length) | Self::Text(length) => length,
        }
    }
}

/// A damaged file with its journal.
pub(crate) struct Remains {
    file: Option<Box<dyn Readable>>,
    journal: Option<Box<dyn Readable>>,
    pages: u64,
    frames: u64,
    /// Where copies of a page lie in the journal, the latest first.
    copies: HashMap<u32, Vec<u64>>,
}

#[derive(Clone, Copy)]
enum Spot {
    File(u64),
    Journal(u64),
}

impl Remains {
    pub(crate) fn new(mut file: Option<Box<dyn Readable>>, mut journal: Option<Box<dyn Readable>>) -> Self {
        let page = u64::from(PAGE_BYTES);
        let pages = length(file.as_mut()).div_ceil(page);
        let frames = length(journal.as_mut())
            .saturating_sub(JOURNAL_HEAD)
            .div_ceil(page + FRAME_HEAD);
        let mut copies: HashMap<u32, Vec<u64>> = HashMap::new();
        for frame in (0..frames).rev() {
            let mut number = [0; 4];
            if read_at(
                journal.as_mut(),
                JOURNAL_HEAD + frame * (page + FRAME_HEAD),
                &mut number,
            ) {
                copies.entry(u32::from_be_bytes(number)).or_default().push(frame);
            }
        }
        Self {
            file,
            journal,
            pages,
            frames,
            copies,
        }
    }

    /// Tries every byte of every page as the beginning of a row. `wanted` looks at the columns that
    /// the row's head announces, `take` at the row; it says whether the row is whole.
    pub(crate) fn rows<E>(
        &mut self,
        wanted: impl Fn(&[Kind]) -> bool,
        mut take: impl FnMut(Vec<Column>) -> Result<bool, E>,
    ) -> Result<(), E> {
        let spots = (0..self.pages).map(Spot::File);
        let spots = spots.chain((0..self.frames).map(Spot::Journal));
        let mut page = vec![0; PAGE];
        for spot in spots.collect::<Vec<_>>() {
            self.page(spot, &mut page);
            let mut at = 0;
            while at < PAGE {
                let whole = match Cell::parse(&page, at, &wanted) {
                    Some(cell) => self.put_together(&cell, &mut take)?.then_some(cell.end),
                    None => None,
                };
                at = whole.unwrap_or(at + 1);
            }
        }
        Ok(())
    }

    fn put_together<E>(
        &mut self,
        cell: &Cell<'_>,
        take: &mut impl FnMut(Vec<Column>) -> Result<bool, E>,
    ) -> Result<bool, E> {
        let mut ways = vec![(cell.local.to_vec(), cell.overflow)];
        let mut tried = 0;
        while let Some((bytes, next)) = ways.pop() {
            let missing = cell.length.saturating_sub(bytes.len());
            if missing == 0 {
                if let Some(columns) = columns(&bytes)
                    && take(columns)?
                {
                    return Ok(true);
                }
                continue;
            }
            tried += 1;
            if next == 0 || tried > MOST_WAYS.saturating_add(u32::try_from(cell.length / PAGE).unwrap_or(0)) {
                continue;
            }
            // The file's own page is tried last: what is pushed last is popped first.
            let journal = self.copies.get(&next).into_iter().flatten();
            let spots: Vec<Spot> = std::iter::once(Spot::File(u64::from(next) - 1))
                .chain(journal.rev().map(|frame| Spot::Journal(*frame)))
                .collect();
            let mut page = vec![0; PAGE];
            for spot in spots {
                self.page(spot, &mut page);
                if let Some((head, rest)) = page.split_first_chunk::<4>() {
                    let mut longer = bytes.clone();
                    longer.extend(rest.iter().take(missing));
                    ways.push((longer, u32::from_be_bytes(*head)));
                }
            }
        }
        Ok(false)
    }

    /// Reads a page; what cannot be read is zero.
    fn page(&mut self, spot: Spot, page: &mut [u8]) {
        let size = u64::from(PAGE_BYTES);
        let read = match spot {
            Spot::File(number) => read_at(self.file.as_mut(), number * size, page),
            Spot::Journal(frame) => {
                let start = JOURNAL_HEAD + frame * (size + FRAME_HEAD) + FRAME_HEAD;
                read_at(self.journal.as_mut(), start, page)
            }
        };
        if !read {
            page.fill(0);
        }
    }
}

/// The beginning of a row within a page.
struct Cell<'p> {
    /// The row's length.
    length: usize,
    /// The part of it in this page.
    local: &'p [u8],
    /// The page on which it goes on; 0 for none.
    overflow: u32,
    /// Where the next row may begin.
    end: usize,
}

impl<'p> Cell<'p> {
    fn parse(page: &'p [u8], at: usize, wanted: &impl Fn(&[Kind]) -> bool) -> Option<Self> {
        let (length, at) = varint(page, at)?;
        let length = usize::try_from(length)
            .ok()
            .filter(|length| (4..=MOST_BYTES).contains(length))?;
        let (_rowid, start) = varint(page, at)?;
        // Every table of the store begins with its number, which the row itself leaves out: a zero
        // after the length of the head. Most bytes are no beginning of a row, and stop here.
        if !matches!(page.get(start..start.checked_add(2)?)?, [3..=MOST_HEAD, 0]) {
            return None;
        }
        let here = local_length(length);
        let local = page.get(start..start.checked_add(here)?)?;
        let (kinds, head) = kinds(local)?;
        let body: usize = kinds.iter().map(|kind| kind.length()).sum();
        if head.checked_add(body)? != length || !wanted(&kinds) {
            return None;
        }
        let mut end = start + here;
        let mut overflow = 0;
        if here < length {
            let next = page.get(end..end.checked_add(4)?)?;
            overflow = u32::from_be_bytes(next.try_into().ok()?);
            end += 4;
        }
        Some(Self {
            length,
            local,
            overflow,
            end,
        })
    }
}

/// How much of a row lies in its own page (section 1.6 of the format, table leaf).
fn local_length(length: usize) -> usize {
    let most = PAGE - 35;
    if length <= most {
        return length;
    }
    let least = (PAGE - 12) * 32 / 255 - 23;
    let even = least + (length - least) % (PAGE - 4);
    if even <= most { even } else { least }
}

/// The kinds of a row's columns, and the length of its head.
fn kinds(row: &[u8]) -> Option<(Vec<Kind>, usize)> {
    let (head, mut at) = varint(row, 0)?;
    let head = usize::try_from(head)
        .ok()
        .filter(|head| (2..=usize::from(MOST_HEAD)).contains(head))?;
    let mut kinds = Vec::with_capacity(8);
    while at < head {
        let (serial, next) = varint(row, at)?;
        kinds.push(Kind::of(serial)?);
        at = next;
    }
    (at == head).then_some((kinds, head))
}

fn columns(row: &[u8]) -> Option<Vec<Column>> {
    let (kinds, mut at) = kinds(row)?;
    let mut columns = Vec::with_capacity(kinds.len());
    for kind in kinds {
        let end = at.checked_add(kind.length())?;
        let bytes = row.get(at..end)?;
        columns.push(match kind {
            Kind::Null => Column::Null,
            Kind::Integer(_) => Column::Integer(integer(bytes)),
            Kind::Blob(_) => Column::Blob(bytes.to_vec()),
            Kind::Text(_) => Column::Text(bytes.to_vec()),
        });
        at = end;
    }
    Some(columns)
}

/// A big-endian number of up to eight bytes; one has none. (Zero has none either, under a serial type
/// of its own; no number that the store keeps in the body of a row is zero.)
fn integer(bytes: &[u8]) -> i64 {
    if bytes.is_empty() {
        return 1;
    }
    let negative = bytes.first().is_some_and(|first| first & 0x80 != 0);
    let start = if negative { -1i64 } else { 0 };
    bytes
        .iter()
        .fold(start, |number, byte| (number << 8) | i64::from(*byte))
}

/// A number of up to nine bytes, seven bits each and eight in the last.
fn varint(bytes: &[u8], mut at: usize) -> Option<(u64, usize)> {
    let mut number = 0u64;
    for place in 0..9 {
        let byte = *bytes.get(at)?;
        at += 1;
        if place == 8 {
            return Some(((number << 8) | u64::from(byte), at));
        }
        number = (number << 7) | u64::from(byte & 0x7f);
        if byte & 0x80 == 0 {
            return Some((number, at));
        }
    }
    None
}

fn length(file: Option<&mut Box<dyn Readable>>) -> u64 {
    file.and_then(|file| file.seek(SeekFrom::End(0)).ok())
        .unwrap_or(0)
}

/// Fills a buffer from a place in a file, with zeros past its end.
fn read_at(file: Option<&mut Box<dyn Readable>>, at: u64, buffer: &mut [u8]) -> bool {
    let Some(file) = file else { return false };
    if file.seek(SeekFrom::Start(at)).is_err() {
        return false;
    }
    buffer.fill(0);
    let mut filled = 0;
    while let Some(rest) = buffer.get_mut(filled..).filter(|rest| !rest.is_empty()) {
        match file.read(rest) {
            Ok(0) => return true,
            Ok(read) => filled += read,
            Err(error) if error.kind() == ErrorKind::Interrupted => {}
            Err(_) => return false,
        }
    }
    true
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use rusqlite::Connection;

    use super::*;

    #[test]
    fn rows_are_found_in_whatever_page_they_lie_and_however_long_they_are() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("t.sqlite");
        let connection = Connection::open(&path).unwrap();
        connection
            .execute_batch("CREATE TABLE t (n INTEGER PRIMARY KEY, b BLOB, t TEXT, i INTEGER)")
            .unwrap();
        let lengths = [
            0usize, 1, 100, 3900, 4040, 4061, 4062, 5000, 9000, 70_000, 300_000,
        ];
        for (n, length) in (1i64..).zip(lengths) {
            let numbers = [1, -1, 300, -70_000, i64::MAX, i64::MIN];
            let number = numbers[usize::try_from(n).unwrap() % 6];
            let row = rusqlite::params![n, vec![7u8; length], "text", number];
            connection
                .execute("INSERT INTO t VALUES (?1, ?2, ?3, ?4)", row)
                .unwrap();
        }
        drop(connection);
        let bytes = std::fs::read(&path).unwrap();
        let mut remains = Remains::new(Some(Box::new(Cursor::new(bytes))), None);
        let mut found = Vec::new();
        let wanted = |kinds: &[Kind]| {
            matches!(
                kinds,
                [Kind::Null, Kind::Blob(_), Kind::Text(4), Kind::Integer(_)]
            )
        };
        remains
            .rows(wanted, |columns| {
                if let [_, Column::Blob(blob), Column::Text(_), Column::Integer(number)] = &columns[..] {
                    assert!(blob.iter().all(|byte| *byte == 7));
                    found.push((blob.len(), *number));
                }
                Ok::<_, ()>(true)
            })
            .unwrap();
        // Beside the rows there may be bytes that look like one.
        for (n, length) in (1usize..).zip(lengths) {
            let number = [1, -1, 300, -70_000, i64::MAX, i64::MIN][n % 6];
            assert!(found.contains(&(length, number)), "the row of {length} bytes");
        }
    }
}
