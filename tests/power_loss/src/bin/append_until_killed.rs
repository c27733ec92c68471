//! Appends facts to the store in a folder and prints the id of each one that was acknowledged, until
//! somebody kills it. Arguments: the folder, and a number that names the job.

use std::error::Error;
use std::io::{Write as _, stdout};
use std::path::Path;

use ed25519_dalek::SigningKey;
use wythe_job::{
    Address, BusinessId, Chain, DeviceId, Draft, Fact, Keeper, Moment, Noted, PaperAdded, PersonId, Stamp,
    Stream,
};
use wythe_store::{Log as _, Options, SqliteLog};

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let folder = arguments.next().ok_or("a folder, please")?;
    let job: u8 = arguments.next().ok_or("a number, please")?.parse()?;
    let (mut log, opening) = SqliteLog::open(Path::new(&folder), Options::new(b"here".to_vec(), [job; 16]))?;
    if opening.salvaged.is_some() || opening.stale.is_some() {
        return Err("the end of a process damages nothing".into());
    }
    let stream = Stream([job; 16]);
    let keeper = Keeper {
        business: BusinessId([7; 16]),
        chain: Chain {
            device: DeviceId([1; 16]),
            epoch: 1,
        },
        key: SigningKey::from_bytes(&[1; 32]),
    };
    let mut out = stdout().lock();
    for number in 0u64.. {
        let mut facts = log.facts(stream)?.as_ref().clone();
        let mut batch: Vec<Fact> = Vec::new();
        for part in 0..=number % 3 {
            let draft = Draft {
                stream,
                person: PersonId([1; 16]),
                at: Moment {
                    utc_ms: 0,
                    offset_min: 0,
                },
                stamp: Stamp::default(),
                replaces: Vec::new(),
                body: if number.is_multiple_of(4) {
                    let bytes = format!("job {job}, number {number}, part {part}").repeat(200);
                    let mut bytes = bytes.as_bytes();
                    let original = log.originals().put(&mut bytes, "a.txt", "text/plain")?;
                    writeln!(out, "original {}", original.digest)?;
                    out.flush()?;
                    PaperAdded {
                        address: Address::of("claim.invoice"),
                        original,
                        pages: None,
                        preview: None,
                        visit: None,
                    }
                    .into()
                } else {
                    Noted {
                        about: None,
                        text: format!("number {number}, part {part}"),
                    }
                    .into()
                },
                salt: [u8::try_from(number % 251)?; 16],
            };
            let fact = keeper.sign(draft, facts.last(keeper.chain), facts.seen_by(keeper.chain))?;
            facts.insert(fact.clone());
            batch.push(fact);
        }
        log.append(&batch)?;
        for fact in &batch {
            writeln!(out, "fact {}", fact.id())?;
        }
        out.flush()?;
    }
    Ok(())
}
