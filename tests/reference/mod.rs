//! Turns networks into the answers of independent programs, for tests and benchmarks to stand beside our own.

#[allow(dead_code, reason = "each test uses its own part of the references")]
pub mod ngspice;
#[allow(dead_code, reason = "each test uses its own part of the references")]
pub mod vehicle;
#[allow(dead_code, reason = "each test uses its own part of the references")]
pub mod random;
#[allow(dead_code, reason = "each test uses its own part of the references")]
pub mod law;
#[allow(dead_code, reason = "each test uses its own part of the references")]
pub mod stepped;
#[allow(dead_code, reason = "each test uses its own part of the references")]
pub mod python;
