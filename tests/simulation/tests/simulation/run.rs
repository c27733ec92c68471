//! One run: a day of many phones in foul weather, then quiet, then a look at what is where.

use std::collections::{BTreeMap, BTreeSet};

use wythe_app::job::{Body, Erased, FactId, Noted, Stream, digest_of, fold};
use wythe_app::sync::{Access, Event, ObjectKey, OfficeStorage, Wanted};

use crate::world::{FOUL, OURS, Setup, THEIRS, World};

const ROUNDS: usize = 110;

/// Plays a run.
pub fn run(setup: Setup) -> World {
    let mut world = World::new(setup);
    world.weather = FOUL;
    for phone in 0..world.phones.len() {
        world.phones[phone].start();
        world.tell(phone, Event::Started);
    }
    for _ in 0..ROUNDS {
        something_happens(&mut world);
        for _ in 0..world.chance.below(7) {
            world.step();
        }
    }
    if !world.quiet_down() {
        world.flaws.push("it never came to rest".into());
    }
    look(&mut world);
    world
}

/// A world of so many phones, and one of another business, at rest.
pub fn ready(phones: usize) -> World {
    World::new(Setup {
        seed: 7,
        phones,
        on_disk: false,
        office_on_disk: false,
        mistake: None,
    })
}

fn pick(world: &mut World) -> Option<usize> {
    let phone = world.chance.below(world.phones.len());
    let handset = &world.phones[phone];
    (!handset.lost && !handset.revoked).then_some(phone)
}

fn pick_job(world: &mut World, phone: usize) -> Option<Stream> {
    let jobs = world.phones[phone].jobs.clone();
    (!jobs.is_empty()).then(|| jobs[world.chance.below(jobs.len())])
}

fn something_happens(world: &mut World) {
    let Some(phone) = pick(world) else { return };
    match world.chance.below(100) {
        0..=39 => record(world, phone),
        40..=49 => picture(world, phone),
        50..=59 => open_job(world, phone),
        60..=65 => {
            world.phones[phone].die();
            world.phones[phone].start();
            world.tell(phone, Event::Started);
        }
        66..=68 => {
            world.tell(phone, Event::Stopped);
            world.phones[phone].start();
            world.tell(phone, Event::Started);
        }
        69..=71 => world.phones[phone].take_copy(),
        72..=74 => put_back(world, phone),
        75..=77 => carry(world, phone),
        78..=79 => world.phones[phone].clock_ahead = world.chance.next() % 100_000_000,
        80..=81 => poison(world, phone),
        82..=83 => erase(world, phone),
        84..=85 => demand(world, phone),
        86..=87 => {
            if let Some(job) = pick_job(world, phone) {
                world.withdraw(phone, job);
            }
        }
        88..=89 => {
            if let (Some(job), Some(other)) = (pick_job(world, phone), pick(world))
                && world.phones[phone].business == world.phones[other].business
            {
                world.give(other, job);
                world.phones[other].jobs.push(job);
            }
        }
        90..=92 => world.back_up(),
        93 => {
            for phone in &mut world.phones {
                phone.revoked = false;
            }
            world.restore_office();
        }
        94 => {
            world.revoke(phone);
            if world.chance.happens(500) {
                replace(world, phone);
            }
        }
        95 => {
            let kept_apart: Vec<FactId> = world.kept_apart().into_iter().take(2).collect();
            world.at_desk(|office| office.release(OURS, &kept_apart));
            world.released.extend(kept_apart);
        }
        _ => at_the_desk(world, phone),
    }
}

fn record(world: &mut World, phone: usize) {
    if let Some(job) = pick_job(world, phone) {
        for _ in 0..=world.chance.below(4) {
            let now = world.now;
            world.phones[phone].note(job, now);
        }
        world.tell(phone, Event::Appended);
    }
}

