//! Golden facts changed at random: never a panic, always noticed.

#[cfg(test)]
#[expect(dead_code, reason = "shared with other tests")]
mod samples;

#[cfg(test)]
mod tests {
    use wythe_job::{Certificate, Fact, Fingerprint, Trust, readable};

    use crate::samples::{BUSINESS, certificate, keeper, samples};

    const SEED: u64 = 0x05ee_d0fa_c752;

    /// xorshift64* (Vigna, 2016).
    struct Chance(u64);

    impl Chance {
        fn below(&mut self, bound: usize) -> usize {
            self.0 ^= self.0 >> 12;
            self.0 ^= self.0 << 25;
            self.0 ^= self.0 >> 27;
            let mixed = self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 33;
            usize::try_from(mixed).unwrap() % bound
        }

        fn change(&mut self, bytes: &mut Vec<u8>) {
            let at = self.below(bytes.len());
            match self.below(6) {
                0 => bytes[at] ^= 1 << self.below(8),
                1 => bytes[at] = u8::try_from(self.below(256)).unwrap(),
                2 => bytes.insert(at, u8::try_from(self.below(256)).unwrap()),
                3 => drop(bytes.remove(at)),
                4 => bytes.truncate(at),
                _ => {
                    let from = self.below(bytes.len());
                    let piece: Vec<u8> = bytes[from..].iter().take(8).copied().collect();
                    bytes.splice(at..(at + piece.len()).min(bytes.len()), piece);
                }
            }
        }
    }

    #[test]
    fn a_changed_fact_is_noticed() {
        println!("seed {SEED:#x}");
        let mut chance = Chance(SEED);
        let first = certificate(1);
        let mut trust = Trust::in_business(BUSINESS, first.fingerprint());
        trust.add(first).unwrap();
        trust.add(certificate(2)).unwrap();
        let mut changed = 0;
        for sample in samples() {
            let good = sample.fact.encode();
            for round in 0..400 {
                let mut bytes = good.clone();
                for _ in 0..=chance.below(3) {
                    if !bytes.is_empty() {
                        chance.change(&mut bytes);
                    }
                }
                // Cutting the payload off cleanly is no damage; the chance that it happens is nil.
                if bytes == good {
                    continue;
                }
                changed += 1;
                let noticed = Fact::decode(&bytes).and_then(|fact| {
                    let _text = readable(&fact);
                    fact.verify_in(&trust)
                });
                assert!(noticed.is_err(), "{} in round {round}", sample.name);
            }
        }
        assert!(changed > 20_000, "{changed}");
    }

    #[test]
    fn a_changed_certificate_is_noticed() {
        println!("seed {SEED:#x}");
        let mut chance = Chance(SEED);
        let good = certificate(1);
        for round in 0..4_000 {
            let mut bytes = good.bytes().to_vec();
            chance.change(&mut bytes);
            if bytes != good.bytes() && !bytes.is_empty() {
                assert!(Certificate::decode(&bytes).is_err(), "round {round}");
            }
        }
    }

    #[test]
    fn the_body_of_a_changed_fact_reads_back_as_it_was_or_is_refused() {
        println!("seed {SEED:#x}");
        let mut chance = Chance(SEED);
        let (mut read, mut rounds) = (0, 0);
        for sample in samples() {
            let Some(payload) = sample.fact.payload() else {
                continue;
            };
            let envelope = sample.fact.envelope();
            for _ in 0..400 {
                let mut bytes = payload.body_bytes().to_vec();
                chance.change(&mut bytes);
                rounds += 1;
                let Ok(body) = wythe_job::Body::decode(&envelope.kind, envelope.critical, &bytes) else {
                    continue;
                };
                read += 1;
                // Whatever is read is what would be written, but for members that are not known.
                let written = body.encode();
                assert!(written == bytes || written.len() < bytes.len(), "{}", sample.name);
            }
        }
        assert!(read > 500, "{read} of {rounds}");
    }

    #[test]
    fn another_device_or_business_does_not_pass_for_the_signer() {
        let fact = &samples()[0].fact;
        let other = keeper(2).key.verifying_key();
        assert_eq!(fact.verify(&other).unwrap_err().code(), "bad_signature");
        let first = certificate(1);
        let mut trust = Trust::in_business(BUSINESS, Fingerprint::of(&[1; 32]));
        assert_eq!(trust.add(first).unwrap_err().code(), "bad_certificate");
        assert_eq!(fact.verify_in(&trust).unwrap_err().code(), "unknown_device");
        let stranger = Trust::in_business(wythe_job::BusinessId([1; 16]), Fingerprint::of(&[1; 32]));
        assert_eq!(fact.verify_in(&stranger).unwrap_err().code(), "wrong_business");
    }
}
