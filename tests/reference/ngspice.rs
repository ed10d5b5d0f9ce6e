//! Turns networks into decks for ngspice, a general-purpose circuit simulator, and its printed answers into numbers.

use goodground::solve::{Element, Network, NodeId};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

/// Boltzmann's constant times 27 °C (the simulator's default temperature) over the charge of the electron, in volts.
pub const THERMAL_VOLTS: f64 = 1.380_648_52e-23 * 300.15 / 1.602_176_620_8e-19;

/// What the simulator found: volts by node, amperes by element.
#[derive(Debug)]
pub struct Answer {
    pub volts: Vec<f64>,
    pub amps: Vec<f64>,
}

/// Saturation current, in amperes, of the diode that stands for breakdown: too small to matter by itself.
const REVERSE_SATURATION: f64 = 1e-18;

/// What an open branch becomes in the deck.
#[derive(Clone, Copy, PartialEq)]
pub enum Opened {
    /// Left out.
    Absent,
    /// A resistor of 1 TΩ, which a control script can alter.
    Resistor,
}

/// Ohms of a branch that is open but kept in the deck.
pub const OPEN_OHMS: f64 = 1e12;

/// Tolerances to ask for, the next where the simulator fails to converge at one. Newton's last step squares the error that it
/// was content with, so the answers are much better than these.
const TOLERANCES: [&str; 3] = [
    "reltol=1e-7 vntol=1e-8 itl1=2000",
    "reltol=1e-6 vntol=1e-7 abstol=1e-11 itl1=2000",
    "reltol=1e-5 vntol=1e-7 abstol=1e-11 itl1=2000",
];

/// The deck of a network, with options, closed by `tail`. Branches are `r<id>`, diodes `d<id>`, others `b<id>`; nodes are `n<id>`.
///
/// Diodes are the simulator's own model. A zener diode is two of them: the second, turned around and in series with a
/// source, has the documented exponential in reverse; the negative resistor takes away the leakage that the
/// simulator gives each diode. A filament is a behavioral source that states the documented law.
pub fn deck(network: &Network, opened: Opened, options: &str, tail: &str) -> String {
    let mut text = format!("* network\n.options {options}\n");
    let name = |node: NodeId| {
        if node == NodeId::REFERENCE { "0".to_string() } else { format!("n{}", node.0) }
    };
    for (id, element) in network.elements().iter().enumerate() {
        let (a, b) = element.ends();
        let (a, b) = (name(a), name(b));
        let written = match *element {
            Element::Branch { conductance, emf, .. } => {
                let ohms = if conductance > 0.0 { 1.0 / conductance } else { OPEN_OHMS };
                if conductance == 0.0 && opened == Opened::Absent {
                    Ok(())
                } else if emf == 0.0 {
                    writeln!(text, "r{id} {a} {b} {ohms:e}")
                } else {
                    writeln!(text, "r{id} {a} x{id} {ohms:e}\nv{id} {b} x{id} {emf:e}")
                }
            }
            Element::Diode { saturation, slope, breakdown: None, ohms, .. } => {
                let factor = slope / THERMAL_VOLTS;
                writeln!(
                    text,
                    "d{id} {a} {b} m{id}\n.model m{id} D(IS={saturation:e} N={factor:e} RS={ohms:e})"
                )
            }
            Element::Diode { saturation, slope, breakdown: Some(breakdown), ohms, .. } => {
                let factor = slope / THERMAL_VOLTS;
                let shift = breakdown - slope * (1e-3 / REVERSE_SATURATION).ln();
                writeln!(
                    text,
                    "r{id} {a} j{id} {ohms:e}\nd{id} j{id} {b} m{id}\n.model m{id} D(IS={saturation:e} N={factor:e})\n\
                     v{id} {b} k{id} {shift:e}\ndk{id} k{id} j{id} mk{id}\n\
                     .model mk{id} D(IS={REVERSE_SATURATION:e} N={factor:e})\nrk{id} k{id} j{id} -1e12"
                )
            }
            Element::Filament { design_volts, design_amps, cold_ohms, .. } => {
                let knee = design_volts * (1.225 * cold_ohms * design_amps / design_volts).powf(1.0 / 0.45);
                let bend = 0.225 / 1.225 / cold_ohms / (knee * knee);
                let (v, cold) = (format!("v({a},{b})"), 1.0 / cold_ohms);
                writeln!(
                    text,
                    "b{id} {a} {b} I = abs({v}) <= {knee:e} ? {v}*({cold:e} - {bend:e}*{v}*{v}) : \
                     sgn({v})*{design_amps:e}*pow(max(abs({v}),{knee:e})/{design_volts:e},0.55)",
                )
            }
        };
        written.expect("writing to a string");
    }
    text.push_str(tail);
    text.push_str(".end\n");
    text
}

