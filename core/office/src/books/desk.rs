//! One business's books within one transaction of SQLite.

use rusqlite::{Params, Row, Transaction, params};
use wythe_app::job::{
    ArrivalRecord, Body, BusinessId, Certificate, Chain, DeviceId, Digest, Fact, FactId, OfficeEpoch,
    PersonId, Seen, Stream,
};
use wythe_app::sync::{
    Access, AsideRow, CodeHash, Cursor, Desk, Device, Due, Grant, Holding, Invite, Naming, TokenHash, Trouble,
};

use super::columns::{all, broken, damaged, epoch, fact, get, signed, stream, whole_number};

/// The columns of a fact that is kept apart, as [`aside_row`] reads them.
pub const ASIDE: &str = "bytes, device, epoch, reason, at_ms";

/// The reasons for keeping a fact apart.
const REASONS: [&str; 2] = ["brought_by_revoked", "written_by_revoked"];

pub struct SqliteDesk<'a> {
    transaction: Transaction<'a>,
    business: BusinessId,
    access: Access,
}

impl<'a> SqliteDesk<'a> {
    pub fn new(transaction: Transaction<'a>, business: BusinessId, access: Access) -> Self {
        Self {
            transaction,
            business,
            access,
        }
    }

    fn rows<T>(
        &self,
        sql: &str,
        with: impl Params,
        read: impl Fn(&Row<'_>) -> Result<T, Trouble>,
    ) -> Result<Vec<T>, Trouble> {
        let mut statement = self.transaction.prepare_cached(sql).map_err(broken)?;
        all(&mut statement, with, read)
    }

    fn one<T>(
        &self,
        sql: &str,
        with: impl Params,
        read: impl Fn(&Row<'_>) -> Result<T, Trouble>,
    ) -> Result<Option<T>, Trouble> {
        Ok(self.rows(sql, with, read)?.into_iter().next())
    }

    fn write(&self, sql: &str, with: impl Params) -> Result<(), Trouble> {
        let mut statement = self.transaction.prepare_cached(sql).map_err(broken)?;
        statement.execute(with).map(drop).map_err(broken)
    }

    fn name_originals(&self, fact: &Fact, aside: Option<DeviceId>) -> Result<(), Trouble> {
        for original in fact.body().iter().flat_map(Body::originals) {
            self.write(
                "INSERT OR REPLACE INTO naming (business, digest, fact, stream, bytes, aside)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                params![
                    self.business.0,
                    original.digest.0,
                    fact.id().0,
                    fact.envelope().stream.0,
                    signed(original.bytes)?,
                    aside.map(|device| device.0)
                ],
            )?;
        }
        Ok(())
    }

    fn unname_originals(&self, id: FactId) -> Result<(), Trouble> {
        self.write(
            "DELETE FROM naming WHERE business = ?1 AND fact = ?2",
            params![self.business.0, id.0],
        )
    }
}

/// Reads [`ASIDE`].
pub fn aside_row(row: &Row<'_>) -> Result<AsideRow, Trouble> {
    let reason: String = get(row, 3)?;
    let reason = REASONS.into_iter().find(|known| *known == reason);
    Ok(AsideRow {
        fact: fact(row, 0)?,
        carrier: Chain {
            device: DeviceId(get(row, 1)?),
            epoch: epoch(row, 2)?,
        },
        reason: reason.ok_or_else(|| damaged("a reason that is none"))?,
        at_ms: get(row, 4)?,
    })
}

fn invite_row(code: CodeHash, row: &Row<'_>) -> Result<Invite, Trouble> {
    let used = match (get(row, 3)?, get(row, 4)?, get(row, 5)?) {
        (Some(device), Some(key), Some(token)) => Some((DeviceId(device), key, TokenHash(Digest(token)))),
        _ => None,
    };
    Ok(Invite {
        code,
        person: PersonId(get(row, 0)?),
        replaces: get::<Option<_>>(row, 1)?.map(DeviceId),
        ends_ms: get(row, 2)?,
        used,
    })
}

fn certificate(row: &Row<'_>) -> Result<Certificate, Trouble> {
    let bytes: Vec<u8> = get(row, 0)?;
    Certificate::decode(&bytes).map_err(|why| damaged(why.code()))
}

fn grant(row: &Row<'_>) -> Result<Grant, Trouble> {
    Ok(Grant {
        stream: stream(row, 0)?,
        number: whole_number(row, 1)?,
        withdrawn: get(row, 2)?,
    })
}

impl Desk for SqliteDesk<'_> {
    fn epochs(&mut self) -> Result<Vec<OfficeEpoch>, Trouble> {
        let sql = "SELECT epoch FROM life WHERE business = ?1 ORDER BY place";
        self.rows(sql, [self.business.0], |row| get(row, 0).map(OfficeEpoch))
    }

