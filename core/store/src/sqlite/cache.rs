use std::collections::HashMap;
use std::sync::Arc;

use wythe_job::{Facts, Stream};

/// The most facts kept in memory; about a kilobyte each.
const MOST_FACTS: usize = 10_000;

/// The streams read last, so that a screen does not read its job anew after each answer.
#[derive(Default)]
pub(crate) struct Cache {
    streams: HashMap<Stream, (u64, Arc<Facts>)>,
    facts: usize,
    uses: u64,
}

impl Cache {
    pub(crate) fn get(&mut self, stream: Stream) -> Option<Arc<Facts>> {
        self.uses += 1;
        let (used, facts) = self.streams.get_mut(&stream)?;
        *used = self.uses;
        Some(Arc::clone(facts))
    }

    /// Takes a stream out, so that it can be changed without a copy.
    pub(crate) fn take(&mut self, stream: Stream) -> Option<Arc<Facts>> {
        let (_, facts) = self.streams.remove(&stream)?;
        self.facts = self.facts.saturating_sub(facts.len());
        Some(facts)
    }

    pub(crate) fn put(&mut self, stream: Stream, facts: Arc<Facts>) {
        drop(self.take(stream));
        if facts.len() > MOST_FACTS {
            return;
        }
        while self.facts + facts.len() > MOST_FACTS
            && let Some(oldest) = self.oldest()
        {
            drop(self.take(oldest));
        }
        self.uses += 1;
        self.facts += facts.len();
        self.streams.insert(stream, (self.uses, facts));
    }

    pub(crate) fn clear(&mut self) {
        *self = Self::default();
    }

    fn oldest(&self) -> Option<Stream> {
        let streams = self.streams.iter().min_by_key(|(_, (used, _))| *used);
        streams.map(|(stream, _)| *stream)
    }
}
