//! One test for each thing that the machines promise, in fair weather or in one made storm.

use wythe_app::job::{ArrivalRecord, Certificate, Moment, Stream};
use wythe_app::sync::wire::{Bytes, Code, Exchange, Reply, Request, Standing};
use wythe_app::sync::{Command, Cursor, Event, Now, ObjectKey, PhoneStore, Report};

use crate::run::ready;
use crate::world::{FAIR, OURS, THEIRS, Weather, World};

const JOB: Stream = Stream([0x31; 16]);

fn with_job() -> World {
    let mut world = ready(2);
    let now = world.now;
    world.phones[0].note(JOB, now);
    world.phones[0].jobs.push(JOB);
    world
}

/// Asks the office directly, as a phone.
fn ask(world: &mut World, phone: usize, request: &Request) -> Reply {
    let token = world.phones[phone].token.clone();
    let answer = world.ask(Some(&token), Some(phone), &request.encode());
    Reply::decode(&answer.bytes).unwrap().0
}

fn exchange(world: &World, phone: usize) -> Exchange {
    let handset = &world.phones[phone];
    let waiting = handset.log().waiting_facts(0, 100).unwrap();
    Exchange {
        business: handset.business,
        chain: handset.keeper.chain,
        office: wythe_app::job::OfficeEpoch([0; 16]),
        cursor: Cursor::default(),
        room: 100_000,
        facts: waiting
            .iter()
            .map(|arrival| Bytes(arrival.fact.encode()))
            .collect(),
        held: Vec::new(),
        originals: Vec::new(),
        wanted: Vec::new(),
    }
}

