//! The scenario files, played at the level of the guide: what each expects is so. `wythe demo` plays the
//! same files through the whole program; here they hold without a store, a photo or a clock.
#![expect(clippy::disallowed_methods, reason = "the test reads the scenario files")]

mod support;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use support::{Look, Phone, Shot, Stand, Tag, stand};
use toml::{Table, Value};
use wythe_guide::figures::Library;
use wythe_guide::readiness::State;
use wythe_guide::{Elsewhere, Guide, Known, Programme, local_date, open_stops, read_entry, row_label};
use wythe_job::{Address, Agreed, Instance, Moment};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fixtures/scenarios")
}

struct Stage<'g> {
    guide: &'g Guide,
    programme: Programme,
    library: Library,
    zone: String,
    phones: BTreeMap<String, Phone<'g>>,
    first: String,
    now: Moment,
    file: u64,
    tag: String,
}

impl<'g> Stage<'g> {
    fn set(guide: &'g Guide, scenario: &Table) -> Self {
        let programme = scenario["programme"].as_str().unwrap();
        let path = match programme {
            "larkspur" => folder().join("../programmes/larkspur.toml"),
            beside => folder().join(beside),
        };
        let text = std::fs::read_to_string(&path).unwrap();
        let programme = Programme::load("programme.toml", &text, guide).unwrap();
        let zone = scenario["job"]["zone"].as_str().unwrap().to_owned();
        let mut phones = BTreeMap::new();
        let mut first = String::new();
        let stores = scenario["store"].as_array().unwrap();
        for (number, store) in (1..).zip(stores) {
            let id = store["id"].as_str().unwrap().to_owned();
            if first.is_empty() {
                first.clone_from(&id);
            }
            phones.insert(id, Phone::new(guide, number));
        }
        let mut library = Library::new();
        for entry in scenario
            .get("library")
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
        {
            let text = |key: &str| entry[key].as_str().unwrap().to_owned();
            let content = serde_json::to_value(&entry["content"]).unwrap();
            library.insert((text("sort"), text("id")), content);
        }
        let mut stage = Self {
            guide,
            programme,
            library,
            zone,
            phones,
            now: wythe_guide::read_moment(scenario["clock"].as_str().unwrap()).unwrap(),
            first,
            file: 0,
            tag: String::new(),
        };
        let (now, zone, first) = (stage.now, stage.zone.clone(), stage.first.clone());
        let opener = stage.phones.get_mut(&first).unwrap();
        opener.now = now;
        opener.open(&zone);
        stage.tag = opener.job_tag();
        let everybody: Vec<String> = stage.phones.keys().cloned().collect();
        stage.join(&everybody);
        stage
    }

    fn join(&mut self, stores: &[String]) {
        let mut all = Phone::new(self.guide, 200);
        for store in stores {
            all.facts.extend(self.phones[store].facts.iter().cloned());
        }
        for store in stores {
            let phone = self.phones.get_mut(store).unwrap();
            phone.now = self.now;
            phone.meet(&all);
        }
    }

    fn act(&mut self, act: &Table) -> Result<(), String> {
        let text = |key: &str| act.get(key).and_then(Value::as_str);
        match text("at") {
            Some(at) => self.now = wythe_guide::read_moment(at).ok_or("at is no moment")?,
            None => self.now.utc_ms += 60_000,
        }
        if let Some(stores) = act.get("join").and_then(Value::as_array) {
            let stores: Vec<String> = stores
                .iter()
                .map(|one| one.as_str().unwrap().to_owned())
                .collect();
            self.join(&stores);
            return Ok(());
        }
        let on = text("on").unwrap_or(&self.first).to_owned();
        if let Some(expect) = act.get("expect") {
            return self.expect(&on, expect.as_table().unwrap());
        }
        let now = self.now;
        self.phones.get_mut(&on).ok_or("no such store")?.now = now;
        if let Some(answers) = act.get("answers").and_then(Value::as_array) {
            for answer in answers {
                let [address, typed] = answer.as_array().unwrap().as_slice() else {
                    return Err("an answer is an address and what is typed".to_owned());
                };
                self.answer(&on, address.as_str().unwrap(), typed.as_str().unwrap())?;
            }
            return Ok(());
        }
        self.other(act, &on)
    }

