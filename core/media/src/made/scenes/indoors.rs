use super::{BRICK, PAPER, STEEL, stove};
use crate::made::{
    MadePhoto,
    canvas::{Colour, mix},
    pen::Pen,
};
use stove::Old;

/// The wall, the floor and one thing on the wall. Returns where the floor begins.
fn room(pen: &mut Pen) -> f64 {
    let wall: Colour = pen.house.one_of(
        [206, 196, 172],
        &[[178, 192, 182], [190, 184, 200], [214, 188, 164], [170, 184, 204]],
    );
    let wood: Colour = pen
        .house
        .one_of([122, 88, 58], &[[96, 72, 54], [146, 112, 78], [110, 104, 98]]);
    let floor = pen.house.between(575.0, 620.0);
    pen.backdrop(
        -400.0,
        floor,
        mix(wall, [255, 255, 255], 0.15),
        mix(wall, [90, 80, 70], 0.2),
    );
    pen.backdrop(floor, 1200.0, wood, mix(wood, [20, 14, 10], 0.4));
    for n in 0..14_u32 {
        let y = floor + f64::from(n * n) * 2.4;
        pen.backdrop(
            y,
            y + 2.0,
            mix(wood, [20, 14, 10], 0.5),
            mix(wood, [20, 14, 10], 0.5),
        );
    }
    pen.backdrop(floor - 26.0, floor, PAPER, mix(PAPER, [120, 116, 110], 0.3));
    let left = pen.house.between(30.0, 90.0);
    if pen.house.next().is_multiple_of(2) {
        window(pen, left);
    } else {
        framed(pen, left);
    }
    floor
}

fn window(pen: &mut Pen, left: f64) {
    pen.rect(left, 90.0, 180.0, 260.0, PAPER);
    pen.shade(left + 12.0, 102.0, 156.0, 236.0, [170, 200, 226], [206, 220, 214]);
    pen.rect(left + 84.0, 102.0, 10.0, 236.0, PAPER);
    pen.rect(left + 12.0, 210.0, 156.0, 10.0, PAPER);
    let tree = left + pen.house.between(40.0, 130.0);
    pen.polygon(
        &[(tree, 150.0), (tree + 34.0, 330.0), (tree - 34.0, 330.0)],
        [70, 98, 74],
    );
}

fn framed(pen: &mut Pen, left: f64) {
    pen.rect(left, 120.0, 170.0, 130.0, [92, 62, 40]);
    pen.shade(left + 12.0, 132.0, 146.0, 106.0, [186, 204, 216], [150, 160, 120]);
    let hill = left + pen.house.between(40.0, 110.0);
    pen.polygon(
        &[(left + 12.0, 238.0), (hill, 160.0), (left + 158.0, 238.0)],
        [98, 118, 92],
    );
}

/// Chimney breast and hearth. Returns the middle of the hearth and where feet stand.
fn hearth(pen: &mut Pen, floor: f64) -> (f64, f64) {
    let middle = pen.house.between(470.0, 540.0);
    pen.bricks(
        (middle - 230.0, -300.0),
        (460.0, floor + 300.0),
        (58.0, 22.0),
        BRICK,
    );
    let shelf = pen.house.between(96.0, 140.0);
    pen.rect(middle - 270.0, shelf, 540.0, 26.0, [104, 74, 48]);
    pen.shaded(
        &[
            (middle - 250.0, floor - 6.0),
            (middle + 250.0, floor - 6.0),
            (middle + 300.0, floor + 96.0),
            (middle - 300.0, floor + 96.0),
        ],
        [150, 146, 140],
        [118, 114, 108],
    );
    (middle, floor + 50.0)
}

fn with_old_stove(pen: &mut Pen, how: Old) -> (f64, f64) {
    let floor = room(pen);
    let feet = hearth(pen, floor);
    stove::old(pen, feet, 330.0, how);
    feet
}

pub(super) fn old_stove(pen: &mut Pen, photo: &MadePhoto) {
    let (middle, feet) = with_old_stove(
        pen,
        Old {
            lit: photo.reading >= 0.5,
            piped: true,
            ..Old::default()
        },
    );
    logs(pen, middle - 330.0, feet);
}

