//! Asks a script of Python that stands here, and so a library of its.

use std::io::Write as _;
use std::process::{Command, Stdio};

/// What a script prints for this input; `needs` names its libraries.
pub fn ask(script: &str, input: String, needs: &str) -> String {
    let script = format!("{}/tests/reference/{script}", env!("CARGO_MANIFEST_DIR"));
    let mut python = Command::new("python3")
        .arg(script)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("this test needs `python3`; tests/run says what else");
    let mut stdin = python.stdin.take().expect("a pipe");
    let writer = std::thread::spawn(move || {
        // If the script stops early its own message is shown below.
        let _ = stdin.write_all(input.as_bytes());
    });
    let output = python.wait_with_output().expect("python3 runs");
    writer.join().expect("a thread that only writes");
    let message = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "this test needs {needs} (PyPI); tests/run installs them\n{message}");
    String::from_utf8_lossy(&output.stdout).to_string()
}
