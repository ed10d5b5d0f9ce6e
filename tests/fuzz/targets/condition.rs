//! The condition of a switch, of a wire and of an intent is whatever the fuzzer writes.
#![no_main]

mod small;

libfuzzer_sys::fuzz_target!(|condition: &str| {
    let condition = condition.replace(['\'', '"', '\\', '\n', '\r'], " ");
    let own = format!("[parts.S2]\nkind = \"switch\"\nmakes = {{ \"1-2\" = '{condition}' }}\n[intent]\nE1 = '{condition}'\n");
    let wires = format!("{}W8,S2:1,F1:2,RD,1,1,\"{condition}\"\n", small::WIRES);
    small::tell(&small::book(&small::sheet(&own), &wires, small::PAGE), false);
});
