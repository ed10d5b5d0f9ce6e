//! Turns a load's voltage and current into what a person sees or hears: full, weak or off.

use crate::book::{Face, Strength};

/// Exponent of a tungsten lamp's light on its voltage (Standard Handbook for Electrical Engineers, 11th ed., p. 22-8, as
/// cited for lamp rerating: 3.4 to 3.5).
pub const LIGHT_EXPONENT: f64 = 3.4;

/// Ratio of a 12 V lamp's hot to its cold resistance (common practice, from memory; a measured 6 V lamp gave 9).
pub const HOT_TO_COLD: f64 = 10.0;

/// Share of its rated light from which a lamp is called lit, and from which it is called dim: limits of this project,
/// chosen so that a lamp at 70 % of its voltage is lit and one at 20 % is dim.
const LIT: f64 = 0.29;
const DIM: f64 = 0.004;

/// The light of a filament at `share` of its rated voltage, as a share of its rated light.
pub fn light(share: f64) -> f64 {
    share.abs().powf(LIGHT_EXPONENT)
}

/// How a filament looks at a share of its rated voltage.
pub fn lamp(share: f64) -> Strength {
    graded(light(share), DIM, LIT)
}

/// How an LED looks at a share of its rated current: its light follows its current.
pub fn led(share: f64) -> Strength {
    graded(share, 0.02, 0.3)
}

/// How any other load does at a share of its rated voltage. The limits are this project's own: what works by torque or
/// force needs more of its voltage than what works by heat.
pub fn load(face: &Face, share: f64) -> Strength {
    let (weak, full) = match face {
        Face::Lamp => return lamp(share),
        Face::Sounder => (0.25, 0.6),
        Face::Motor { .. } => (0.2, 0.75),
        Face::Starter => (0.3, 0.6),
        Face::Heater => (0.3, 0.75),
        Face::Valve => (0.35, 0.65),
        Face::Gauge { .. } => (0.02, 0.1),
    };
    graded(share.abs(), weak, full)
}

fn graded(value: f64, weak: f64, full: f64) -> Strength {
    if value >= full {
        Strength::Full
    } else if value >= weak {
        Strength::Weak
    } else {
        Strength::Off
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lamp rerating with exponent 3.4 at 11.5 V and 14.4 V on a 12.8 V design: 0.695 and 1.493.
    #[test]
    fn light_follows_the_rerating_exponent() {
        assert!((light(11.5 / 12.8) - 0.695).abs() < 0.001);
        assert!((light(14.4 / 12.8) - 1.493).abs() < 0.002);
    }

    #[test]
    fn two_equal_lamps_in_series_are_dim_and_a_tenth_of_the_voltage_is_dark() {
        assert_eq!(lamp(0.5), Strength::Weak);
        assert_eq!(lamp(0.1), Strength::Off);
        assert_eq!(lamp(0.9), Strength::Full);
    }
}
