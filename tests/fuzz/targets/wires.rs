//! A wire list is whatever the fuzzer writes.
#![no_main]

mod small;

libfuzzer_sys::fuzz_target!(|wires: &str| small::tell(&small::book(&small::sheet(""), wires, small::PAGE), false));
