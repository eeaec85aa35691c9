//! The web page: a thin face over store and stages. Pages are written on the server and work without script;
//! a small script of our own makes them live.

mod compare_page;
mod edit;
mod form;
mod job_page;
mod jobs_page;
mod lathe_acts;
mod lathe_page;
mod lathes_page;
mod quotation_page;
mod reaction_page;
mod say;
mod shell;
mod threads_page;
mod way_at_lathe;
mod worked;

use crate::kept::LATHE_SHELF;
use axum::Router;
use axum::extract::{DefaultBodyLimit, Request};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use flankwise_store::{SaveError, Store, StoreError};
use flankwise_thread::Unit;
use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;

/// What every handler shares.
pub struct App {
    store: Store,
    lathes: Store,
    cache: worked::Cache,
}

/// Room for a job text as a form, percent-encoded; larger bodies are refused with 413.
const LARGEST_BODY: usize = 4 << 20;

/// The router over a store: tests call it without a socket.
pub fn app(store: Store) -> Router {
    let lathes = store.shelf(LATHE_SHELF);
    let state = Arc::new(App { store, lathes, cache: worked::Cache::default() });
    Router::new()
        .route("/", get(jobs_page::list))
        .route("/jobs", post(jobs_page::create))
        .route("/jobs/import", post(jobs_page::import))
        .route("/jobs/demo", post(jobs_page::demo))
        .route("/jobs/{id}/put-away", post(jobs_page::put_away))
        .route("/jobs/{id}/bring-back", post(jobs_page::bring_back))
        .route("/jobs/{id}/bench.pdf", get(job_page::bench_pdf))
        .route("/jobs/{id}/customer.pdf", get(job_page::customer_pdf))
        .route("/jobs/{id}/quotation", get(quotation_page::show))
        .route("/jobs/{id}/quotation.pdf", get(job_page::quotation_pdf))
        .route("/jobs/{id}/record.pdf", get(job_page::record_pdf))
        .route("/jobs/{id}/lathe", get(lathe_page::show).post(lathe_acts::act))
        .route("/jobs/{id}/job.toml", get(edit::toml::<job_page::Jobs>))
        .route("/jobs/{id}/take-lathe", post(lathes_page::take))
        .route("/jobs/{id}/keep-lathe", post(lathes_page::keep))
        .nest("/jobs/{id}", desk::<job_page::Jobs>())
        .route("/lathes", get(lathes_page::list).post(lathes_page::create))
        .route("/lathes/copy", post(lathes_page::copy))
        .route("/lathes/import", post(lathes_page::import))
        .route("/lathes/{id}/put-away", post(lathes_page::put_away))
        .route("/lathes/{id}/bring-back", post(lathes_page::bring_back))
        .route("/lathes/{id}/lathe.toml", get(edit::toml::<lathes_page::Lathes>))
        .nest("/lathes/{id}", desk::<lathes_page::Lathes>())
        .route("/threads", get(threads_page::show))
        .route("/compare", get(compare_page::show))
        .route("/about", get(about))
        .route("/unit", post(set_unit))
        .route(
            "/style.css",
            get(|| file("text/css; charset=utf-8", include_bytes!("../../assets/style.css"))),
        )
        .route(
            "/sheet.js",
            get(|| file("text/javascript; charset=utf-8", include_bytes!("../../assets/sheet.js"))),
        )
        .route(
            "/lathe.js",
            get(|| file("text/javascript; charset=utf-8", include_bytes!("../../assets/lathe.js"))),
        )
        .route(
            "/reaction.js",
            get(|| file("text/javascript; charset=utf-8", include_bytes!("../../assets/reaction.js"))),
        )
        .route("/icon.svg", get(|| file("image/svg+xml", include_bytes!("../../assets/icon.svg"))))
        .route("/font.ttf", get(|| file("font/ttf", flankwise_sheet::font_regular())))
        .route("/font-bold.ttf", get(|| file("font/ttf", flankwise_sheet::font_bold())))
        .fallback(|| async {
            (StatusCode::NOT_FOUND, shell::trouble("No such page", "There is nothing at this address.", "/"))
        })
        .layer(DefaultBodyLimit::max(LARGEST_BODY))
        .layer(middleware::from_fn(guard))
        .with_state(state)
}

/// The addresses of one kept text, below its own.
fn desk<D: edit::Desk>() -> Router<Arc<App>> {
    Router::new()
        .route("/", get(edit::show::<D>))
        .route("/fields", post(edit::save_fields::<D>))
        .route("/try", post(edit::try_field::<D>))
        .route("/add", post(edit::add::<D>))
        .route("/take-out", post(edit::take_out::<D>))
        .route("/undo", post(edit::undo::<D>))
        .route("/redo", post(edit::redo::<D>))
        .route("/state", get(edit::state::<D>))
        .route("/history", get(edit::history::<D>))
        .route("/text", get(edit::text::<D>).post(edit::save_text::<D>))
        .route("/reaction", get(reaction_page::show::<D>).post(reaction_page::keep::<D>))
}

/// Serves until interrupted; `ready` is told the address once connections are taken.
pub fn serve(store: Store, listen: IpAddr, port: u16, ready: impl FnOnce(SocketAddr)) -> Result<(), String> {
    run(store, listen, port, ready, async { drop(tokio::signal::ctrl_c().await) })
}

