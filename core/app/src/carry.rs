use std::fs::{self, File};
use std::io::{Read, Write};
use std::path::Path;

use minicbor::{Decode, Encode};
use wythe_job::{BusinessId, Certificate, Digest, Fact, FactId};
use wythe_store::{Change, Log, Source};

use crate::app::App;
use crate::error::AppError;
use crate::pictures::{file_error, file_name};

/// The most bytes that a carried file may have.
pub const MAX_CARRY_BYTES: u64 = 4 * 1024 * 1024 * 1024;
const CARRY_VERSION: u64 = 1;
const MAX_ITEM_BYTES: u64 = 256 * 1024 * 1024;

/// What came in with a carried file.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Carried {
    /// Facts that were not here before.
    pub new_facts: usize,
    /// Facts that were here already.
    pub known_facts: usize,
    /// Originals that were not here before.
    pub new_originals: usize,
    /// What was set aside, and why.
    pub set_aside: Vec<(FactId, String)>,
}

/// One item of a carried file: `[kind, bytes]`, each in a frame of four bytes of length.
#[derive(Encode, Decode)]
enum Item {
    #[n(0)]
    Head {
        #[n(0)]
        version: u64,
        #[n(1)]
        business: BusinessId,
    },
    #[n(1)]
    Certificate(#[cbor(n(0), with = "minicbor::bytes")] Vec<u8>),
    #[n(2)]
    Original {
        #[n(0)]
        name: String,
        #[n(1)]
        media_type: String,
        #[cbor(n(2), with = "minicbor::bytes")]
        bytes: Vec<u8>,
    },
    #[n(3)]
    Fact(#[cbor(n(0), with = "minicbor::bytes")] Vec<u8>),
}

impl<L: Log> App<L> {
    /// Writes all facts of this store, and the originals they name, into a file for another phone.
    /// Returns how many facts.
    ///
    /// # Errors
    /// [`AppError::File`], [`AppError::Store`].
    pub fn carry_out(&self, path: &Path) -> Result<usize, AppError> {
        let name = file_name(path);
        let wrong = |why: std::io::Error| file_error(&name, &why);
        let (business, ..) = self.business()?;
        let part = path.with_extension("part");
        let mut file = File::create(&part).map_err(wrong)?;
        write_item(
            &mut file,
            &Item::Head {
                version: CARRY_VERSION,
                business,
            },
        )
        .map_err(wrong)?;
        for certificate in self.trust()?.certificates() {
            write_item(&mut file, &Item::Certificate(certificate.bytes().to_vec())).map_err(wrong)?;
        }
        let mut count = 0;
        for stream in self.log.streams()? {
            let facts = self.log.facts(stream)?;
            for fact in facts.iter() {
                for original in fact.body().iter().flat_map(|body| body.originals()) {
                    if self.log.originals().has(original.digest)? {
                        let mut bytes = Vec::new();
                        self.log
                            .originals()
                            .read(original.digest)?
                            .read_to_end(&mut bytes)
                            .map_err(wrong)?;
                        let media_type = original.media_type.clone();
                        let item = Item::Original {
                            name: original.name.clone(),
                            media_type,
                            bytes,
                        };
                        write_item(&mut file, &item).map_err(wrong)?;
                    }
                }
                write_item(&mut file, &Item::Fact(fact.encode())).map_err(wrong)?;
                count += 1;
            }
        }
        file.sync_all().map_err(wrong)?;
        fs::rename(&part, path).map_err(wrong)?;
        Ok(count)
    }

    /// Takes in what another phone of this business carried out. Every fact is checked; one that is
    /// not in order is set aside and keeps nothing else out.
    ///
    /// # Errors
    /// [`AppError::NotCarried`] for a file that is none or another business's, [`AppError::File`],
    /// [`AppError::Store`].
    pub fn carry_in(&mut self, path: &Path) -> Result<Carried, AppError> {
        let name = file_name(path);
        let wrong = |why: std::io::Error| file_error(&name, &why);
        let not_one = |why: &str| AppError::NotCarried(why.to_owned());
        let mut file = File::open(path).map_err(wrong)?;
        if file.metadata().map_err(wrong)?.len() > MAX_CARRY_BYTES {
            return Err(not_one("it is longer than any that a phone writes"));
        }
        let (business, ..) = self.business()?;
        match read_item(&mut file)? {
            Some(Item::Head {
                version: CARRY_VERSION,
                business: theirs,
            }) if theirs == business => {}
            Some(Item::Head { version, .. }) if version != CARRY_VERSION => {
                return Err(not_one("a newer program wrote it"));
            }
            Some(Item::Head { .. }) => return Err(not_one("it belongs to another business")),
            _ => return Err(not_one("it does not begin like one")),
        }
        let mut trust = self.trust()?;
        let mut carried = Carried::default();
        let mut facts = Vec::new();
        while let Some(item) = read_item(&mut file)? {
            match item {
                Item::Head { .. } => return Err(not_one("it has two heads")),
                Item::Certificate(bytes) => trust.add(Certificate::decode(&bytes)?)?,
                Item::Original {
                    name,
                    media_type,
                    bytes,
                } => {
                    let digest: Digest = wythe_job::digest_of(&bytes);
                    if !self.log.originals().has(digest)? {
                        self.log
                            .originals()
                            .put(&mut bytes.as_slice(), &name, &media_type)?;
                        carried.new_originals += 1;
                    }
                }
                Item::Fact(bytes) => match Fact::decode(&bytes) {
                    Ok(fact) => match fact.verify_in(&trust) {
                        Ok(()) if self.has_originals_of(&fact)? => facts.push(fact),
                        Ok(()) => carried.set_aside.push((fact.id(), "original_missing".to_owned())),
                        Err(why) => carried.set_aside.push((fact.id(), why.code().to_owned())),
                    },
                    Err(why) => {
                        let id = FactId(wythe_job::digest_of(&bytes).0);
                        carried.set_aside.push((id, why.code().to_owned()));
                    }
                },
            }
        }
        let change = Change {
            facts: &facts,
            source: Source::Here,
            ..Change::default()
        };
        let appended = self.log.commit(&change)?;
        carried.new_facts = appended.new.len();
        carried.known_facts = facts.len() - appended.new.len();
        Ok(carried)
    }

    /// Whether every original that a fact names lies here: a photograph without its picture comes again
    /// with the next file that has both.
    fn has_originals_of(&self, fact: &Fact) -> Result<bool, AppError> {
        for original in fact.body().iter().flat_map(|body| body.originals()) {
            if !self.log.originals().has(original.digest)? {
                return Ok(false);
            }
        }
        Ok(true)
    }
}

fn write_item(file: &mut File, item: &Item) -> std::io::Result<()> {
    let bytes = wythe_job::canonical::encode(item);
    let length = u32::try_from(bytes.len()).map_err(|_| std::io::Error::other("an item is too long"))?;
    file.write_all(&length.to_be_bytes())?;
    file.write_all(&bytes)
}

fn read_item(file: &mut File) -> Result<Option<Item>, AppError> {
    let broken = |why: &str| AppError::NotCarried(why.to_owned());
    let mut head = Vec::new();
    Read::by_ref(file)
        .take(4)
        .read_to_end(&mut head)
        .map_err(|why| broken(&why.to_string()))?;
    if head.is_empty() {
        return Ok(None);
    }
    let head: [u8; 4] = head.try_into().map_err(|_| broken("it breaks off"))?;
    let length = u64::from(u32::from_be_bytes(head));
    if length > MAX_ITEM_BYTES {
        return Err(broken("an item is longer than any that a phone writes"));
    }
    let mut bytes = Vec::new();
    file.take(length)
        .read_to_end(&mut bytes)
        .map_err(|why| broken(&why.to_string()))?;
    if u64::try_from(bytes.len()).unwrap_or(u64::MAX) != length {
        return Err(broken("it breaks off"));
    }
    Ok(Some(wythe_job::canonical::decode(
        "an item of a carried file",
        &bytes,
    )?))
}
