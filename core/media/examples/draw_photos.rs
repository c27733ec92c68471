//! Draws one photo of each scene into a folder: `draw_photos FOLDER`.

use std::{
    fs,
    io::{self, Write},
    path::PathBuf,
};

use wythe_media::made::{MadePhoto, Scene, make};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("say a folder")?);
    fs::create_dir_all(&folder)?;
    for scene in Scene::ALL {
        let photo = MadePhoto {
            seed: 7,
            tag: matches!(
                scene,
                Scene::OldStove | Scene::DoorOff | Scene::BodyHoled | Scene::OnTruck
            )
            .then(|| "WYTHE:EXAMPLE:0001".to_owned()),
            text: vec!["MODEL 12".to_owned(), "SERIAL NO. 004471".to_owned()],
            ..MadePhoto::of(scene)
        };
        let file = make(&photo)?;
        let name = serde_json::to_value(scene)?
            .as_str()
            .unwrap_or_default()
            .to_owned();
        writeln!(io::stdout(), "{name}: {} bytes", file.len())?;
        fs::write(folder.join(name + ".jpg"), file)?;
    }
    Ok(())
}
