//! Turns the process into a run of the library.

fn main() -> std::process::ExitCode {
    goodground::command::run()
}
