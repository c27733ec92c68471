//! As whom the office acts, for each of its businesses.

use std::path::Path;

use ed25519_dalek::SigningKey;
use rusqlite::{Connection, Row, params};
use wythe_app::job::{BusinessId, Certificate, Keeper, PersonId};
use wythe_app::sync::{House, Houses, Trouble};

use super::columns::{all, broken, damaged, get};
use super::configure;

const COLUMNS: &str = "name, business_key, office_key, certificate, person";

/// The office's businesses, beside their books.
#[derive(Debug)]
pub struct SqliteHouses {
    connection: Connection,
}

impl SqliteHouses {
    /// Opens the file in which the books are; [`super::SqliteOffice::open`] made it.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn open(file: &Path) -> Result<Self, Trouble> {
        let connection = Connection::open(file).map_err(broken)?;
        configure(&connection)?;
        Ok(Self { connection })
    }

    /// Keeps as whom the office acts; another key and certificate of a business take the place of the
    /// last.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn put(&mut self, house: &House) -> Result<(), Trouble> {
        let sql = format!(
            "INSERT INTO house (business, {COLUMNS}) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
             ON CONFLICT (business) DO UPDATE SET office_key = excluded.office_key,
                 certificate = excluded.certificate"
        );
        let written = self.connection.execute(
            &sql,
            params![
                house.business().0,
                house.name,
                house.business_key.to_bytes(),
                house.keeper.key.to_bytes(),
                house.certificate.bytes(),
                house.person.0
            ],
        );
        written.map(drop).map_err(broken)
    }

    /// All businesses, by name.
    ///
    /// # Errors
    /// [`Trouble`].
    pub fn all(&self) -> Result<Vec<House>, Trouble> {
        let sql = format!("SELECT {COLUMNS} FROM house ORDER BY name, business");
        let mut statement = self.connection.prepare_cached(&sql).map_err(broken)?;
        all(&mut statement, [], house)
    }
}

impl Houses for SqliteHouses {
    fn house(&self, business: BusinessId) -> Result<Option<House>, Trouble> {
        let sql = format!("SELECT {COLUMNS} FROM house WHERE business = ?1");
        let mut statement = self.connection.prepare_cached(&sql).map_err(broken)?;
        Ok(all(&mut statement, [business.0], house)?.into_iter().next())
    }
}

fn house(row: &Row<'_>) -> Result<House, Trouble> {
    let bytes: Vec<u8> = get(row, 3)?;
    let certificate = Certificate::decode(&bytes).map_err(|why| damaged(why.code()))?;
    Ok(House {
        name: get(row, 0)?,
        business_key: SigningKey::from_bytes(&get(row, 1)?),
        keeper: Keeper {
            business: certificate.business(),
            chain: certificate.chain(),
            key: SigningKey::from_bytes(&get(row, 2)?),
        },
        certificate,
        person: PersonId(get(row, 4)?),
    })
}