fn open_job(world: &mut World, phone: usize) {
    let job = Stream(world.chance.bytes());
    let now = world.now;
    world.phones[phone].jobs.push(job);
    world.phones[phone].note(job, now);
    if let Some(other) = pick(world)
        && world.phones[other].business == world.phones[phone].business
    {
        let person = world.phones[other].person;
        world.phones[phone].assign(job, person, now);
        for other in world.phones.iter_mut().filter(|other| other.person == person) {
            other.may_see.insert(job);
            other.jobs.push(job);
        }
    }
    world.tell(phone, Event::Appended);
}

fn picture(world: &mut World, phone: usize) {
    if let Some(job) = pick_job(world, phone) {
        let length = world.chance.below(40_000).max(1);
        let original = world.chance.many_bytes(length);
        let length = 1 + world.chance.below(900);
        let preview = world.chance.many_bytes(length);
        for bytes in [&original, &preview] {
            world.named.entry(digest_of(bytes)).or_default().insert(job);
        }
        let now = world.now;
        world.phones[phone].picture(job, &original, &preview, now);
        world.tell(phone, Event::Appended);
    }
}

/// The phone's store is put back: what came since the copy is gone from it.
fn put_back(world: &mut World, phone: usize) {
    if world.phones[phone].put_back() {
        world.renew(phone, true);
        world.forgive();
        world.phones[phone].start();
        world.tell(phone, Event::Started);
    }
}

/// One phone carries to another what it has of a job.
fn carry(world: &mut World, phone: usize) {
    let (Some(job), Some(other)) = (pick_job(world, phone), pick(world)) else {
        return;
    };
    if world.phones[other].business != world.phones[phone].business || other == phone {
        return;
    }
    let facts = world.phones[phone].log().facts(job).unwrap();
    // Originals travel too, as they do in a carried file.
    let mut facts: Vec<_> = facts.iter().cloned().collect();
    facts.retain(|fact| fact.body().is_none_or(|body| body.originals().is_empty()));
    if !facts.is_empty() {
        world.phones[other].append(&facts);
        world.phones[other].jobs.push(job);
        world.tell(other, Event::Appended);
    }
}

/// A fact whose signature is wrong: no office takes it, and it must keep nothing else out.
fn poison(world: &mut World, phone: usize) {
    let Some(job) = pick_job(world, phone) else { return };
    let now = world.now;
    let handset = &mut world.phones[phone];
    let good = handset.keeper.clone();
    handset.keeper.key = ed25519_dalek::SigningKey::from_bytes(&[0x66; 32]);
    // In a chain of its own, so that good facts do not follow it.
    handset.keeper.chain.epoch += 1_000;
    let text = "forged".to_owned();
    let fact = handset.sign(job, Noted { about: None, text }.into(), now);
    handset.keeper = good;
    handset.append(std::slice::from_ref(&fact));
    world.poisoned.insert(fact.id());
    world.tell(phone, Event::Appended);
}

fn erase(world: &mut World, phone: usize) {
    let Some(job) = pick_job(world, phone) else { return };
    let facts = world.phones[phone].log().facts(job).unwrap();
    let noted = facts
        .iter()
        .find(|fact| fact.envelope().kind == "noted" && fact.payload().is_some());
    if let Some(target) = noted.map(wythe_app::job::Fact::id) {
        let body = Erased {
            fact: target,
            reason: "asked for".into(),
            original: None,
        };
        let now = world.now;
        let fact = world.phones[phone].sign(job, body.into(), now);
        world.phones[phone].append(&[fact]);
        world.tell(phone, Event::Appended);
    }
}

/// Somebody wants to see an original.
fn demand(world: &mut World, phone: usize) {
    let arrivals = world.phones[phone].log().arrivals(0, u32::MAX).unwrap();
    let bodies = arrivals.iter().filter_map(|arrival| arrival.fact.body());
    let originals = bodies.filter_map(|body| body.original().cloned());
    let missing = originals.into_iter().find(|original| {
        !world.phones[phone]
            .log()
            .originals()
            .has(original.digest)
            .unwrap()
    });
    if let Some(original) = missing {
        let want = Wanted {
            digest: original.digest,
            bytes: original.bytes,
        };
        world.phones[phone].with_store(|_, store| {
            let keeping = wythe_app::sync::Keeping {
                want: vec![want],
                ..wythe_app::sync::Keeping::default()
            };
            store.commit(&keeping).unwrap();
        });
        world.tell(phone, Event::Demanded);
    }
}