    fn other(&mut self, act: &Table, on: &str) -> Result<(), String> {
        let text = |key: &str| act.get(key).and_then(Value::as_str);
        let tag = self.tag.clone();
        if let Some(address) = text("photo") {
            self.kind(address, "photo")?;
            self.file += 1;
            let tagged = act.get("tag").and_then(Value::as_bool) == Some(true);
            let shot = Shot {
                tag: if tagged { Tag::Own } else { Tag::None },
                ..Shot::good(self.file)
            };
            self.phone(on).photo(address, &shot, &tag);
        } else if let Some(address) = text("paper") {
            self.kind(address, "paper")?;
            self.phone(on).paper(address);
        } else if let Some(address) = text("sign") {
            self.kind(address, "signature")?;
            let declined = text("act") == Some("declined");
            let ask = self.ask(address)?;
            let closed = self.stand(on, None).stops.values().any(|blocks| {
                blocks
                    .iter()
                    .any(|block| block == "sign_off" || block == "everything")
            });
            if ask.sign_off && closed && !declined {
                return Err("sign_off_closed".to_owned());
            }
            let act = match text("act") {
                Some("declined") => "declined",
                Some("on_paper") => "on_paper",
                _ => "signed",
            };
            self.phone(on).sign(address, act);
        } else if let Some(sort) = text("visit") {
            let moment = text("moment").unwrap_or("arrived").to_owned();
            if moment == "arrived" {
                self.phone(on).arrive(sort);
            } else {
                self.phone(on).moment(sort, &moment);
            }
        } else if let Some(group) = text("add") {
            let number = act["number"].as_integer().unwrap();
            let body = Instance {
                address: Address::of("").at(group, u32::try_from(number).unwrap()),
                there: true,
                name: text("name").map(str::to_owned),
            };
            self.phone(on).note(body);
        } else if let Some(address) = text("agree") {
            let typed = text("typed").ok_or("typed is missing")?;
            let entry = read_entry(self.ask(address)?, typed, "en").map_err(|why| why.to_string())?;
            let body = Agreed {
                address: address.parse().unwrap(),
                value: entry.value,
                reason: text("reason").ok_or("reason is missing")?.to_owned(),
                measured: entry.measured,
            };
            self.phone(on).agree(body);
        } else if let Some(address) = text("strike") {
            self.phone(on).strike_all(address);
        } else if let Some(figures) = text("keep") {
            let library = self.library.clone();
            let id = self.guide.figures.iter().find(|plan| plan.id == figures);
            let id = id.ok_or("no such figures")?.id.clone();
            self.phone(on).keep(&id, &library);
        } else if let Some(code) = text("lift") {
            let stop = self.guide.stops.iter().find(|stop| stop.code == code);
            if !stop.is_some_and(|stop| stop.lifted_by.can_lift()) {
                return Err("not_one_of".to_owned());
            }
            self.phone(on).lift(code, Vec::new());
        } else if let Some(to) = text("claim") {
            let date = text("date").ok_or("date is missing")?.to_owned();
            self.phone(on).claim(to, &date);
        } else {
            let known = ["show", "note", "say", "pack"];
            if !known.iter().any(|verb| act.contains_key(*verb)) {
                return Err(format!("no verb: {act:?}"));
            }
        }
        Ok(())
    }

