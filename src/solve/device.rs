//! Turns a diode or filament into the tangent that stands for it in the linear network, and moves that tangent.

use super::diode::Diode;
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
const SETTLED: f64 = 1e-10;

/// Currents, in amperes, that differ by less are not told apart: 1e-16 A through a 10 MΩ meter is a nanovolt.
const SETTLED_AMPS: f64 = 1e-16;

/// A straight line that stands for a device: `i = siemens * (v - volts) + amps`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tangent {
    pub volts: f64,
    pub amps: f64,
    pub siemens: f64,
}

/// What moving a tangent showed.
pub(super) struct Move {
    /// The tangent described the device well enough.
    pub settled: bool,
    /// The tangent's slope is another now.
    pub turned: bool,
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
    pub tangent: Tangent,
}

impl Device {
    /// The device of an element, with its tangent at 0 V; `None` for a branch.
    pub fn new(element: &Element) -> Option<Device> {
        let law = match *element {
            Element::Branch { .. } => return None,
            Element::Diode {
                saturation,
                slope,
                breakdown,
                ohms,
                ..
            } => Law::Diode(Diode {
                saturation,
                slope,
                breakdown,
                ohms,
            }),
            Element::Filament {
                design_volts,
                design_amps,
                cold_ohms,
                ..
            } => Law::Filament(Filament::new(design_volts, design_amps, cold_ohms)),
        };
        let mut device = Device {
            law,
            inner: 0.0,
            tangent: Tangent {
                volts: 0.0,
                amps: 0.0,
                siemens: 0.0,
            },
        };
        device.reset();
        Some(device)
    }

    /// Puts the tangent back to 0 V.
    pub fn reset(&mut self) {
        self.inner = 0.0;
        self.tangent = self.touch();
    }

    /// Moves the tangent to where the network put the device: `volts` across its terminals.
    ///
    /// The series resistance is handled without a node of its own: the tangent's current at `volts` tells the
    /// voltage left inside, the law is taken there, and resistance and slope are put in series again.
    pub fn follow(&mut self, volts: f64) -> Move {
        let line = self.tangent;
        let expected = line.siemens * (volts - line.volts) + line.amps;
        let (wanted, inner) = match &self.law {
            Law::Diode(diode) => {
                let wanted = volts - diode.ohms * expected;
                (wanted, diode.limit(wanted, self.inner))
            }
            Law::Filament(filament) => (volts, filament.limit(volts, self.inner)),
        };
        self.inner = inner;
        let touched = self.touch();
        let far = (touched.siemens - line.siemens).abs() > SLOPE_KEPT * line.siemens;
        self.tangent = touched;
        if !far {
            self.tangent.siemens = line.siemens;
        }
        let off = (touched.amps - expected).abs();
        let settled = inner == wanted && off <= SETTLED * touched.amps.abs() + SETTLED_AMPS;
        Move { settled, turned: far }
    }

    /// The tangent at the present inner voltage.
    fn touch(&self) -> Tangent {
        match &self.law {
            Law::Diode(diode) => {
                let (amps, siemens) = diode.current(self.inner);
                Tangent {
                    volts: self.inner + diode.ohms * amps,
                    amps,
                    siemens: siemens / (1.0 + diode.ohms * siemens),
                }
            }
            Law::Filament(filament) => {
                let (amps, siemens) = filament.current(self.inner);
                Tangent {
                    volts: self.inner,
                    amps,
                    siemens,
                }
            }
        }
    }
}
