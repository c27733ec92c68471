use minicbor::{Decode, Encode};

/// How far a phone has come in what the office gives it.
///
/// All facts of a business come to its office in one order, and that a phone was given a stream has a
/// place in the same order. A fact is due to a phone when both it and the stream have come: its key is
/// the later of the two places. Facts go out by key, then by their own place; so one pair stands for a
/// cursor in every stream, and [`Cursor::after`] says which. A stream given late begins at its first
/// fact whatever the phone had of other streams.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Encode, Decode)]
pub struct Cursor {
    /// The key of the latest fact that came.
    #[n(0)]
    pub key: u64,
    /// Its place.
    #[n(1)]
    pub number: u64,
}

impl Cursor {
    /// The cursor past everything up to a place.
    #[must_use]
    pub fn past(number: u64) -> Self {
        Self { key: number, number }
    }

    /// The cursor at a fact of a stream.
    #[must_use]
    pub fn at(granted: u64, number: u64) -> Self {
        Self {
            key: granted.max(number),
            number,
        }
    }

    /// The cursor within a stream that was given at a place: its facts past this number are due.
    #[must_use]
    pub fn after(self, granted: u64) -> u64 {
        match self.key.cmp(&granted) {
            std::cmp::Ordering::Less => 0,
            std::cmp::Ordering::Equal => self.number,
            std::cmp::Ordering::Greater => self.key,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_pair_stands_for_a_cursor_in_every_stream() {
        for granted in 1..9u64 {
            for number in (1..12).filter(|number| *number != granted) {
                for key in 0..12 {
                    for at in 0..=key {
                        let cursor = Cursor { key, number: at };
                        // No fact stands at the place of a grant.
                        if key == granted && at == granted {
                            continue;
                        }
                        let due = Cursor::at(granted, number) > cursor;
                        // A pair whose parts differ is one of a grant's own key.
                        if key == granted || at == key {
                            assert_eq!(
                                due,
                                number > cursor.after(granted),
                                "{granted} {number} {cursor:?}"
                            );
                        }
                    }
                }
            }
        }
    }
}