/// A revoked phone is lost, and another takes its place.
fn replace(world: &mut World, phone: usize) {
    let business = world.phones[phone].business;
    world.phones[phone].lost = true;
    world.phones[phone].machine = None;
    world.forgive();
    let new = world.take_in(business, Some(phone));
    world.phones[new].start();
    world.tell(new, Event::Started);
}

/// Somebody at the desk records in a job that the office has.
fn at_the_desk(world: &mut World, phone: usize) {
    let business = world.phones[phone].business;
    let Some(job) = pick_job(world, phone) else { return };
    let facts: wythe_app::job::Facts = world
        .books
        .facts(business)
        .into_iter()
        .map(|(_, fact)| fact)
        .filter(|fact| fact.envelope().stream == job)
        .collect();
    if facts.is_empty() {
        return;
    }
    let house = wythe_app::sync::Houses::house(&world.firm, business)
        .unwrap()
        .unwrap();
    let at = world.moment();
    let draft = wythe_app::job::Draft {
        stream: job,
        person: house.person,
        at,
        stamp: wythe_app::job::Stamp {
            ms: at.utc_ms,
            counter: 0,
        },
        replaces: Vec::new(),
        body: Noted {
            about: None,
            text: "said at the desk".into(),
        }
        .into(),
        salt: world.chance.bytes(),
    };
    let chain = house.keeper.chain;
    let fact = house
        .keeper
        .sign(draft, facts.last(chain), facts.seen_by(chain))
        .unwrap();
    world.at_desk(|office| office.enter(business, std::slice::from_ref(&fact)));
}

/// Everything that must hold when all is quiet.
fn look(world: &mut World) {
    let mut flaws = Vec::new();
    let apart = world.kept_apart();
    let mut at_office: BTreeMap<FactId, wythe_app::job::Fact> = BTreeMap::new();
    for business in [OURS, THEIRS] {
        for (_, fact) in world.books.facts(business) {
            if fact.envelope().business != business {
                flaws.push("another business's fact is in the books".to_owned());
            }
            at_office.insert(fact.id(), fact);
        }
        flaws.extend(look_at_records(world, business));
    }
    for id in &world.acknowledged {
        if !at_office.contains_key(id) && !apart.contains(id) {
            flaws.push(format!("{id:?} was acknowledged and is not there"));
        }
    }
    for id in &world.poisoned {
        if at_office.contains_key(id) || apart.contains(id) {
            flaws.push(format!("{id:?} is forged and was taken"));
        }
    }
    for phone in 0..world.phones.len() {
        if !world.phones[phone].lost {
            look_at_phone(world, phone, &at_office, &apart, &mut flaws);
        }
    }
    world.flaws.extend(flaws);
}

/// Each fact came once, and the records' numbers are those of the facts.
fn look_at_records(world: &World, business: wythe_app::job::BusinessId) -> Vec<String> {
    let mut flaws = Vec::new();
    let numbers: BTreeMap<FactId, u64> = world
        .books
        .facts(business)
        .into_iter()
        .map(|(number, fact)| (fact.id(), number))
        .collect();
    let mut recorded = BTreeSet::new();
    for (record, ids) in world.books.records(business) {
        for (number, id) in (record.first()..).zip(ids) {
            if !recorded.insert(id) {
                flaws.push(format!("{id:?} arrived twice"));
            }
            if numbers.get(&id) != Some(&number) {
                flaws.push(format!("{id:?} does not stand where its record says"));
            }
        }
    }
    if numbers.keys().any(|id| !recorded.contains(id)) {
        flaws.push("a fact has no arrival record".into());
    }
    flaws
}