    fn phone(&mut self, on: &str) -> &mut Phone<'g> {
        self.phones.get_mut(on).unwrap()
    }

    fn ask(&self, address: &str) -> Result<&'g wythe_guide::Ask, String> {
        let address: Address = address.parse().map_err(|_| format!("{address} is no address"))?;
        let ask = self.guide.ask(&address.ask);
        let ask = ask.ok_or_else(|| format!("there is no ask {}", address.ask))?;
        let path: Vec<&str> = address.path.iter().map(|place| place.of.as_str()).collect();
        let wanted: Vec<&str> = ask.each.iter().map(String::as_str).collect();
        if path == wanted {
            Ok(ask)
        } else {
            Err(format!("{address} is asked for each {wanted:?}"))
        }
    }

    fn kind(&self, address: &str, kind: &str) -> Result<(), String> {
        let ask = self.ask(address)?;
        if ask.kind.name() == kind {
            Ok(())
        } else {
            Err(format!("{address} asks for a {}", ask.kind.name()))
        }
    }

    fn answer(&mut self, on: &str, address: &str, typed: &str) -> Result<(), String> {
        let ask = self.ask(address)?;
        read_entry(ask, typed, "en").map_err(|why| format!("{address}: {why}"))?;
        if ask.act && typed != "no" {
            let today = local_date(self.now, &self.zone).unwrap();
            let look = Look::of(&self.phones[on].facts);
            let known = Known::new(self.guide, &look.job, &look.causality).on(today);
            if open_stops(&known).iter().any(|open| open.stop.blocks_ask(ask)) {
                return Err("held".to_owned());
            }
        }
        self.phone(on).answer(address, typed);
        Ok(())
    }

    fn stand(&self, on: &str, today: Option<&str>) -> Stand {
        let today = today.map_or_else(
            || local_date(self.now, &self.zone).unwrap().to_string(),
            str::to_owned,
        );
        let nowhere = Elsewhere::default();
        let phone = &self.phones[on];
        stand(
            self.guide,
            &phone.facts,
            &self.programme,
            &self.library,
            &nowhere,
            &today,
        )
    }

    fn expect(&self, on: &str, expect: &Table) -> Result<(), String> {
        let found = self.stand(on, expect.get("today").and_then(Value::as_str));
        for row in expect.get("rows").and_then(Value::as_array).into_iter().flatten() {
            let (id, wanted) = (row[0].as_str().unwrap(), row[1].as_str().unwrap());
            let (name, place) = id.split_once('@').unwrap_or((id, ""));
            let here = found.rows.iter().find(|row| {
                let path: Vec<String> = row
                    .path
                    .iter()
                    .map(|(of, number)| format!("{of}:{number}"))
                    .collect();
                row.id == name && (place.is_empty() || path == [place])
            });
            let row = here.ok_or_else(|| format!("there is no row {id}"))?;
            if state(row.state) != wanted {
                return Err(format!(
                    "{id} is {} ({:?}), not {wanted}",
                    state(row.state),
                    row.why
                ));
            }
        }
        let codes = |key: &str| -> Vec<String> {
            let codes = expect.get(key).and_then(Value::as_array).into_iter().flatten();
            codes.map(|code| code.as_str().unwrap().to_owned()).collect()
        };
        for code in codes("stops").iter().chain(&codes("no_stops")) {
            if !self.guide.stops.iter().any(|stop| stop.code == *code) {
                return Err(format!("there is no stop {code}"));
            }
        }
        if let Some(code) = codes("stops")
            .iter()
            .find(|code| !found.stops.contains_key(*code))
        {
            return Err(format!(
                "{code} does not stand; these do: {:?}",
                found.stops.keys()
            ));
        }
        if let Some(code) = codes("no_stops")
            .iter()
            .find(|code| found.stops.contains_key(*code))
        {
            return Err(format!("{code} stands"));
        }
        match expect.get("ready").and_then(Value::as_bool) {
            Some(ready) if ready != found.ready => Err(format!(
                "ready is {}; missing {:?}, stops {:?}",
                found.ready, found.missing, found.stops
            )),
            _ => Ok(()),
        }
    }
}

fn state(state: State) -> &'static str {
    match state {
        State::Met => "met",
        State::Doubtful => "doubtful",
        State::NotNeeded => "not_needed",
        State::Waiting => "waiting",
        State::Missing => "missing",
        State::Disagreeing => "disagreeing",
        State::DoesNotCount => "does_not_count",
    }
}

#[test]
fn every_scenario_goes_as_it_says() {
    let guide = Guide::embedded().unwrap();
    let mut played = 0;
    for entry in std::fs::read_dir(folder()).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|ext| ext != "toml") {
            continue;
        }
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let text = std::fs::read_to_string(&path).unwrap();
        let scenario: Table = text.parse().unwrap();
        let mut stage = Stage::set(&guide, &scenario);
        for (number, act) in (1..).zip(scenario["act"].as_array().unwrap()) {
            let act = act.as_table().unwrap();
            let ended = stage.act(act);
            let refused = act.get("refused").and_then(Value::as_str).map(str::to_owned);
            assert_eq!(ended.err(), refused, "{name}, act {number}: {act:?}");
        }
        played += 1;
    }
    assert!(played >= 12, "{played}");
}

#[test]
fn what_is_missing_is_named_in_three_languages() {
    use wythe_guide::{Language, Words};
    let guide = Guide::embedded().unwrap();
    let mut phone = Phone::new(&guide, 1);
    phone.open("America/Denver");
    for (programme, _) in support::programmes(&guide) {
        let nowhere = Elsewhere::default();
        let found = stand(
            &guide,
            &phone.facts,
            &programme,
            &Library::new(),
            &nowhere,
            "2026-03-02",
        );
        for language in Language::ALL {
            let words = Words::of(language);
            for row in &found.rows {
                let label = row_label(row, &words);
                assert!(
                    !label.contains('[') && !label.contains('_'),
                    "{}: {label}",
                    row.id
                );
                if let Some(why) = &row.why {
                    let told = wythe_guide::screen::why_in_words(why, &words);
                    assert!(!told.contains(['[', '#', '{']), "{}: {told}", row.id);
                }
            }
        }
    }
}
