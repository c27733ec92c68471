//! The office: serving, opening a business's books, inviting.

use std::io::IsTerminal;
use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;

use serde_json::json;
use tokio::net::TcpListener;
use wythe_app::AppError;
use wythe_app::media::tag::TagModules;
use wythe_app::sync::House;
use wythe_office::{Bounds, Invited, Place, serve};

use crate::args::{OfficeArgs, OfficeCommand};
use crate::trouble::Trouble;
use crate::typed::answer;

/// Whether logs go out without being asked for: a server's do.
pub fn is_server(args: &OfficeArgs) -> bool {
    args.command.is_none()
}

pub fn run(args: &OfficeArgs, json: bool) -> Result<String, Trouble> {
    let folder = args.data.as_deref();
    let folder = folder.ok_or_else(|| Trouble::Usage("Name the office's folder with --data.".to_owned()))?;
    match &args.command {
        None => listen(folder, args.listen, json),
        Some(OfficeCommand::Open { business }) => {
            let house = place(Place::open(folder))?
                .open_business(business)
                .map_err(AppError::from)?;
            let (id, fingerprint) = (house.business(), house.certificate.fingerprint());
            Ok(answer(
                json,
                &json!({ "business": id, "fingerprint": fingerprint.to_string() }),
                &format!("The books of {business} are open. Its key's fingerprint:\n{fingerprint}\n"),
            ))
        }
        Some(OfficeCommand::Invite {
            person,
            role,
            business,
        }) => {
            let place = place(Place::open_begun(folder))?;
            let house = business_called(&place, business.as_deref())?;
            let invited = Invited {
                name: person.clone(),
                role: role.clone(),
            };
            let code = place
                .invite(house.business(), &invited)
                .map_err(AppError::from)?
                .to_string();
            let picture = match std::io::stdout().is_terminal() {
                true => drawn(&code),
                false => String::new(),
            };
            Ok(answer(
                json,
                &json!({ "code": code }),
                &format!("{picture}{code}\nGood for one phone, for three days.\n"),
            ))
        }
        Some(OfficeCommand::GoOn) => {
            place(Place::open_begun(folder))?
                .go_on_from_copy()
                .map_err(AppError::from)?;
            Ok(answer(
                json,
                &json!({}),
                "The office goes on from the copy; phones offer again what it lacks.\n",
            ))
        }
    }
}

fn place(opened: Result<Place, wythe_app::sync::Trouble>) -> Result<Place, Trouble> {
    Ok(opened.map_err(AppError::from)?)
}

fn business_called(place: &Place, name: Option<&str>) -> Result<House, Trouble> {
    let mut houses = place.businesses().map_err(AppError::from)?;
    houses.retain(|house| name.is_none_or(|name| house.name == name));
    match (houses.pop(), houses.is_empty()) {
        (Some(house), true) => Ok(house),
        (None, _) => Err(Trouble::Usage(
            "This office has no such business; open its books with wythe office open.".to_owned(),
        )),
        _ => Err(Trouble::Usage(
            "This office has several businesses; say which with --business.".to_owned(),
        )),
    }
}

fn listen(folder: &Path, address: SocketAddr, json: bool) -> Result<String, Trouble> {
    let place = Arc::new(place(Place::open(folder))?);
    let wrong = |why: &std::io::Error| Trouble::file(address.to_string(), why);
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build();
    let runtime = runtime.map_err(|why| wrong(&why))?;
    runtime.block_on(async {
        let listener = TcpListener::bind(address).await.map_err(|why| wrong(&why))?;
        let bound = listener.local_addr().map_err(|why| wrong(&why))?;
        let url = format!("http://{bound}");
        crate::print(&answer(
            json,
            &json!({ "serving": url }),
            &format!("Serving on {url} until Ctrl-C.\n"),
        ));
        serve(place, listener, Bounds::default(), told_to_stop())
            .await
            .map_err(|why| wrong(&why))
    })?;
    Ok(String::new())
}

/// Ctrl-C, or what a service manager sends.
async fn told_to_stop() {
    let interrupted = tokio::signal::ctrl_c();
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut ended) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = interrupted => {}
                _ = ended.recv() => {}
            }
            return;
        }
    }
    // Without a way to be told, the process is ended from outside.
    if interrupted.await.is_err() {
        std::future::pending::<()>().await;
    }
}

/// A code as a QR code of half blocks, light on dark as terminals mostly are.
fn drawn(code: &str) -> String {
    let Some(modules) = TagModules::of(code.as_bytes()) else {
        return String::new();
    };
    const QUIET: usize = 2;
    let rows: Vec<&[bool]> = modules.rows().collect();
    let dark = |x: usize, y: usize| {
        let at = |n: usize| n.checked_sub(QUIET);
        let (Some(x), Some(y)) = (at(x), at(y)) else {
            return false;
        };
        rows.get(y)
            .and_then(|row| row.get(x))
            .copied()
            .unwrap_or_default()
    };
    let side = modules.side + 2 * QUIET;
    let mut text = String::new();
    for y in (0..side).step_by(2) {
        for x in 0..side {
            text.push(match (dark(x, y), dark(x, y + 1)) {
                (false, false) => '█',
                (false, true) => '▀',
                (true, false) => '▄',
                (true, true) => ' ',
            });
        }
        text.push('\n');
    }
    text
}