fn logs(pen: &mut Pen, x: f64, y: f64) {
    for (n, (dx, dy)) in [(0.0, 0.0), (52.0, 0.0), (26.0, -44.0)].into_iter().enumerate() {
        let bark = if n == 1 { [128, 98, 70] } else { [112, 82, 56] };
        pen.disc((x + dx, y + dy), 26.0, bark);
        pen.disc((x + dx, y + dy), 19.0, [196, 164, 120]);
        pen.disc((x + dx, y + dy), 8.0, [174, 140, 98]);
    }
}

pub(super) fn door_off(pen: &mut Pen, _photo: &MadePhoto) {
    let (middle, feet) = with_old_stove(
        pen,
        Old {
            door_off: true,
            piped: false,
            ..Old::default()
        },
    );
    stove::door(pen, (middle - 420.0, feet - 150.0), (200.0, 165.0), false);
}

pub(super) fn body_holed(pen: &mut Pen, _photo: &MadePhoto) {
    let (middle, feet) = with_old_stove(
        pen,
        Old {
            door_off: true,
            holed: true,
            ..Old::default()
        },
    );
    pen.line(
        (middle - 400.0, feet + 60.0),
        (middle - 250.0, feet + 80.0),
        22.0,
        [190, 120, 40],
    );
    pen.disc((middle - 250.0, feet + 80.0), 34.0, STEEL);
    pen.disc((middle - 250.0, feet + 80.0), 8.0, [60, 60, 60]);
}

pub(super) fn firebrick_out(pen: &mut Pen, _photo: &MadePhoto) {
    let (middle, feet) = with_old_stove(
        pen,
        Old {
            door_off: true,
            ..Old::default()
        },
    );
    for course in 0..4_u32 {
        let y = feet + 70.0 - f64::from(course) * 30.0;
        for n in 0..3_u32 {
            let x = middle - 400.0 + f64::from(n) * 74.0 + f64::from(course % 2) * 12.0;
            let shade = pen.shot.between(0.0, 0.3);
            pen.rect(x, y, 70.0, 27.0, mix([214, 190, 142], [90, 70, 50], shade));
        }
    }
}

pub(super) fn new_stove(pen: &mut Pen) {
    let floor = room(pen);
    let feet = hearth(pen, floor);
    stove::new(pen, feet, 330.0);
}

pub(super) fn damage(pen: &mut Pen) {
    let floor = room(pen);
    let mut at = (pen.shot.between(360.0, 560.0), 40.0);
    while at.1 < floor - 120.0 {
        let next = (
            at.0 + pen.shot.between(-44.0, 50.0),
            at.1 + pen.shot.between(26.0, 56.0),
        );
        pen.line(at, next, pen_width(at.1), [84, 76, 66]);
        at = next;
    }
    let (x, y) = (at.0 + 90.0, at.1 - 160.0);
    pen.ellipse((x, y), 70.0, 46.0, [176, 160, 126], [150, 132, 100]);
    // A rule beside it for scale.
    pen.rect(620.0, 470.0, 260.0, 26.0, [226, 196, 62]);
    for n in 0..27_u32 {
        let high = if n.is_multiple_of(5) { 18.0 } else { 9.0 };
        pen.rect(622.0 + f64::from(n) * 9.7, 470.0, 2.0, high, [30, 28, 24]);
    }
}

fn pen_width(y: f64) -> f64 {
    2.5 + (400.0 - y).max(0.0) / 130.0
}

pub(super) fn co_alarm(pen: &mut Pen) {
    let floor = room(pen);
    let (x, y) = (pen.shot.between(470.0, 560.0), floor - 330.0);
    pen.disc((x, y), 128.0, [206, 204, 198]);
    pen.disc((x, y), 120.0, [244, 243, 238]);
    for n in 0..7_u32 {
        pen.rect(
            x - 60.0,
            y + 22.0 + f64::from(n) * 9.0,
            120.0,
            4.0,
            [184, 182, 176],
        );
    }
    pen.disc((x, y - 30.0), 26.0, [226, 224, 218]);
    pen.disc((x + 70.0, y - 34.0), 7.0, [40, 180, 70]);
    pen.text((x - 22.0, y - 92.0), 26.0, "CO", [90, 88, 84]);
}
