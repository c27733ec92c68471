//! A small reader of PDF files for tests: objects, streams, content operators, tags, text.
//! It reads what a PDF says, whoever wrote it, as far as these tests need (ISO 32000-1:2008).

use std::collections::BTreeMap;
use std::io::Read as _;

mod object;

pub use object::Object;
use object::{Scan, find, whole};

/// A file.
pub struct Pdf {
    objects: BTreeMap<u32, (Object, Option<Vec<u8>>)>,
    root: Object,
}

impl Pdf {
    pub fn read(bytes: &[u8]) -> Self {
        let mut objects = BTreeMap::new();
        let mut at = 0;
        while let Some(found) = find(bytes, b" 0 obj", at) {
            let start = (0..found)
                .rev()
                .take_while(|index| bytes[*index].is_ascii_digit())
                .last()
                .unwrap_or(found);
            let number: u32 = std::str::from_utf8(&bytes[start..found])
                .unwrap()
                .parse()
                .unwrap();
            let mut scan = Scan { bytes, at: found + 6 };
            let object = scan.object().unwrap();
            scan.blanks();
            let stream = bytes[scan.at..].starts_with(b"stream").then(|| {
                let Object::Dict(entries) = &object else {
                    panic!("a stream has a dictionary")
                };
                let length = entries["Length"].number().unwrap();
                let begin = find(bytes, b"\n", scan.at).unwrap() + 1;
                let end = begin + usize::try_from(whole(length)).unwrap();
                scan.at = end;
                let raw = &bytes[begin..end];
                match entries.get("Filter").and_then(Object::name) {
                    Some("FlateDecode") => {
                        let mut plain = Vec::new();
                        flate2::read::ZlibDecoder::new(raw)
                            .read_to_end(&mut plain)
                            .unwrap();
                        plain
                    }
                    _ => raw.to_vec(),
                }
            });
            at = scan.at;
            objects.insert(number, (object, stream));
        }
        let trailer = find(bytes, b"trailer", 0).unwrap();
        let Some(Object::Dict(trailer)) = (Scan {
            bytes,
            at: trailer + 7,
        })
        .object() else {
            panic!("a trailer is a dictionary")
        };
        Self {
            root: trailer["Root"].clone(),
            objects,
        }
    }

    /// An entry of a dictionary, references followed.
    pub fn get(&self, object: &Object, key: &str) -> Object {
        match self.followed(object) {
            Object::Dict(entries) => entries
                .get(key)
                .map_or(Object::Null, |entry| self.followed(entry)),
            _ => Object::Null,
        }
    }

    pub fn followed(&self, object: &Object) -> Object {
        match object {
            Object::Reference(number) => self.objects[number].0.clone(),
            other => other.clone(),
        }
    }

    pub fn root(&self) -> Object {
        self.followed(&self.root)
    }

    fn stream(&self, reference: &Object) -> Vec<u8> {
        let Object::Reference(number) = reference else {
            panic!("a stream is referred to")
        };
        self.objects[number].1.clone().unwrap()
    }

    fn raw(&self, object: &Object, key: &str) -> Object {
        match self.followed(object) {
            Object::Dict(entries) => entries.get(key).cloned().unwrap_or(Object::Null),
            _ => Object::Null,
        }
    }

    /// References to the pages, in order.
    pub fn pages(&self) -> Vec<Object> {
        fn walk(pdf: &Pdf, node: &Object, found: &mut Vec<Object>) {
            let kids = pdf.get(node, "Kids");
            if kids == Object::Null {
                found.push(node.clone());
            }
            kids.array().iter().for_each(|kid| walk(pdf, kid, found));
        }
        let mut found = Vec::new();
        walk(self, &self.raw(&self.root(), "Pages"), &mut found);
        found
    }

    /// What a page paints.
    pub fn painted(&self, page: &Object) -> Painted {
        let fonts = self.get(&self.get(page, "Resources"), "Font");
        let mut maps = BTreeMap::new();
        if let Object::Dict(entries) = &fonts {
            for (name, font) in entries {
                maps.insert(name.clone(), unicode(&self.stream(&self.raw(font, "ToUnicode"))));
            }
        }
        let content = match self.raw(page, "Contents") {
            Object::Array(parts) => parts.iter().flat_map(|part| self.stream(part)).collect(),
            one => self.stream(&one),
        };
        paint(&content, &maps)
    }

    /// The tagged parts in reading order: a role for each, and its text where it is a leaf's parent.
    pub fn read_aloud(&self) -> Vec<Said> {
        let pages = self.pages();
        let painted: Vec<Painted> = pages.iter().map(|page| self.painted(page)).collect();
        let mut said = Vec::new();
        let tree = self.raw(&self.root(), "StructTreeRoot");
        self.say(&tree, &Object::Null, &pages, &painted, &mut said);
        said
    }

    fn say(&self, node: &Object, page: &Object, pages: &[Object], painted: &[Painted], said: &mut Vec<Said>) {
        let own = self.raw(node, "Pg");
        let page = if own == Object::Null { page.clone() } else { own };
        let index = said.len();
        said.push(Said {
            role: self.get(node, "S").name().unwrap_or("").to_owned(),
            alt: self.get(node, "Alt").words(),
            text: String::new(),
        });
        let kids = self.get(node, "K");
        let kids = if let Object::Array(kids) = kids {
            kids
        } else {
            vec![self.raw(node, "K")]
        };
        for kid in kids {
            let marked = match &kid {
                Object::Number(marked) => Some((page.clone(), *marked)),
                other if self.get(other, "Type").name() == Some("MCR") => {
                    let own = self.raw(other, "Pg");
                    let on = if own == Object::Null { page.clone() } else { own };
                    self.get(other, "MCID").number().map(|marked| (on, marked))
                }
                _ => None,
            };
            match marked {
                Some((on, marked)) => {
                    let number = pages.iter().position(|page| *page == on).unwrap();
                    let text = painted[number]
                        .marked
                        .get(&(whole(marked)))
                        .cloned()
                        .unwrap_or_default();
                    said[index].text.push_str(&text);
                }
                None if kid == Object::Null => {}
                None => self.say(&kid, &page, pages, painted, said),
            }
        }
    }
}

