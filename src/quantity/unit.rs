//! Names the units an author may write, what each measures, and its size in the base unit of its dimension.

/// What a quantity measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Dimension {
    Potential,
    Current,
    Resistance,
    Power,
    Time,
    Length,
    /// Conductor cross-section.
    Area,
    Temperature,
    Angle,
    Pressure,
    Speed,
    Rotation,
    /// Events in a time: flashes, pulses.
    Rate,
    /// A share of a whole: charge, duty, level.
    Share,
    Capacitance,
    Charge,
    Mass,
    Volume,
    Energy,
}

impl Dimension {
    /// What a person calls it in a sentence, with its article.
    pub fn name(self) -> &'static str {
        match self {
            Dimension::Potential => "a voltage",
            Dimension::Current => "a current",
            Dimension::Resistance => "a resistance",
            Dimension::Power => "a power",
            Dimension::Time => "a time",
            Dimension::Length => "a length",
            Dimension::Area => "a conductor size",
            Dimension::Temperature => "a temperature",
            Dimension::Angle => "an angle",
            Dimension::Pressure => "a pressure",
            Dimension::Speed => "a speed",
            Dimension::Rotation => "a speed of rotation",
            Dimension::Rate => "a rate",
            Dimension::Share => "a share",
            Dimension::Capacitance => "a capacitance",
            Dimension::Charge => "a charge",
            Dimension::Mass => "a mass",
            Dimension::Volume => "a volume",
            Dimension::Energy => "an energy",
        }
    }

    /// The least and the greatest size, in base units, that anything of a vehicle has: what lies outside is a slip of the
    /// pen, and would leave nothing of the digits that are computed with. Nothing at all is always allowed.
    ///
    /// Assumptions, generous by a factor of ten and more on either side: high-voltage drives have below 1 kV, cranking
    /// currents stay below 3 kA, a leak above 100 Mohm is none, a test that is waited for takes minutes.
    pub fn range(self) -> (f64, f64) {
        match self {
            Dimension::Potential => (1e-6, 1e5),
            Dimension::Current => (1e-9, 1e5),
            Dimension::Resistance => (1e-7, 1e10),
            Dimension::Power => (1e-6, 1e7),
            Dimension::Time => (1e-4, 1e5),
            Dimension::Length => (1e-4, 1e4),
            Dimension::Area => (1e-3, 1e4),
            Dimension::Rate => (1e-2, 1e4),
            Dimension::Capacitance => (1e-13, 1e3),
            Dimension::Temperature
            | Dimension::Angle
            | Dimension::Pressure
            | Dimension::Speed
            | Dimension::Rotation
            | Dimension::Share
            | Dimension::Charge
            | Dimension::Mass
            | Dimension::Volume
            | Dimension::Energy => (1e-9, 1e9),
        }
    }

    /// An example for a hint.
    pub fn example(self) -> &'static str {
        match self {
            Dimension::Potential => "12 V",
            Dimension::Current => "10 A",
            Dimension::Resistance => "85 ohm",
            Dimension::Power => "21 W",
            Dimension::Time => "8 s",
            Dimension::Length => "1.5 m",
            Dimension::Area => "0.75 mm2",
            Dimension::Temperature => "95 degC",
            Dimension::Angle => "35 deg",
            Dimension::Pressure => "5 bar",
            Dimension::Speed => "8 km/h",
            Dimension::Rotation => "900 rpm",
            Dimension::Rate => "90 per min",
            Dimension::Share => "40 %",
            Dimension::Capacitance => "100 uF",
            Dimension::Charge => "80 Ah",
            Dimension::Mass => "20 kg",
            Dimension::Volume => "12 l",
            Dimension::Energy => "40 J",
        }
    }
}

/// One way to write a quantity. The base unit of a dimension is the one with factor 1 and offset 0 in the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    pub symbol: &'static str,
    pub dimension: Dimension,
    /// Base units in one of this unit.
    pub factor: f64,
    /// Added to the written number before the factor: only temperatures have one.
    pub offset: f64,
}

