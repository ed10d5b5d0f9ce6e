//! Turns two ends into a band: everything between a low and a high value, both included.

/// A closed interval; a single value is a band whose ends are equal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band<T> {
    pub low: T,
    pub high: T,
}

impl<T: Copy + PartialOrd> Band<T> {
    /// A band of one value.
    pub fn exactly(value: T) -> Band<T> {
        Band { low: value, high: value }
    }

    /// Whether the value lies in the band, ends included.
    pub fn holds(&self, value: T) -> bool {
        self.low <= value && value <= self.high
    }

    /// Whether both ends are the same.
    pub fn is_point(&self) -> bool {
        self.low == self.high
    }

    /// The same band in another type.
    pub fn map<U>(self, f: impl Fn(T) -> U) -> Band<U> {
        Band { low: f(self.low), high: f(self.high) }
    }
}

#[cfg(test)]
mod tests {
    use super::Band;

    #[test]
    fn a_band_holds_its_ends_and_nothing_beyond() {
        let band = Band { low: 8.0, high: 10.0 };
        let held = [7.9, 8.0, 9.0, 10.0, 10.1].map(|value| band.holds(value));
        assert_eq!(held, [false, true, true, true, false]);
    }
}
