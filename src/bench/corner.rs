//! One corner of what a proof must hold over: an end of the supply band, of each working band and of the time bands.

use crate::quantity::Band;

/// Which end of each band holds.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Corner {
    /// Electromotive force of the vehicle's supply in volts.
    pub supply: f64,
    /// For each working band of the book, whether it operates at its high end.
    pub high: Vec<bool>,
    /// Whether timers take their longest stated time.
    pub slow: bool,
}

impl Corner {
    /// The end of a threshold band that holds here; `band` is its working band's number, if it has one.
    pub fn end(&self, band: Option<usize>, threshold: Band<f64>) -> f64 {
        let high = band.is_some_and(|band| self.high[band]);
        if high { threshold.high } else { threshold.low }
    }

    /// The end of a time band that holds here, in seconds.
    pub fn time(&self, band: Band<f64>) -> f64 {
        if self.slow { band.high } else { band.low }
    }
}