    fn put_epoch(&mut self, epoch: OfficeEpoch) -> Result<(), Trouble> {
        self.write(
            "INSERT INTO life (business, place, epoch)
             SELECT ?1, coalesce(max(place), 0) + 1, ?2 FROM life WHERE business = ?1",
            params![self.business.0, epoch.0],
        )
    }

    fn last_number(&mut self) -> Result<u64, Trouble> {
        let sql = "SELECT last FROM book WHERE business = ?1";
        let last = self.one(sql, [self.business.0], |row| whole_number(row, 0))?;
        Ok(last.unwrap_or_default())
    }

    fn set_last_number(&mut self, number: u64) -> Result<(), Trouble> {
        self.write(
            "UPDATE book SET last = ?2 WHERE business = ?1",
            params![self.business.0, signed(number)?],
        )
    }

    fn device_of(&mut self, token: TokenHash) -> Result<Option<DeviceId>, Trouble> {
        let sql = "SELECT device FROM token WHERE business = ?1 AND hash = ?2";
        self.one(sql, params![self.business.0, token.0.0], |row| {
            get(row, 0).map(DeviceId)
        })
    }

    fn device(&mut self, device: DeviceId) -> Result<Option<Device>, Trouble> {
        let sql = "SELECT person, name, revoked FROM device WHERE business = ?1 AND device = ?2";
        self.one(sql, params![self.business.0, device.0], |row| {
            Ok(Device {
                device,
                person: get::<Option<_>>(row, 0)?.map(PersonId),
                name: get(row, 1)?,
                revoked: get(row, 2)?,
            })
        })
    }

    fn devices_of(&mut self, person: PersonId) -> Result<Vec<DeviceId>, Trouble> {
        let sql = "SELECT device FROM device WHERE business = ?1 AND person = ?2 ORDER BY device";
        self.rows(sql, params![self.business.0, person.0], |row| {
            get(row, 0).map(DeviceId)
        })
    }

    fn put_device(&mut self, device: &Device) -> Result<(), Trouble> {
        self.write(
            "INSERT OR REPLACE INTO device (business, device, person, name, revoked) VALUES (?1, ?2, ?3, ?4, ?5)",
            params![
                self.business.0,
                device.device.0,
                device.person.map(|person| person.0),
                device.name,
                device.revoked
            ],
        )
    }

    fn put_token(&mut self, token: TokenHash, device: DeviceId) -> Result<(), Trouble> {
        self.write(
            "INSERT OR REPLACE INTO token (business, hash, device) VALUES (?1, ?2, ?3)",
            params![self.business.0, token.0.0, device.0],
        )
    }

    fn invite(&mut self, code: CodeHash) -> Result<Option<Invite>, Trouble> {
        let sql = "SELECT person, replaces, ends_ms, used_device, used_key, used_token FROM invite
                   WHERE business = ?1 AND code = ?2";
        self.one(sql, params![self.business.0, code.0.0], |row| {
            invite_row(code, row)
        })
    }

    fn put_invite(&mut self, invite: &Invite) -> Result<(), Trouble> {
        let used = invite.used;
        self.write(
            "INSERT OR REPLACE INTO invite
             (code, business, person, replaces, ends_ms, used_device, used_key, used_token)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
            params![
                invite.code.0.0,
                self.business.0,
                invite.person.0,
                invite.replaces.map(|device| device.0),
                invite.ends_ms,
                used.map(|(device, _, _)| device.0),
                used.map(|(_, key, _)| key),
                used.map(|(_, _, token)| token.0.0)
            ],
        )
    }

    fn certificate(&mut self, chain: Chain) -> Result<Option<Certificate>, Trouble> {
        let sql = "SELECT bytes FROM certificate WHERE business = ?1 AND device = ?2 AND epoch = ?3";
        self.one(
            sql,
            params![self.business.0, chain.device.0, chain.epoch],
            certificate,
        )
    }

    fn certificates_of(&mut self, device: DeviceId) -> Result<Vec<Certificate>, Trouble> {
        let sql = "SELECT bytes FROM certificate WHERE business = ?1 AND device = ?2 ORDER BY epoch";
        self.rows(sql, params![self.business.0, device.0], certificate)
    }

