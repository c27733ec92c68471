//! What every log must do, run against each of them.

#[cfg(test)]
mod crew;

use std::io::Read as _;
use std::sync::Arc;

use crew::{JOB, OTHER_JOB, Phone, Tally, erased, named, paper};
use wythe_job::{BusinessId, Digest, Fact, Facts, digest_of};
use wythe_store::{
    Area, Change, Identity, Kept, Log, MemoryLog, Options, Originals, Page, SqliteLog, StoreError,
};

/// Runs each test against a log in memory and a log in a file.
macro_rules! every_log {
    ($($(#[$doc:meta])* fn $name:ident($log:ident: &mut dyn Log) $body:block)*) => {
        $(#[cfg(test)] fn $name($log: &mut dyn Log) $body)*

        mod in_memory {
            use super::*;
            $(#[test] fn $name() {
                let originals = Originals::in_memory().unwrap();
                super::$name(&mut MemoryLog::with(Arc::new(Tally(1)), originals, true));
            })*
        }

        mod in_a_file {
            use super::*;
            $(#[test] fn $name() {
                let folder = tempfile::tempdir().unwrap();
                let options = Options::new(b"here".to_vec(), [1; 16]).projecting(Arc::new(Tally(1)));
                super::$name(&mut SqliteLog::open(folder.path(), options).unwrap().0);
            })*
        }
    };
}

#[cfg(test)]
fn set(facts: &[Fact]) -> Facts {
    facts.iter().cloned().collect()
}

#[cfg(test)]
fn same(held: &Facts, expected: &Facts) {
    let list = |facts: &Facts| facts.iter().cloned().collect::<Vec<_>>();
    assert_eq!(list(held), list(expected));
}

#[cfg(test)]
fn put(log: &dyn Log, bytes: &[u8]) -> Digest {
    let mut from = bytes;
    log.originals()
        .put(&mut from, "a.pdf", "application/pdf")
        .unwrap()
        .digest
}

every_log! {
    fn what_is_appended_is_read_back(log: &mut dyn Log) {
        let facts = Phone::new(1).answers(JOB, 5);
        let other = Phone::new(1).answers(OTHER_JOB, 2);
        let done = log.append(&facts).unwrap();
        assert_eq!(done.new.len(), 5);
        assert_eq!(done.last_arrival, 5);
        log.append(&other).unwrap();
        same(&log.facts(JOB).unwrap(), &set(&facts));
        same(&log.facts(OTHER_JOB).unwrap(), &set(&other));
        assert_eq!(log.fact(facts[3].id()).unwrap().as_ref(), Some(&facts[3]));
        assert_eq!(log.streams().unwrap(), [JOB, OTHER_JOB]);
        assert_eq!(log.last_arrival().unwrap(), 7);
        assert!(log.facts(wythe_job::Stream([77; 16])).unwrap().is_empty());
    }

    fn appending_again_changes_nothing(log: &mut dyn Log) {
        let facts = Phone::new(1).answers(JOB, 4);
        log.append(&facts).unwrap();
        let again = log.append(&[facts.clone(), facts.clone()].concat()).unwrap();
        assert!(again.new.is_empty() && again.filled.is_empty());
        assert_eq!(log.last_arrival().unwrap(), 4);
        let twice_in_one = vec![Phone::new(2).answer(JOB, "2 in"); 2];
        assert_eq!(log.append(&twice_in_one).unwrap().new.len(), 1);
        assert_eq!(log.last_arrival().unwrap(), 5);
    }

    fn arrivals_are_counted_in_the_order_of_coming(log: &mut dyn Log) {
        let facts = Phone::new(1).answers(JOB, 7);
        for fact in facts.iter().rev() {
            log.append(std::slice::from_ref(fact)).unwrap();
        }
        let first = log.arrivals(0, 3).unwrap();
        assert_eq!(first.iter().map(|a| a.number).collect::<Vec<_>>(), [1, 2, 3]);
        assert_eq!(first[0].fact, facts[6]);
        let rest = log.arrivals(3, 100).unwrap();
        assert_eq!(rest.len(), 4);
        assert_eq!(rest[3].fact, facts[0]);
        assert!(log.arrivals(7, 10).unwrap().is_empty());
    }

    fn a_copy_with_its_payload_fills_one_without(log: &mut dyn Log) {
        let fact = Phone::new(1).answer(JOB, "11 3/8 in");
        log.append(&[fact.without_payload()]).unwrap();
        assert_eq!(log.fact(fact.id()).unwrap().unwrap().payload(), None);
        let done = log.append(std::slice::from_ref(&fact)).unwrap();
        assert_eq!(done.filled, [fact.id()]);
        assert_eq!(log.fact(fact.id()).unwrap(), Some(fact.clone()));
        same(&log.facts(JOB).unwrap(), &set(std::slice::from_ref(&fact)));
        log.append(&[fact.without_payload()]).unwrap();
        assert!(log.fact(fact.id()).unwrap().unwrap().payload().is_some(), "the whole copy stays");
        assert_eq!(log.last_arrival().unwrap(), 1);
    }

    fn an_erasure_drops_the_payload_for_good(log: &mut dyn Log) {
        let mut phone = Phone::new(1);
        let facts = phone.answers(JOB, 3);
        log.append(&facts).unwrap();
        let erasure = phone.record(JOB, erased(facts[1].id(), None));
        let done = log.erase(&erasure).unwrap();
        assert_eq!(done.erased, [facts[1].id()]);
        assert_eq!(log.fact(facts[1].id()).unwrap().unwrap().payload(), None);
        assert_eq!(log.facts(JOB).unwrap().get(facts[1].id()).unwrap().payload(), None);
        assert!(log.facts(JOB).unwrap().gaps().is_empty(), "the chain still holds");
        let again = log.append(&facts).unwrap();
        assert!(again.filled.is_empty(), "an erased payload does not come back");
        assert_eq!(log.fact(facts[1].id()).unwrap().unwrap().payload(), None);
        assert!(log.fact(facts[0].id()).unwrap().unwrap().payload().is_some());
    }

    fn an_erasure_that_came_first_still_holds(log: &mut dyn Log) {
        let mut phone = Phone::new(1);
        let fact = phone.answer(JOB, "11 in");
        let erasure = phone.record(JOB, erased(fact.id(), None));
        log.receive(std::slice::from_ref(&erasure)).unwrap();
        log.receive(std::slice::from_ref(&fact)).unwrap();
        assert_eq!(log.fact(fact.id()).unwrap().unwrap().payload(), None);
        assert!(log.fact(erasure.id()).unwrap().unwrap().payload().is_some());
    }

    fn an_erasure_reaches_no_other_stream_and_no_other_erasure(log: &mut dyn Log) {
        let mut phone = Phone::new(1);
        let fact = phone.answer(JOB, "11 in");
        log.append(std::slice::from_ref(&fact)).unwrap();
        let elsewhere = phone.record(OTHER_JOB, erased(fact.id(), None));
        let refused = log.erase(&elsewhere).unwrap_err();
        assert_eq!(refused.code(), "nothing_to_erase");
        log.receive(std::slice::from_ref(&elsewhere)).unwrap();
        assert!(log.fact(fact.id()).unwrap().unwrap().payload().is_some());
        assert_eq!(log.erase(&fact).unwrap_err().code(), "no_erasure");
        let erasure = phone.record(JOB, erased(fact.id(), None));
        log.erase(&erasure).unwrap();
        let hiding = phone.record(JOB, erased(erasure.id(), None));
        assert_eq!(log.erase(&hiding).unwrap_err().code(), "not_erasable");
        log.receive(&[hiding]).unwrap();
        assert!(log.fact(erasure.id()).unwrap().unwrap().payload().is_some());
    }

    fn an_erased_original_goes_when_no_other_fact_names_it(log: &mut dyn Log) {
        let mut phone = Phone::new(1);
        let digest = put(log, b"a certificate with a name on it");
        let first = phone.record(JOB, paper(named(digest, 31)));
        let second = phone.record(OTHER_JOB, paper(named(digest, 31)));
        log.append(&[first.clone(), second.clone()]).unwrap();
        assert_eq!(log.named_by(digest).unwrap().len(), 2);
        log.erase(&phone.record(JOB, erased(first.id(), Some(digest)))).unwrap();
        assert!(log.originals().has(digest).unwrap(), "the other job still names it");
        log.erase(&phone.record(OTHER_JOB, erased(second.id(), Some(digest)))).unwrap();
        assert!(!log.originals().has(digest).unwrap());
        assert!(log.named_by(digest).unwrap().is_empty());
        assert!(log.waiting().unwrap().originals == 0);
    }

    fn a_fact_recorded_here_needs_its_original_first(log: &mut dyn Log) {
        let mut phone = Phone::new(1);
        let digest = digest_of(b"not here yet");
        let fact = phone.record(JOB, paper(named(digest, 12)));
        let before = phone.answer(JOB, "1 in");
        let refused = log.append(&[before.clone(), fact.clone()]).unwrap_err();
        assert_eq!(refused.code(), "original_missing");
        assert!(log.facts(JOB).unwrap().is_empty(), "all of a change or none");
        assert_eq!(log.receive(std::slice::from_ref(&fact)).unwrap().new.len(), 1);
        assert_eq!(put(log, b"not here yet"), digest);
        log.append(&[before, fact]).unwrap();
    }

    fn everything_belongs_to_one_business(log: &mut dyn Log) {
        log.append(&Phone::new(1).answers(JOB, 1)).unwrap();
        let foreign = Phone::of_business(2, BusinessId([8; 16])).answers(OTHER_JOB, 1);
        let refused = log.append(&foreign).unwrap_err();
        assert_eq!(refused.code(), "other_business");
        assert_eq!(log.streams().unwrap(), [JOB]);
        let mixed = [Phone::new(3).answers(JOB, 1), foreign].concat();
        assert!(log.receive(&mixed).is_err());
        assert_eq!(log.last_arrival().unwrap(), 1);
    }

    fn what_was_recorded_here_waits_for_the_office(log: &mut dyn Log) {
        let mut phone = Phone::new(1);
        let digest = put(log, b"ticket");
        let facts = [phone.answer(JOB, "1 in"), phone.record(JOB, paper(named(digest, 6)))];
        let theirs = Phone::new(2).answers(JOB, 2);
        assert!(log.waiting().unwrap().is_none());
        log.append(&facts).unwrap();
        log.receive(&theirs).unwrap();
        let waiting = log.waiting().unwrap();
        assert_eq!((waiting.facts, waiting.originals, waiting.bytes), (2, 1, 6));
        assert_eq!(log.waiting_facts(0, 10).unwrap().len(), 2);
        assert_eq!(log.waiting_facts(1, 10).unwrap()[0].fact, facts[1]);
        assert_eq!(log.waiting_originals(10).unwrap()[0].digest, digest);
        assert_eq!(log.release_original(digest).unwrap_err().code(), "not_yet_safe");
        let receipt = Change {
            safe_facts: &[facts[0].id(), theirs[0].id()],
            safe_originals: &[digest],
            ..Change::default()
        };
        log.commit(&receipt).unwrap();
        assert_eq!(log.waiting().unwrap().facts, 1);
        log.receive(&facts).unwrap();
        assert!(log.waiting().unwrap().is_none(), "what the office sends back is safe there");
        assert!(log.original_is_safe(digest).unwrap());
        log.release_original(digest).unwrap();
        assert!(!log.originals().has(digest).unwrap());
    }

    fn kept_values_change_and_are_forgotten(log: &mut dyn Log) {
        assert_eq!(log.setting("language").unwrap(), None);
        log.set_setting("language", Some(b"es")).unwrap();
        log.set_setting("language", Some(b"fr")).unwrap();
        assert_eq!(log.setting("language").unwrap().as_deref(), Some(&b"fr"[..]));
        log.set_setting("language", None).unwrap();
        assert_eq!(log.setting("language").unwrap(), None);
        log.draft_put(JOB, "survey.tile_width", "11 3").unwrap();
        log.draft_put(JOB, "survey.tile_depth", "7").unwrap();
        log.draft_put(OTHER_JOB, "survey.tile_depth", "8").unwrap();
        assert_eq!(log.draft_get(JOB, "survey.tile_width").unwrap().as_deref(), Some("11 3"));
        let drafts = log.drafts(JOB).unwrap();
        let keys: Vec<_> = drafts.iter().map(|(key, text)| (key.as_str(), text.as_str())).collect();
        assert_eq!(keys, [("survey.tile_depth", "7"), ("survey.tile_width", "11 3")]);
        log.draft_drop(JOB, "survey.tile_depth").unwrap();
        assert_eq!(log.drafts(JOB).unwrap().len(), 1);
    }

    fn a_fact_and_the_draft_it_came_from_change_together(log: &mut dyn Log) {
        log.draft_put(JOB, "survey.tile_width", "11 3/8 in").unwrap();
        let facts = Phone::new(1).answers(JOB, 1);
        let change = Change {
            facts: &facts,
            kept: vec![Kept::draft(JOB, "survey.tile_width", None), Kept::setting("cursor", Some(vec![1]))],
            ..Change::default()
        };
        log.commit(&change).unwrap();
        assert_eq!(log.draft_get(JOB, "survey.tile_width").unwrap(), None);
        let foreign = Phone::of_business(2, BusinessId([8; 16])).answers(JOB, 1);
        let change = Change {
            facts: &foreign,
            kept: vec![Kept::setting("cursor", Some(vec![2]))],
            ..Change::default()
        };
        log.commit(&change).unwrap_err();
        assert_eq!(log.setting("cursor").unwrap(), Some(vec![1]), "all of a change or none");
    }

    fn summaries_follow_the_facts(log: &mut dyn Log) {
        let mut phone = Phone::new(1);
        log.append(&phone.answers(JOB, 3)).unwrap();
        log.append(&phone.answers(OTHER_JOB, 2)).unwrap();
        assert_eq!(log.summary(JOB).unwrap().unwrap().label, "3 of 3, form 1");
        let more = phone.answer(JOB, "4 in");
        log.append(std::slice::from_ref(&more)).unwrap();
        assert_eq!(log.summary(JOB).unwrap().unwrap().label, "4 of 4, form 1");
        log.erase(&phone.record(JOB, erased(more.id(), None))).unwrap();
        assert_eq!(log.summary(JOB).unwrap().unwrap().label, "4 of 5, form 1");
        let rows = log.summaries(&Page::default()).unwrap();
        assert_eq!(rows.iter().map(|row| row.stream).collect::<Vec<_>>(), [OTHER_JOB, JOB]);
        let page = Page { after: Some((rows[0].summary.sort_key.clone(), OTHER_JOB)), ..Page::default() };
        assert_eq!(log.summaries(&page).unwrap(), rows[1..]);
        let found = Page { search: Some(more.id().short()), ..Page::default() };
        assert_eq!(log.summaries(&found).unwrap(), rows[1..]);
        let nothing = Page { search: Some("%".into()), ..Page::default() };
        assert!(log.summaries(&nothing).unwrap().is_empty());
        log.rebuild_projections().unwrap();
        assert_eq!(log.summaries(&Page::default()).unwrap(), rows, "made anew they are the same");
    }

    fn a_paused_log_answers_nothing_until_it_goes_on(log: &mut dyn Log) {
        let facts = Phone::new(1).answers(JOB, 2);
        log.append(&facts).unwrap();
        log.pause().unwrap();
        log.pause().unwrap();
        assert_eq!(log.facts(JOB).unwrap_err().code(), "store_paused");
        assert_eq!(log.append(&facts).unwrap_err().code(), "store_paused");
        log.resume().unwrap();
        log.resume().unwrap();
        same(&log.facts(JOB).unwrap(), &set(&facts));
        log.append(&Phone::new(2).answers(JOB, 1)).unwrap();
        assert_eq!(log.last_arrival().unwrap(), 3);
    }

    fn a_device_keeps_to_its_epochs(log: &mut dyn Log) {
        assert_eq!(log.identity().unwrap(), None);
        let mut identity = Identity {
            device: wythe_job::DeviceId([1; 16]),
            epoch: 2,
            wrapped_key: b"wrapped".to_vec(),
        };
        log.set_identity(&identity).unwrap();
        assert_eq!(log.identity().unwrap().as_ref(), Some(&identity));
        identity.epoch = 1;
        assert_eq!(log.set_identity(&identity).unwrap_err().code(), "old_epoch");
        assert_eq!(log.stale().unwrap(), None);
        assert!(log.kept(Area::Device, "identity").unwrap().is_some());
    }

    fn an_original_is_kept_once_and_byte_for_byte(log: &mut dyn Log) {
        let bytes: Vec<u8> = (0..700_000u32).flat_map(u32::to_le_bytes).collect();
        let digest = put(log, &bytes);
        assert_eq!(digest, digest_of(&bytes));
        assert_eq!(put(log, &bytes), digest);
        assert_eq!(log.originals().all().unwrap(), [digest]);
        let mut read = Vec::new();
        log.originals().read(digest).unwrap().read_to_end(&mut read).unwrap();
        assert_eq!(read, bytes);
        log.originals().verify(digest).unwrap();
        let absent = log.originals().verify(digest_of(b"other")).unwrap_err();
        assert!(matches!(absent, StoreError::NoOriginal(_)));
    }

    fn an_original_comes_in_pieces(log: &mut dyn Log) {
        let bytes = [5u8; 1000];
        let digest = digest_of(&bytes);
        let originals = log.originals();
        assert_eq!(originals.arrived(digest).unwrap_err().code(), "no_original");
        assert_eq!(originals.arrive(digest, 0, &bytes[..400]).unwrap(), 400);
        assert_eq!(originals.arrive(digest, 0, &bytes[..400]).unwrap_err().code(), "out_of_place");
        assert!(!originals.has(digest).unwrap());
        assert_eq!(originals.arrive(digest, 400, &bytes[400..]).unwrap(), 1000);
        originals.arrived(digest).unwrap();
        originals.verify(digest).unwrap();
        let wrong = digest_of(b"something else");
        originals.arrive(wrong, 0, b"not that").unwrap();
        assert_eq!(originals.arrived(wrong).unwrap_err().code(), "original_damaged");
        assert_eq!(originals.arrived_bytes(wrong).unwrap(), 0);
    }
}
