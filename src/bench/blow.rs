//! Turns a protective link's current into the time within which it opens.

use crate::book::Protection;
use crate::quantity::Band;

/// Below this share of its rating a blade fuse never opens: at least 100 hours at 110 % (ISO 8820-3 and SAE J1284,
/// from memory).
pub const NEVER: f64 = 1.1;

/// A row: share of the rating, least and greatest opening time in seconds.
type Times = (f64, f64, f64);

/// ATO-size blade fuses: a maker's datasheet for the size (287 series), which quotes ISO 8820-3; the 0.04 s and 0.1 s
/// ends are the type C limits (from memory).
const BLADE: &[Times] =
    &[(1.35, 0.75, 600.0), (1.6, 0.25, 50.0), (2.0, 0.15, 5.0), (3.5, 0.04, 0.5), (6.0, 0.01, 0.1)];

/// Large blade fuses (299 series datasheet, after ISO 8820-3:2002 and SAE J1888); used for fusible links and breakers too,
/// for which no standard was at hand (common practice, no source).
const SLOW: &[Times] = &[(1.35, 60.0, 1800.0), (2.0, 2.0, 50.0), (3.5, 0.2, 7.0), (6.0, 0.04, 1.0)];

/// Seconds within which a link opens at `share` of its rating: the least and the greatest. None when it never does; an
/// infinite end when it may stay whole. Between the rows the logarithms are joined by straight lines; beyond the last
/// row the energy I²t stays that of the row.
pub fn opening_time(protection: Protection, share: f64) -> Option<Band<f64>> {
    let rows = match protection {
        Protection::Fuse => BLADE,
        Protection::FusibleLink | Protection::SelfResetting | Protection::ManualReset => SLOW,
    };
    let (first, last) = (rows[0], rows[rows.len() - 1]);
    if share <= NEVER {
        return None;
    }
    if share < first.0 {
        return Some(Band { low: first.1, high: f64::INFINITY });
    }
    if share >= last.0 {
        let shrink = (last.0 / share).powi(2);
        return Some(Band { low: last.1 * shrink, high: last.2 * shrink });
    }
    let at = rows.partition_point(|row| row.0 <= share);
    let (before, after) = (rows[at - 1], rows[at]);
    let part = (share / before.0).ln() / (after.0 / before.0).ln();
    let between = |a: f64, b: f64| (a.ln() + part * (b.ln() - a.ln())).exp();
    Some(Band { low: between(before.1, after.1), high: between(before.2, after.2) })
}

/// Seconds after which a self-resetting breaker closes again (common practice, no source).
pub const RESET_SECONDS: f64 = 10.0;

#[cfg(test)]
mod tests {
    use super::*;

    /// Maker's datasheet rows for ATO-size blades, 287 series (ISO 8820-3).
    #[test]
    fn blade_fuses_open_within_the_published_limits() {
        let time = |share| opening_time(Protection::Fuse, share).unwrap();
        assert_eq!(opening_time(Protection::Fuse, 1.1), None);
        let close = |time: Band<f64>, low: f64, high: f64| {
            (time.low / low - 1.0).abs() < 1e-9 && (time.high / high - 1.0).abs() < 1e-9
        };
        assert!(close(time(1.35), 0.75, 600.0));
        assert!(close(time(2.0), 0.15, 5.0));
        assert!(close(time(3.5), 0.04, 0.5));
        assert!(close(time(6.0), 0.01, 0.1));
        assert!(time(1.2).high.is_infinite());
    }

    #[test]
    fn more_current_never_takes_longer() {
        let times: Vec<f64> = (14..200)
            .map(|tenths| opening_time(Protection::Fuse, tenths as f64 / 10.0).unwrap().high)
            .collect();
        assert!(times.windows(2).all(|pair| pair[1] <= pair[0]));
    }
}