fn exchanged(reply: Reply) -> wythe_app::sync::wire::Exchanged {
    match reply {
        Reply::Exchanged(it) => it,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_fact_is_acknowledged_only_when_it_is_committed() {
    let mut world = with_job();
    let request = Request::Exchange(exchange(&world, 0));
    world.weather = Weather { disk: 400, ..FAIR };
    let mut taken = false;
    for _ in 0..60 {
        let reply = ask(&mut world, 0, &request);
        if let Reply::Exchanged(it) = reply {
            assert!(it.taken.record.is_some() || !it.taken.known.is_empty());
            taken = true;
            assert!(
                world
                    .books
                    .facts(OURS)
                    .iter()
                    .any(|(_, fact)| fact.envelope().stream == JOB)
            );
        }
    }
    assert!(taken);
}

#[test]
fn a_fact_has_one_number_however_often_it_comes() {
    let mut world = with_job();
    let mut it = exchange(&world, 0);
    it.facts.push(it.facts[0].clone());
    let request = Request::Exchange(it);
    let first = exchanged(ask(&mut world, 0, &request));
    assert_eq!(first.taken.known, [1], "twice in one request");
    let numbers = world.books.facts(OURS);
    let second = exchanged(ask(&mut world, 0, &request));
    assert_eq!(second.taken.known, [0, 1]);
    assert_eq!(second.taken.record, None);
    assert_eq!(world.books.facts(OURS), numbers);
}

#[test]
fn a_phone_is_given_its_own_streams_only() {
    let mut world = with_job();
    assert!(world.quiet_down());
    assert!(world.phones[1].log().facts(JOB).unwrap().is_empty());
    world.give(1, JOB);
    assert!(world.quiet_down());
    assert_eq!(
        world.phones[1].log().facts(JOB).unwrap().len(),
        1,
        "from its first fact on"
    );
    world.withdraw(1, JOB);
    let now = world.now;
    world.phones[0].note(JOB, now);
    world.phones[1].note(JOB, now);
    assert!(world.quiet_down());
    assert_eq!(
        world.phones[1].log().facts(JOB).unwrap().len(),
        2,
        "its own and the first"
    );
    assert_eq!(
        world.phones[0].log().facts(JOB).unwrap().len(),
        3,
        "nothing is lost"
    );
    assert!(world.flaws.is_empty(), "{:?}", world.flaws);
}

#[test]
fn what_a_lost_life_of_the_office_withheld_is_given_after_the_restore() {
    let mut world = with_job();
    assert!(world.quiet_down());
    world.give(1, JOB);
    assert!(world.quiet_down());
    let now = world.now;
    world.phones[0].note(JOB, now);
    let request = Request::Exchange(exchange(&world, 0));
    exchanged(ask(&mut world, 0, &request));
    world.back_up();
    // The copy gives the second fact to phone 1. The life after it does not, and moves its cursor past it.
    world.withdraw(1, JOB);
    assert!(world.quiet_down());
    assert_eq!(world.phones[1].log().facts(JOB).unwrap().len(), 1);
    world.restore_office();
    assert!(world.quiet_down());
    assert_eq!(world.phones[1].log().facts(JOB).unwrap().len(), 2);
    assert!(world.flaws.is_empty(), "{:?}", world.flaws);
}

#[test]
fn an_original_that_cannot_be_taken_holds_up_nothing_that_is_offered_again() {
    let mut world = with_job();
    assert!(world.quiet_down());
    world.back_up();
    let now = world.now;
    world.phones[0].note(JOB, now);
    assert!(world.quiet_down());
    let original = world.chance.many_bytes(5_000);
    world.phones[0].picture(JOB, &original, b"preview", now);
    world.restore_office();
    world.weather = Weather { rot: 1_000, ..FAIR };
    world.start_all();
    world.run_until_quiet();
    assert!(
        world.phones[0].quiet,
        "it rests although the original comes out wrong"
    );
    let facts = world.books.facts(OURS);
    let of_job = facts.iter().filter(|(_, fact)| fact.envelope().stream == JOB);
    assert_eq!(of_job.count(), 3);
    assert!(world.quiet_down());
    let key = ObjectKey {
        business: OURS,
        digest: wythe_app::job::digest_of(&original),
    };
    assert!(world.objects.bytes(key).is_some(), "it is asked about again");
    assert!(world.flaws.is_empty(), "{:?}", world.flaws);
}

#[test]
fn a_certificate_that_a_revoked_phone_brings_back_is_known() {
    let mut world = with_job();
    assert!(world.quiet_down());
    world.give(1, JOB);
    assert!(world.quiet_down());
    world.back_up();
    world.renew(1, true);
    world.phones[1].start();
    let now = world.now;
    world.phones[1].note(JOB, now);
    assert!(world.quiet_down());
    let new = world.phones[1].keeper.chain;
    let held = world.phones[0].log().arrivals(0, u32::MAX).unwrap();
    let held: Vec<_> = held.into_iter().map(|arrival| arrival.fact).collect();
    let certifies = |fact: &&wythe_app::job::Fact| match fact.body() {
        Some(wythe_app::job::Body::DeviceCertified(body)) => {
            Certificate::decode(&body.certificate).unwrap().chain() == new
        }
        _ => false,
    };
    let certified = held.iter().find(certifies).unwrap();
    let noted = held.iter().find(|fact| fact.envelope().chain() == new).unwrap();
    world.phones[1].lost = true;
    world.phones[1].machine = None;
    world.restore_office();
    world.revoke(0);
    for fact in [certified, noted] {
        let mut it = exchange(&world, 0);
        it.facts = vec![Bytes(fact.encode())];
        let reply = exchanged(ask(&mut world, 0, &Request::Exchange(it)));
        assert_eq!(reply.taken.aside, [0], "{:?}", reply.taken);
    }
}

#[test]
fn a_receipt_comes_after_the_hash_was_checked() {
    let mut world = with_job();
    let now = world.now;
    let original = world.chance.many_bytes(50_000);
    world.phones[0].picture(JOB, &original, b"preview", now);
    world.weather = Weather { rot: 1_000, ..FAIR };
    world.start_all();
    for _ in 0..400 {
        world.step();
    }
    let waiting = world.phones[0].log().waiting_originals(9).unwrap();
    assert_eq!(
        waiting.len(),
        2,
        "every byte came, and the last of each piece was wrong"
    );
    assert!(world.quiet_down());
    assert!(world.phones[0].log().waiting().unwrap().is_none());
    let key = ObjectKey {
        business: OURS,
        digest: wythe_app::job::digest_of(&original),
    };
    assert_eq!(world.objects.bytes(key).unwrap(), original);
}

#[test]
fn what_a_revoked_phone_brings_is_kept_apart() {
    let mut world = with_job();
    world.revoke(0);
    let request = Request::Exchange(exchange(&world, 0));
    let reply = exchanged(ask(&mut world, 0, &request));
    assert_eq!(reply.standing, Standing::Revoked);
    assert_eq!(reply.taken.aside, [0]);
    assert!(reply.facts.is_empty());
    assert!(world.quiet_down());
    assert!(
        world.phones[0].log().waiting().unwrap().is_none(),
        "the office has it"
    );
    let apart = world.books.kept_apart(OURS);
    assert_eq!(apart.len(), 1);
    world.give(1, JOB);
    assert!(world.quiet_down());
    assert!(world.phones[1].log().facts(JOB).unwrap().is_empty());
    let id = apart[0].fact.id();
    world.at_desk(|office| office.release(OURS, &[id]));
    assert!(world.quiet_down());
    assert_eq!(world.phones[1].log().facts(JOB).unwrap().len(), 1);
    let token = world.phones[0].token.clone();
    assert_eq!(token.business, OURS);
}

#[test]
fn no_request_reaches_another_business() {
    let mut world = with_job();
    assert!(world.quiet_down());
    let theirs = world.phones.len() - 1;
    assert_eq!(world.phones[theirs].business, THEIRS);
    let mut it = exchange(&world, theirs);
    it.business = OURS;
    let refused = |reply: Reply| match reply {
        Reply::Refused(refused) => refused.code,
        other => panic!("{other:?}"),
    };
    let reply = ask(&mut world, theirs, &Request::Exchange(it.clone()));
    assert_eq!(refused(reply), Code::NotYours);
    // The same with a token that claims the other business.
    let mut token = world.phones[theirs].token.clone();
    token.business = OURS;
    let bytes = Request::Exchange(it).encode();
    let answer = world.ask(Some(&token), None, &bytes);
    assert_eq!(answer.status, 401);
    let mut it = exchange(&world, theirs);
    it.chain.device = world.phones[0].device();
    assert_eq!(
        refused(ask(&mut world, theirs, &Request::Exchange(it))),
        Code::NotYours
    );
    // A fact of another business, carried by a phone of this one.
    let mut it = exchange(&world, theirs);
    let fact = world.phones[0].log().arrivals(0, 99).unwrap().pop().unwrap().fact;
    it.facts = vec![Bytes(fact.encode())];
    let reply = exchanged(ask(&mut world, theirs, &Request::Exchange(it)));
    assert_eq!(reply.taken.refused[0].code, "wrong_business");
}

#[test]
fn a_phone_believes_no_word_but_the_offices_own() {
    let mut world = with_job();
    world.start_all_but_send_nothing();
    let commands = world.hear(0, Event::Started);
    let (call, request) = sent(&commands);
    let Ok((Request::Exchange(it), _)) = Request::decode(&request) else {
        panic!("an exchange comes first");
    };
    let honest = exchanged(ask(&mut world, 0, &Request::Exchange(it.clone())));
    let stranger = world.phones[1].keeper.clone();
    let ids: Vec<_> = it
        .facts
        .iter()
        .map(|fact| wythe_app::job::Fact::decode(&fact.0).unwrap().id())
        .collect();
    let at = Moment {
        utc_ms: 1_764_000_000_000,
        offset_min: 0,
    };
    let forged = ArrivalRecord::sign(&stranger, honest.office, 1, at, &ids).unwrap();
    let mut lies = honest.clone();
    lies.taken.record = Some(Bytes(forged.encode()));
    let mut silent = honest.clone();
    silent.taken.record = None;
    let mut beyond = honest.clone();
    beyond.taken.known = vec![99];
    for lie in [lies, silent, beyond] {
        let bytes = Reply::Exchanged(lie).encode();
        let commands = world.hear(0, Event::Answer { call, bytes: &bytes });
        assert!(commands.contains(&Command::Report(Report::Disbelieved)));
        assert_eq!(world.phones[0].log().waiting().unwrap().facts, 1);
        world.start_all_but_send_nothing();
        world.hear(0, Event::Started);
    }
    let bytes = Reply::Exchanged(honest).encode();
    world.hear(0, Event::Answer { call, bytes: &bytes });
    assert_eq!(world.phones[0].log().waiting().unwrap().facts, 0);
}

fn sent(commands: &[Command]) -> (u64, Vec<u8>) {
    let sent = commands.iter().find_map(|command| match command {
        Command::Send { call, bytes } => Some((*call, bytes.clone())),
        _ => None,
    });
    sent.expect("a call")
}

#[test]
fn what_cannot_be_taken_blocks_nothing() {
    let mut world = with_job();
    let good = world.phones[0].keeper.clone();
    world.phones[0].keeper.key = world.phones[1].keeper.key.clone();
    world.phones[0].keeper.chain.epoch = 77;
    let now = world.now;
    let forged = world.phones[0].note(JOB, now);
    world.phones[0].keeper = good;
    world.phones[0].note(JOB, now);
    assert!(world.quiet_down());
    let ids = world.ids_of(OURS);
    assert!(!ids.contains(&forged.id()));
    assert_eq!(
        world
            .books
            .facts(OURS)
            .iter()
            .filter(|(_, fact)| fact.envelope().stream == JOB)
            .count(),
        2
    );
    let waiting = world.phones[0].log().waiting_facts(0, 9).unwrap();
    assert_eq!(waiting.len(), 1, "what was refused is not called safe");
}

#[test]
fn waits_grow_while_nothing_works() {
    let mut world = with_job();
    world.start_all_but_send_nothing();
    let mut now = 0;
    let mut waits = Vec::new();
    let mut commands = world.hear_at(0, Event::Started, Now { ms: now, chance: 0 });
    for _ in 0..14 {
        let (call, _) = sent(&commands);
        commands = world.hear_at(0, Event::Failed { call }, Now { ms: now, chance: 0 });
        let wake = commands.iter().find_map(|command| match command {
            Command::WakeAt { ms } => Some(*ms),
            _ => None,
        });
        let wake = wake.expect("it is tried again");
        assert!(
            commands
                .iter()
                .all(|command| !matches!(command, Command::Send { .. }))
        );
        let early = world.hear_at(
            0,
            Event::Appended,
            Now {
                ms: wake - 1,
                chance: 0,
            },
        );
        assert!(
            early
                .iter()
                .all(|command| !matches!(command, Command::Send { .. }))
        );
        waits.push(wake - now);
        now = wake;
        commands = world.hear_at(0, Event::Tick, Now { ms: now, chance: 0 });
    }
    assert_eq!(waits[..4], [500, 1_000, 2_000, 4_000]);
    assert!(waits.is_sorted());
    assert_eq!(
        waits.last(),
        Some(&(7 * 60_000 + 30_000)),
        "half of the longest, without chance"
    );
}

#[test]
fn stopped_at_any_call_it_goes_on_later() {
    for stop_after in 1..12 {
        let mut world = with_job();
        let now = world.now;
        let original = world.chance.many_bytes(700_000);
        world.phones[0].picture(JOB, &original, b"preview", now);
        world.start_all();
        for _ in 0..stop_after {
            world.step();
        }
        world.tell(0, Event::Stopped);
        let calls = world.traffic.calls;
        for _ in 0..50 {
            world.tell(0, Event::Tick);
            world.tell(0, Event::Appended);
        }
        assert_eq!(world.traffic.calls, calls, "nothing is sent by who was stopped");
        if stop_after % 2 == 0 {
            world.phones[0].die();
        }
        assert!(world.quiet_down());
        assert!(world.phones[0].log().waiting().unwrap().is_none());
    }
}

#[test]
fn an_office_that_was_put_back_is_offered_everything_again() {
    let mut world = with_job();
    assert!(world.quiet_down());
    world.back_up();
    let now = world.now;
    world.phones[0].note(JOB, now);
    world.give(1, JOB);
    assert!(world.quiet_down());
    let before = world.ids_of(OURS);
    // The phone that recorded it is gone; the other has what the office gave it.
    world.phones[0].lost = true;
    world.phones[0].machine = None;
    world.restore_office();
    assert!(!before.is_subset(&world.ids_of(OURS)));
    assert!(world.quiet_down());
    assert!(before.is_subset(&world.ids_of(OURS)));
    assert!(world.flaws.is_empty(), "{:?}", world.flaws);
}

#[test]
fn an_original_goes_on_where_it_broke_off() {
    let mut world = with_job();
    let now = world.now;
    let original = world.chance.many_bytes(900_000);
    world.phones[0].picture(JOB, &original, b"preview", now);
    world.weather = Weather {
        broken_off: 500,
        ..FAIR
    };
    world.start_all();
    for _ in 0..3_000 {
        if world.phones[0].log().waiting().unwrap().is_none() {
            break;
        }
        world.step();
    }
    assert!(world.phones[0].log().waiting().unwrap().is_none());
    let original_bytes = u64::try_from(original.len()).unwrap();
    let wasted = world.kept_of_pieces.saturating_sub(original_bytes);
    assert!(world.kept_of_pieces >= original_bytes);
    assert!(wasted * 50 < original_bytes, "{wasted} bytes came twice");
}

/// A day of a crew: answers, and photographs of the size that phones take. Counted are all bytes of
/// messages, both ways; what carries them (TCP, TLS, HTTP) comes on top.
#[test]
fn the_bytes_keep_to_their_budget() {
    let mut world = ready(1);
    assert!(world.quiet_down());
    let mut new = 0;
    for facts in [600usize, 0] {
        world.traffic = crate::world::Traffic::default();
        let now = world.now;
        for _ in 0..facts {
            let fact = world.phones[0].note(JOB, now);
            new += fact.encode().len();
        }
        for _ in 0..(facts / 60) {
            let original = world.chance.many_bytes(1_500_000);
            let preview = world.chance.many_bytes(30_000);
            let fact = world.phones[0].picture(JOB, &original, &preview, now);
            new += fact.encode().len() + original.len() + preview.len();
        }
        world.start_all();
        world.run_until_quiet();
        let bytes = world.traffic.up + world.traffic.down;
        assert!(world.phones[0].log().waiting().unwrap().is_none());
        if facts == 0 {
            // Both phones asked: ours and the other business's.
            println!("nothing new: {} calls, {bytes} bytes", world.traffic.calls);
            assert_eq!(world.traffic.calls, 2);
            assert!(bytes / 2 < 400, "{bytes}");
        } else {
            let on_top = bytes - u64::try_from(new).unwrap();
            println!(
                "{new} bytes of facts and originals, {on_top} on top, {} calls",
                world.traffic.calls
            );
            assert!(
                on_top * 100 < u64::try_from(new).unwrap() * 2,
                "{on_top} on top of {new}"
            );
        }
    }
    // Facts alone, both ways.
    world.traffic = crate::world::Traffic::default();
    let other = world.take_in(OURS, None);
    world.give(other, JOB);
    world.start_all();
    world.run_until_quiet();
    let given: usize = world.phones[other]
        .log()
        .arrivals(0, u32::MAX)
        .unwrap()
        .iter()
        .map(|arrival| arrival.fact.encode().len())
        .sum();
    let previews = 10 * 30_000;
    let bytes = world.traffic.up + world.traffic.down;
    let on_top = bytes - u64::try_from(given + previews).unwrap();
    println!("{given} bytes of facts and {previews} of previews given, {on_top} on top");
    assert!(on_top * 100 < u64::try_from(given + previews).unwrap() * 5);
}

#[test]
fn a_phones_arrivals_are_kept_with_it() {
    let mut world = with_job();
    assert!(world.quiet_down());
    let records = world.phones[0].arrival_records();
    let (record, ids) = &records[0];
    assert_eq!(record.office().device, world.phones[0].office.chain().device);
    let fact = world.phones[0].log().facts(JOB).unwrap();
    assert!(fact.get(ids[0]).is_some());
    let held = world.phones[0].with_store(|_, store: &mut dyn PhoneStore| store.state().unwrap());
    assert!(held.unwrap().unwrap().has_met());
}
