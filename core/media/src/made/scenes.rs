//! What is seen: flat shapes in a space of 1000 by 750.

mod close_up;
mod indoors;
mod outdoors;
mod stove;

use super::{MadePhoto, Scene, canvas::Colour, pen::Pen};

const SOOT: Colour = [38, 35, 33];
const STEEL: Colour = [120, 122, 124];
const BRASS: Colour = [176, 144, 72];
const BRICK: Colour = [142, 78, 58];
const PAPER: Colour = [238, 236, 228];
const INK: Colour = [30, 28, 30];

pub(super) fn draw(pen: &mut Pen, photo: &MadePhoto) {
    match photo.scene {
        Scene::HouseFront => outdoors::house_front(pen),
        Scene::OldStove => indoors::old_stove(pen, photo),
        Scene::DoorOff => indoors::door_off(pen, photo),
        Scene::BodyHoled => indoors::body_holed(pen, photo),
        Scene::NewStove => indoors::new_stove(pen),
        Scene::FirebrickOut => indoors::firebrick_out(pen, photo),
        Scene::Damage => indoors::damage(pen),
        Scene::CoAlarm => indoors::co_alarm(pen),
        Scene::OnTruck => outdoors::on_truck(pen, photo),
        Scene::FlueTop => outdoors::flue_top(pen),
        Scene::RoofCap => outdoors::roof_cap(pen),
        Scene::Meter => outdoors::meter(pen, photo),
        Scene::OldPlate => close_up::plate(pen, photo, SOOT, [196, 190, 176], false),
        Scene::PlateDefaced => close_up::plate(pen, photo, SOOT, [196, 190, 176], true),
        Scene::NewPlate => close_up::plate(pen, photo, [150, 150, 154], [224, 226, 228], false),
        Scene::HingeCut => close_up::hinge_cut(pen),
        Scene::LinerEnds => close_up::liner_ends(pen),
        Scene::FlueStill => close_up::flue_still(pen, photo),
        Scene::Restrictor => close_up::restrictor(pen, photo),
        Scene::Gauge => close_up::gauge(pen, photo),
        Scene::Paper => close_up::paper(pen, photo),
    }
    if let Some(payload) = photo.tag.as_deref() {
        let size = photo.tag_size * 1000.0;
        let (x, y) = tag_place(photo.scene);
        pen.tag((x - size / 2.0, y - size / 2.0), size, payload);
    }
}

/// Where a tag stands or hangs, its middle.
const fn tag_place(scene: Scene) -> (f64, f64) {
    match scene {
        Scene::OnTruck => (640.0, 330.0),
        Scene::OldStove | Scene::DoorOff | Scene::BodyHoled => (735.0, 560.0),
        _ => (850.0, 600.0),
    }
}
