//! The folder of an office, and what is done in it.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use ed25519_dalek::SigningKey;
use wythe_app::job::{
    BusinessId, Certificate, Chain, DeviceId, Keeper, LibraryKept, Moment, PersonId, Stream,
};
use wythe_app::sync::{Answer, Call, House, Houses, InviteCode, NewInvite, Office, Token, Trouble};

use crate::books::{SqliteHouses, SqliteOffice};
use crate::originals::FolderOriginals;

/// How long a code holds: three days, in milliseconds.
pub const CODE_LASTS_MS: i64 = 3 * 24 * 60 * 60 * 1000;

/// An office's folder: `office.sqlite` with the books, and `originals`. Any number of processes and
/// threads may work in it.
#[derive(Debug)]
pub struct Place {
    folder: PathBuf,
    /// Open files that nobody uses at the moment.
    idle: Mutex<Vec<Worker>>,
}

/// What one request needs.
#[derive(Debug)]
struct Worker {
    books: SqliteOffice,
    houses: SqliteHouses,
    originals: FolderOriginals,
}

/// Somebody to invite.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Invited {
    /// The person's name.
    pub name: String,
    /// The person's role.
    pub role: String,
}

impl Place {
    /// Opens an office's folder, made if need be for its owner alone.
    ///
    /// # Errors
    /// [`Trouble`]: `disk`, and what [`SqliteOffice::open`] says.
    pub fn open(folder: &Path) -> Result<Self, Trouble> {
        make_private(folder).map_err(|why| Trouble::new("disk", why.to_string()))?;
        let place = Self {
            folder: folder.to_owned(),
            idle: Mutex::default(),
        };
        let worker = place.worker()?;
        place.rest(worker);
        Ok(place)
    }

    /// Opens the folder of an office that is there: a mistyped name must not make a new one.
    ///
    /// # Errors
    /// [`Trouble`]: `no_office`, and what [`Place::open`] says.
    pub fn open_begun(folder: &Path) -> Result<Self, Trouble> {
        if !folder.join("office.sqlite").is_file() {
            return Err(Trouble::new(
                "no_office",
                "there is no office here; make one with wythe office open",
            ));
        }
        Self::open(folder)
    }

    /// Opens the books of a new business, with keys of its own.
    ///
    /// # Errors
    /// [`Trouble`]: `name_taken` when the office has a business of this name.
    pub fn open_business(&self, name: &str) -> Result<House, Trouble> {
        if self.businesses()?.iter().any(|house| house.name == name) {
            return Err(Trouble::new(
                "name_taken",
                "this office has a business of that name",
            ));
        }
        let business = BusinessId(chance());
        let chain = Chain {
            device: DeviceId(chance()),
            epoch: 1,
        };
        let house = certified(
            business,
            name,
            SigningKey::from_bytes(&chance()),
            chain,
            PersonId(chance()),
        )?;
        self.with(|worker| {
            worker.books.make_room(business)?;
            worker.houses.put(&house)?;
            worker.act(|office| {
                office.begin_epoch(business)?;
                let content = serde_json::json!({ "name": name }).to_string();
                let body = LibraryKept {
                    sort: "business".to_owned(),
                    id: "name".to_owned(),
                    content,
                    gone: false,
                };
                office.record(business, business.into(), body.into()).map(drop)
            })
        })?;
        Ok(house)
    }

