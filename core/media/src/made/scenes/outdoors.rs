use super::{BRICK, PAPER, STEEL, stove};
use crate::made::{
    MadePhoto,
    canvas::{Colour, mix},
    pen::Pen,
};

fn sky(pen: &mut Pen, horizon: f64) {
    let blue: Colour = pen.shot.one_of(
        [126, 168, 214],
        &[[168, 180, 192], [150, 186, 220], [196, 200, 204]],
    );
    pen.backdrop(-400.0, horizon, blue, mix(blue, [244, 240, 230], 0.6));
    for _ in 0..3 {
        let at = (
            pen.shot.between(50.0, 950.0),
            pen.shot.between(20.0, horizon * 0.5),
        );
        let (wide, tall) = (pen.shot.between(60.0, 140.0), pen.shot.between(12.0, 30.0));
        pen.ellipse(at, wide, tall, [238, 240, 242], [222, 226, 230]);
    }
}

pub(super) fn house_front(pen: &mut Pen) {
    sky(pen, 520.0);
    let hill = pen.house.between(200.0, 800.0);
    pen.polygon(
        &[(-400.0, 520.0), (hill, 240.0), (1400.0, 520.0)],
        [126, 144, 130],
    );
    pen.backdrop(500.0, 1200.0, [120, 134, 92], [86, 98, 62]);
    let side: Colour = pen.house.one_of(
        [196, 178, 150],
        &[[150, 166, 178], [180, 130, 104], [206, 204, 194]],
    );
    let chimney = pen.house.between(600.0, 700.0);
    pen.bricks((chimney, 96.0), (84.0, 320.0), (28.0, 12.0), BRICK);
    pen.rect(chimney - 8.0, 88.0, 100.0, 16.0, [168, 164, 156]);
    pen.rect(chimney + 24.0, 62.0, 36.0, 28.0, [150, 96, 74]);
    pen.polygon(
        &[(120.0, 330.0), (240.0, 200.0), (760.0, 200.0), (880.0, 330.0)],
        mix([88, 78, 74], side, 0.15),
    );
    pen.shade(150.0, 330.0, 700.0, 230.0, side, mix(side, [90, 80, 70], 0.15));
    for n in 0..14_u32 {
        let y = 346.0 + f64::from(n) * 16.0;
        pen.rect(150.0, y, 700.0, 2.0, mix(side, [60, 50, 40], 0.3));
    }
    let door = pen.house.between(430.0, 520.0);
    let paint: Colour = pen
        .house
        .one_of([112, 40, 36], &[[36, 70, 84], [60, 84, 52], [70, 58, 90]]);
    pen.rect(door, 400.0, 90.0, 160.0, paint);
    for x in [210.0, 640.0] {
        pen.rect(x - 8.0, 392.0, 146.0, 106.0, PAPER);
        pen.shade(x, 400.0, 130.0, 90.0, [110, 140, 160], [70, 90, 104]);
        pen.rect(x + 62.0, 400.0, 6.0, 90.0, PAPER);
    }
    pen.shaded(
        &[
            (door, 560.0),
            (door + 90.0, 560.0),
            (door + 260.0, 900.0),
            (door - 120.0, 900.0),
        ],
        [176, 172, 164],
        [150, 146, 138],
    );
}

pub(super) fn on_truck(pen: &mut Pen, _photo: &MadePhoto) {
    sky(pen, 300.0);
    pen.backdrop(280.0, 1200.0, [132, 130, 126], [96, 94, 90]);
    let paint: Colour = pen
        .house
        .one_of([188, 190, 192], &[[54, 74, 104], [126, 44, 40], [70, 84, 70]]);
    stove::old(
        pen,
        (430.0, 500.0),
        250.0,
        stove::Old {
            door_off: true,
            holed: true,
            ..stove::Old::default()
        },
    );
    pen.line((250.0, 480.0), (430.0, 250.0), 12.0, [230, 130, 30]);
    pen.line((430.0, 250.0), (620.0, 480.0), 12.0, [230, 130, 30]);
    pen.shade(740.0, 200.0, 400.0, 330.0, paint, mix(paint, [20, 20, 20], 0.3));
    pen.shade(780.0, 230.0, 260.0, 120.0, [70, 84, 92], [46, 54, 60]);
    pen.shade(
        80.0,
        490.0,
        1000.0,
        90.0,
        mix(paint, [255, 255, 255], 0.15),
        mix(paint, [20, 20, 20], 0.25),
    );
    for x in [240.0, 860.0] {
        pen.disc((x, 596.0), 78.0, [28, 28, 28]);
        pen.disc((x, 596.0), 38.0, STEEL);
        pen.disc((x, 596.0), 12.0, [60, 60, 60]);
    }
    pen.rect(590.0, 300.0, 26.0, 190.0, [60, 58, 56]);
}

