use std::{
    collections::{BTreeMap, btree_map::Entry},
    io::Read,
};

use flate2::bufread::ZlibDecoder;

use super::{
    too_much,
    value::{Dict, Reader, Unread, Value, is_space},
};
use crate::{MediaError, limits};

/// Where an object's value stands.
#[derive(Debug, Clone, Copy)]
enum Place {
    File(usize),
    /// In an unpacked stream, by its index, at an offset.
    Unpacked(usize, usize),
}

/// All objects of a file, by number: of one said twice, the later.
#[derive(Debug)]
pub(super) struct Objects<'a> {
    file: &'a [u8],
    unpacked: Vec<Vec<u8>>,
    places: BTreeMap<u32, Place>,
    root: Option<u32>,
    locked: bool,
}

impl<'a> Objects<'a> {
    /// Reads through the file once.
    pub(super) fn find(file: &'a [u8]) -> Result<Self, MediaError> {
        let mut objects = Self {
            file,
            unpacked: Vec::new(),
            places: BTreeMap::new(),
            root: None,
            locked: false,
        };
        let mut packed = Vec::new();
        let mut at = 0;
        let mut spent = 0_usize;
        while let Some(found) = next_mark(file, at) {
            let mut reader = Reader::new(file, found.body);
            let outcome = match found.object {
                Some(number) => objects.object(number, &mut reader, &mut packed),
                None => objects.trailer(&mut reader),
            };
            // Behind what was read if it was a value; otherwise just behind the mark.
            at = if outcome? { reader.at } else { found.body };
            spent = spent.saturating_add(reader.at.saturating_sub(found.body));
            if spent > file.len().saturating_mul(4).saturating_add(1 << 20) {
                return Err(too_much("unclosed objects"));
            }
            if objects.places.len() > limits::PDF_OBJECTS {
                return Err(too_much("objects"));
            }
        }
        if !objects.locked {
            objects.unpack(&packed)?;
        }
        Ok(objects)
    }

    pub(super) const fn locked(&self) -> bool {
        self.locked
    }

    /// The catalogue: what the trailer names, or else any object that says it is one.
    pub(super) fn catalogue(&self) -> Option<Dict> {
        let named = self.root.and_then(|number| self.dict(number));
        named.filter(|dict| dict.get(b"Pages").is_some()).or_else(|| {
            let mut dicts = self.places.keys().rev().filter_map(|number| self.dict(*number));
            dicts.find(|dict| dict.is(b"Type", b"Catalog"))
        })
    }

    /// The dictionary that is object `number`, its stream aside.
    pub(super) fn dict(&self, number: u32) -> Option<Dict> {
        let mut reader = self.reader(number)?;
        reader.skip_space();
        reader.dict(0).ok()
    }

    /// The value itself, or what it refers to.
    pub(super) fn resolve(&self, value: &Value) -> Option<Value> {
        match value {
            Value::Ref(number) => {
                let value = self.reader(*number)?.value(0).ok()?;
                (!matches!(value, Value::Ref(_))).then_some(value)
            }
            other => Some(other.clone()),
        }
    }

    /// The bytes of the stream that is object `number`, as they are stored.
    pub(super) fn stream(&self, number: u32) -> Option<(Dict, &'a [u8])> {
        let Place::File(at) = *self.places.get(&number)? else {
            return None;
        };
        let mut reader = Reader::new(self.file, at);
        reader.skip_space();
        let dict = reader.dict(0).ok()?;
        let bytes = stream_bytes(&mut reader, &dict)?;
        Some((dict, bytes))
    }

    fn reader(&self, number: u32) -> Option<Reader<'_>> {
        match *self.places.get(&number)? {
            Place::File(at) => Some(Reader::new(self.file, at)),
            Place::Unpacked(index, at) => Some(Reader::new(self.unpacked.get(index)?, at)),
        }
    }

    /// Notes the object whose value begins at the reader. Whether one was there.
    fn object(
        &mut self,
        number: u32,
        reader: &mut Reader<'a>,
        packed: &mut Vec<(Dict, &'a [u8])>,
    ) -> Result<bool, MediaError> {
        let place = Place::File(reader.at);
        let value = match reader.value(0) {
            Ok(value) => value,
            Err(Unread::NoValue) => return Ok(false),
            Err(Unread::TooMuch(refused)) => return Err(refused),
        };
        self.places.insert(number, place);
        let Value::Dict(dict) = value else { return Ok(true) };
        let Some(bytes) = stream_bytes(reader, &dict) else {
            return Ok(true);
        };
        if dict.is(b"Type", b"XRef") {
            self.note_trailer(&dict);
        } else if dict.is(b"Type", b"ObjStm") {
            packed.push((dict, bytes));
        }
        Ok(true)
    }

    fn trailer(&mut self, reader: &mut Reader<'a>) -> Result<bool, MediaError> {
        reader.skip_space();
        match reader.dict(0) {
            Ok(dict) => {
                self.note_trailer(&dict);
                Ok(true)
            }
            Err(Unread::NoValue) => Ok(false),
            Err(Unread::TooMuch(refused)) => Err(refused),
        }
    }

    fn note_trailer(&mut self, dict: &Dict) {
        if let Some(Value::Ref(root)) = dict.get(b"Root") {
            self.root = Some(*root);
        }
        self.locked |= dict
            .get(b"Encrypt")
            .is_some_and(|value| !matches!(value, Value::Other));
    }

    /// Unpacks streams of objects (7.5.7), in the order in which they stand in the file.
    fn unpack(&mut self, packed: &[(Dict, &[u8])]) -> Result<(), MediaError> {
        let mut left = limits::PDF_UNPACKED_BYTES;
        for (dict, bytes) in packed {
            let Some(unpacked) = inflate(dict, bytes, left)? else {
                continue;
            };
            left = left.saturating_sub(unpacked.len());
            self.note_unpacked(dict, unpacked)?;
        }
        Ok(())
    }

    /// The head of such a stream is pairs of an object's number and its offset behind the head.
    fn note_unpacked(&mut self, dict: &Dict, unpacked: Vec<u8>) -> Result<(), MediaError> {
        let count = dict.get(b"N").and_then(Value::whole).unwrap_or(0);
        let first = dict.get(b"First").and_then(Value::whole).unwrap_or(0);
        let mut head = Reader::new(&unpacked, 0);
        for _ in 0..count {
            let mut whole = || {
                head.skip_space();
                head.number()?.parse::<u32>().ok()
            };
            let (Some(number), Some(offset)) = (whole(), whole()) else {
                break;
            };
            let at = usize::try_from(offset)
                .unwrap_or(usize::MAX)
                .saturating_add(first);
            // An object that stands in the file itself was changed after it was packed, or is the
            // older one; files that do both are rare, and the plain one is the likelier change.
            if let Entry::Vacant(vacant) = self.places.entry(number) {
                vacant.insert(Place::Unpacked(self.unpacked.len(), at));
            } else if let Some(Place::Unpacked(..)) = self.places.get(&number) {
                self.places
                    .insert(number, Place::Unpacked(self.unpacked.len(), at));
            }
            if self.places.len() > limits::PDF_OBJECTS {
                return Err(too_much("objects"));
            }
        }
        self.unpacked.push(unpacked);
        Ok(())
    }
}

