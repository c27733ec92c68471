//! Choices of sections for one group, and how long a group becomes.

use super::stock::{Section, Stock};

/// How many of each section: eight counts of eight bits, so that two groups add up in one addition.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Pick {
    counts: u64,
    /// Effective length of all, uncut.
    pub(super) sum: i64,
    pub(super) cost: i64,
    /// How many sections.
    pub(super) taken: usize,
}

impl Pick {
    /// How many of a section.
    pub(super) fn count(&self, section: &Section) -> u64 {
        (self.counts >> section.shift) & 0xff
    }

    fn with(self, section: &Section, count: u64) -> Self {
        let times = i64::try_from(count).unwrap_or_default();
        Self {
            counts: self.counts | (count << section.shift),
            sum: self.sum + times * section.effective,
            cost: self.cost + times * section.cost,
            taken: self.taken + usize::try_from(count).unwrap_or_default(),
        }
    }

    /// Whether both groups together keep within what is on hand.
    pub(super) fn goes_with(&self, other: &Self, sections: &[Section]) -> bool {
        let both = Self {
            counts: self.counts + other.counts,
            ..Self::default()
        };
        sections
            .iter()
            .all(|section| both.count(section) <= section.on_hand)
    }
}

/// Every pick within the stock, by number of sections, each list in the order of its sums.
pub(super) struct Picks(Vec<Vec<Pick>>);

impl Picks {
    pub(super) fn of(stock: &Stock) -> Self {
        let mut lists = vec![Vec::new(); stock.max_pieces + 1];
        extend(&stock.sections, Pick::default(), &mut lists);
        for list in &mut lists {
            list.sort_by_key(|pick: &Pick| pick.sum);
        }
        Self(lists)
    }

    /// For each number of sections, the picks of at most that many, in the order of their sums.
    pub(super) fn up_to(&self) -> Vec<Vec<Pick>> {
        let mut all: Vec<Pick> = Vec::new();
        let merged = |list: &Vec<Pick>| {
            all.extend(list);
            all.sort_by_key(|pick| pick.sum);
            all.clone()
        };
        self.0.iter().map(merged).collect()
    }

    /// The lists, by number of sections.
    pub(super) fn by_count(&self) -> &[Vec<Pick>] {
        &self.0
    }
}

fn extend(sections: &[Section], pick: Pick, lists: &mut Vec<Vec<Pick>>) {
    let Some((section, others)) = sections.split_first() else {
        if let Some(list) = lists.get_mut(pick.taken) {
            list.push(pick);
        }
        return;
    };
    let room = u64::try_from(lists.len() - 1 - pick.taken).unwrap_or_default();
    for count in 0..=room.min(section.on_hand) {
        extend(others, pick.with(section, count), lists);
    }
}

/// A pick as one group of an arrangement, with or without the telescope and a cut.
#[derive(Clone, Copy, Debug)]
pub(super) struct Group<'a> {
    pub(super) pick: Pick,
    pub(super) telescope: bool,
    pub(super) cut: Option<&'a Section>,
}

/// What a group becomes when it aims at a length.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Built {
    pub(super) length: i64,
    pub(super) offcut: i64,
    /// Length of the telescope, when it is in this group.
    pub(super) setting: i64,
}

impl Group<'_> {
    /// The group with nothing in it.
    pub(super) fn empty() -> Self {
        Self {
            pick: Pick::default(),
            telescope: false,
            cut: None,
        }
    }

    /// Aims at a length; none when the cut would take nothing, or leave too little.
    pub(super) fn built(&self, target: i64, (least, most): (i64, i64)) -> Option<Built> {
        let sum = self.pick.sum;
        match self.cut {
            None => {
                let setting = (target - sum).clamp(least, most);
                Some(Built {
                    length: sum + setting,
                    offcut: 0,
                    setting,
                })
            }
            Some(section) => {
                let wanted = sum + least - target;
                if wanted < 1 || section.most_cut < 1 {
                    return None;
                }
                let offcut = wanted.min(section.most_cut);
                Some(Built {
                    length: sum + least - offcut,
                    offcut,
                    setting: least,
                })
            }
        }
    }
}

/// The picks of a list whose sums lie between two, both included.
pub(super) fn within(list: &[Pick], from: i64, to: i64) -> impl Iterator<Item = &Pick> {
    let start = list.partition_point(|pick| pick.sum < from);
    list.iter().skip(start).take_while(move |pick| pick.sum <= to)
}
