//! What the program notes about itself, for the phone's own log. Personal data is never in it.

use std::fmt::Write as _;
use std::sync::{Arc, Mutex, Once, PoisonError};

use tracing::field::{Field, Visit};
use tracing::{Event, Level, Subscriber};
use tracing_subscriber::layer::{Context, Layer, SubscriberExt as _};

/// Takes the program's notes about itself. Called from inside other calls: it must not call a `Field`.
#[uniffi::export(with_foreign)]
pub trait LogSink: Send + Sync {
    /// One note; `level` is `error`, `warn` or `info`.
    fn note(&self, level: String, text: String);
}

static SINK: Mutex<Option<Arc<dyn LogSink>>> = Mutex::new(None);

/// Says where notes go; nothing ends them. The last sink that was given gets them all.
#[uniffi::export]
pub fn log_to(sink: Option<Arc<dyn LogSink>>) {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        // Where somebody else listens already, notes go there.
        let _listened_to =
            tracing::subscriber::set_global_default(tracing_subscriber::registry().with(ToSink));
    });
    *SINK.lock().unwrap_or_else(PoisonError::into_inner) = sink;
}

struct ToSink;

impl<S: Subscriber> Layer<S> for ToSink {
    fn on_event(&self, event: &Event<'_>, _: Context<'_, S>) {
        let level = match *event.metadata().level() {
            Level::ERROR => "error",
            Level::WARN => "warn",
            Level::INFO => "info",
            _ => return,
        };
        let sink = SINK.lock().unwrap_or_else(PoisonError::into_inner).clone();
        if let Some(sink) = sink {
            let mut text = Text(String::new());
            event.record(&mut text);
            sink.note(level.to_owned(), text.0);
        }
    }
}

struct Text(String);

impl Visit for Text {
    fn record_debug(&mut self, field: &Field, value: &dyn std::fmt::Debug) {
        let space = if self.0.is_empty() { "" } else { " " };
        let _never_fails = if field.name() == "message" {
            write!(self.0, "{space}{value:?}")
        } else {
            write!(self.0, "{space}{}={value:?}", field.name())
        };
    }
}
