use super::{BRASS, INK, PAPER, SOOT, STEEL};
use crate::made::{
    MadePhoto,
    canvas::{Colour, float, mix},
    pen::Pen,
};

/// A plate with lines of text on metal, scored through if `defaced`.
pub(super) fn plate(pen: &mut Pen, photo: &MadePhoto, metal: Colour, face: Colour, defaced: bool) {
    pen.backdrop(-400.0, 1200.0, mix(metal, [255, 255, 255], 0.14), metal);
    for _ in 0..40 {
        let (x, y) = (pen.house.between(-50.0, 1050.0), pen.house.between(-50.0, 800.0));
        let long = pen.house.between(20.0, 140.0);
        pen.line(
            (x, y),
            (x + long, y + x / 60.0 - 8.0),
            1.6,
            mix(metal, [200, 200, 200], 0.2),
        );
    }
    let (left, top, wide, tall) = (140.0, 130.0, 720.0, 490.0);
    pen.shade(left, top, wide, tall, face, mix(face, [60, 56, 50], 0.2));
    for (x, y) in [
        (left + 24.0, top + 24.0),
        (left + wide - 24.0, top + 24.0),
        (left + 24.0, top + tall - 24.0),
        (left + wide - 24.0, top + tall - 24.0),
    ] {
        pen.disc((x, y), 12.0, [98, 96, 92]);
        pen.disc((x, y), 7.0, [140, 138, 132]);
    }
    let shown = if photo.text.is_empty() {
        vec!["NONE FOUND".to_owned()]
    } else {
        photo.text.clone()
    };
    pen.lines(
        (left + 60.0, top + 62.0),
        (wide - 120.0, tall - 100.0),
        58.0,
        &shown,
        INK,
    );
    if defaced {
        for _ in 0..9 {
            let from = (
                left + pen.shot.between(10.0, 120.0),
                top + pen.shot.between(20.0, tall - 20.0),
            );
            let to = (
                left + wide - pen.shot.between(10.0, 120.0),
                top + pen.shot.between(20.0, tall - 20.0),
            );
            pen.line(from, to, 13.0, [228, 226, 220]);
            pen.line((from.0, from.1 + 7.0), (to.0, to.1 + 7.0), 4.0, [96, 92, 88]);
        }
    }
}

pub(super) fn hinge_cut(pen: &mut Pen) {
    pen.backdrop(-400.0, 1200.0, [74, 68, 64], SOOT);
    pen.shade(-400.0, 90.0, 860.0, 560.0, [92, 86, 82], [58, 54, 52]);
    pen.shade(520.0, 60.0, 900.0, 620.0, [70, 64, 62], [44, 40, 40]);
    let middle = pen.house.between(330.0, 400.0);
    for n in 0..3_u32 {
        let y = middle - 150.0 + f64::from(n) * 104.0;
        pen.shade(420.0, y, 150.0, 96.0, [166, 160, 152], [96, 92, 88]);
        pen.disc((446.0, y + 48.0), 15.0, [70, 66, 62]);
        pen.disc((546.0, y + 48.0), 15.0, [70, 66, 62]);
    }
    // The cut: bright metal through all three.
    let lean = pen.shot.between(-16.0, 16.0);
    pen.line(
        (494.0 - lean, middle - 190.0),
        (494.0 + lean, middle + 196.0),
        22.0,
        [18, 16, 16],
    );
    pen.line(
        (482.0 - lean, middle - 186.0),
        (482.0 + lean, middle + 190.0),
        5.0,
        [232, 226, 214],
    );
    for _ in 0..60 {
        let at = (pen.shot.between(430.0, 560.0), pen.shot.between(650.0, 730.0));
        pen.disc(at, 3.0, [190, 170, 140]);
    }
}

pub(super) fn liner_ends(pen: &mut Pen) {
    pen.bricks((-300.0, -300.0), (1600.0, 1500.0), (150.0, 60.0), [120, 92, 80]);
    pen.shade(120.0, 520.0, 760.0, 70.0, [206, 208, 210], [150, 152, 156]);
    for (n, x) in [300.0, 620.0].into_iter().enumerate() {
        pen.shade(x - 70.0, -200.0, 140.0, 730.0, [210, 212, 214], [160, 162, 166]);
        for rib in 0..34_u32 {
            let y = -150.0 + f64::from(rib) * 20.0;
            pen.rect(x - 76.0, y, 152.0, 9.0, [128, 130, 134]);
        }
        if n == 0 {
            pen.rect(x - 80.0, 330.0, 160.0, 90.0, [190, 52, 40]);
            pen.text((x - 72.0, 364.0), 23.0, "EXHAUST", PAPER);
        }
        pen.rect(x - 84.0, 500.0, 168.0, 24.0, [100, 102, 106]);
    }
    pen.disc((500.0, 555.0), 12.0, [80, 80, 84]);
}