/// A part of the tag tree.
#[derive(Debug, Clone, PartialEq)]
pub struct Said {
    pub role: String,
    pub alt: Option<String>,
    pub text: String,
}

/// What a page paints.
#[derive(Debug, Default)]
pub struct Painted {
    /// Text by marked-content id.
    pub marked: BTreeMap<u32, String>,
    /// Text outside of the tags, artifacts.
    pub beside: String,
    /// Straight lines, in points from the lower left corner.
    pub lines: Vec<((f64, f64), (f64, f64))>,
}

/// a, b, c, d, e, f of ISO 32000-1, 8.3.3.
type Matrix = [f64; 6];

fn times(m: Matrix, n: Matrix) -> Matrix {
    [
        m[0] * n[0] + m[1] * n[2],
        m[0] * n[1] + m[1] * n[3],
        m[2] * n[0] + m[3] * n[2],
        m[2] * n[1] + m[3] * n[3],
        m[4] * n[0] + m[5] * n[2] + n[4],
        m[4] * n[1] + m[5] * n[3] + n[5],
    ]
}

fn paint(content: &[u8], maps: &BTreeMap<String, BTreeMap<u16, String>>) -> Painted {
    let mut scan = Scan {
        bytes: content,
        at: 0,
    };
    let mut painted = Painted::default();
    let mut matrix: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
    let (mut saved, mut given, mut marks) = (Vec::new(), Vec::new(), Vec::new());
    let (mut font, mut pen) = (String::new(), (0.0, 0.0));
    while let Some(object) = scan.object() {
        let Object::Operator(operator) = object else {
            given.push(object);
            continue;
        };
        let numbers: Vec<f64> = given.iter().filter_map(Object::number).collect();
        let placed = |x: f64, y: f64| {
            (
                matrix[0] * x + matrix[2] * y + matrix[4],
                matrix[1] * x + matrix[3] * y + matrix[5],
            )
        };
        match operator.as_str() {
            "q" => saved.push(matrix),
            "Q" => matrix = saved.pop().unwrap(),
            "cm" => matrix = times(numbers.try_into().unwrap(), matrix),
            "m" => pen = placed(numbers[0], numbers[1]),
            "l" => {
                let to = placed(numbers[0], numbers[1]);
                painted.lines.push((pen, to));
                pen = to;
            }
            "Tf" => font = given[0].name().unwrap().to_owned(),
            "BDC" | "BMC" => marks.push(given.get(1).and_then(|properties| match properties {
                Object::Dict(entries) => entries.get("MCID").and_then(Object::number),
                _ => None,
            })),
            "EMC" => {
                marks.pop();
            }
            "Tj" | "TJ" => {
                let text: String = given
                    .iter()
                    .flat_map(|object| match object {
                        Object::Array(items) => items.clone(),
                        other => vec![other.clone()],
                    })
                    .filter_map(|object| {
                        if let Object::Text(bytes) = object {
                            Some(bytes)
                        } else {
                            None
                        }
                    })
                    .flat_map(|bytes| {
                        bytes
                            .chunks(2)
                            .map(|pair| maps[&font][&u16::from_be_bytes([pair[0], pair[1]])].clone())
                            .collect::<Vec<_>>()
                    })
                    .collect();
                match marks.last() {
                    Some(Some(marked)) => {
                        painted.marked.entry(whole(*marked)).or_default().push_str(&text);
                    }
                    _ => painted.beside.push_str(&text),
                }
            }
            _ => {}
        }
        given.clear();
    }
    painted
}

/// Glyph codes to text, from a ToUnicode map (9.10.3).
fn unicode(map: &[u8]) -> BTreeMap<u16, String> {
    let mut scan = Scan { bytes: map, at: 0 };
    let (mut found, mut given) = (BTreeMap::new(), Vec::new());
    let code = |bytes: &[u8]| u16::from_be_bytes([bytes[0], bytes[1]]);
    let text = |bytes: &[u8]| -> String {
        let units: Vec<u16> = bytes
            .chunks(2)
            .map(|pair| u16::from_be_bytes([pair[0], pair[1]]))
            .collect();
        String::from_utf16_lossy(&units)
    };
    while let Some(object) = scan.object() {
        match object {
            Object::Text(bytes) => given.push(bytes),
            Object::Operator(word) => {
                match word.as_str() {
                    "endbfchar" => given.chunks(2).for_each(|pair| {
                        found.insert(code(&pair[0]), text(&pair[1]));
                    }),
                    "endbfrange" => given.chunks(3).for_each(|three| {
                        let base = code(&three[2]);
                        for (step, glyph) in (code(&three[0])..=code(&three[1])).enumerate() {
                            let step = u16::try_from(step).unwrap();
                            found.insert(glyph, String::from_utf16_lossy(&[base + step]));
                        }
                    }),
                    _ => {}
                }
                given.clear();
            }
            _ => {}
        }
    }
    found
}
