//! Turns an element and the voltage across it into its current, by the laws that the elements' documentation states, written
//! here a second time and solved by bisection.

use goodground::solve::{Element, LEAKAGE};

/// An element's current by its law, from the voltage across it.
pub fn law(element: &Element, volts: f64) -> f64 {
    match *element {
        Element::Branch { conductance, emf, .. } => conductance * (volts + emf),
        Element::Diode { saturation, slope, breakdown, ohms, .. } => {
            let current = |inner: f64| {
                let reverse = breakdown.map_or(0.0, |limit| 1e-3 * (-(inner + limit) / slope).exp());
                saturation * (inner / slope).exp_m1() + LEAKAGE * inner - reverse
            };
            // The junction takes what the resistance leaves; bisection finds the balance whatever the law's shape.
            let (mut low, mut high) = (volts.min(0.0), volts.max(0.0));
            for _ in 0..200 {
                let inner = 0.5 * (low + high);
                if inner + ohms * current(inner) < volts { low = inner } else { high = inner }
            }
            current(0.5 * (low + high))
        }
        Element::Filament { design_volts, design_amps, cold_ohms, .. } => {
            let knee = design_volts * (1.225 * cold_ohms * design_amps / design_volts).powf(1.0 / 0.45);
            if volts.abs() <= knee {
                volts / cold_ohms * (1.0 - 0.225 / 1.225 * (volts / knee).powi(2))
            } else {
                design_amps * (volts.abs() / design_volts).powf(0.55) * volts.signum()
            }
        }
    }
}