    /// Goes on after the folder was put back from a copy: each business's office gets another key and
    /// epoch, and its books begin another life. Phones then offer everything again.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn go_on_from_copy(&self) -> Result<(), Trouble> {
        for house in self.businesses()? {
            // Far from epochs that were given since the copy was made, and forgotten with it.
            let [high, low] = chance();
            let chain = Chain {
                epoch: (house.keeper.chain.epoch)
                    .saturating_add(1)
                    .saturating_add(u16::from_be_bytes([high, low]).into()),
                ..house.keeper.chain
            };
            let business = house.business();
            let renewed = certified(business, &house.name, house.business_key, chain, house.person)?;
            self.with(|worker| {
                worker.houses.put(&renewed)?;
                worker.act(|office| office.begin_epoch(business).map(drop))
            })?;
        }
        Ok(())
    }

    /// The businesses of this office, by name.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn businesses(&self) -> Result<Vec<House>, Trouble> {
        self.with(|worker| worker.houses.all())
    }

    /// Writes a person into the business's library and makes a one-time code for their phone.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn invite(&self, business: BusinessId, invited: &Invited) -> Result<InviteCode, Trouble> {
        let person = PersonId(chance());
        let content = serde_json::json!({ "name": invited.name, "role": invited.role }).to_string();
        let body = LibraryKept {
            sort: "person".to_owned(),
            id: person.to_string(),
            content,
            gone: false,
        };
        let invite = NewInvite {
            person,
            replaces: None,
            lasts_ms: CODE_LASTS_MS,
        };
        self.with(|worker| {
            worker.act(|office| {
                office.record(business, Stream::from(business), body.into())?;
                office.invite(business, invite)
            })
        })
    }

    /// Answers a request of the exchange.
    ///
    /// # Errors
    /// [`Trouble`] when the books cannot even be opened.
    pub fn answer(&self, token: Option<&Token>, bytes: &[u8]) -> Result<Answer, Trouble> {
        self.with(|worker| Ok(worker.act(|office| office.answer(Call { token, bytes }))))
    }

    /// Whether the books answer.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn check(&self) -> Result<(), Trouble> {
        self.with(|worker| worker.books.check())
    }

    fn with<T>(&self, work: impl FnOnce(&mut Worker) -> Result<T, Trouble>) -> Result<T, Trouble> {
        let mut worker = self.worker()?;
        let done = work(&mut worker);
        // One in trouble may be in any state: it is opened anew.
        if done.is_ok() {
            self.rest(worker);
        }
        done
    }

    fn worker(&self) -> Result<Worker, Trouble> {
        let idle = self.idle.lock().unwrap_or_else(PoisonError::into_inner).pop();
        if let Some(worker) = idle {
            return Ok(worker);
        }
        let file = self.folder.join("office.sqlite");
        Ok(Worker {
            books: SqliteOffice::open(&file)?,
            houses: SqliteHouses::open(&file)?,
            originals: FolderOriginals::in_folder(&self.folder.join("originals")),
        })
    }

    fn rest(&self, worker: Worker) {
        let mut idle = self.idle.lock().unwrap_or_else(PoisonError::into_inner);
        idle.push(worker);
    }
}

impl Worker {
    fn act<T>(&mut self, work: impl FnOnce(&mut Office<'_>) -> T) -> T {
        work(&mut Office {
            houses: &self.houses as &dyn Houses,
            storage: &mut self.books,
            objects: &mut self.originals,
            now: now(),
            chance: &mut fill,
        })
    }
}

/// A business as its office acts for it, with a new key of the office's device.
fn certified(
    business: BusinessId,
    name: &str,
    business_key: SigningKey,
    chain: Chain,
    person: PersonId,
) -> Result<House, Trouble> {
    let key = SigningKey::from_bytes(&chance());
    let public = key.verifying_key();
    let certificate = Certificate::issue(business, &business_key, chain, &public, now(), "office")
        .map_err(|why| Trouble::new(why.code(), "the office's device could not be certified"))?;
    Ok(House {
        name: name.to_owned(),
        business_key,
        keeper: Keeper { business, chain, key },
        certificate,
        person,
    })
}

fn make_private(folder: &Path) -> std::io::Result<()> {
    if folder.is_dir() {
        return Ok(());
    }
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

fn now() -> Moment {
    let now = chrono::Local::now();
    Moment {
        utc_ms: now.timestamp_millis(),
        offset_min: i16::try_from(now.offset().local_minus_utc() / 60).unwrap_or_default(),
    }
}

#[expect(
    clippy::expect_used,
    reason = "without chance there are no keys: going on would be worse"
)]
fn fill(bytes: &mut [u8]) {
    getrandom::fill(bytes).expect("the machine gives no chance");
}

fn chance<const N: usize>() -> [u8; N] {
    let mut bytes = [0; N];
    fill(&mut bytes);
    bytes
}
