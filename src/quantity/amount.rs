//! Turns written quantities into amounts with a dimension.

use super::{Band, Dimension, Unit, print};

/// A number with its unit: `value` is in the base unit of the unit's dimension (see [`Unit`]).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    pub value: f64,
    pub unit: Unit,
}

/// Why a text is no quantity; the caller knows the place.
#[derive(Debug, Clone, PartialEq)]
pub enum BadQuantity {
    /// There is no number where one should be.
    NoNumber(String),
    /// A number without a unit.
    NoUnit,
    /// A unit that does not exist.
    UnknownUnit(String),
    /// A quantity of something else.
    WrongDimension { found: Dimension, expected: Dimension },
    /// A band whose low end is above its high end.
    Reversed,
    /// A band where a single value is needed.
    NotSingle,
    /// A size that nothing of a vehicle has; see [`Dimension::range`].
    Absurd(Dimension),
}

impl std::fmt::Display for BadQuantity {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        match self {
            BadQuantity::NoNumber(text) => write!(f, "`{text}` is not a number"),
            BadQuantity::NoUnit => write!(f, "a quantity needs a unit"),
            BadQuantity::UnknownUnit(unit) => write!(f, "there is no unit `{unit}`"),
            BadQuantity::WrongDimension { found, expected } => {
                write!(f, "this is {}, not {}", found.name(), expected.name())
            }
            BadQuantity::Reversed => write!(f, "the low end of a band comes first"),
            BadQuantity::NotSingle => write!(f, "a single value is needed here, not a band"),
            BadQuantity::Absurd(dimension) => {
                let (least, most) = dimension.range();
                let unit = Unit::base(*dimension).symbol;
                write!(
                    f,
                    "nothing of a vehicle has {} below {least:e} {unit} or above {most:e} {unit}",
                    dimension.name()
                )
            }
        }
    }
}

/// Cross-section in mm² of a gauge number, after ASTM B258: d = 0.005 in × 92^((36 − n)/39), n = 0 for 1/0.
fn gauge_area(gauge: f64) -> f64 {
    let millimeters = 0.005 * 25.4 * 92f64.powf((36.0 - gauge) / 39.0);
    std::f64::consts::PI / 4.0 * millimeters * millimeters
}

/// The gauge unit: kept apart from the table because its scale is a power law. Values are stored in mm².
const GAUGE: Unit = Unit { symbol: "AWG", dimension: Dimension::Area, factor: 1.0, offset: 0.0 };

impl Amount {
    /// `value` base units of a dimension.
    pub fn base(value: f64, dimension: Dimension) -> Amount {
        Amount { value, unit: Unit::base(dimension) }
    }

    /// `number` in a unit of the table.
    pub fn of(number: f64, unit: Unit) -> Amount {
        Amount { value: unit.to_base(number), unit }
    }

    /// A conductor of this gauge (ASTM B258); sizes 1/0 to 4/0 are 0 to −3.
    pub fn gauge(number: f64) -> Amount {
        Amount { value: gauge_area(number), unit: GAUGE }
    }

    /// A gauge as it is written: `20`, or `4/0` for a size above 1, which counts down from 0.
    pub fn gauge_number(text: &str) -> Option<f64> {
        match text.split_once('/') {
            Some((zeros, "0")) => zeros.parse::<f64>().ok().map(|zeros| 1.0 - zeros),
            _ => text.parse().ok(),
        }
    }

    /// The gauge number, when the amount was written as one.
    pub fn as_gauge(&self) -> Option<f64> {
        (self.unit.symbol == GAUGE.symbol).then(|| {
            let inches = (self.value * 4.0 / std::f64::consts::PI).sqrt() / 25.4;
            (36.0 - 39.0 * (inches / 0.005).ln() / 92f64.ln()).round()
        })
    }

    /// Reads `"10 A"`, `"85 ohm"`, `"20 AWG"`.
    pub fn parse(text: &str) -> Result<Amount, BadQuantity> {
        let band = Amount::parse_band(text)?;
        if band.is_point() { Ok(band.low) } else { Err(BadQuantity::NotSingle) }
    }

    /// Reads `"8..10 V"`; a single quantity is a band of one value. The unit stands once, at the end.
    pub fn parse_band(text: &str) -> Result<Band<Amount>, BadQuantity> {
        let text = text.trim();
        let split = text
            .char_indices()
            .find(|&(at, c)| {
                !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | '−') || exponent(text, at))
            })
            .map_or(text.len(), |(at, _)| at);
        let (numbers, symbol) = (text[..split].trim(), text[split..].trim());
        if numbers.is_empty() {
            return Err(BadQuantity::NoNumber(text.to_string()));
        }
        let read = |number: &str| {
            number.trim().replace('−', "-").parse::<f64>().ok().filter(|value| value.is_finite()).ok_or_else(
                || match number.trim() {
                    "" => BadQuantity::NoNumber(numbers.to_string()),
                    number => BadQuantity::NoNumber(number.to_string()),
                },
            )
        };
        let (low, high) = match numbers.split_once("..") {
            Some((low, high)) => (read(low)?, read(high)?),
            None => (read(numbers)?, read(numbers)?),
        };
        let (low, high) = match symbol {
            "" => return Err(BadQuantity::NoUnit),
            "AWG" => (Amount::gauge(low), Amount::gauge(high)),
            _ => {
                let unit = Unit::find(symbol).ok_or_else(|| BadQuantity::UnknownUnit(symbol.to_string()))?;
                (Amount::of(low, unit), Amount::of(high, unit))
            }
        };
        if low.value > high.value {
            return Err(BadQuantity::Reversed);
        }
        let (least, most) = low.unit.dimension.range();
        let is_absurd = |amount: Amount| {
            let is_nothing = amount.value == 0.0 && amount.unit.symbol != GAUGE.symbol;
            !is_nothing && !(least..=most).contains(&amount.value.abs())
        };
        if is_absurd(low) || is_absurd(high) {
            return Err(BadQuantity::Absurd(low.unit.dimension));
        }
        Ok(Band { low, high })
    }

    /// The amount in base units when it measures `expected`.
    pub fn measure(&self, expected: Dimension) -> Result<f64, BadQuantity> {
        let found = self.unit.dimension;
        if found == expected { Ok(self.value) } else { Err(BadQuantity::WrongDimension { found, expected }) }
    }
}