/// Opens the page's address, tells `ready`, and closes again.
pub fn visit(store: Store, listen: IpAddr, port: u16, ready: impl FnOnce(SocketAddr)) -> Result<(), String> {
    run(store, listen, port, ready, std::future::ready(()))
}

fn run(
    store: Store,
    listen: IpAddr,
    port: u16,
    ready: impl FnOnce(SocketAddr),
    until: impl Future<Output = ()> + Send + 'static,
) -> Result<(), String> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .enable_all()
        .build()
        .map_err(|e| format!("cannot start: {e}"))?;
    runtime.block_on(async {
        let asked = SocketAddr::new(listen, port);
        let listener = tokio::net::TcpListener::bind(asked).await.map_err(|e| {
            if e.kind() == std::io::ErrorKind::AddrInUse {
                format!("--port: read {port}; another program is using it. Accepted is a free port, or 0 for any free one")
            } else {
                format!("--listen, --port: cannot listen on {asked}: {e}")
            }
        })?;
        let address = listener.local_addr().map_err(|e| e.to_string())?;
        ready(address);
        axum::serve(listener, app(store)).with_graceful_shutdown(until).await.map_err(|e| e.to_string())
    })
}

/// Refuses changes that another site's page sends through the person's browser, and keeps other sites from
/// framing ours.
async fn guard(request: Request, next: Next) -> Response {
    let headers = request.headers();
    if request.method() == axum::http::Method::POST {
        let host = headers.get(header::HOST).and_then(|v| v.to_str().ok()).unwrap_or_default();
        let foreign = headers
            .get(header::ORIGIN)
            .and_then(|v| v.to_str().ok())
            .is_some_and(|origin| origin.split_once("://").is_none_or(|(_, from)| from != host));
        if foreign {
            return (StatusCode::FORBIDDEN, "This request comes from another site and is refused.\n")
                .into_response();
        }
    }
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    headers.insert(header::X_FRAME_OPTIONS, HeaderValue::from_static("DENY"));
    headers.insert(header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
    headers.insert(
        header::CONTENT_SECURITY_POLICY,
        HeaderValue::from_static(
            "default-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:",
        ),
    );
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}

/// Version and licences, that of the typeface with its own words.
async fn about(headers: HeaderMap) -> impl IntoResponse {
    let main = maud::html! {
        h1 { "About" }
        p { "flankwise " (env!("CARGO_PKG_VERSION")) ", licensed MIT or Apache-2.0, at your option." }
        p { "It advises and does not certify. Where a load could fall on someone, a competent, licensed person and your local code decide." }
        h2 { "Typeface" }
        pre.notice { (flankwise_sheet::font::notice()) }
        p { a href="/" { "Jobs" } }
    };
    shell::page("About", chosen_unit(&headers).unwrap_or(Unit::Mm), &maud::html! {}, &main, None)
}

async fn file(kind: &'static str, bytes: &'static [u8]) -> impl IntoResponse {
    ([(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, "max-age=600")], bytes)
}

/// Whether the answer is for a program and not for a person.
fn wants_json(headers: &HeaderMap) -> bool {
    headers
        .get(header::ACCEPT)
        .and_then(|v| v.to_str().ok())
        .is_some_and(|a| a.starts_with("application/json"))
}

/// The unit a person has chosen in this browser, if any.
fn chosen_unit(headers: &HeaderMap) -> Option<Unit> {
    let cookies = headers.get(header::COOKIE)?.to_str().ok()?;
    cookies.split(';').find_map(|c| match c.trim() {
        "unit=mm" => Some(Unit::Mm),
        "unit=in" => Some(Unit::Inch),
        _ => None,
    })
}

#[derive(serde::Deserialize)]
struct UnitForm {
    unit: String,
}

async fn set_unit(headers: HeaderMap, axum::Form(form): axum::Form<UnitForm>) -> Response {
    let word = if form.unit == "in" { "in" } else { "mm" };
    // Back to the page it came from; only the path is used, so that it cannot lead to another site.
    let back = headers
        .get(header::REFERER)
        .and_then(|v| v.to_str().ok())
        .and_then(|r| r.split_once("://"))
        .and_then(|(_, rest)| rest.find('/').map(|i| rest[i..].to_owned()))
        .filter(|path| !path.starts_with("//"))
        .unwrap_or_else(|| "/".to_owned());
    let cookie = format!("unit={word}; Path=/; Max-Age=31536000; SameSite=Lax");
    ([(header::SET_COOKIE, cookie)], Redirect::to(&back)).into_response()
}

/// A store error as a page.
fn store_trouble(error: &StoreError) -> Response {
    (store_status(error), shell::trouble("That did not work", &error.to_string(), "/")).into_response()
}

fn store_status(error: &StoreError) -> StatusCode {
    match error {
        StoreError::NoSuchJob(_) | StoreError::NoSuchRevision(..) => StatusCode::NOT_FOUND,
        StoreError::Removed(_) => StatusCode::GONE,
        StoreError::Full { .. } => StatusCode::INSUFFICIENT_STORAGE,
        _ => StatusCode::INTERNAL_SERVER_ERROR,
    }
}

/// What was not saved, as a page.
fn save_trouble(error: &SaveError) -> Response {
    match error {
        SaveError::Store(e) => store_trouble(e),
        other => (save_status(other), shell::trouble("Not saved", &other.to_string(), "/")).into_response(),
    }
}

fn save_status(error: &SaveError) -> StatusCode {
    match error {
        SaveError::Store(e) => store_status(e),
        _ => StatusCode::CONFLICT,
    }
}
