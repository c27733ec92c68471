//! A phone's exchange with its office over HTTP.

use std::io::Read;
use std::time::{Duration, Instant};

use serde_json::json;
use ureq::http::Uri;
use wythe_app::sync::limits::{MAX_MESSAGE_BYTES, MAX_PIECE_BYTES, PATIENCE_MS};
use wythe_app::sync::{InviteCode, Token};
use wythe_app::{AppError, Exchanged, Line, NewDevice};

use crate::args::SyncArgs;
use crate::platform::{open, open_begun};
use crate::trouble::Trouble;
use crate::typed::answer;

/// The most bytes of an answer.
const MOST: usize = MAX_MESSAGE_BYTES + MAX_PIECE_BYTES;

pub fn run(args: &SyncArgs, json: bool) -> Result<String, Trouble> {
    let mut line = HttpLine::to(&args.office, Duration::from_secs(args.patience))?;
    let mut phone = match &args.code {
        None => open_begun(&args.store.store, json)?,
        Some(code) => {
            let code = InviteCode::read(code).ok_or_else(|| {
                Trouble::Usage("That is no code: it has four groups of four signs.".to_owned())
            })?;
            let person = args.person.clone();
            let person =
                person.ok_or_else(|| Trouble::Usage("Say with --person who will use it.".to_owned()))?;
            let device = NewDevice {
                person_name: person,
                role: args.role.clone(),
                device_name: args.device.clone(),
            };
            let mut phone = open(&args.store.store, json)?;
            phone.join_office(&device, code, &mut line)?;
            phone
        }
    };
    let done = phone.exchange(&mut line)?;
    if !done.quiet && !done.revoked {
        return Err(AppError::NoAnswer.into());
    }
    Ok(told(&done, json))
}

fn told(done: &Exchanged, json: bool) -> String {
    let aside = done.set_aside.iter();
    let value = json!({
        "received": done.received,
        "safe_facts": done.safe_facts,
        "safe_originals": done.safe_originals,
        "kept_apart": done.kept_apart,
        "set_aside": aside
            .map(|aside| json!({ "fact": aside.id, "why": aside.reason }))
            .collect::<Vec<_>>(),
        "revoked": done.revoked,
    });
    let mut text = format!(
        "{} entries came. {} entries, {} photos and papers are safe at the office now.\n",
        done.received, done.safe_facts, done.safe_originals
    );
    for aside in &done.set_aside {
        text.push_str(&format!("Set aside: {} ({}).\n", aside.id.short(), aside.reason));
    }
    if done.kept_apart > 0 {
        text.push_str(&format!(
            "{} entries are kept apart until the office decides.\n",
            done.kept_apart
        ));
    }
    if done.revoked {
        text.push_str("The office revoked this phone; ask there.\n");
    }
    answer(json, &value, &text)
}

/// The office at the other end of HTTP.
struct HttpLine {
    agent: ureq::Agent,
    url: String,
    began: Instant,
    /// How long may still be waited after failures.
    patience: Duration,
}

impl HttpLine {
    fn to(office: &str, patience: Duration) -> Result<Self, Trouble> {
        let uri: Option<Uri> = office.parse().ok();
        let host = uri.as_ref().filter(|uri| uri.scheme_str() == Some("http"));
        let host = host.and_then(Uri::host).ok_or_else(|| {
            Trouble::Usage("The office's address is written like http://127.0.0.1:8700.".to_owned())
        })?;
        let here = host == "localhost"
            || host
                .trim_matches(['[', ']'])
                .parse::<std::net::IpAddr>()
                .is_ok_and(|address| address.is_loopback());
        if !here {
            return Err(Trouble::Usage(
                "This program does not encrypt what it sends: reach another machine's office through an \
                 encrypted tunnel that ends on this one."
                    .to_owned(),
            ));
        }
        let config = ureq::Agent::config_builder()
            .http_status_as_error(false)
            .timeout_global(Some(Duration::from_millis(PATIENCE_MS)))
            .max_redirects(0)
            .proxy(None)
            .build();
        Ok(Self {
            agent: config.into(),
            url: format!("{}/exchange", office.trim_end_matches('/')),
            began: Instant::now(),
            patience,
        })
    }
}

impl Line for HttpLine {
    fn send(&mut self, token: Option<&Token>, request: &[u8]) -> Option<Vec<u8>> {
        let mut call = self.agent.post(&self.url).content_type("application/cbor");
        if let Some(token) = token {
            call = call.header("Authorization", format!("Bearer {}", token.to_text()));
        }
        let mut response = call.send(request).ok()?;
        let most = u64::try_from(MOST).unwrap_or(u64::MAX);
        let mut reader = response.body_mut().as_reader().take(most);
        let mut bytes = Vec::new();
        // As many as came: of an original they are kept.
        let _broke_off = reader.read_to_end(&mut bytes);
        Some(bytes)
    }

    fn now_ms(&mut self) -> u64 {
        u64::try_from(self.began.elapsed().as_millis()).unwrap_or(u64::MAX)
    }

    fn wait_until(&mut self, ms: u64) -> bool {
        let wait = Duration::from_millis(ms.saturating_sub(self.now_ms()));
        let Some(left) = self.patience.checked_sub(wait) else {
            return false;
        };
        self.patience = left;
        std::thread::sleep(wait);
        true
    }
}
