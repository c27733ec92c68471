//! Jobs by chance: the whole job with a few things otherwise.

use std::collections::BTreeMap;

use wythe_guide::figures::Library;
use wythe_guide::{Elsewhere, Guide};
use wythe_job::{Facts, JobId};

use super::book::Book;
use super::deeds::{Deed, answer, play};
use super::dice::Dice;
use super::whole::deeds;
use super::{Phone, Tag, photo_digest};

/// What else may be typed at an address.
const OTHERWISE: &[(&str, &[&str])] = &[
    ("survey.gas_smell", &["yes"]),
    (
        "survey.room_co",
        &["0 ppm", "8 ppm", "9 ppm", "35 ppm", "36 ppm", "100 ppm"],
    ),
    (
        "survey.owner_name@owner:1",
        &["Moss Featherstep", "TANSY FEATHERSTEP"],
    ),
    (
        "survey.household_address",
        &["14 Nowhere Lane, Larkspur Basin", "12 nowhere ln larkspur basin"],
    ),
    ("survey.stove_connected@old_stove:1", &["no"]),
    ("survey.stove_make@old_stove:1", &["Kettleby"]),
    ("survey.stove_certified@old_stove:1", &["certified", "no_plate"]),
    ("survey.stove_year@old_stove:1", &["1991", "1992", "2004"]),
    ("survey.main_heat", &["no"]),
    ("survey.tile_inside_a@tile_section:2", &["4 3/4 in", "6 1/4 in"]),
    ("survey.other_on_flue", &["yes"]),
    ("survey.suspect_material", &["yes"]),
    ("survey.built_before_1978", &["yes"]),
    ("survey.fuel", &["propane"]),
    ("plan.approval_date", &["2026-03-01", "2026-02-20", "2026-03-25"]),
    (
        "plan.approval_expires",
        &["2026-03-23", "2026-03-24", "2026-04-07"],
    ),
    ("plan.model_listed", &["no"]),
    ("plan.heater_rated", &["no"]),
    ("plan.in_vent_table", &["no"]),
    ("plan.tile_as_air_listed", &["no"]),
    ("plan.restrictor_zone", &["C"]),
    ("plan.altitude", &["1500 m"]),
    ("plan.crate_fuel", &["propane"]),
    ("plan.crate_serial", &["hn30 004417", "HN30-004418"]),
    ("plan.sale_date", &["2026-02-17", "2026-02-18", "2026-03-05"]),
    ("plan.purchase_date", &["2026-02-08", "2026-02-07"]),
    ("plan.delivery_date", &["2026-04-09", "2026-04-10"]),
    ("chimney_top.height_above_roof", &["2 ft"]),
    ("chimney_top.roof_dry", &["no"]),
    ("chimney_top.wind", &["25 mph", "26 mph"]),
    ("chimney_top.ladder_safe", &["no"]),
    ("chimney_top.cap_right_way", &["no"]),
    ("chimney_top.sealed", &["no"]),
    ("removal.gas_smell", &["yes"]),
    ("removal.co_on_arrival", &["12 ppm", "60 ppm"]),
    ("removal.approval_seen", &["no"]),
    ("removal.body_temperature@old_stove:1", &["100 degF", "101 degF"]),
    ("removal.live_coals@old_stove:1", &["yes"]),
    ("removal.disconnected@old_stove:1", &["no"]),
    ("removal.swept", &["no"]),
    ("removal.flue_breached", &["yes"]),
    ("removal.removed_on", &["2026-04-03", "2026-04-04", "2026-03-05"]),
    ("lining.trial_passed", &["no"]),
    ("lining.liner_listed", &["no"]),
    ("lining.ends_proven", &["no"]),
    ("setting.clearance_rear", &["4 in", "3 7/8 in"]),
    ("setting.pad_and_mantel", &["no"]),
    ("setting.glass_latched", &["no"]),
    ("setting.restrictor_set", &["A"]),
    ("setting.serial", &["HN30 004417", "HN30-004471"]),
    ("gas.gas_smell", &["yes"]),
    ("gas.fuel_matches", &["no"]),
    ("gas.appliance_apart", &["no"]),
    ("gas.gauge_end", &["8 psi"]),
    ("gas.test_passed", &["no"]),
    ("gas.valve_over_pressure", &["yes"]),
    ("gas.shut_off_near", &["no"]),
    ("gas.new_connector", &["no"]),
    ("gas.leak_check", &["no"]),
    ("gas.appliances_relit", &["1"]),
    ("start_up.manifold_high", &["3.9 in wc", "3.8 in wc"]),
    ("start_up.lock_up", &["10.5 in wc", "10.6 in wc"]),
    ("start_up.input_in_limit", &["no"]),
    ("start_up.boom", &["yes"]),
    ("start_up.flame_out", &["90 s", "91 s"]),
    ("start_up.flame_out_passed", &["no"]),
    ("start_up.co_outdoors", &["0 ppm", "3 ppm"]),
    ("start_up.co_before", &["2 ppm", "9 ppm"]),
    (
        "start_up.co_after",
        &[
            "2 ppm", "3 ppm", "4 ppm", "9 ppm", "35 ppm", "36 ppm", "99 ppm", "100 ppm",
        ],
    ),
    (
        "start_up.installed_on",
        &["2026-04-26", "2026-06-18", "2026-06-19"],
    ),
    ("walk_through.screen_fitted", &["no"]),
    ("walk_through.co_alarm", &["no"]),
    ("destruction.asbestos_clear@old_stove:1", &["no"]),
    ("destruction.hinges@old_stove:1", &["3", "1", "0"]),
    ("destruction.destroyed_on", &["2026-04-20"]),
    ("destruction.door_goes", &["door_held"]),
    ("destruction.weight@old_stove:1", &["120 lb", "601 lb"]),
    (
        "destruction.ticket_says",
        &["scrap steel", "wood stove", "Emberwick", "a porcupine-2 stove"],
    ),
    (
        "destruction.certificate_date",
        &["2026-04-23", "2026-04-24", "2026-05-08", "2026-05-09"],
    ),
    ("destruction.certificate_not_resold", &["no"]),
    ("claim.applicant_name", &["Tansy Fetherstep"]),
    ("claim.invoice_name", &["T. Featherstep"]),
    ("claim.invoice_serial", &["HN30-004416"]),
    ("claim.invoice_discount", &["100.00 USD"]),
    ("claim.permit_final", &["2026-03-24"]),
    ("claim.licence_until", &["2026-03-25", "2026-03-24"]),
    ("claim.insurance_until", &["2026-03-24", "2026-03-23"]),
    ("claim.enrolment_until", &["2026-03-10", "2026-03-09"]),
    ("claim.tax_form", &["no"]),
    ("claim.tax_form_until", &["2026-04-08"]),
];