pub(super) fn flue_top(pen: &mut Pen) {
    pen.backdrop(-400.0, 1200.0, [104, 96, 90], [84, 78, 74]);
    for n in 0..12_u32 {
        let y = -60.0 + f64::from(n) * 76.0;
        pen.backdrop(y, y + 5.0, [70, 64, 60], [70, 64, 60]);
    }
    pen.bricks((170.0, 60.0), (660.0, 630.0), (110.0, 44.0), BRICK);
    pen.rect(215.0, 105.0, 570.0, 540.0, [178, 172, 160]);
    let (wide, tall) = (pen.house.between(370.0, 430.0), pen.house.between(300.0, 360.0));
    let (left, top) = (500.0 - wide / 2.0, 375.0 - tall / 2.0);
    pen.rect(left - 26.0, top - 26.0, wide + 52.0, tall + 52.0, [190, 120, 84]);
    pen.shade(left, top, wide, tall, [34, 30, 28], [14, 12, 12]);
    let across = top + tall * pen.shot.between(0.35, 0.6);
    tape(pen, (left - 40.0, across), wide + 80.0);
}

/// A yellow tape with marks, from its left end.
fn tape(pen: &mut Pen, (x, y): (f64, f64), long: f64) {
    pen.rect(x, y, long, 34.0, [238, 206, 60]);
    let step = 10.0;
    let mut along = 0.0;
    let mut mark = 0_u32;
    while along < long - 4.0 {
        let high = if mark.is_multiple_of(4) { 24.0 } else { 11.0 };
        pen.rect(x + along, y, 2.0, high, [26, 24, 20]);
        along += step;
        mark += 1;
    }
    pen.rect(x + long, y - 26.0, 90.0, 86.0, [44, 46, 52]);
    pen.disc((x + long + 45.0, y + 17.0), 26.0, [226, 186, 40]);
}

pub(super) fn roof_cap(pen: &mut Pen) {
    sky(pen, 560.0);
    pen.polygon(
        &[
            (-400.0, 640.0),
            (1400.0, 500.0),
            (1400.0, 1200.0),
            (-400.0, 1200.0),
        ],
        [92, 84, 80],
    );
    pen.bricks((310.0, 380.0), (380.0, 420.0), (76.0, 32.0), BRICK);
    pen.rect(285.0, 350.0, 430.0, 34.0, [176, 172, 164]);
    pen.shaded(
        &[(330.0, 350.0), (380.0, 318.0), (620.0, 318.0), (670.0, 350.0)],
        [206, 208, 210],
        [150, 152, 156],
    );
    pen.shade(430.0, 190.0, 140.0, 130.0, [220, 222, 224], [150, 152, 156]);
    for n in 0..6_u32 {
        pen.rect(444.0 + f64::from(n) * 20.0, 220.0, 9.0, 76.0, [70, 72, 76]);
    }
    let tilt = pen.house.between(-8.0, 8.0);
    pen.shaded(
        &[
            (400.0, 190.0 + tilt),
            (470.0, 136.0),
            (530.0, 136.0),
            (600.0, 190.0 - tilt),
        ],
        [226, 228, 230],
        [170, 172, 176],
    );
}

pub(super) fn meter(pen: &mut Pen, photo: &MadePhoto) {
    pen.bricks((-300.0, -300.0), (1600.0, 1500.0), (92.0, 36.0), [168, 140, 118]);
    pen.shade(380.0, -300.0, 46.0, 480.0, [150, 150, 150], [120, 120, 120]);
    pen.shade(574.0, -300.0, 46.0, 480.0, [150, 150, 150], [120, 120, 120]);
    pen.rect(366.0, 70.0, 74.0, 40.0, [176, 150, 70]);
    pen.shade(310.0, 170.0, 380.0, 400.0, [186, 190, 192], [140, 144, 148]);
    pen.rect(350.0, 210.0, 300.0, 110.0, [28, 30, 32]);
    let shown = if photo.text.is_empty() {
        vec!["00000".to_owned()]
    } else {
        photo.text.clone()
    };
    pen.lines((368.0, 232.0), (270.0, 96.0), 56.0, &shown, [236, 236, 230]);
    pen.disc((500.0, 430.0), 70.0, PAPER);
    let turn = photo.reading * std::f64::consts::TAU;
    pen.line(
        (500.0, 430.0),
        (500.0 + 58.0 * libm::sin(turn), 430.0 - 58.0 * libm::cos(turn)),
        7.0,
        [150, 30, 24],
    );
    for n in 0..10_u32 {
        let a = f64::from(n) * std::f64::consts::TAU / 10.0;
        pen.disc(
            (500.0 + 62.0 * libm::sin(a), 430.0 - 62.0 * libm::cos(a)),
            3.5,
            [40, 40, 40],
        );
    }
}
