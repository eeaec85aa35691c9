//! The `flankwise` program.

fn main() -> std::process::ExitCode {
    flankwise_app::run()
}
