use wythe_job::canonical::Number;
use wythe_job::{
    Address, Agreed, Answered, Assigned, Body, ClaimMoved, DeviceCertified, DeviceId, DeviceRevoked, Digest,
    Edition, Erased, FactId, FiguresKept, Grade, Instance, Instrument, JobId, JobLinked, JobMoved, JobOpened,
    LibraryKept, Measured, Noted, Original, PaperAdded, PersonId, PhotoTaken, PhotoTime, Position,
    RulesPinned, Signed, StopLifted, StrokePoint, StruckOut, Value, Visit, VisitId,
};

use super::{NOW, values};

pub const PERSON: PersonId = PersonId([0x77; 16]);
const VISIT: VisitId = VisitId([0x66; 16]);
const FACT: FactId = FactId([0xfa; 32]);
const LATER_FACT: FactId = FactId([0xfb; 32]);

fn address() -> Address {
    Address::of("survey.tile_inside")
        .at("tile_section", 2)
        .at("face", 1)
}

pub fn length(metres: f64) -> Value {
    Value::Quantity {
        dimension: "length".into(),
        si: Number(metres),
    }
}

pub fn answered(ask: &str, value: Value) -> Body {
    Answered {
        address: Address::of(format!("survey.{ask}")),
        value,
        measured: Measured::default(),
        visit: None,
    }
    .into()
}

fn text(words: &str) -> String {
    words.to_owned()
}

fn some(words: &str) -> Option<String> {
    Some(words.to_owned())
}

pub fn position() -> Option<Position> {
    Position::new(-48.5, -123.25, Some(6.5))
}

fn original(name: &str, media_type: &str) -> Original {
    Original {
        digest: wythe_job::digest_of(name.as_bytes()),
        bytes: 2_345_678,
        media_type: media_type.into(),
        name: name.into(),
    }
}

fn measured() -> Measured {
    Measured {
        typed: some("11 3/8\""),
        unit: some("in"),
        locale: some("en-US"),
        by: Some(PersonId([0x78; 16])),
        at: Some(NOW),
        instrument: some("tape 3"),
    }
}

pub fn all() -> Vec<(&'static str, Body)> {
    let mut all = job_kinds();
    all.extend(file_kinds());
    all.extend(other_kinds());
    all.extend(business_kinds());
    all.extend(values::values());
    all.extend(values::newer());
    all
}

fn job_kinds() -> Vec<(&'static str, Body)> {
    vec![
        (
            "job_opened_full",
            JobOpened {
                label: text("House by the dry creek"),
                address: vec![text("12 Invented Row"), text("Larkspur Basin")],
                zone: text("America/Denver"),
                position: position(),
            }
            .into(),
        ),
        (
            "job_opened_least",
            JobOpened {
                label: text("Ñ"),
                address: vec![],
                zone: text("UTC"),
                position: None,
            }
            .into(),
        ),
        (
            "rules_pinned_full",
            RulesPinned {
                programme: text("larkspur_basin"),
                programme_digest: Digest([0xd1; 32]),
                guide_digest: Digest([0xd2; 32]),
                reason: some("moved to the spring rules"),
            }
            .into(),
        ),
        (
            "job_linked",
            JobLinked {
                other: JobId([0x0b; 16]),
                reason: text("same address, opened twice"),
            }
            .into(),
        ),
        (
            "job_moved_full",
            JobMoved {
                to: text("paused"),
                reason: text("snow"),
                left_safe: vec![text("gas capped"), text("top and thimble covered")],
            }
            .into(),
        ),
        (
            "visit_full",
            Visit {
                visit: VISIT,
                sort: text("day_1"),
                moment: text("arrived"),
                people: vec![PERSON, PersonId([0x78; 16])],
                weather: some("dry, light wind"),
                instruments: vec![
                    Instrument {
                        name: text("manometer 2"),
                        calibrated: some("2025-03-01"),
                    },
                    Instrument {
                        name: text("tape 3"),
                        calibrated: None,
                    },
                ],
                left_safe: vec![],
                at: Some(NOW),
            }
            .into(),
        ),
        (
            "visit_least",
            Visit {
                visit: VISIT,
                sort: text("recycler"),
                moment: text("left"),
                people: vec![],
                weather: None,
                instruments: vec![],
                left_safe: vec![],
                at: None,
            }
            .into(),
        ),
        (
            "answered_full",
            Answered {
                address: address(),
                value: length(0.288_925),
                measured: measured(),
                visit: Some(VISIT),
            }
            .into(),
        ),
        (
            "instance_full",
            Instance {
                address: Address::of("").at("tile_section", 2),
                there: true,
                name: some("upper section"),
            }
            .into(),
        ),
        (
            "instance_least",
            Instance {
                address: Address::of("").at("room", 1).at("surface", 9_999),
                there: false,
                name: None,
            }
            .into(),
        ),
    ]
}

