//! Turns a conductor's size, length and temperature into its resistance, and its size into the current it may carry.

use crate::quantity::Amount;

/// Ohms per kilometer at 20 °C of copper vehicle cable by cross-section in mm²: the maxima of ISO 6722-1, carried into
/// ISO 19642 (from memory; each lies 4 to 5 % below the class 5 maximum of IEC 60228 for the same size).
#[allow(clippy::approx_constant)] // 3.14 is the table's figure for 6 mm².
pub const VEHICLE_CABLE: &[(f64, f64)] = &[
    (0.35, 54.4),
    (0.5, 37.1),
    (0.75, 24.7),
    (1.0, 18.5),
    (1.5, 12.7),
    (2.0, 9.42),
    (2.5, 7.60),
    (3.0, 6.15),
    (4.0, 4.71),
    (5.0, 3.94),
    (6.0, 3.14),
    (8.0, 2.38),
    (10.0, 1.82),
    (12.0, 1.52),
    (16.0, 1.16),
    (20.0, 0.955),
    (25.0, 0.743),
    (35.0, 0.527),
    (50.0, 0.368),
    (70.0, 0.259),
    (95.0, 0.196),
];

/// Ohms per kilometer at 20 °C of plain copper, class 5: the maxima of IEC 60228 (2004), table 3.
pub const CLASS_5: &[(f64, f64)] = &[
    (0.5, 39.0),
    (0.75, 26.0),
    (1.0, 19.5),
    (1.5, 13.3),
    (2.5, 7.98),
    (4.0, 4.95),
    (6.0, 3.30),
    (10.0, 1.91),
    (16.0, 1.21),
    (25.0, 0.780),
    (35.0, 0.554),
    (50.0, 0.386),
    (70.0, 0.272),
    (95.0, 0.206),
];

/// Resistance of solid annealed copper in ohm·circular mil per foot at 20 °C, 100 % IACS (from memory; it gives the gauge
/// tables of Floyd, Electric Circuit Fundamentals, within 0.03 %).
const CIRCULAR_MIL_OHMS_PER_FOOT: f64 = 10.371;

/// Temperature coefficient of annealed copper at 20 °C per kelvin (IEC 60028, from memory).
const COPPER_COEFFICIENT: f64 = 0.00393;

/// The factor on a 20 °C copper resistance at `celsius`: 1 + α·(t − 20).
pub fn temperature_factor(celsius: f64) -> f64 {
    1.0 + COPPER_COEFFICIENT * (celsius - 20.0)
}

/// Ohms per kilometer at 20 °C of a gauge's solid conductor, from ASTM B258 diameters.
pub fn gauge_ohms_per_km(gauge: f64) -> f64 {
    let mils = 5.0 * 92f64.powf((36.0 - gauge) / 39.0);
    CIRCULAR_MIL_OHMS_PER_FOOT / (mils * mils) / 0.3048 * 1000.0
}

/// Ohms per kilometer at 20 °C of a metric vehicle cable. Between the table's sizes, and beyond its ends, the product of
/// size and resistance is taken from the nearest tabled size.
pub fn cable_ohms_per_km(square_millimeters: f64) -> f64 {
    let nearest = VEHICLE_CABLE
        .iter()
        .min_by(|a, b| {
            let distance = |size: f64| (size / square_millimeters).ln().abs();
            distance(a.0).total_cmp(&distance(b.0))
        })
        .expect("the table is not empty");
    nearest.1 * nearest.0 / square_millimeters
}

/// Resistance in ohms of a wire: `size` in mm² or AWG, `meters` long, at `celsius`.
pub fn wire_ohms(size: &Amount, meters: f64, celsius: f64) -> f64 {
    let per_km = match size.as_gauge() {
        Some(gauge) => gauge_ohms_per_km(gauge),
        None => cable_ohms_per_km(size.value),
    };
    per_km * meters / 1000.0 * temperature_factor(celsius)
}

/// Amperes that a single vehicle wire carries for minutes without harm: 19 A at 1 mm², growing with size^0.72, which
/// follows the usual chassis-wiring charts within a tenth from 0.35 to 50 mm² (common practice, no source).
pub fn ampacity(square_millimeters: f64) -> f64 {
    AMPERES_AT_ONE * square_millimeters.powf(0.72)
}

/// See [`ampacity`].
const AMPERES_AT_ONE: f64 = 19.0;

#[cfg(test)]
mod tests {
    use super::*;

    /// Floyd, Electric Circuit Fundamentals, as tabled by Georgia State University: ohms per 1000 ft.
    #[test]
    fn gauges_have_the_published_resistance() {
        for (gauge, per_thousand_feet) in
            [(22.0, 16.14), (18.0, 6.385), (14.0, 2.525), (10.0, 0.9989), (4.0, 0.2485)]
        {
            let computed = gauge_ohms_per_km(gauge) * 0.3048;
            assert!((computed / per_thousand_feet - 1.0).abs() < 1e-3, "{gauge} AWG: {computed}");
        }
    }

    /// IEC 60228 class 5 limits bound vehicle cable from above by 3 to 6 per cent.
    #[test]
    fn vehicle_cable_lies_just_below_class_5() {
        for &(size, limit) in CLASS_5 {
            let share = cable_ohms_per_km(size) / limit;
            assert!((0.94..0.97).contains(&share), "{size} mm2: {share}");
        }
    }
}
