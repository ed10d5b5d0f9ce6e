//! Turns a value in a base unit into the text that every page, drawing and finding shows.

use super::Unit;

/// Significant digits of every printed number: more than a workshop instrument resolves, few enough to read.
const DIGITS: usize = 3;

/// A number with three significant digits, without trailing zeros; whole numbers in full up to 99,999.
pub fn number(value: f64) -> String {
    if !value.is_finite() {
        return "∞".to_string();
    }
    if value.fract() == 0.0 && value.abs() < 1e5 {
        return format!("{}", value + 0.0);
    }
    format!("{}", rounded(value))
}

/// A value as it is read off paper or a meter: to as many digits as are printed.
pub fn rounded(value: f64) -> f64 {
    format!("{value:.*e}", DIGITS - 1).parse().expect("a printed number reads back")
}

/// A number with one decimal, always: for columns of numbers below each other.
pub fn tenths(value: f64) -> String {
    // What rounds to nothing has no sign.
    let shown = if value.abs() < 0.05 { 0.0 } else { value };
    format!("{shown:.1}")
}

/// A share of one as a percentage with one decimal.
pub fn percent(share: f64) -> String {
    format!("{} %", tenths(share * 100.0))
}

/// A value given in the base unit of `unit`, printed in `unit`; small amperes and volts fall back to milli.
pub fn print(value: f64, unit: Unit) -> String {
    let written = unit.from_base(value);
    let small = written != 0.0 && written.abs() < 0.1;
    match unit.symbol {
        "V" | "A" if small => format!("{} m{}", number(written * 1e3), unit.symbol),
        "ohm" if written.abs() >= 1e6 => format!("{} Mohm", number(written / 1e6)),
        "ohm" if written.abs() >= 1e4 => format!("{} kohm", number(written / 1e3)),
        symbol => format!("{} {symbol}", number(written)),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Dimension, Unit};
    use super::*;

    #[test]
    fn numbers_keep_three_digits() {
        let cases = [
            (12.0, "12"),
            (-0.0, "0"),
            (11.9964, "12"),
            (0.14118, "0.141"),
            (5.97, "5.97"),
            (123456.0, "123000"),
        ];
        for (value, text) in cases {
            assert_eq!(number(value), text);
        }
    }

    #[test]
    fn columns_and_shares_keep_one_decimal() {
        assert_eq!(tenths(5.0), "5.0");
        assert_eq!(percent(0.98765), "98.8 %");
        assert_eq!(percent(1.0), "100.0 %");
    }

    #[test]
    fn small_values_print_in_milli() {
        assert_eq!(print(0.0141, Unit::base(Dimension::Current)), "14.1 mA");
        assert_eq!(print(12.5, Unit::base(Dimension::Potential)), "12.5 V");
        assert_eq!(print(47000.0, Unit::base(Dimension::Resistance)), "47 kohm");
    }
}