/// Where the next `12 0 obj` or `trailer` ends, from `at` on.
struct Mark {
    /// The object's number; `None` for a trailer.
    object: Option<u32>,
    body: usize,
}

fn next_mark(file: &[u8], mut at: usize) -> Option<Mark> {
    loop {
        let rest = file.get(at..)?;
        let offset = rest
            .windows(3)
            .position(|three| three == b"obj" || three == b"tra")?;
        let found = at + offset;
        at = found + 3;
        if file.get(found..)?.starts_with(b"trailer") {
            return Some(Mark {
                object: None,
                body: found + 7,
            });
        }
        if file.get(found..)?.starts_with(b"obj")
            && let Some(object) = number_before(file.get(..found)?)
        {
            return Some(Mark {
                object: Some(object),
                body: at,
            });
        }
    }
}

/// The object number of `12 0 ` at the end of `before`.
fn number_before(before: &[u8]) -> Option<u32> {
    let mut numbers = [None; 2];
    let mut bytes = before.iter().rev().take(40).copied().peekable();
    for number in &mut numbers {
        while bytes.next_if(|b| is_space(*b)).is_some() {}
        let mut value = 0_u32;
        let mut place = 1_u32;
        while let Some(digit) = bytes.next_if(u8::is_ascii_digit) {
            value = value.checked_add(u32::from(digit - b'0').checked_mul(place)?)?;
            place = place.saturating_mul(10);
            *number = Some(value);
        }
    }
    let [_generation, object] = numbers;
    object.filter(|_| numbers.iter().all(Option::is_some))
}

/// The bytes behind `stream`, up to `endstream`; the reader then stands there. `None` if there is no
/// stream here. One that never ends goes to the end of the file.
fn stream_bytes<'a>(reader: &mut Reader<'a>, dict: &Dict) -> Option<&'a [u8]> {
    reader.skip_space();
    if !reader.take(b"stream") {
        return None;
    }
    let _ = reader.take(b"\r\n") || reader.take(b"\n") || reader.take(b"\r");
    let rest = reader.rest();
    let claimed = dict.get(b"Length").and_then(Value::whole);
    let length = claimed
        .filter(|length| {
            let behind = rest.get(*length..).unwrap_or_default();
            let space = behind.iter().take(3).take_while(|b| is_space(**b)).count();
            behind.get(space..).unwrap_or_default().starts_with(b"endstream")
        })
        .or_else(|| rest.windows(9).position(|word| word == b"endstream"))
        .unwrap_or(rest.len());
    reader.at += length;
    rest.get(..length)
}

/// Unpacks a stream that is packed by nothing but Flate; `None` for another or a damaged one.
fn inflate(dict: &Dict, bytes: &[u8], left: usize) -> Result<Option<Vec<u8>>, MediaError> {
    let flate = match dict.get(b"Filter") {
        None => return Ok(Some(bytes.to_vec())),
        Some(Value::Array(filters)) => matches!(filters.as_slice(), [one] if one.is_name(b"FlateDecode")),
        Some(filter) => filter.is_name(b"FlateDecode"),
    };
    if !flate || dict.get(b"DecodeParms").is_some() {
        return Ok(None);
    }
    let most = limits::PDF_STREAM_BYTES.min(left);
    let mut unpacked = Vec::new();
    let one_more = u64::try_from(most).unwrap_or(u64::MAX).saturating_add(1);
    // If the stream is damaged, what came before the damage may still hold the pages.
    let _ = ZlibDecoder::new(bytes).take(one_more).read_to_end(&mut unpacked);
    if unpacked.len() > most {
        return Err(too_much("a stream that unpacks beyond its limit"));
    }
    Ok(Some(unpacked))
}