    fn put_certificate(&mut self, certificate: &Certificate) -> Result<(), Trouble> {
        let chain = certificate.chain();
        self.write(
            "INSERT OR IGNORE INTO certificate (business, device, epoch, bytes) VALUES (?1, ?2, ?3, ?4)",
            params![self.business.0, chain.device.0, chain.epoch, certificate.bytes()],
        )
    }

    fn holding(&mut self, id: FactId) -> Result<Option<Holding>, Trouble> {
        let sql = "SELECT number, stream, whole FROM fact WHERE business = ?1 AND id = ?2";
        self.one(sql, params![self.business.0, id.0], |row| {
            Ok(Holding {
                number: whole_number(row, 0)?,
                stream: stream(row, 1)?,
                whole: get(row, 2)?,
            })
        })
    }

    fn fact(&mut self, id: FactId) -> Result<Option<Fact>, Trouble> {
        let sql = "SELECT bytes FROM fact WHERE business = ?1 AND id = ?2";
        self.one(sql, params![self.business.0, id.0], |row| fact(row, 0))
    }

    fn put_fact(&mut self, number: u64, fact: &Fact, carrier: Chain) -> Result<(), Trouble> {
        let envelope = fact.envelope();
        self.write(
            "INSERT INTO fact (business, number, id, stream, device, epoch, chain_number, whole,
                               carrier_device, carrier_epoch, bytes)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)
             ON CONFLICT (business, id) DO UPDATE SET number = excluded.number, whole = excluded.whole,
                 carrier_device = excluded.carrier_device, carrier_epoch = excluded.carrier_epoch,
                 bytes = excluded.bytes",
            params![
                self.business.0,
                signed(number)?,
                fact.id().0,
                envelope.stream.0,
                envelope.device.0,
                envelope.chain().epoch,
                signed(envelope.number)?,
                fact.payload().is_some(),
                carrier.device.0,
                carrier.epoch,
                fact.encode()
            ],
        )?;
        self.name_originals(fact, None)
    }

    fn drop_payload(&mut self, id: FactId) -> Result<(), Trouble> {
        let Some(fact) = self.fact(id)?.filter(|fact| fact.payload().is_some()) else {
            return Ok(());
        };
        self.write(
            "UPDATE fact SET whole = 0, bytes = ?3 WHERE business = ?1 AND id = ?2",
            params![self.business.0, id.0, fact.without_payload().encode()],
        )?;
        self.unname_originals(id)
    }

    fn is_erased(&mut self, id: FactId, of: Stream) -> Result<bool, Trouble> {
        let sql = "SELECT 1 FROM erasure WHERE business = ?1 AND fact = ?2 AND stream = ?3";
        let known = self.one(sql, params![self.business.0, id.0, of.0], |_| Ok(()))?;
        Ok(known.is_some())
    }

    fn put_erasure(&mut self, id: FactId, of: Stream) -> Result<(), Trouble> {
        self.write(
            "INSERT OR IGNORE INTO erasure (business, fact, stream) VALUES (?1, ?2, ?3)",
            params![self.business.0, id.0, of.0],
        )
    }

    fn heads(&mut self, of: Stream) -> Result<Vec<Seen>, Trouble> {
        let sql = "SELECT device, epoch, chain_number, id FROM fact WHERE business = ?1 AND stream = ?2
                   ORDER BY device, epoch, chain_number DESC, id";
        let mut heads = self.rows(sql, params![self.business.0, of.0], |row| {
            Ok(Seen {
                chain: Chain {
                    device: DeviceId(get(row, 0)?),
                    epoch: epoch(row, 1)?,
                },
                number: whole_number(row, 2)?,
                id: FactId(get(row, 3)?),
            })
        })?;
        heads.dedup_by_key(|seen| seen.chain);
        Ok(heads)
    }

    fn named(&mut self, digest: Digest) -> Result<Vec<Naming>, Trouble> {
        let sql = "SELECT stream, bytes, aside FROM naming WHERE business = ?1 AND digest = ?2 ORDER BY fact";
        self.rows(sql, params![self.business.0, digest.0], |row| {
            Ok(Naming {
                stream: stream(row, 0)?,
                bytes: whole_number(row, 1)?,
                aside: get::<Option<_>>(row, 2)?.map(DeviceId),
            })
        })
    }

    fn put_record(&mut self, record: &ArrivalRecord, ids: &[FactId]) -> Result<(), Trouble> {
        let ids: Vec<u8> = ids.iter().flat_map(|id| id.0).collect();
        self.write(
            "INSERT INTO record (business, place, bytes, ids)
             SELECT ?1, coalesce(max(place), 0) + 1, ?2, ?3 FROM record WHERE business = ?1",
            params![self.business.0, record.encode(), ids],
        )
    }

    fn grant(&mut self, device: DeviceId, of: Stream) -> Result<Option<Grant>, Trouble> {
        let sql = "SELECT stream, number, withdrawn FROM given
                   WHERE business = ?1 AND device = ?2 AND stream = ?3";
        self.one(sql, params![self.business.0, device.0, of.0], grant)
    }

    fn grants(&mut self, device: DeviceId) -> Result<Vec<Grant>, Trouble> {
        let sql =
            "SELECT stream, number, withdrawn FROM given WHERE business = ?1 AND device = ?2 ORDER BY stream";
        self.rows(sql, params![self.business.0, device.0], grant)
    }

    fn put_grant(&mut self, device: DeviceId, grant: Grant) -> Result<(), Trouble> {
        self.write(
            "INSERT OR REPLACE INTO given (business, device, stream, number, withdrawn)
             VALUES (?1, ?2, ?3, ?4, ?5)",
            params![
                self.business.0,
                device.0,
                grant.stream.0,
                signed(grant.number)?,
                grant.withdrawn
            ],
        )
    }

    fn due(&mut self, own: Chain, cursor: Cursor, most: usize, most_bytes: usize) -> Result<Due, Trouble> {
        // As `Cursor::at` and `Cursor::after` say. Bytes are read afterwards, of those that go out only.
        let sql = "SELECT max(given.number, fact.number), fact.number
                   FROM given JOIN fact ON fact.business = given.business AND fact.stream = given.stream
                   WHERE given.business = ?1 AND given.device = ?2 AND given.withdrawn = 0
                     AND fact.number > CASE WHEN ?4 < given.number THEN 0
                                            WHEN ?4 = given.number THEN ?5 ELSE ?4 END
                     AND NOT (fact.carrier_device = ?2 AND fact.carrier_epoch = ?3)
                   ORDER BY 1, 2 LIMIT ?6";
        let limit = signed(u64::try_from(most).unwrap_or(u64::MAX).saturating_add(1))?;
        let places = self.rows(
            sql,
            params![
                self.business.0,
                own.device.0,
                own.epoch,
                signed(cursor.key)?,
                signed(cursor.number)?,
                limit
            ],
            |row| {
                Ok(Cursor {
                    key: whole_number(row, 0)?,
                    number: whole_number(row, 1)?,
                })
            },
        )?;
        let mut due = Due::default();
        let mut bytes = 0;
        let sql = "SELECT bytes FROM fact WHERE business = ?1 AND number = ?2";
        for at in places {
            let found = self.one(sql, params![self.business.0, signed(at.number)?], |row| {
                get::<Vec<u8>>(row, 0)
            })?;
            let fact = found.ok_or_else(|| damaged("a fact that is not there"))?;
            bytes += fact.len();
            let full = due.facts.len() >= most || bytes > most_bytes;
            if full && !due.facts.is_empty() {
                due.more = true;
                break;
            }
            due.facts.push((at, fact));
        }
        Ok(due)
    }

    fn aside_count(&mut self, device: DeviceId) -> Result<u64, Trouble> {
        let sql = "SELECT count(*) FROM aside WHERE business = ?1 AND device = ?2";
        let count = self.one(sql, params![self.business.0, device.0], |row| {
            whole_number(row, 0)
        })?;
        Ok(count.unwrap_or_default())
    }

    fn aside(&mut self, id: FactId) -> Result<Option<AsideRow>, Trouble> {
        let sql = format!("SELECT {ASIDE} FROM aside WHERE business = ?1 AND id = ?2");
        self.one(&sql, params![self.business.0, id.0], aside_row)
    }

    fn put_aside(&mut self, row: &AsideRow) -> Result<(), Trouble> {
        self.write(
            "INSERT OR REPLACE INTO aside (business, id, device, epoch, reason, at_ms, bytes)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
            params![
                self.business.0,
                row.fact.id().0,
                row.carrier.device.0,
                row.carrier.epoch,
                row.reason,
                row.at_ms,
                row.fact.encode()
            ],
        )?;
        self.name_originals(&row.fact, Some(row.carrier.device))
    }

    fn end_aside(&mut self, id: FactId) -> Result<(), Trouble> {
        self.write(
            "DELETE FROM aside WHERE business = ?1 AND id = ?2",
            params![self.business.0, id.0],
        )?;
        self.unname_originals(id)
    }

    fn commit(self: Box<Self>) -> Result<(), Trouble> {
        match self.access {
            Access::Write => self.transaction.commit().map_err(broken),
            Access::Read => Ok(()),
        }
    }
}
