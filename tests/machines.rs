//! Publishes the demo as another machine would: with the arithmetic of a processor without fused multiplication, on one core.
//! Powers and exponentials then differ in their last digit (the C library has a version for each kind of processor), and the
//! work is done in another order.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

/// Every file of the published demo.
fn publish(environment: &[(&str, &str)]) -> BTreeMap<String, Vec<u8>> {
    let place = tempfile::tempdir().expect("a folder");
    let out = place.path().join("book");
    let mut command = Command::new(env!("CARGO_BIN_EXE_goodground"));
    command.args(["publish", "--book", env!("CARGO_MANIFEST_DIR"), "--out"]).arg(&out);
    command.envs(environment.iter().copied());
    let output = command.output().expect("the program runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let files = walkdir::WalkDir::new(&out).into_iter().filter_map(Result::ok);
    let files = files.filter(|entry| entry.file_type().is_file());
    let read = |path: &Path| std::fs::read(path).expect("a file of the book");
    files
        .map(|entry| {
            let path = entry.path().strip_prefix(&out).expect("it was found there");
            (path.display().to_string(), read(entry.path()))
        })
        .collect()
}

#[test]
fn another_machine_gives_the_same_bytes() {
    let here = publish(&[]);
    let there =
        publish(&[("RAYON_NUM_THREADS", "1"), ("GLIBC_TUNABLES", "glibc.cpu.hwcaps=-AVX2,-FMA,-AVX512F")]);
    assert!(here.len() > 100, "{} files", here.len());
    let names = |files: &BTreeMap<String, Vec<u8>>| files.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(&here), names(&there));
    for (path, bytes) in &here {
        assert!(bytes == &there[path], "{path} differs");
    }
}
