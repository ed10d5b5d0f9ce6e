//! Turns a diode or filament into the tangent that stands for it in the linear network, and moves that tangent.

use super::diode::{Diode, LEAKAGE};
use super::filament::Filament;
use super::network::Element;

/// A tangent's slope is kept until the device's own has moved away by this part of it.
///
/// A kept slope saves computing the factor again. It costs only speed of convergence, never accuracy: the tangent's
/// current is always the device's, and each iteration leaves about this part of the error before it.
const SLOPE_KEPT: f64 = 1e-3;

/// A device has settled when its own current and its tangent's differ by no more than this part of it.
///
/// The operating point is then the exact one of a network whose devices differ by as little, three decades
/// under the 1e-6 to which results are promised.
const SETTLED: f64 = 1e-9;

/// Currents, in amperes, that differ by less are not told apart: 1e-16 A through a 10 MΩ meter is a nanovolt.
const SETTLED_AMPS: f64 = 1e-16;

/// A straight line that stands for a device: `i = siemens * (v - volts) + amps`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tangent {
    pub volts: f64,
    pub amps: f64,
    pub siemens: f64,
}

impl Tangent {
    /// The current, in amperes, at `volts` across the terminals.
    pub fn at(&self, volts: f64) -> f64 {
        self.siemens * (volts - self.volts) + self.amps
    }
}

/// A device's voltage may move by this part of what changes its current by about as much as it has, and nothing is computed
/// again: the current then departs from the tangent by less than [`SETTLED`] with the slope off by [`SLOPE_KEPT`].
const STILL: f64 = 1e-7;

/// What moving a tangent showed.
pub(super) struct Move {
    /// The tangent described the device well enough.
    pub settled: bool,
    /// The tangent's slope is another now.
    pub turned: bool,
    /// What the new tangent's current at the device's voltage has over the old one's, in amperes.
    pub excess: f64,
}

#[derive(Clone, Copy, Debug)]
enum Law {
    Diode(Diode),
    Filament(Filament),
}

/// An element whose current isn't a straight line of its voltage.
#[derive(Clone, Debug)]
pub(super) struct Device {
    law: Law,
    /// Voltage inside the device's series resistance, in volts, where the tangent touches.
    inner: f64,
    /// Slope of the law in there, in siemens, that the tangent's slope was made of.
    steep: f64,
    pub tangent: Tangent,
}

impl Device {
    /// The device of an element, with its tangent at 0 V; `None` for a branch.
    pub fn new(element: &Element) -> Option<Device> {
        let law = match *element {
            Element::Branch { .. } => return None,
            Element::Diode { saturation, slope, breakdown, ohms, .. } => {
                Law::Diode(Diode { saturation, slope, breakdown, ohms })
            }
            Element::Filament { design_volts, design_amps, cold_ohms, .. } => {
                Law::Filament(Filament::new(design_volts, design_amps, cold_ohms))
            }
        };
        let mut device =
            Device { law, inner: 0.0, steep: 0.0, tangent: Tangent { volts: 0.0, amps: 0.0, siemens: 0.0 } };
        device.reset();
        Some(device)
    }

    /// Puts the tangent back to 0 V.
    pub fn reset(&mut self) {
        self.inner = 0.0;
        (self.tangent, self.steep) = self.touch();
    }

    /// Moves the tangent to where the network put the device, `volts` across its terminals, or part of the way.
    ///
    /// The series resistance is handled without a node of its own: the tangent's current at `volts` tells the
    /// voltage left inside, the law is taken there, and resistance and slope are put in series again.
    pub fn follow(&mut self, volts: f64) -> Move {
        let line = self.tangent;
        let scale = match &self.law {
            Law::Diode(diode) => diode.slope,
            Law::Filament(_) => line.volts.abs(),
        };
        if (volts - line.volts).abs() <= STILL * scale {
            return Move { settled: true, turned: false, excess: 0.0 };
        }
        if let Law::Diode(diode) = &self.law
            && self.steep == LEAKAGE
            && diode.is_blocked(volts)
        {
            // The law is a straight line where nothing but leakage has a slope, and the tangent is it.
            return Move { settled: true, turned: false, excess: 0.0 };
        }
        let (wanted, inner) = match &self.law {
            Law::Diode(diode) => {
                let wanted = volts - diode.ohms * line.at(volts);
                (wanted, diode.limit(wanted, self.inner))
            }
            Law::Filament(filament) => (volts, filament.limit(volts, self.inner)),
        };
        let mut moved = self.move_to(inner, volts);
        moved.settled &= inner == wanted;
        moved
    }

    /// Moves the tangent all the way to `volts` across the terminals.
    pub fn jump(&mut self, volts: f64) -> Move {
        self.move_to(self.inside(volts), volts)
    }

    /// The current, in amperes, at `volts` across the terminals.
    pub fn amps(&self, volts: f64) -> f64 {
        match &self.law {
            Law::Diode(diode) => diode.current(diode.junction(volts)).0,
            Law::Filament(filament) => filament.current(volts).0,
        }
    }

    /// The voltage inside the series resistance at `volts` across the terminals.
    fn inside(&self, volts: f64) -> f64 {
        match &self.law {
            Law::Diode(diode) => diode.junction(volts),
            Law::Filament(_) => volts,
        }
    }

    /// Moves the tangent to an inner voltage and compares it with the old one at `volts` across the terminals.
    fn move_to(&mut self, inner: f64, volts: f64) -> Move {
        let line = self.tangent;
        self.inner = inner;
        let (touched, steep) = self.touch();
        let turned = (steep - self.steep).abs() > SLOPE_KEPT * self.steep;
        self.tangent = touched;
        if turned {
            self.steep = steep;
        } else {
            self.tangent.siemens = line.siemens;
        }
        let off = (touched.amps - line.at(volts)).abs();
        let settled = off <= SETTLED * touched.amps.abs() + SETTLED_AMPS;
        Move { settled, turned, excess: self.tangent.at(volts) - line.at(volts) }
    }

    /// The tangent at the present inner voltage, and the law's own slope there.
    fn touch(&self) -> (Tangent, f64) {
        match &self.law {
            Law::Diode(diode) => {
                let (amps, steep) = diode.current(self.inner);
                let siemens = steep / (1.0 + diode.ohms * steep);
                (Tangent { volts: self.inner + diode.ohms * amps, amps, siemens }, steep)
            }
            Law::Filament(filament) => {
                let (amps, siemens) = filament.current(self.inner);
                (Tangent { volts: self.inner, amps, siemens }, siemens)
            }
        }
    }
}
