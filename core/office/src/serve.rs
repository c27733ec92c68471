//! The exchange over HTTP: `POST /exchange` with the bytes of `fixtures/formats/exchange.md`, the token in
//! `Authorization: Bearer`; and `GET /health`.

use std::future::Future;
use std::sync::Arc;
use std::time::{Duration, Instant};

use axum::Router;
use axum::body::{Body, Bytes};
use axum::extract::State;
use axum::http::header::{AUTHORIZATION, CACHE_CONTROL, CONTENT_TYPE};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use http_body_util::BodyExt;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;
use tokio::time::{sleep, timeout};
use wythe_app::sync::limits::{MAX_MESSAGE_BYTES, MAX_PIECE_BYTES, PATIENCE_MS};
use wythe_app::sync::wire::{Code, Reply};
use wythe_app::sync::{Answer, Token};

use crate::place::Place;

/// The most bytes of a request's body.
pub const MAX_BODY_BYTES: usize = MAX_MESSAGE_BYTES + MAX_PIECE_BYTES;
/// How much of a longer one is read before the connection is cut.
const MAX_THROWN_AWAY: usize = 4 * MAX_BODY_BYTES;

/// What a server allows.
#[derive(Debug, Clone, Copy)]
pub struct Bounds {
    /// How long a request's head may take, and a connection be idle.
    pub head: Duration,
    /// How long a request's body may take.
    pub body: Duration,
    /// How long connections may go on when the server is told to stop.
    pub stop: Duration,
    /// How many connections there are at once; further ones wait.
    pub connections: usize,
}

impl Default for Bounds {
    fn default() -> Self {
        Self {
            head: Duration::from_secs(30),
            body: Duration::from_millis(PATIENCE_MS),
            stop: Duration::from_secs(20),
            connections: 500,
        }
    }
}

#[derive(Clone)]
struct Shared {
    place: Arc<Place>,
    bounds: Bounds,
}

/// Serves until `stop` comes, then lets what is under way come to its end.
///
/// # Errors
/// When the listener fails for good.
pub async fn serve(
    place: Arc<Place>,
    listener: TcpListener,
    bounds: Bounds,
    stop: impl Future<Output = ()>,
) -> std::io::Result<()> {
    let routes = Router::new()
        .route("/exchange", post(exchange))
        .route("/health", get(health))
        .with_state(Shared { place, bounds });
    let service = TowerToHyperService::new(routes);
    let room = Arc::new(Semaphore::new(bounds.connections));
    let graceful = GracefulShutdown::new();
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new())
        .header_read_timeout(bounds.head)
        .max_buf_size(64 * 1024);
    let mut stop = std::pin::pin!(stop);
    tracing::info!(address = ?listener.local_addr().ok(), "the office serves");
    loop {
        let next = async {
            let seat = Arc::clone(&room).acquire_owned().await;
            (seat, listener.accept().await)
        };
        let (seat, accepted) = tokio::select! {
            next = next => next,
            () = &mut stop => break,
        };
        let stream = match accepted {
            Ok((stream, _)) => stream,
            Err(error) => {
                // Too many open files, or a client that was gone at once: neither ends the server.
                tracing::warn!(%error, "a connection was not taken");
                sleep(Duration::from_millis(100)).await;
                continue;
            }
        };
        let connection = http.serve_connection(TokioIo::new(stream), service.clone());
        let connection = graceful.watch(connection);
        tokio::spawn(async move {
            if let Err(error) = connection.await {
                tracing::debug!(%error, "a connection broke off");
            }
            drop(seat);
        });
    }
    drop(listener);
    tracing::info!("the office stops");
    if timeout(bounds.stop, graceful.shutdown()).await.is_err() {
        tracing::warn!("connections were cut");
    }
    Ok(())
}

async fn health(State(shared): State<Shared>) -> Response {
    let place = shared.place;
    let checked = tokio::task::spawn_blocking(move || place.check()).await;
    match checked {
        Ok(Ok(())) => (StatusCode::OK, "ok\n").into_response(),
        Ok(Err(trouble)) => {
            tracing::error!(code = trouble.code, "the books do not answer");
            (StatusCode::SERVICE_UNAVAILABLE, "the books do not answer\n").into_response()
        }
        Err(_) => StatusCode::INTERNAL_SERVER_ERROR.into_response(),
    }
}

async fn exchange(State(shared): State<Shared>, headers: HeaderMap, body: Body) -> Response {
    // In a task of its own: when the phone hangs up, bytes of an original that came are still kept.
    let answered = tokio::spawn(answer(shared, headers, body)).await;
    let answer = answered.unwrap_or_else(|_| refused(Code::TryLater, "the office could not answer"));
    let status = StatusCode::from_u16(answer.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    let headers = [(CONTENT_TYPE, "application/cbor"), (CACHE_CONTROL, "no-store")];
    (status, headers, answer.bytes).into_response()
}

async fn answer(shared: Shared, headers: HeaderMap, body: Body) -> Answer {
    let began = Instant::now();
    let bytes = match read(body, shared.bounds.body).await {
        Ok(bytes) => bytes,
        Err(answer) => return answer,
    };
    let length = bytes.len();
    let place = shared.place;
    let worked = tokio::task::spawn_blocking(move || {
        let token = token(&headers);
        place.answer(token.as_ref(), &bytes)
    });
    let answer = match worked.await {
        Ok(Ok(answer)) => answer,
        Ok(Err(trouble)) => {
            tracing::error!(code = trouble.code, "the books do not answer");
            refused(
                Code::TryLater,
                "the office's store did not take it; nothing is lost",
            )
        }
        Err(_) => refused(Code::TryLater, "the office could not answer"),
    };
    tracing::info!(
        status = answer.status,
        came = length,
        went = answer.bytes.len(),
        took_ms = u64::try_from(began.elapsed().as_millis()).unwrap_or(u64::MAX),
        "answered"
    );
    answer
}

/// As much of a body as comes within its time and before it breaks off: of a piece it is kept.
async fn read(mut body: Body, most: Duration) -> Result<Vec<u8>, Answer> {
    let mut bytes = Vec::new();
    let mut too_many = 0;
    let reading = async {
        while let Some(Ok(frame)) = body.frame().await {
            let data: Bytes = frame.into_data().unwrap_or_default();
            if too_many + bytes.len() + data.len() <= MAX_BODY_BYTES {
                bytes.extend_from_slice(&data);
                continue;
            }
            // Thrown away: who is cut off while sending does not read why.
            too_many += data.len();
            if too_many > MAX_THROWN_AWAY {
                break;
            }
        }
    };
    let _out_of_time = timeout(most, reading).await;
    match too_many {
        0 => Ok(bytes),
        _ => Err(refused(Code::OutOfBounds, "the request is longer than is taken")),
    }
}

fn token(headers: &HeaderMap) -> Option<Token> {
    let value = headers.get(AUTHORIZATION)?.to_str().ok()?;
    Token::read(value.strip_prefix("Bearer ")?)
}

fn refused(code: Code, reason: &str) -> Answer {
    Answer {
        bytes: Reply::refused(code, reason).encode(),
        status: code.status(),
    }
}