fn look_at_phone(
    world: &mut World,
    phone: usize,
    at_office: &BTreeMap<FactId, wythe_app::job::Fact>,
    apart: &BTreeSet<FactId>,
    flaws: &mut Vec<String>,
) {
    let (business, device) = (world.phones[phone].business, world.phones[phone].device());
    let revoked = world.phones[phone].revoked;
    for id in world.phones[phone].ids() {
        if !at_office.contains_key(&id) && !apart.contains(&id) && !world.poisoned.contains(&id) {
            let fact = world.phones[phone].log().fact(id).unwrap().unwrap();
            let aside = world.phones[phone].set_aside();
            let aside = aside.iter().find(|aside| aside.id == id);
            flaws.push(format!(
                "phone {phone} has {id:?} ({}) and the office has not: {aside:?}",
                fact.envelope().kind
            ));
        }
    }
    if revoked {
        return;
    }
    let mut desk = world.books.begin(business, Access::Read).unwrap();
    let grants = desk.grants(device).unwrap();
    drop(desk);
    for grant in grants.iter().filter(|grant| !grant.withdrawn) {
        let of_office: wythe_app::job::Facts = at_office
            .values()
            .filter(|fact| fact.envelope().stream == grant.stream && fact.envelope().business == business)
            .cloned()
            .collect();
        let of_phone = world.phones[phone].log().facts(grant.stream).unwrap();
        let of_phone: wythe_app::job::Facts = of_phone
            .iter()
            .filter(|fact| !apart.contains(&fact.id()) && !world.poisoned.contains(&fact.id()))
            .cloned()
            .collect();
        // An erasure that is kept apart holds on the phone that has it, and not yet at the office.
        let erased_here = world.phones[phone].log().facts(grant.stream).unwrap();
        let erased_here = erased_here
            .iter()
            .any(|fact| apart.contains(&fact.id()) && fact.envelope().kind == "erased");
        let equal = erased_here || fold(&of_office) == fold(&of_phone);
        if !equal || of_office.len() != of_phone.len() {
            let lacks = of_office.iter().filter(|fact| of_phone.get(fact.id()).is_none());
            let lacks: Vec<_> = lacks
                .map(|fact| (fact.id(), &fact.envelope().kind))
                .take(2)
                .collect();
            flaws.push(format!(
                "phone {phone} has {} facts of job {} and the office {}, or they fold otherwise: {lacks:?} {:?}",
                of_phone.len(),
                grant.stream.short(),
                of_office.len(),
                world.phones[phone].set_aside(),
            ));
        }
        look_at_originals(world, phone, &of_phone, flaws);
    }
}

fn look_at_originals(world: &World, phone: usize, facts: &wythe_app::job::Facts, flaws: &mut Vec<String>) {
    let handset = &world.phones[phone];
    let originals = handset.log().originals();
    for body in facts.iter().filter_map(wythe_app::job::Fact::body) {
        for original in body.originals() {
            let here = originals.has(original.digest).unwrap();
            let key = ObjectKey {
                business: handset.business,
                digest: original.digest,
            };
            let there = world.objects.bytes(key);
            if here && there.is_none() {
                flaws.push(format!("phone {phone} has an original that the office has not"));
            }
            if there.is_some_and(|bytes| digest_of(bytes) != original.digest) {
                flaws.push("an original at the office is not what its name says".into());
            }
            if here && originals.verify(original.digest).is_err() {
                flaws.push(format!("an original on phone {phone} is not what its name says"));
            }
        }
        let preview = match &body {
            Body::PaperAdded(body) => body.preview.clone(),
            _ => None,
        };
        if let Some(preview) = preview
            && let key = (ObjectKey {
                business: handset.business,
                digest: preview.digest,
            })
            && world.objects.bytes(key).is_some()
            && !originals.has(preview.digest).unwrap()
        {
            flaws.push(format!("phone {phone} lacks a preview of its job"));
        }
    }
}
