//! What a scenario expects at some point, held against how the job stands.

use wythe_app::job::Address;

use super::play::Stage;
use super::props::state_code;
use super::scenario::{Act, Expect};
use crate::trouble::Trouble;
use crate::typed::day;

impl Stage<'_> {
    /// Ends the play at the first thing that is not as expected.
    pub(super) fn expect(&mut self, act: &Act, expect: &Expect) -> Result<(), Trouble> {
        let job = self.job;
        let today = day(expect.today.as_deref())?;
        let look = self.phone(act)?.look(job, today)?;
        let known = look.known();
        let readiness = look.readiness(&known);
        let wrong = |why: String| Err(Trouble::Usage(why));
        for (id, state) in &expect.rows {
            let (id, path) = match id.parse::<Address>() {
                Ok(address) => (address.ask, address.path),
                Err(_) => (id.clone(), Vec::new()),
            };
            let path: Vec<(String, u32)> = path.into_iter().map(|place| (place.of, place.number)).collect();
            let mut rows = readiness
                .rows
                .iter()
                .filter(|row| row.id == id && (path.is_empty() || row.path == path));
            let Some(row) = rows.next() else {
                return wrong(format!("there is no row \"{id}\""));
            };
            let found = state_code(row.state);
            if found != state {
                let why = row
                    .why
                    .as_ref()
                    .map(|why| format!(" ({})", why.code))
                    .unwrap_or_default();
                return wrong(format!("{id} is {found}{why}, and {state} was expected"));
            }
        }
        let open: Vec<&str> = readiness
            .stops
            .iter()
            .map(|open| open.stop.code.as_str())
            .collect();
        if let Some(stop) = expect.stops.iter().find(|stop| !open.contains(&stop.as_str())) {
            return wrong(format!("{stop} does not stand; these do: {}", open.join(", ")));
        }
        if let Some(stop) = expect.no_stops.iter().find(|stop| open.contains(&stop.as_str())) {
            return wrong(format!("{stop} still stands"));
        }
        let missing: Vec<&str> = readiness.missing().iter().map(|row| row.id.as_str()).collect();
        if let Some(id) = expect.missing.iter().find(|id| !missing.contains(&id.as_str())) {
            return wrong(format!("{id} is not missing; these are: {}", missing.join(", ")));
        }
        if let Some(first) = &expect.first
            && missing.first() != Some(&first.as_str())
        {
            return wrong(format!(
                "{first} does not press first; the order is {}",
                missing.join(", ")
            ));
        }
        if let Some(ready) = expect.ready
            && ready != readiness.claim_is_whole()
        {
            let missing: Vec<String> = readiness
                .missing()
                .iter()
                .map(|row| format!("{} {}", row.id, state_code(row.state)))
                .collect();
            return wrong(format!(
                "ready is {}, stops: {}; missing: {}",
                readiness.claim_is_whole(),
                open.join(", "),
                missing.join(", ")
            ));
        }
        Ok(())
    }
}