/// What else may come to be recorded.
const MORE: &[(&str, &str)] = &[
    ("plan.lab_result", "clear"),
    ("plan.lab_result", "contains"),
    ("removal.no_before_reason@old_stove:1", "The camera was dead."),
    ("start_up.co_cause", "Break-in smoke; aired out."),
    ("gas.corrugated_bonded", "no"),
    ("gas.covered_after", "no"),
    ("gas.purged", "no"),
    ("removal.ash_outdoors", "no"),
    ("plan.lead_result", "lead_safe_work"),
    // After the figures were kept.
    ("survey.tile_inside_a@tile_section:2", "6 1/4 in"),
    ("plan.altitude", "1500 m"),
];
/// When the instruments of the visit may have been calibrated.
const CALIBRATED: &[&str] = &["2025-03-24", "2025-03-25", "2026-02-02"];
const MORE_PAPERS: &[&str] = &[
    "plan.lab_paper",
    "plan.maker_letter",
    "plan.authority_agrees",
    "removal.sweep_report",
];

/// Where two phones may disagree.
const CONTESTED: &[(&str, &[&str])] = &[
    (
        "survey.stove_certified@old_stove:1",
        &["certified", "uncertified"],
    ),
    ("start_up.manifold_high", &["3.4 in wc"]),
    ("claim.applicant_name", &["Somebody Else"]),
    ("claim.licence_until", &["2026-01-31"]),
    ("walk_through.screen_fitted", &["no", "yes"]),
];

/// What kept figures were worked out from.
const BEHIND_FIGURES: &[(&str, &str)] = &[
    ("lining.liner_fit", "plan.arrangement"),
    ("lining.liner_fit", "plan.exhaust_outside"),
    ("lining.liner_fit", "plan.exhaust_inside"),
    ("lining.liner_fit", "survey.tile_shape"),
    ("lining.liner_fit", "survey.tile_inside_a@tile_section:1"),
    ("lining.liner_fit", "survey.tile_inside_b@tile_section:1"),
    ("lining.liner_fit", "survey.tile_inside_a@tile_section:2"),
    ("lining.liner_fit", "survey.tile_inside_b@tile_section:2"),
    ("plan.derate", "plan.plate_input"),
    ("plan.derate", "plan.altitude"),
];

/// A job by chance: the whole job, with a few things otherwise.
pub struct Chance {
    deeds: Vec<Deed>,
    others: BTreeMap<String, String>,
    same_house: bool,
    photo_elsewhere: Option<u64>,
    pub today: String,
}