/// A gauge number as it is written.
fn gauge_words(gauge: f64) -> String {
    if gauge > 0.0 { super::number(gauge) } else { format!("{}/0", super::number(1.0 - gauge)) }
}

/// Whether the `e` at `at` belongs to a number such as `1e-3`.
fn exponent(text: &str, at: usize) -> bool {
    let bytes = text.as_bytes();
    matches!(bytes[at], b'e' | b'E')
        && at > 0
        && bytes[at - 1].is_ascii_digit()
        && matches!(bytes.get(at + 1), Some(b'0'..=b'9' | b'-' | b'+'))
}

impl PartialOrd for Amount {
    fn partial_cmp(&self, other: &Amount) -> Option<std::cmp::Ordering> {
        self.value.partial_cmp(&other.value)
    }
}

impl std::fmt::Display for Amount {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        match self.as_gauge() {
            Some(gauge) => write!(f, "{} AWG", gauge_words(gauge)),
            None => f.write_str(&print(self.value, self.unit)),
        }
    }
}

impl std::fmt::Display for Band<Amount> {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        if self.is_point() {
            return self.low.fmt(f);
        }
        let unit = self.high.unit;
        if let (Some(low), Some(high)) = (self.low.as_gauge(), self.high.as_gauge()) {
            return write!(f, "{}..{} AWG", gauge_words(low), gauge_words(high));
        }
        write!(f, "{}..{}", super::number(unit.from_base(self.low.value)), print(self.high.value, unit))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_and_bands_read_and_print() {
        for text in [
            "10 A",
            "85 ohm",
            "0.75 mm2",
            "20 AWG",
            "35 deg",
            "8..10 V",
            "90 per min",
            "0..60 deg",
            "-5 degC",
        ] {
            assert_eq!(Amount::parse_band(text).unwrap().to_string(), text);
        }
    }

    #[test]
    fn what_is_no_quantity_says_why() {
        assert_eq!(Amount::parse("10"), Err(BadQuantity::NoUnit));
        assert_eq!(Amount::parse("10 Vv"), Err(BadQuantity::UnknownUnit("Vv".into())));
        assert_eq!(Amount::parse("ten V"), Err(BadQuantity::NoNumber("ten V".into())));
        assert_eq!(Amount::parse_band("9..3 V"), Err(BadQuantity::Reversed));
        assert_eq!(Amount::parse("3..9 V"), Err(BadQuantity::NotSingle));
        for absurd in ["1e-310 ohm", "1e308 Mohm", "-1e300 ohm", "0..1e-320 ohm", "-800 AWG", "1e9 AWG"] {
            assert!(matches!(Amount::parse_band(absurd), Err(BadQuantity::Absurd(_))), "{absurd}");
        }
        assert_eq!(Amount::parse("0 ohm").unwrap().value, 0.0);
        assert!(matches!(
            Amount::parse("10 A").unwrap().measure(Dimension::Potential),
            Err(BadQuantity::WrongDimension { found: Dimension::Current, expected: Dimension::Potential })
        ));
    }

    #[test]
    fn sizes_above_one_gauge_are_told_by_their_zeros() {
        for text in ["1/0", "2/0", "4/0", "1", "20"] {
            let gauge = Amount::gauge_number(text).unwrap();
            assert_eq!(Amount::gauge(gauge).to_string(), format!("{text} AWG"));
        }
        assert_eq!(Amount::gauge_number("4/1"), None);
    }

    /// Diameters and sizes of solid wire by gauge: ASTM B258, as tabled by Georgia State University (after Floyd,
    /// Electric Circuit Fundamentals, 2nd ed.).
    #[test]
    fn gauges_have_the_published_cross_section() {
        for (gauge, area) in [(22.0, 0.326), (18.0, 0.823), (12.0, 3.309), (4.0, 21.15), (0.0, 53.48)] {
            let computed = Amount::gauge(gauge).value;
            assert!((computed / area - 1.0).abs() < 2e-3, "{gauge} AWG: {computed} mm2, published {area}");
        }
    }

    #[test]
    fn temperatures_convert_with_their_offset() {
        assert!((Amount::parse("212 degF").unwrap().value - 100.0).abs() < 1e-9);
    }
}
