//! Turns drawings of vehicle-like circuits into times, from the book to the text of the SVG.
//!
//! `cargo bench --bench draw`. Times are the best of several passes, because the machine may be shared; the last line is the
//! time that is promised: a drawing of 100 parts in under 20 ms.

// A benchmark reads the clock and prints.
#![allow(clippy::disallowed_macros, clippy::disallowed_methods, clippy::disallowed_types)]

#[path = "../vehicle/mod.rs"]
mod vehicle;

use goodground::book::SheetId;
use goodground::draw::{Use, View, puzzle, scenes, svg};
use std::hint::black_box;
use std::time::Instant;

const PASSES: usize = 15;
const CIRCUITS: u64 = 8;
const PROMISE_PARTS: usize = 100;
const PROMISE_MS: f64 = 20.0;

/// Milliseconds: the best of several passes.
fn best(mut call: impl FnMut()) -> f64 {
    let times = (0..PASSES).map(|_| {
        let start = Instant::now();
        call();
        start.elapsed().as_secs_f64() * 1e3
    });
    times.fold(f64::INFINITY, f64::min)
}

fn main() {
    let view = View { sheet: SheetId(0), build: None };
    println!("{:>6} {:>10} {:>10} {:>10} {:>10}", "parts", "order", "scenes", "svg", "total ms");
    let mut promised: f64 = 0.0;
    for parts in [10, 25, 50, PROMISE_PARTS, 150] {
        let (mut order, mut placed, mut written) = (0.0, 0.0, 0.0);
        for seed in 0..CIRCUITS {
            let book = vehicle::vehicle(seed + 77, parts);
            let problem = puzzle(&book, view);
            order += best(|| drop(black_box(problem.solve())));
            let own = best(|| drop(black_box(scenes(vehicle::english(&book), view))));
            let drawn = scenes(vehicle::english(&book), view);
            let text = best(|| {
                drawn
                    .iter()
                    .for_each(|scene| drop(black_box(svg(vehicle::english(&book), scene, None, Use::Live))))
            });
            placed += own;
            written += text;
            if parts == PROMISE_PARTS {
                promised = promised.max(own + text);
            }
        }
        let mean = |sum: f64| sum / CIRCUITS as f64;
        println!(
            "{parts:>6} {:>10.2} {:>10.2} {:>10.2} {:>10.2}",
            mean(order),
            mean(placed),
            mean(written),
            mean(placed + written)
        );
    }
    println!("slowest drawing of {PROMISE_PARTS} parts: {promised:.1} ms, promised {PROMISE_MS} ms");
}