impl Chance {
    pub fn new(dice: &mut Dice, grant: &str) -> Self {
        let mut chance = Self {
            deeds: deeds(),
            others: BTreeMap::new(),
            same_house: false,
            photo_elsewhere: None,
            today: "2026-04-08".to_owned(),
        };
        chance.deeds.push(answer("claim.invoice_discount", grant));
        // One job in nine stays whole; the others have up to five things otherwise.
        let otherwise = if dice.one_in(9) { 0 } else { 1 + dice.below(5) };
        for _ in 0..otherwise {
            match dice.below(16) {
                0..=3 => chance.drop_one(dice),
                4..=8 => chance.answer_otherwise(dice),
                9 => chance.photograph_otherwise(dice),
                10 => chance.photograph_elsewhen(dice),
                11 => chance.answer_again(dice),
                12 => chance.record_more(dice),
                13 => chance.add_somebody(dice),
                14 => chance.disagree(dice),
                _ => chance.look_elsewhere(dice),
            }
        }
        chance
    }

    fn drop_one(&mut self, dice: &mut Dice) {
        if dice.one_in(12) {
            // Nothing of the removal is recorded yet.
            let gone = ["removal.before_with_tag", "removal.disconnected"];
            self.deeds.retain(|deed| {
                let address = deed.address().unwrap_or_default();
                !gone.iter().any(|ask| address.starts_with(ask))
            });
            return;
        }
        let place = dice.below(self.deeds.len());
        if matches!(self.deeds[place], Deed::At(_)) {
            return;
        }
        let gone = self.deeds.remove(place);
        // What cannot be worked out is not kept.
        let behind = BEHIND_FIGURES
            .iter()
            .filter(|(_, address)| gone.address() == Some(address));
        let unkept: Vec<&str> = behind.map(|(figures, _)| *figures).collect();
        self.deeds
            .retain(|deed| !matches!(deed, Deed::Keep(figures) if unkept.contains(figures)));
    }

    fn answer_otherwise(&mut self, dice: &mut Dice) {
        let (address, values) = dice.pick(OTHERWISE);
        let typed = dice.pick(values);
        for deed in &mut self.deeds {
            if let Deed::Answer(at, old) = deed
                && at == address
            {
                *old = (*typed).to_owned();
            }
        }
    }

    /// Some photo is worse than it should be, or its camera's clock says another time.
    fn photograph_otherwise(&mut self, dice: &mut Dice) {
        let photos = self.deeds.iter_mut().filter_map(|deed| match deed {
            Deed::Photo(_, shot) => Some(shot),
            _ => None,
        });
        let mut photos: Vec<_> = photos.collect();
        let place = dice.below(photos.len());
        let shot = &mut photos[place];
        match dice.below(6) {
            0 => shot.grade = ["poor", "weak", "usable"][dice.below(3)],
            1 => {
                shot.grade = "poor";
                shot.reasons = vec!["blurred 3.2".to_owned()];
            }
            2 => {
                shot.grade = "weak";
                shot.best = Some("There is no light behind it.".to_owned());
            }
            3 => shot.tag = Tag::None,
            4 => shot.tag = *dice.pick(&[Tag::Other, Tag::MadeUp]),
            _ => {
                let taken = dice.pick(&[
                    "2026-03-02T09:30:00-07:00",
                    "2026-03-07T23:30:00-07:00",
                    "2026-03-24T08:05:00-06:00",
                    "2026-03-29T12:00:00-06:00",
                ]);
                shot.taken = Some((*taken).to_owned());
            }
        }
    }

    /// Some photo is recorded at another time than it should be.
    fn photograph_elsewhen(&mut self, dice: &mut Dice) {
        let photos = self.deeds.iter().enumerate();
        let photos: Vec<usize> = photos
            .filter(|(_, deed)| matches!(deed, Deed::Photo(..)))
            .map(|(place, _)| place)
            .collect();
        let photo = self.deeds.remove(*dice.pick(&photos));
        let to = dice.below(self.deeds.len());
        self.deeds.insert(to, photo);
    }

    fn answer_again(&mut self, dice: &mut Dice) {
        let answers: Vec<(String, String)> = self
            .deeds
            .iter()
            .filter_map(|deed| match deed {
                Deed::Answer(address, typed) => Some((address.clone(), typed.clone())),
                _ => None,
            })
            .collect();
        let (address, mut typed) = dice.pick(&answers).clone();
        let other = OTHERWISE.iter().find(|(known, _)| *known == address);
        if let Some((_, values)) = other
            && dice.one_in(2)
            && address != "plan.tile_as_air_listed"
        {
            typed = (*dice.pick(values)).to_owned();
        }
        self.deeds.push(Deed::Answer(address, typed));
    }

