//! What a person waits for: a page opened, a value typed, a sheet printed. The peer in the same run is a plain
//! file from the same router: what the web server alone costs.

use axum::Router;
use axum::body::Body;
use axum::http::Request;
use divan::Bencher;
use flankwise_bench::{Whole, job, work};
use flankwise_store::Store;
use flankwise_thread::Unit;
use http_body_util::BodyExt;
use std::sync::atomic::{AtomicU32, Ordering};
use tokio::runtime::Runtime;
use tower::ServiceExt;

fn main() {
    divan::main();
}

struct Site {
    app: Router,
    runtime: Runtime,
    _data: tempfile::TempDir,
}

fn site() -> Site {
    let data = tempfile::tempdir().expect("a folder");
    let app = flankwise_app::app(Store::open(data.path()).expect("a store"));
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().expect("a runtime");
    let site = Site { app, runtime, _data: data };
    site.send(Request::post("/jobs/demo").body(Body::empty()).expect("a request"));
    site
}

impl Site {
    fn send(&self, request: Request<Body>) -> usize {
        self.runtime.block_on(async {
            let response = self.app.clone().oneshot(request).await.expect("an answer");
            assert!(
                response.status().is_success() || response.status().is_redirection(),
                "{}",
                response.status()
            );
            response.into_body().collect().await.expect("a body").to_bytes().len()
        })
    }

    fn get(&self, path: &str) -> usize {
        self.send(Request::get(path).body(Body::empty()).expect("a request"))
    }
}

#[divan::bench]
fn peer_plain_file(bencher: Bencher) {
    let s = site();
    bencher.bench_local(|| s.get("/style.css"));
}

#[divan::bench]
fn list_of_jobs(bencher: Bencher) {
    let s = site();
    bencher.bench_local(|| s.get("/"));
}

#[divan::bench]
fn job_page_opened_again(bencher: Bencher) {
    let s = site();
    bencher.bench_local(|| s.get("/jobs/1"));
}

#[divan::bench]
fn value_typed_all_stages_worked(bencher: Bencher) {
    let s = site();
    let n = AtomicU32::new(0);
    bencher.bench_local(|| {
        // A value never seen before, so that nothing comes from the cache.
        let play = 0.02 + f64::from(n.fetch_add(1, Ordering::Relaxed)) * 1e-6;
        let body = format!("base=1&path=make.play&typed={play:.6}");
        let request = Request::post("/jobs/1/try")
            .header("content-type", "application/x-www-form-urlencoded")
            .body(Body::from(body))
            .expect("a request");
        s.send(request)
    });
}

#[divan::bench]
fn lathe_view(bencher: Bencher) {
    let s = site();
    bencher.bench_local(|| s.get("/jobs/1/lathe"));
}

fn demo() -> (job::Job, Whole) {
    let job = job::read(include_str!("../../../demo/board-shear.toml")).expect("the demo is sound");
    let whole = work(&job);
    (job, whole)
}

#[divan::bench]
fn all_stages(bencher: Bencher) {
    let (job, _) = demo();
    bencher.bench_local(|| work(&job));
}

#[divan::bench]
fn bench_sheet(bencher: Bencher) {
    let (job, whole) = demo();
    bencher.bench_local(|| flankwise_sheet::bench_pdf(&job, &whole, Unit::Mm).expect("a sheet").len());
}

#[divan::bench]
fn customer_sheet(bencher: Bencher) {
    let (job, whole) = demo();
    bencher.bench_local(|| flankwise_sheet::customer_pdf(&job, &whole, Unit::Mm).expect("a sheet").len());
}
