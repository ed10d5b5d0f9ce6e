//! A page is whatever the fuzzer writes.
#![no_main]

mod small;

libfuzzer_sys::fuzz_target!(|page: &str| small::tell(&small::book(&small::sheet(""), small::WIRES, page), false));
