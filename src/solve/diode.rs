//! Turns a junction voltage into a diode's current and slope, and keeps Newton's steps on the exponential in hand.

/// Conductance across every junction, in siemens.
///
/// Real junctions leak more than Shockley's law says, and without a leak a conductor behind a blocked diode
/// would have no defined voltage. 1e-12 S (12 pA at 12 V) is far below what any part of a vehicle notices; it is also what
/// general-purpose circuit simulators put there.
pub const LEAKAGE: f64 = 1e-12;

/// Reverse current, in amperes, at the breakdown voltage: the usual test current of small zener diodes.
const BREAKDOWN_AMPS: f64 = 1e-3;

/// The exponential of less than this is nothing beside 1.
const NOTHING_LEFT: f64 = -40.0;

/// Iterations for a junction in series with its resistance, at most; each squares the error.
const MOST_INSIDE: usize = 50;

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
        let ratio = volts / self.slope;
        let grown = if ratio < NOTHING_LEFT { -1.0 } else { ratio.exp_m1() };
        let mut amps = self.saturation * grown + LEAKAGE * volts;
        let mut siemens = self.saturation * (grown + 1.0) / self.slope + LEAKAGE;
        if let Some(breakdown) = self.breakdown {
            let reverse = BREAKDOWN_AMPS * (-(volts + breakdown) / self.slope).exp();
            amps -= reverse;
            siemens += reverse / self.slope;
        }
        (amps, siemens)
    }

    /// Whether only saturation current and leakage flow at a voltage (V): no breakdown, and nothing left of the exponential.
    pub fn is_blocked(&self, volts: f64) -> bool {
        self.breakdown.is_none() && volts < NOTHING_LEFT * self.slope
    }

    /// The junction voltage that leaves `volts` (V) across junction and series resistance together.
    ///
    /// Newton's method, from where the resistance alone would limit the current: from there, outside the answer
    /// on the side where the exponential steepens, it comes in without ever passing it. Cost: some five exponentials.
    pub fn junction(&self, volts: f64) -> f64 {
        if self.ohms == 0.0 {
            return volts;
        }
        let most = (volts / self.ohms).abs();
        let mut inner = if volts > 0.0 {
            volts.min(self.slope * (most / self.saturation).ln_1p())
        } else {
            let limit = self
                .breakdown
                .map_or(f64::INFINITY, |volts| volts + self.slope * (most / BREAKDOWN_AMPS).ln_1p());
            volts.max(-limit)
        };
        for _ in 0..MOST_INSIDE {
            let (amps, siemens) = self.current(inner);
            let next = inner - (inner + self.ohms * amps - volts) / (1.0 + self.ohms * siemens);
            if (next - inner).abs() <= 2.0 * f64::EPSILON * inner.abs() {
                break;
            }
            inner = next;
        }
        inner
    }

    /// The junction voltage to go to next when Newton's method asks for `wanted` and stands at `from`.
    ///
    /// A long step on the steep part of an exponential is taken in the logarithm of the current instead of in the voltage: to where
    /// the law, not the tangent, gives the current that the tangent has at `wanted`. Upward this is the junction limiting of Nagel, "SPICE2:
    /// a computer program to simulate semiconductor circuits", University of California ERL-M520, 1975; it begins at the critical
    /// voltage, where the law's curvature is greatest, and a step from below stops there first. Downward it saves a step
    /// for each factor e by which a current dies away. Breakdown is treated as the mirror image.
    pub fn limit(&self, wanted: f64, from: f64) -> f64 {
        let forward = Exponential { slope: self.slope, amps: self.saturation, floor: 0.0 };
        let reverse = self.breakdown.and_then(|breakdown| {
            let floor = -self.slope * (BREAKDOWN_AMPS / self.saturation).ln();
            let mirrored = Exponential { slope: self.slope, amps: BREAKDOWN_AMPS, floor };
            mirrored.limit(-wanted - breakdown, -from - breakdown).map(|volts| -volts - breakdown)
        });
        forward.limit(wanted, from).or(reverse).unwrap_or(wanted)
    }
}

/// A tangent's current this little below zero, as a part of the present current, is as good as zero: the network there supplies
/// next to nothing.
const NEARLY_NONE: f64 = -0.1;

/// `amps * exp(volts / slope)`, of no account below the voltage `floor`.
struct Exponential {
    slope: f64,
    amps: f64,
    floor: f64,
}

impl Exponential {
    /// The limited step, or `None` if the wanted one may be taken.
    fn limit(&self, wanted: f64, from: f64) -> Option<f64> {
        let critical = self.slope * (self.slope / (std::f64::consts::SQRT_2 * self.amps)).ln();
        let growth = 1.0 + (wanted - from) / self.slope;
        if growth > 3.0 && wanted > critical {
            Some(if from < critical - self.slope { critical } else { from + self.slope * growth.ln() })
        } else if from > self.floor + self.slope && (NEARLY_NONE..0.5).contains(&growth) {
            Some((from + self.slope * growth.max(0.0).ln()).max(self.floor))
        } else {
            None
        }
    }
}