    fn record_more(&mut self, dice: &mut Dice) {
        match dice.below(6) {
            0 => self.deeds.push(Deed::Paper((*dice.pick(MORE_PAPERS)).to_owned())),
            1 => {
                let on = *dice.pick(&["2026-04-08", "2026-04-20"]);
                self.deeds.push(Deed::Claim("sent", on));
            }
            2 => {
                let declined = "walk_through.owner_signature@owner:1".to_owned();
                self.deeds.push(Deed::Sign(declined, "declined"));
            }
            3 => {
                let until = *dice.pick(&["2026-04-28", "2026-04-29"]);
                self.deeds.push(answer("destruction.door_held_until", until));
                self.deeds.push(answer("destruction.door_goes", "door_held"));
            }
            4 => {
                let says = *dice.pick(&["scrap steel", "Steel", "metal"]);
                self.deeds.push(answer("destruction.ticket_says", says));
            }
            _ => {
                let (address, typed) = dice.pick(MORE);
                self.deeds.push(answer(address, typed));
            }
        }
    }

    /// A second old stove, a second owner, or a renter; sometimes not all that belongs to them.
    fn add_somebody(&mut self, dice: &mut Dice) {
        match dice.below(3) {
            0 => {
                let mut doubled = Vec::new();
                let mut file = 900;
                for deed in self.deeds.drain(..) {
                    let second = match &deed {
                        Deed::Answer(address, typed) if address.ends_with("@old_stove:1") => {
                            let typed = match typed.as_str() {
                                "Emberwick" => "Kettleby",
                                "Porcupine 2" => "Mole 7",
                                other => other,
                            };
                            Some(Deed::Answer(
                                address.replace("_stove:1", "_stove:2"),
                                typed.to_owned(),
                            ))
                        }
                        Deed::Photo(address, shot) if address.ends_with("@old_stove:1") => {
                            let mut shot = shot.clone();
                            file += 1;
                            shot.file = file;
                            Some(Deed::Photo(address.replace("_stove:1", "_stove:2"), shot))
                        }
                        _ => None,
                    };
                    doubled.push(deed);
                    doubled.extend(second);
                }
                self.deeds = doubled;
                if dice.one_in(2) {
                    let both = "Emberwick Porcupine 2, cut; Kettleby Mole 7, cut";
                    self.deeds.push(answer("destruction.ticket_says", both));
                }
            }
            1 => {
                self.deeds
                    .push(answer("survey.owner_name@owner:2", "Moss Featherstep"));
                if dice.one_in(2) {
                    let address = "walk_through.owner_signature@owner:2".to_owned();
                    self.deeds.push(Deed::Sign(address, "signed"));
                }
            }
            _ => {
                self.deeds.push(answer("survey.rented", "yes"));
                if dice.one_in(2) {
                    self.deeds.push(Deed::Paper("survey.renter_form".to_owned()));
                    self.deeds.push(answer("survey.renter_name", "Wren Lodgerly"));
                }
                if dice.one_in(2) {
                    let address = "walk_through.renter_signature".to_owned();
                    self.deeds.push(Deed::Sign(address, "signed"));
                }
            }
        }
    }

    fn disagree(&mut self, dice: &mut Dice) {
        let (address, values) = dice.pick(CONTESTED);
        self.others
            .insert((*address).to_owned(), (*dice.pick(values)).to_owned());
    }

    fn look_elsewhere(&mut self, dice: &mut Dice) {
        match dice.below(5) {
            0 => self.same_house = true,
            1 => self.photo_elsewhere = Some(1 + dice.roll() % 20),
            2 => {
                for deed in &mut self.deeds {
                    if let Deed::Arrive(_, calibrated) = deed {
                        *calibrated = *dice.pick(CALIBRATED);
                    }
                }
            }
            _ => {
                let days = [
                    "2026-03-24",
                    "2026-04-23",
                    "2026-04-24",
                    "2026-05-09",
                    "2026-07-01",
                ];
                self.today = (*dice.pick(&days)).to_owned();
            }
        }
    }

    pub fn book(&self) -> Book {
        let mut book = Book::of(&self.deeds, &self.today);
        book.others.clone_from(&self.others);
        book.same_house = self.same_house;
        book.photo_elsewhere = self.photo_elsewhere;
        book
    }

    pub fn facts(&self, guide: &Guide) -> Facts {
        let mut phone = play(guide, &self.deeds, &Library::new());
        if !self.others.is_empty() {
            // Somebody who knows the job, and nothing of what was answered.
            let mut other = Phone::new(guide, 2);
            other.at("2026-03-25T16:00-06:00");
            for (address, typed) in &self.others {
                other.answer(address, typed);
            }
            phone.facts.extend(other.facts.iter().cloned());
        }
        phone.facts
    }

    pub fn elsewhere(&self) -> Elsewhere {
        let mut elsewhere = Elsewhere::default();
        if self.same_house {
            elsewhere.same_house.push(JobId([5; 16]));
        }
        if let Some(file) = self.photo_elsewhere {
            elsewhere.photos.insert(photo_digest(file), JobId([5; 16]));
        }
        elsewhere
    }
}