/// The operating points of many networks, from one run of the simulator.
///
/// Every node must have a path to the reference. Where all the simulator's methods fail it passes off a moment of a transient as
/// an operating point; that is told by its warning, and the network tried again. The way to mark a place among the
/// warnings is to ask for a vector that doesn't exist.
pub fn operating_points(networks: &[Network]) -> Vec<Answer> {
    let mut answers: Vec<Option<Answer>> = networks.iter().map(|_| None).collect();
    for options in TOLERANCES {
        let missing: Vec<usize> = (0..networks.len()).filter(|&index| answers[index].is_none()).collect();
        if missing.is_empty() {
            break;
        }
        let folder = tempfile::tempdir().expect("a temporary folder");
        let mut control = String::from("* control\n.control\nset numdgt=17\nset nomoremode\nset width=400\n");
        for &index in &missing {
            let text = deck(&networks[index], Opened::Absent, options, "");
            std::fs::write(folder.path().join(format!("{index}.cir")), text).expect("a deck written");
            writeln!(
                control,
                "source {index}.cir
print next_network_{index}
op
echo network {index}"
            )
            .expect("a line");
            for vector in vectors(&networks[index]).iter().flatten() {
                writeln!(control, "print {vector}").expect("a line");
            }
            control.push_str("remcirc\ndestroy all\n");
        }
        control.push_str("quit\n.endc\n.end\n");
        let (printed, warnings) = run(folder.path(), &control);
        let (printed, warnings) = (
            printed
                .split(
                    "
network ",
                )
                .skip(1),
            warnings.split("next_network_").skip(1),
        );
        for ((index, text), warnings) in missing.into_iter().zip(printed).zip(warnings) {
            if !warnings.contains("source stepping failed") {
                answers[index] = answer(&networks[index], text);
            }
        }
    }
    let answers = answers.into_iter().enumerate();
    answers
        .map(|(index, answer)| {
            answer.unwrap_or_else(|| panic!("ngspice has no answer for {:?}", networks[index]))
        })
        .collect()
}

/// The simulator's names of the voltages of all nodes and the currents of all elements; `None` is 0.
fn vectors(network: &Network) -> Vec<Option<String>> {
    let volts = (0..network.nodes()).map(|node| (node > 0).then(|| format!("v(n{node})")));
    let amps = network.elements().iter().enumerate().map(|(id, element)| match element {
        Element::Branch { conductance: 0.0, .. } => None,
        Element::Branch { .. } | Element::Diode { breakdown: Some(_), .. } => Some(format!("@r{id}[i]")),
        Element::Diode { .. } => Some(format!("@d{id}[id]")),
        Element::Filament { .. } => Some(format!("@b{id}[i]")),
    });
    volts.chain(amps).collect()
}

/// Runs a control script and gives what it printed, and what it warned of.
pub fn run(folder: &Path, control: &str) -> (String, String) {
    std::fs::write(folder.join("control.cir"), control).expect("a control script written");
    let output = Command::new("ngspice")
        .current_dir(folder)
        .args(["-b", "control.cir"])
        .output()
        .expect("this needs the program `ngspice` (Debian package ngspice); tests/run installs it");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (text(&output.stdout), text(&output.stderr))
}

/// Reads the lines `name = number`; `None` if the simulator didn't converge.
fn answer(network: &Network, text: &str) -> Option<Answer> {
    let values: BTreeMap<&str, f64> = text
        .lines()
        .filter_map(|line| line.split_once(" = "))
        .filter_map(|(name, value)| Some((name.trim(), value.trim().parse().ok()?)))
        .filter(|(_, value): &(_, f64)| value.is_finite())
        .collect();
    let value = |name: Option<String>| name.map_or(Some(0.0), |name| values.get(name.as_str()).copied());
    let mut volts = vectors(network).into_iter().map(value).collect::<Option<Vec<f64>>>()?;
    let amps = volts.split_off(network.nodes());
    Some(Answer { volts, amps })
}
