//! Turns readings of one subject into the look that says what they have in common: the statement that holds for all of them.

use super::Reading;
use crate::book::{Face, Look};
use crate::quantity::{Amount, Band};

/// By this share of a number is a stated band wider than what was read: a pointer and an eye are no finer, and a statement
/// should not fail at the next change of a wire's length.
const ROOM: f64 = 0.1;

/// The same for a pointer, as a share of its scale.
const POINTER: f64 = 0.05;

impl Reading {
    /// What all the readings show, as an author would state it; none when they differ, or when it has no name. `face` is
    /// what shows them: at an end of its scale a pointer is stated to be below or above a mark.
    pub fn common(readings: &[Reading], face: Option<&Face>) -> Option<Look> {
        let first = readings.first()?;
        match first {
            Reading::Steady(seen) => {
                let look = if seen.backwards { Look::Backwards } else { Look::Is(seen.strength) };
                readings.iter().all(|reading| reading.is(&look, false)).then_some(look)
            }
            Reading::Flashing { .. } => {
                let rates = readings.iter().map(|reading| match reading {
                    Reading::Flashing { per_minute } => Some(*per_minute),
                    _ => None,
                });
                let band = around(&rates.collect::<Option<Vec<f64>>>()?);
                Some(Look::Flashing(Some(band)))
            }
            Reading::Then { first, last, .. } => {
                let times = readings.iter().map(|reading| match reading {
                    Reading::Then { first: was, seconds, last: end } if (was, end) == (first, last) => {
                        Some(*seconds)
                    }
                    _ => None,
                });
                let seconds = around(&times.collect::<Option<Vec<f64>>>()?);
                let backwards = first.backwards || last.backwards;
                Some(Look::Then { first: first.strength, backwards, seconds, last: last.strength })
            }
            Reading::Pulses { on, .. } => {
                let times = readings.iter().map(|reading| match reading {
                    Reading::Pulses { on: was, seconds, every } if was == on && !on.backwards => {
                        Some((*seconds, *every))
                    }
                    _ => None,
                });
                let (seconds, every): (Vec<f64>, Vec<f64>) =
                    times.collect::<Option<Vec<_>>>()?.into_iter().unzip();
                Some(Look::Pulses { on: on.strength, seconds: around(&seconds), every: around(&every) })
            }
            Reading::Chattering => {
                readings.iter().all(|reading| *reading == Reading::Chattering).then_some(Look::Chattering)
            }
            Reading::Number(amount) => {
                let written = readings.iter().map(|reading| match reading {
                    Reading::Number(other) if other.value.is_finite() => {
                        Some(amount.unit.from_base(other.value))
                    }
                    _ => None,
                });
                let written = written.collect::<Option<Vec<f64>>>()?;
                let marked = |number: f64| Amount { value: amount.unit.to_base(number), unit: amount.unit };
                let open = |value: f64| Amount { value, unit: amount.unit };
                let Some((low, high)) = scale(face) else {
                    return Some(Look::Reads(around(&written).map(marked)));
                };
                let room = POINTER * (high - low);
                let least = written.iter().copied().fold(f64::INFINITY, f64::min) - room;
                let most = written.iter().copied().fold(f64::NEG_INFINITY, f64::max) + room;
                Some(Look::Reads(Band {
                    low: if least <= low {
                        open(f64::NEG_INFINITY)
                    } else {
                        marked(round(least, f64::floor))
                    },
                    high: if most >= high { open(f64::INFINITY) } else { marked(round(most, f64::ceil)) },
                }))
            }
            Reading::Unsteady(_) | Reading::Nothing => None,
        }
    }

    /// A stated band of a pointer with what lies beside it; nothing for another look.
    pub fn beside(stated: &Look) -> Vec<Look> {
        let Look::Reads(Band { low, high }) = stated else {
            return Vec::new();
        };
        let open = |value: f64| Amount { value, unit: low.unit };
        let below = Look::Reads(Band { low: open(f64::NEG_INFINITY), high: *low });
        let above = Look::Reads(Band { low: *high, high: open(f64::INFINITY) });
        let mut looks = vec![stated.clone()];
        if low.value.is_finite() {
            looks.push(below);
        }
        if high.value.is_finite() {
            looks.push(above);
        }
        looks
    }

    /// The looks `below` and `above` a number half way between two readings of a pointer; none where they are no numbers
    /// or nearer to each other than the eye tells.
    pub fn either_side(low: &Reading, high: &Reading) -> Option<[Look; 2]> {
        let (Reading::Number(low), Reading::Number(high)) = (low, high) else {
            return None;
        };
        let (from, to) = (low.unit.from_base(low.value), low.unit.from_base(high.value));
        if !(to.is_finite() && to - from > 2.0 * ROOM * to.abs()) {
            return None;
        }
        let between = |number: f64| Amount { value: low.unit.to_base(number), unit: low.unit };
        let middle = between(round((from + to) / 2.0, f64::round));
        let open = |value: f64| Amount { value, unit: low.unit };
        Some([
            Look::Reads(Band { low: open(f64::NEG_INFINITY), high: middle }),
            Look::Reads(Band { low: middle, high: open(f64::INFINITY) }),
        ])
    }
}

