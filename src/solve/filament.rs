//! Turns a filament's voltage into its current and slope, and keeps Newton's steps from overshooting through zero.

/// Exponent of a tungsten filament's current on its voltage: Fink and Beaty, "Standard Handbook for Electrical
/// Engineers", 11th edition, 1978, p. 22-8.
const EXPONENT: f64 = 0.55;

/// The resistance at which the power law takes over from the cold region, as a multiple of the cold resistance.
///
/// It follows from the shape chosen for the cold region: the cubic `v / cold - a v³` meets `k v^0.55` in value and slope just where
/// `v / i` is `cold * (1 + (1 - 0.55) / 2)`.
const KNEE: f64 = 1.0 + (1.0 - EXPONENT) / 2.0;

/// A filament's constants, reduced to what its law needs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Filament {
    design_volts: f64,
    design_amps: f64,
    cold_siemens: f64,
    /// Above this voltage the power law holds.
    knee_volts: f64,
    /// Coefficient of the cubic below it, in A/V³.
    bend: f64,
}

impl Filament {
    /// A filament from the parameters of [`Element::Filament`](super::Element::Filament).
    pub fn new(design_volts: f64, design_amps: f64, cold_ohms: f64) -> Filament {
        let design_ohms = design_volts / design_amps;
        let knee_volts = design_volts * (KNEE * cold_ohms / design_ohms).powf(1.0 / (1.0 - EXPONENT));
        let bend = (1.0 - 1.0 / KNEE) / (cold_ohms * knee_volts * knee_volts);
        Filament { design_volts, design_amps, cold_siemens: 1.0 / cold_ohms, knee_volts, bend }
    }

    /// Current (A) and its derivative (S) at a voltage (V). The derivative is above 0 everywhere and continuous.
    pub fn current(&self, volts: f64) -> (f64, f64) {
        if volts.abs() <= self.knee_volts {
            let bent = self.bend * volts * volts;
            (volts * (self.cold_siemens - bent), self.cold_siemens - 3.0 * bent)
        } else {
            let amps = self.design_amps * (volts.abs() / self.design_volts).powf(EXPONENT);
            (amps.copysign(volts), EXPONENT * amps / volts.abs())
        }
    }

    /// The voltage to go to next when Newton's method asks for `wanted` and stands at `from`.
    ///
    /// The law bends toward its voltage axis, so a tangent is never below it and a plain step falls short of the answer or,
    /// from above, past it. Past zero it would swing; from zero it climbs to the answer without ever passing it.
    pub fn limit(&self, wanted: f64, from: f64) -> f64 {
        if from.abs() > self.knee_volts && wanted * from < 0.0 { 0.0 } else { wanted }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lamp rerating exponent for current: table for a 12.8 V design, computed from the law of Fink and Beaty p. 22-8.
    #[test]
    fn rerates_as_the_handbook() {
        let filament = Filament::new(12.8, 1.0, 1.28);
        for (volts, ratio) in [(11.5, 0.943), (12.0, 0.965), (13.5, 1.030), (14.4, 1.067)] {
            assert!((filament.current(volts).0 - ratio).abs() < 5e-4, "{volts} V");
        }
    }

    #[test]
    fn is_odd_monotone_and_smooth_with_the_cold_resistance_at_zero() {
        let filament = Filament::new(12.0, 1.75, 0.6);
        let cold = filament.current(1e-9).0 / 1e-9;
        assert!((cold * 0.6 - 1.0).abs() < 1e-9);
        let (below, above) = (filament.knee_volts * (1.0 - 1e-12), filament.knee_volts * (1.0 + 1e-12));
        let ((i, g), (j, h)) = (filament.current(below), filament.current(above));
        assert!((i / j - 1.0).abs() < 1e-10 && (g / h - 1.0).abs() < 1e-9, "{i} {j} {g} {h}");
        let mut last = 0.0;
        for step in 1..2000 {
            let volts = f64::from(step) * 0.01;
            let (amps, siemens) = filament.current(volts);
            assert!(amps > last && siemens > 0.0);
            assert_eq!(filament.current(-volts), (-amps, siemens));
            last = amps;
        }
    }
}
