//! A circuit sheet is whatever the fuzzer writes.
#![no_main]

mod small;

libfuzzer_sys::fuzz_target!(|sheet: &str| small::tell(&small::book(sheet, small::WIRES, small::PAGE), false));
