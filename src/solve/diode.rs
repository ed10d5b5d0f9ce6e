//! Turns a junction voltage into a diode's current and slope, and keeps Newton's steps on the exponential in hand.

/// Conductance across every junction, in siemens.
///
/// Real junctions leak more than Shockley's law says, and without a leak a conductor behind a blocked diode
/// would have no defined voltage. 1e-12 S (12 pA at 12 V) is far below what any part of a vehicle notices; it is also what
/// general-purpose circuit simulators put there.
pub const LEAKAGE: f64 = 1e-12;

/// Reverse current, in amperes, at the breakdown voltage: the usual test current of small zener diodes.
const BREAKDOWN_AMPS: f64 = 1e-3;

/// A diode's constants; [`Element::Diode`](super::Element::Diode) explains them.
#[derive(Clone, Copy, Debug)]
pub(super) struct Diode {
    pub saturation: f64,
    pub slope: f64,
    pub breakdown: Option<f64>,
    pub ohms: f64,
}

impl Diode {
    /// Current (A) and its derivative (S) at a junction voltage (V). Overflows to infinity beyond some 700 slopes,
    /// where [`Diode::limit`] lets no iteration come.
    pub fn current(&self, volts: f64) -> (f64, f64) {
        let grown = (volts / self.slope).exp_m1();
        let mut amps = self.saturation * grown + LEAKAGE * volts;
        let mut siemens = self.saturation * (grown + 1.0) / self.slope + LEAKAGE;
        if let Some(breakdown) = self.breakdown {
            let reverse = BREAKDOWN_AMPS * (-(volts + breakdown) / self.slope).exp();
            amps -= reverse;
            siemens += reverse / self.slope;
        }
        (amps, siemens)
    }

    /// The junction voltage to go to next when Newton's method asks for `wanted` and stands at `from`.
    ///
    /// On the steep part of an exponential a step is taken in the logarithm of the current instead
    /// of in the voltage (Nagel, "SPICE2: a computer program to simulate semiconductor circuits", University of
    /// California ERL-M520, 1975, section on junction limiting). The part begins at the critical voltage, where the
    /// law's curvature is greatest; a step from below stops there first. Breakdown is treated as the mirror image.
    pub fn limit(&self, wanted: f64, from: f64) -> f64 {
        let forward = climb(wanted, from, self.slope, self.saturation);
        match self.breakdown {
            Some(breakdown) if forward == wanted => {
                -(climb(-wanted - breakdown, -from - breakdown, self.slope, BREAKDOWN_AMPS) + breakdown)
            }
            _ => forward,
        }
    }
}

/// Limits a step on `amps * exp(volts / slope)` that goes up.
fn climb(wanted: f64, from: f64, slope: f64, amps: f64) -> f64 {
    let critical = slope * (slope / (std::f64::consts::SQRT_2 * amps)).ln();
    if wanted <= critical || wanted <= from + 2.0 * slope {
        wanted
    } else if from < critical {
        critical
    } else {
        from + slope * (1.0 + (wanted - from) / slope).ln()
    }
}