/// The ends of a gauge's scale, as written.
fn scale(face: Option<&Face>) -> Option<(f64, f64)> {
    let Some(Face::Gauge { scale }) = face else {
        return None;
    };
    let written = || scale.iter().map(|(_, amount)| amount.unit.from_base(amount.value));
    Some((written().fold(f64::INFINITY, f64::min), written().fold(f64::NEG_INFINITY, f64::max)))
}

/// A band of round numbers that holds all of some numbers with some room.
fn around(numbers: &[f64]) -> Band<f64> {
    let low = numbers.iter().copied().fold(f64::INFINITY, f64::min);
    let high = numbers.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    Band { low: round(low - ROOM * low.abs(), f64::floor), high: round(high + ROOM * high.abs(), f64::ceil) }
}

/// A number with two significant digits.
fn round(number: f64, way: fn(f64) -> f64) -> f64 {
    if number == 0.0 {
        return 0.0;
    }
    let digits = 1 - number.abs().log10().floor() as i32;
    // Dividing by a whole power keeps short decimals short.
    match digits {
        0.. => way(number * 10f64.powi(digits)) / 10f64.powi(digits),
        _ => way(number / 10f64.powi(-digits)) * 10f64.powi(-digits),
    }
}

#[cfg(test)]
mod tests {
    use super::super::Seen;
    use super::*;
    use crate::book::Strength;
    use crate::quantity::Dimension;

    fn volts(value: f64) -> Reading {
        Reading::Number(Amount::base(value, Dimension::Potential))
    }

    #[test]
    fn what_readings_have_in_common_holds_for_each() {
        let lit_seen = Seen { strength: Strength::Full, backwards: false };
        let lit = Reading::Steady(lit_seen);
        let dark = Reading::Steady(Seen::NOTHING);
        let sets = [
            vec![lit, lit],
            vec![dark],
            vec![Reading::Flashing { per_minute: 88.0 }, Reading::Flashing { per_minute: 93.5 }],
            vec![volts(11.37), volts(14.26)],
            vec![Reading::Then { first: lit_seen, seconds: 4.01, last: Seen::NOTHING }],
            vec![Reading::Pulses { on: lit_seen, seconds: 1.02, every: 5.3 }],
            vec![Reading::Chattering, Reading::Chattering],
        ];
        for readings in sets {
            let look = Reading::common(&readings, None).unwrap();
            assert!(readings.iter().all(|reading| reading.is(&look, false)), "{readings:?} {look:?}");
        }
        assert_eq!(Reading::common(&[lit, dark], None), None);
        assert_eq!(Reading::common(&[lit, Reading::Flashing { per_minute: 90.0 }], None), None);
    }

    #[test]
    fn bands_are_round_and_have_room() {
        assert_eq!(around(&[11.37, 14.26]), Band { low: 10.0, high: 16.0 });
        assert_eq!(around(&[0.141]), Band { low: 0.12, high: 0.16 });
        assert_eq!(around(&[2600.0]), Band { low: 2300.0, high: 2900.0 });
    }

    #[test]
    fn a_pointer_at_an_end_of_its_scale_is_below_or_above_a_mark() {
        let mark = |value: f64| Amount::base(value, Dimension::Potential);
        let face = Face::Gauge { scale: vec![(0.008, mark(8.0)), (0.016, mark(16.0))] };
        let reads = |low: f64, high: f64| Some(Look::Reads(Band { low: mark(low), high: mark(high) }));
        assert_eq!(Reading::common(&[volts(8.0)], Some(&face)), reads(f64::NEG_INFINITY, 8.4));
        assert_eq!(Reading::common(&[volts(16.0)], Some(&face)), reads(15.0, f64::INFINITY));
        assert_eq!(Reading::common(&[volts(11.37), volts(14.26)], Some(&face)), reads(10.0, 15.0));
    }

    #[test]
    fn a_pointer_is_told_apart_half_way() {
        let [below, above] = Reading::either_side(&volts(0.0), &volts(12.4)).unwrap();
        assert!(volts(0.0).is(&below, false) && !volts(0.0).is(&above, false));
        assert!(volts(12.4).is(&above, false) && !volts(12.4).is(&below, false));
        assert_eq!(Reading::either_side(&volts(12.0), &volts(12.4)), None);
    }
}