const fn unit(symbol: &'static str, dimension: Dimension, factor: f64) -> Unit {
    Unit { symbol, dimension, factor, offset: 0.0 }
}

impl Unit {
    /// The base unit of a dimension.
    pub fn base(dimension: Dimension) -> Unit {
        *UNITS
            .iter()
            .find(|unit| unit.dimension == dimension && unit.factor == 1.0 && unit.offset == 0.0)
            .expect("every dimension has its base unit in the table")
    }

    /// The unit that an author writes as `symbol`.
    pub fn find(symbol: &str) -> Option<Unit> {
        UNITS.iter().find(|unit| unit.symbol == symbol).copied()
    }

    /// The whole table, the units of a dimension one after the other.
    pub fn all() -> &'static [Unit] {
        UNITS
    }

    /// Every symbol of the table, for near-miss suggestions.
    pub fn symbols() -> impl Iterator<Item = &'static str> {
        UNITS.iter().map(|unit| unit.symbol)
    }

    /// `number` of this unit in the base unit.
    pub fn to_base(self, number: f64) -> f64 {
        (number + self.offset) * self.factor
    }

    /// A base value in this unit.
    pub fn from_base(self, value: f64) -> f64 {
        value / self.factor - self.offset
    }
}

/// The table. `AWG` is not in it: a gauge is not proportional to a cross-section; `Amount` reads it apart.
const UNITS: &[Unit] = &[
    unit("V", Dimension::Potential, 1.0),
    unit("mV", Dimension::Potential, 1e-3),
    unit("A", Dimension::Current, 1.0),
    unit("mA", Dimension::Current, 1e-3),
    unit("uA", Dimension::Current, 1e-6),
    unit("ohm", Dimension::Resistance, 1.0),
    unit("Ω", Dimension::Resistance, 1.0),
    unit("mohm", Dimension::Resistance, 1e-3),
    unit("kohm", Dimension::Resistance, 1e3),
    unit("Mohm", Dimension::Resistance, 1e6),
    unit("W", Dimension::Power, 1.0),
    unit("kW", Dimension::Power, 1e3),
    unit("s", Dimension::Time, 1.0),
    unit("ms", Dimension::Time, 1e-3),
    unit("min", Dimension::Time, 60.0),
    unit("h", Dimension::Time, 3600.0),
    unit("m", Dimension::Length, 1.0),
    unit("cm", Dimension::Length, 1e-2),
    unit("mm", Dimension::Length, 1e-3),
    unit("ft", Dimension::Length, 0.3048),
    unit("in", Dimension::Length, 0.0254),
    unit("mm2", Dimension::Area, 1.0),
    unit("mm²", Dimension::Area, 1.0),
    unit("degC", Dimension::Temperature, 1.0),
    unit("°C", Dimension::Temperature, 1.0),
    Unit { symbol: "degF", dimension: Dimension::Temperature, factor: 5.0 / 9.0, offset: -32.0 },
    unit("deg", Dimension::Angle, 1.0),
    unit("°", Dimension::Angle, 1.0),
    unit("kPa", Dimension::Pressure, 1.0),
    unit("bar", Dimension::Pressure, 100.0),
    unit("psi", Dimension::Pressure, 6.894757),
    unit("km/h", Dimension::Speed, 1.0),
    unit("mph", Dimension::Speed, 1.609344),
    unit("rpm", Dimension::Rotation, 1.0),
    unit("per min", Dimension::Rate, 1.0),
    unit("Hz", Dimension::Rate, 60.0),
    unit("%", Dimension::Share, 1.0),
    unit("F", Dimension::Capacitance, 1.0),
    unit("uF", Dimension::Capacitance, 1e-6),
    unit("Ah", Dimension::Charge, 1.0),
    unit("kg", Dimension::Mass, 1.0),
    unit("lb", Dimension::Mass, 0.45359237),
    unit("l", Dimension::Volume, 1.0),
    unit("J", Dimension::Energy, 1.0),
];
