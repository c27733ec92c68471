use std::collections::BTreeSet;

use super::{
    objects::Objects,
    too_much,
    value::{Dict, Value},
};
use crate::{MediaError, limits};

/// Counts the leaves of the page tree (7.7.3). Its own count is a claim and is not used.
pub(super) fn count(objects: &Objects<'_>) -> Result<u32, MediaError> {
    let mut walk = Walk {
        objects,
        seen: BTreeSet::new(),
        pages: 0,
    };
    let root = page_root(objects).ok_or_else(|| MediaError::NoPages {
        detail: "no list of pages".to_owned(),
    })?;
    walk.visit(root, 0)?;
    Ok(walk.pages)
}

fn page_root(objects: &Objects<'_>) -> Option<u32> {
    match objects.catalogue()?.get(b"Pages")? {
        Value::Ref(number) => Some(*number),
        _ => None,
    }
}

struct Walk<'a, 'b> {
    objects: &'a Objects<'b>,
    seen: BTreeSet<u32>,
    pages: u32,
}

impl Walk<'_, '_> {
    fn visit(&mut self, number: u32, depth: usize) -> Result<(), MediaError> {
        if depth > limits::PDF_NESTING {
            return Err(too_much("nesting of pages"));
        }
        if !self.seen.insert(number) {
            return Ok(());
        }
        let Some(node) = self.objects.dict(number) else {
            return Ok(());
        };
        let Some(kids) = kids(self.objects, &node) else {
            self.pages += 1;
            return if self.pages > limits::PDF_PAGES {
                Err(too_much("pages"))
            } else {
                Ok(())
            };
        };
        for kid in kids {
            if let Value::Ref(kid) = kid {
                self.visit(kid, depth + 1)?;
            }
        }
        Ok(())
    }
}

fn kids(objects: &Objects<'_>, node: &Dict) -> Option<Vec<Value>> {
    match objects.resolve(node.get(b"Kids")?)? {
        Value::Array(kids) => Some(kids),
        _ => None,
    }
}

/// The JPEG of a first page that has one picture and no fonts, with its quarter turns clockwise.
pub(super) fn scan(objects: &Objects<'_>) -> Option<(Vec<u8>, u8)> {
    let mut number = page_root(objects)?;
    let mut resources = None;
    let mut turn = 0.0;
    for _ in 0..limits::PDF_NESTING {
        let node = objects.dict(number)?;
        if let Some(Value::Number(degrees)) = node.get(b"Rotate") {
            turn = degrees.rem_euclid(360.0);
        }
        resources = node
            .get(b"Resources")
            .and_then(|value| objects.resolve(value))
            .or(resources);
        match kids(objects, &node) {
            None => return picture(objects, &resources?).map(|jpeg| (jpeg, quarters(turn))),
            Some(kids) => {
                number = kids.into_iter().find_map(|kid| match kid {
                    Value::Ref(kid) => Some(kid),
                    _ => None,
                })?;
            }
        }
    }
    None
}

fn quarters(degrees: f64) -> u8 {
    match degrees {
        d if (45.0..135.0).contains(&d) => 1,
        d if (135.0..225.0).contains(&d) => 2,
        d if (225.0..315.0).contains(&d) => 3,
        _ => 0,
    }
}

fn picture(objects: &Objects<'_>, resources: &Value) -> Option<Vec<u8>> {
    let Value::Dict(resources) = resources else {
        return None;
    };
    if resources.get(b"Font").is_some() {
        return None;
    }
    let Value::Dict(drawn) = objects.resolve(resources.get(b"XObject")?)? else {
        return None;
    };
    let mut drawn = drawn.values();
    let (Some(Value::Ref(only)), None) = (drawn.next(), drawn.next()) else {
        return None;
    };
    let (dict, bytes) = objects.stream(*only)?;
    let jpeg = match dict.get(b"Filter")? {
        Value::Array(filters) => matches!(filters.as_slice(), [one] if one.is_name(b"DCTDecode")),
        filter => filter.is_name(b"DCTDecode"),
    };
    (dict.is(b"Subtype", b"Image") && jpeg).then(|| bytes.to_vec())
}
