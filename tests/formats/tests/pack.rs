//! A pack is written, read by other programs, and every byte of it matters.

#[cfg(test)]
#[expect(dead_code, reason = "shared with other tests")]
mod made;

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::io::{Cursor, Read};

    use wythe_job::{Fingerprint, digest_of};
    use wythe_pack::{PackReader, State, WhyLeftOut, check_bytes};

    use crate::made::parts::Parts;
    use crate::made::{Choice, Made};

    #[test]
    fn a_pack_passes_its_own_check_and_tells_what_is_in_it() {
        let made = Made::new();
        let pack = made.pack(Choice::default()).unwrap();
        let report = check_bytes(&pack, None).unwrap();
        assert!(!report.trusted, "consistent, signer not known");
        assert_eq!(report.facts, 15);
        assert_eq!(report.originals, 3);
        assert_eq!(report.erased, [made.named["private"]]);
        assert_eq!(report.rows[&State::Met], 4);
        assert_eq!(report.pack, digest_of(Parts::of(&pack).get("manifest.json")));
        let report = check_bytes(&pack, Some(made.fingerprint())).unwrap();
        assert!(report.trusted);
        let other = Fingerprint::of(&[7; 32]);
        assert_eq!(check_bytes(&pack, Some(other)).unwrap_err().code(), "untrusted");
    }

    #[test]
    fn the_same_facts_give_the_same_bytes() {
        let pack = || Made::new().pack(Choice::default()).unwrap();
        assert_eq!(pack(), pack());
    }

    #[test]
    fn the_file_is_as_its_description_says_and_an_ordinary_program_reads_it() {
        let pack = Made::new().pack(Choice::default()).unwrap();
        let parts = Parts::of(&pack);
        assert_eq!(parts.zip(), pack, "written a second time from the description");
        let mut zip = zip::ZipArchive::new(Cursor::new(&pack)).unwrap();
        let mut sums = String::new();
        let mut file = zip.by_name("SHA256SUMS").unwrap();
        file.read_to_string(&mut sums).unwrap();
        drop(file);
        assert_eq!(sums.lines().count(), zip.len() - 1);
        for line in sums.lines() {
            let (digest, name) = line.split_once("  ").unwrap();
            let mut bytes = Vec::new();
            zip.by_name(name).unwrap().read_to_end(&mut bytes).unwrap();
            assert_eq!(digest_of(&bytes).to_string(), digest, "{name}");
        }
    }

    #[test]
    fn every_flipped_byte_is_noticed() {
        let mut pack = Made::new().pack(Choice::default()).unwrap();
        for at in 0..pack.len() {
            let bit = 1 << (at % 8);
            pack[at] ^= bit;
            assert!(check_bytes(&pack, None).is_err(), "byte {at}");
            pack[at] ^= bit;
        }
        assert!(check_bytes(&pack, None).is_ok());
    }

    #[test]
    fn a_pack_for_a_reader_says_what_was_left_out() {
        let made = Made::new();
        let note = made.named["note"];
        let ticket = digest_of(b"scale ticket, an invented one");
        let choice = Choice {
            reader: PackReader::Recycler,
            left_out: BTreeSet::from([note, made.named["inlet"]]),
            left_out_originals: BTreeSet::from([ticket]),
            ..Choice::default()
        };
        let report = check_bytes(&made.pack(choice).unwrap(), None).unwrap();
        assert!(report.left_out.contains(&note));
        assert_eq!(report.left_out_originals, [(ticket, WhyLeftOut::Reader)]);
        let choice = Choice {
            left_out: BTreeSet::from([note]),
            ..Choice::default()
        };
        let refused = made.pack(choice).unwrap_err();
        assert_eq!(refused.code(), "would_not_pass", "a full pack leaves nothing out");
    }

    #[test]
    fn an_original_that_is_not_here_is_told_and_a_damaged_one_refused() {
        let mut made = Made::new();
        let plate = digest_of(b"picture of a plate");
        let bytes = made.files.remove(&plate).unwrap();
        let report = check_bytes(&made.pack(Choice::default()).unwrap(), None).unwrap();
        assert_eq!(report.left_out_originals, [(plate, WhyLeftOut::NotHere)]);
        made.files.insert(plate, [bytes.as_slice(), b"!"].concat());
        let refused = made.pack(Choice::default()).unwrap_err();
        assert_eq!(refused.code(), "original_damaged");
    }

    #[test]
    fn facts_of_a_device_revoked_later_stand_and_are_marked() {
        let mut made = Made::new();
        made.revoke("fitter", "office");
        let report = check_bytes(&made.pack(Choice::default()).unwrap(), None).unwrap();
        assert_eq!(report.revoked, [made.keepers["fitter"].chain]);
        let choice = Choice {
            packer: "fitter",
            ..Choice::default()
        };
        assert!(made.pack(choice).is_err(), "a revoked device packs nothing");
    }
}