fn file_kinds() -> Vec<(&'static str, Body)> {
    vec![
        (
            "photo_taken_full",
            PhotoTaken {
                address: address(),
                original: original("picture 1.jpg", "image/jpeg"),
                preview: Some(original("picture 1 small.jpg", "image/jpeg")),
                width: 4_000,
                height: 3_000,
                taken: Some(PhotoTime {
                    local: text("2025-11-24T09:30:00"),
                    offset_min: Some(-420),
                }),
                position: position(),
                phone_position: Position::new(-48.5, -123.25, None),
                orientation: 6,
                grade: Some(Grade {
                    code: text("doubtful"),
                    version: 1,
                    reasons: vec![text("dark 0.18")],
                    best_i_can: some("no light under the eave"),
                }),
                fingerprint: Some(u64::MAX),
                tags: vec![text("old_stove:1")],
                visit: Some(VISIT),
            }
            .into(),
        ),
        (
            "photo_taken_least",
            PhotoTaken {
                address: Address::of("removal.in_place"),
                original: original("picture 2.png", "image/png"),
                preview: None,
                width: 1,
                height: 100_000,
                taken: None,
                position: None,
                phone_position: None,
                orientation: 1,
                grade: None,
                fingerprint: None,
                tags: vec![],
                visit: None,
            }
            .into(),
        ),
        (
            "paper_added_full",
            PaperAdded {
                address: Address::of("destruction.ticket"),
                original: original("ticket.pdf", "application/pdf"),
                pages: Some(2),
                preview: Some(original("ticket small.jpg", "image/jpeg")),
                visit: Some(VISIT),
            }
            .into(),
        ),
        (
            "paper_added_least",
            PaperAdded {
                address: Address::of("plan.approval"),
                original: original("approval", "text/plain"),
                pages: None,
                preview: None,
                visit: None,
            }
            .into(),
        ),
        (
            "signed_full",
            Signed {
                address: Address::of("walk_through.owner_signs"),
                act: text("signed"),
                role: text("owner"),
                name: text("Wilhelmina Testcase"),
                words: text("I was shown the stove.\nI have the manual."),
                language: text("en"),
                consent_version: 2,
                strokes: vec![
                    vec![
                        StrokePoint {
                            x: 100,
                            y: -20,
                            ms: 0,
                            pressure: Some(512),
                        },
                        StrokePoint {
                            x: 140,
                            y: 80,
                            ms: 16,
                            pressure: None,
                        },
                    ],
                    vec![StrokePoint {
                        x: 900,
                        y: 300,
                        ms: 700,
                        pressure: Some(1_000),
                    }],
                ],
                covers: vec![FACT, LATER_FACT],
                summary_digest: Digest([0x5d; 32]),
                position: position(),
                copy_given: Some(true),
                visit: Some(VISIT),
            }
            .into(),
        ),
        (
            "signed_declined",
            Signed {
                address: Address::of("walk_through.owner_signs"),
                act: text("declined"),
                role: text("renter"),
                name: text("Rowan Placeholder"),
                words: text("Firmo aquí"),
                language: text("es-MX"),
                consent_version: 0,
                strokes: vec![],
                covers: vec![],
                summary_digest: Digest([0x5d; 32]),
                position: None,
                copy_given: None,
                visit: None,
            }
            .into(),
        ),
        (
            "figures_kept_full",
            FiguresKept {
                reckoning: text("flue"),
                address: Address::of("plan.flue"),
                input: text("{\"rise_m\":6.4}"),
                result: text("{\"findings\":[],\"draft_pa\":11.2}"),
                editions: vec![Edition {
                    of: text("vent table of the manual"),
                    edition: text("2024, page 31"),
                }],
                from: vec![FACT],
            }
            .into(),
        ),
    ]
}

fn other_kinds() -> Vec<(&'static str, Body)> {
    vec![
        (
            "struck_out",
            StruckOut {
                facts: vec![FACT, LATER_FACT],
                reason: text("a slip on the pad"),
            }
            .into(),
        ),
        (
            "agreed",
            Agreed {
                address: address(),
                value: length(0.279_4),
                reason: text("measured again together"),
                measured: measured(),
            }
            .into(),
        ),
        (
            "noted_full",
            Noted {
                about: Some(address()),
                text: text("Dog in the yard.\r\n\tRing first."),
            }
            .into(),
        ),
        (
            "noted_least",
            Noted {
                about: None,
                text: text("…"),
            }
            .into(),
        ),
        (
            "assigned_full",
            Assigned {
                person: PERSON,
                name: text("Fenwick Example"),
                role: text("fitter"),
                licence: some("INVENTED-0042"),
                licence_until: some("2026-02-28"),
            }
            .into(),
        ),
        (
            "stop_lifted_full",
            StopLifted {
                stop: text("suspect_material"),
                by: text("laboratory"),
                evidence: vec![FACT],
                reason: text("report says none found"),
                address: Some(address()),
            }
            .into(),
        ),
        (
            "erased_full",
            Erased {
                fact: FACT,
                reason: text("the owner asked for it"),
                original: Some(Digest([0xe0; 32])),
            }
            .into(),
        ),
        (
            "claim_moved_full",
            ClaimMoved {
                to: text("paid"),
                on: text("2025-12-24"),
                pack: Some(Digest([0x9a; 32])),
                version: 2,
                text: some("warrant 7"),
                amount: some("1250.00"),
                currency: some("USD"),
            }
            .into(),
        ),
        (
            "claim_moved_least",
            ClaimMoved {
                to: text("sent"),
                on: text("2025-11-30"),
                pack: None,
                version: 1,
                text: None,
                amount: None,
                currency: None,
            }
            .into(),
        ),
    ]
}

fn business_kinds() -> Vec<(&'static str, Body)> {
    vec![
        (
            "library_kept",
            LibraryKept {
                sort: text("instrument"),
                id: text("manometer 2"),
                content: text("{\"calibrated\":\"2025-03-01\"}"),
                gone: false,
            }
            .into(),
        ),
        (
            "device_certified",
            DeviceCertified {
                certificate: super::certificate(1).bytes().to_vec(),
            }
            .into(),
        ),
        (
            "device_revoked",
            DeviceRevoked {
                device: DeviceId([3; 16]),
                reason: text("lost on the way home"),
            }
            .into(),
        ),
    ]
}
