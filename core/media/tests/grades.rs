//! Grades of a made corpus: each defect is told, by its reason, and sound photos stay good.
#![expect(clippy::unwrap_used, reason = "this is all test")]

mod corpus;

use std::{collections::BTreeMap, fmt::Write as _, sync::Mutex, thread};

use corpus::{Case, cases::cases, take_in};
use wythe_media::{
    Fingerprint,
    grade::{Grade, Graded, NEAR_DISTANCE, Reason, grade},
    made::{MadePhoto, Scene},
};

/// Takes in and grades every case, two at a time.
fn graded() -> Vec<(Case, Graded)> {
    let waiting = Mutex::new(cases().into_iter().enumerate());
    let done = Mutex::new(BTreeMap::new());
    thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                loop {
                    let next = waiting.lock().unwrap().next();
                    let Some((n, mut case)) = next else { return };
                    let photo = case.take_in();
                    let graded = grade(&photo, &case.around);
                    done.lock().unwrap().insert(n, (case, graded));
                }
            });
        }
    });
    done.into_inner().unwrap().into_values().collect()
}

fn codes(graded: &Graded) -> Vec<&str> {
    graded.reasons.iter().map(|reason| reason.code()).collect()
}

#[test]
fn each_defect_is_told_by_its_reason() {
    let graded = graded();
    assert!(graded.len() >= 60, "the corpus has {} photos", graded.len());
    println!("{}", confusion(&graded));
    for reason in graded.iter().flat_map(|(_, given)| &given.reasons) {
        let kept = serde_json::to_value(reason).unwrap();
        assert_eq!(kept["code"], reason.code());
        assert!(Reason::CODES.contains(&reason.code()));
        let named = kept
            .as_object()
            .unwrap()
            .values()
            .filter(|value| !value.is_null())
            .count();
        assert_eq!(reason.figures().len() + 1, named, "{reason}");
        assert_eq!(reason.to_string().split(' ').count(), named, "{reason}");
    }
    let wrong: Vec<String> = graded
        .iter()
        .filter(|(case, given)| codes(given) != case.codes || given.grade != case.grade)
        .map(|(case, given)| {
            format!(
                "{}: {:?} {:?}, wanted {:?} {:?}",
                case.name,
                given.grade,
                codes(given),
                case.grade,
                case.codes
            )
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Rows: the grade that a case was made for. Columns: the grade that it was given.
fn confusion(graded: &[(Case, Graded)]) -> String {
    const GRADES: [Grade; 4] = [Grade::Good, Grade::Usable, Grade::Weak, Grade::Poor];
    let mut table = format!(
        "| {} made photos | good | usable | weak | poor |\n|---|---|---|---|---|\n",
        graded.len()
    );
    for made_for in GRADES {
        let counts = GRADES.map(|given| {
            graded
                .iter()
                .filter(|(case, found)| case.grade == made_for && found.grade == given)
                .count()
        });
        let cells = counts.map(|count| count.to_string()).join(" | ");
        writeln!(table, "| made {} | {cells} |", made_for.code()).unwrap();
    }
    table
}

fn print(photo: &MadePhoto) -> Fingerprint {
    take_in(photo).fingerprint.unwrap()
}

/// Measured on made photos only; real ones will differ.
#[test]
fn the_same_picture_saved_anew_is_near_and_other_pictures_are_not() {
    let base = |scene| MadePhoto {
        seed: 11,
        width: 1280,
        height: 960,
        ..corpus::plain(scene)
    };
    let mut anew = Vec::new();
    let mut all = Vec::new();
    for scene in Scene::ALL {
        let first = print(&base(scene));
        let changed = [
            MadePhoto {
                quality: 40,
                ..base(scene)
            },
            MadePhoto {
                width: 1000,
                height: 750,
                ..base(scene)
            },
            MadePhoto {
                exposure: 0.3,
                ..base(scene)
            },
            MadePhoto {
                blur: 2.0,
                bare: true,
                ..base(scene)
            },
        ];
        anew.extend(changed.iter().map(|photo| first.distance(print(photo))));
        all.push(first);
        all.push(print(&MadePhoto {
            seed: 12,
            ..base(scene)
        }));
    }
    let mut other: Vec<u32> = all
        .iter()
        .enumerate()
        .flat_map(|(n, a)| all.iter().skip(n + 1).map(|b| a.distance(*b)))
        .collect();
    other.sort_unstable();
    anew.sort_unstable();
    let near = |distances: &[u32]| distances.iter().filter(|d| **d <= NEAR_DISTANCE).count();
    println!(
        "saved anew: {} of {} near, furthest {:?}; other pictures: {} of {} near, nearest {:?}",
        near(&anew),
        anew.len(),
        anew.last(),
        near(&other),
        other.len(),
        other.first()
    );
    assert!(near(&anew) * 100 >= anew.len() * 95, "{anew:?}");
    assert_eq!(near(&other), 0, "{:?}", &other[..10]);
}
