//! A whole small book is whatever the fuzzer writes, and is proved: a sheet, its wires and a page, divided by lines of `%%%`.
#![no_main]

mod small;

libfuzzer_sys::fuzz_target!(|book: &str| {
    let mut files = book.split("\n%%%\n");
    let [sheet, wires, page] = [(); 3].map(|()| files.next().unwrap_or_default());
    small::tell(&small::book(sheet, wires, page), true);
});