pub(super) fn flue_still(pen: &mut Pen, photo: &MadePhoto) {
    pen.backdrop(-400.0, 1200.0, [6, 6, 6], [6, 6, 6]);
    let warm = pen.house.between(0.0, 0.5);
    for n in 0..16_u32 {
        let share = f64::from(n) / 15.0;
        let size = 330.0 * (1.0 - share * 0.88);
        let lit = mix(
            mix([190, 150, 118], [168, 160, 150], warm),
            [10, 8, 8],
            share * 0.95,
        );
        let joint = if n % 5 == 4 {
            mix(lit, [230, 220, 200], 0.35)
        } else {
            lit
        };
        pen.ellipse(
            (500.0 + share * 30.0, 375.0 + share * 18.0),
            size,
            size,
            joint,
            lit,
        );
    }
    let crack = pen.shot.between(-60.0, 60.0);
    pen.line((300.0, 300.0 + crack), (404.0, 350.0 + crack), 4.0, [40, 28, 24]);
    pen.lines((40.0, 40.0), (420.0, 120.0), 34.0, &photo.text, [240, 240, 120]);
}

pub(super) fn restrictor(pen: &mut Pen, photo: &MadePhoto) {
    pen.backdrop(-400.0, 1200.0, [136, 138, 142], [92, 94, 98]);
    pen.shade(90.0, 250.0, 820.0, 260.0, [200, 202, 204], [160, 162, 166]);
    for n in 0..11_u32 {
        let x = 150.0 + f64::from(n) * 70.0;
        pen.rect(x, 262.0, 4.0, if n % 5 == 0 { 70.0 } else { 40.0 }, INK);
        pen.text((x - 8.0, 346.0), 30.0, &n.to_string(), INK);
    }
    let at = 150.0 + photo.reading * 700.0;
    pen.rect(at - 16.0, 400.0, 32.0, 150.0, BRASS);
    pen.polygon(
        &[(at - 16.0, 400.0), (at + 16.0, 400.0), (at + 2.0, 336.0)],
        BRASS,
    );
    pen.disc((at, 500.0), 22.0, STEEL);
    pen.line((at - 16.0, 500.0), (at + 16.0, 500.0), 5.0, [60, 60, 60]);
    pen.lines((120.0, 600.0), (760.0, 100.0), 44.0, &photo.text, [240, 240, 236]);
}

pub(super) fn gauge(pen: &mut Pen, photo: &MadePhoto) {
    let wall: Colour = pen
        .house
        .one_of([120, 108, 96], &[[104, 112, 118], [134, 126, 110]]);
    pen.backdrop(-400.0, 1200.0, wall, mix(wall, [10, 10, 10], 0.3));
    pen.shade(470.0, 560.0, 60.0, 500.0, BRASS, mix(BRASS, [30, 20, 10], 0.4));
    let middle = (500.0, 340.0);
    pen.disc(middle, 270.0, [52, 52, 56]);
    pen.disc(middle, 244.0, [244, 243, 238]);
    // From lower left, over the top, to lower right.
    let angle = |share: f64| (share * 270.0 - 135.0).to_radians();
    let on = |share: f64, radius: f64| {
        (
            middle.0 + radius * libm::sin(angle(share)),
            middle.1 - radius * libm::cos(angle(share)),
        )
    };
    for n in 0..=30_u32 {
        let share = f64::from(n) / 30.0;
        let (long, thick) = if n % 5 == 0 { (40.0, 6.0) } else { (22.0, 3.0) };
        pen.line(on(share, 226.0 - long), on(share, 226.0), thick, INK);
        if n % 10 == 0 {
            let (x, y) = on(share, 156.0);
            let words = (n / 2).to_string();
            pen.text((x - 10.0 * float(words.len()), y - 14.0), 28.0, &words, INK);
        }
    }
    pen.line(middle, on(photo.reading, 196.0), 9.0, [168, 28, 22]);
    pen.disc(middle, 18.0, INK);
    pen.lines((60.0, 640.0), (360.0, 90.0), 32.0, &photo.text, PAPER);
}

pub(super) fn paper(pen: &mut Pen, photo: &MadePhoto) {
    let table: Colour = pen.house.one_of([110, 84, 60], &[[84, 88, 92], [128, 104, 80]]);
    pen.backdrop(-400.0, 1200.0, table, mix(table, [20, 16, 12], 0.3));
    pen.rect(108.0, 48.0, 800.0, 680.0, mix(table, [0, 0, 0], 0.5));
    pen.shade(100.0, 36.0, 800.0, 680.0, PAPER, mix(PAPER, [150, 146, 138], 0.2));
    pen.lines((150.0, 90.0), (700.0, 560.0), 40.0, &photo.text, INK);
    pen.rect(150.0, 668.0, 320.0, 3.0, [110, 108, 104]);
    let mut at = (160.0, 650.0);
    for _ in 0..14 {
        let next = (
            at.0 + pen.shot.between(8.0, 24.0),
            650.0 + pen.shot.between(-26.0, 18.0),
        );
        pen.line(at, next, 3.0, [40, 50, 120]);
        at = next;
    }
}
