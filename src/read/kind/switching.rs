//! Turns switches, relays, solenoid switches and flashers into contacts, windings and states.

use super::maker::{CONTACT, MAKES, Maker, PINS, TERMINALS, ends};
use crate::book::{Action, BulbOut, Effect, Resistance, TerminalId};
use crate::finding::{Code, Finding};
use crate::quantity::{Dimension, Ohm};
use crate::read::condition::States;
use crate::read::key::{Key, Takes};
use crate::read::table::Table;

/// Drop-out voltage as a share of the pull-in voltage when the author gives none; `DROPS_OUT` says after what.
const DROP_OUT: f64 = 1.5 / 8.0;

/// What a switch has.
pub const SWITCH: &[Key] = &[
    Key { example: r#"{ "1-2" = "key run or key start" }"#, ..MAKES },
    Key { example: r#"["1", "2"]"#, ..TERMINALS },
    CONTACT,
];

const RESISTANCE: Key =
    Key::must("resistance", Takes::Quantity(Dimension::Resistance), r#""85 ohm""#, "Its resistance.");

const PULLS_IN: Key = Key::must(
    "pulls-in",
    Takes::Quantity(Dimension::Potential),
    r#""8 V""#,
    "The voltage from which the contacts move.",
);

const DROPS_OUT: Key = Key::may(
    "drops-out",
    Takes::Quantity(Dimension::Potential),
    "1.5/8 of `pulls-in`: a mini power relay with an 85 ohm coil pulls in at 8 V at most and drops out at 1.5 V at \
     least (maker's datasheet, terminals after ISO 7588-1)",
    r#""1.5 V""#,
    "The voltage below which they fall back.",
);

const COIL: &[Key] = &[
    PINS,
    RESISTANCE,
    PULLS_IN,
    DROPS_OUT,
    Key::may(
        "diode",
        Takes::Text,
        "it has none",
        r#""86""#,
        "The pin at which the cathode of a suppression diode across the coil is.",
    ),
    Key::may(
        "suppressor",
        Takes::Quantity(Dimension::Resistance),
        "it has none",
        r#""680 ohm""#,
        "A suppression resistor across the coil.",
    ),
];

const LATCHED: &[Key] = &[PINS, RESISTANCE, PULLS_IN];

/// What a relay and a contactor have.
pub const RELAY: &[Key] = &[
    Key::must(
        "coil",
        Takes::Table(COIL),
        r#"{ pins = "86-85", resistance = "85 ohm", pulls-in = "8 V" }"#,
        "Its winding.",
    ),
    MAKES,
    TERMINALS,
    CONTACT,
];

/// What a delay relay has.
pub const TIMER: &[Key] =
    &[RELAY[0], Key { example: r#"{ "30-87" = "energized for 8 s" }"#, ..MAKES }, TERMINALS, CONTACT];

/// What a latching relay has.
pub const LATCHING: &[Key] = &[
    Key::must(
        "set",
        Takes::Table(LATCHED),
        r#"{ pins = "86-85", resistance = "85 ohm", pulls-in = "8 V" }"#,
        "The winding that sets it.",
    ),
    Key::must(
        "reset",
        Takes::Table(LATCHED),
        r#"{ pins = "86a-85", resistance = "85 ohm", pulls-in = "8 V" }"#,
        "The winding that resets it.",
    ),
    Key { example: r#"{ "30-87" = "set" }"#, ..MAKES },
    Key { example: r#"["30", "85", "86", "86a", "87"]"#, ..TERMINALS },
    CONTACT,
];

const WINDING: &[Key] = &[PINS, RESISTANCE];

/// What a starter's solenoid switch has.
pub const SOLENOID: &[Key] = &[
    Key::must(
        "pull-in",
        Takes::Table(WINDING),
        r#"{ pins = "50-M", resistance = "0.4 ohm" }"#,
        "The strong winding, in series with the motor: it is bridged once the contact is made.",
    ),
    Key::must(
        "hold",
        Takes::Table(WINDING),
        r#"{ pins = "50-31", resistance = "1.2 ohm" }"#,
        "The winding to ground that holds the plunger.",
    ),
    Key { tells: "The voltage from which both windings together pull in.", ..PULLS_IN },
    Key { tells: "The voltage below which the hold winding alone lets go.", ..DROPS_OUT },
    Key { example: r#"{ "30-M" = "energized" }"#, ..MAKES },
    Key { example: r#"["30", "50", "31", "M"]"#, ..TERMINALS },
    CONTACT,
];

/// What a flasher unit has.
pub const FLASHER: &[Key] = &[
    ends("49-49a", "DIN 72552"),
    Key::must("rate", Takes::Quantity(Dimension::Rate), r#""90 per min""#, "How often it flashes."),
    Key::usually(
        "on-share",
        Takes::Quantity(Dimension::Share),
        ("50 %", "common practice, no source"),
        r#""45 %""#,
        "The share of each period for which it is on.",
    ),
    Key::may(
        "bulb-out",
        Takes::Table(BULB_OUT),
        "it flashes at one rate",
        r#"{ below = "3 A", rate = "160 per min" }"#,
        "What it does when a lamp is out.",
    ),
    CONTACT,
];

const BULB_OUT: &[Key] = &[
    Key::must(
        "below",
        Takes::Quantity(Dimension::Current),
        r#""3 A""#,
        "The current below which a lamp counts as out.",
    ),
    Key::must("rate", Takes::Quantity(Dimension::Rate), r#""160 per min""#, "How often it flashes then."),
];

/// Any contacts, each under its own condition.
pub fn switch(maker: &mut Maker) {
    maker.contacts(States::None);
}

/// One coil with its suppression, and contacts that it moves: relay, contactor and delay relay.
pub fn relay(maker: &mut Maker) {
    if let Some(coil) = maker.table.table("coil", maker.log) {
        winding(maker, &coil, "coil", Effect::Hold);
        suppression(maker, &coil);
        coil.close(maker.log);
    } else if maker.table.get("coil").is_none() {
        maker.table.missing("coil", maker.log);
    }
    if maker.part.states.is_empty() {
        maker.state(false, DROP_OUT);
    }
    maker.contacts(States::Coil);
}

/// Two windings that move one state, which stays where it is without current.
pub fn latching_relay(maker: &mut Maker) {
    for (key, effect) in [("set", Effect::Set), ("reset", Effect::Reset)] {
        match maker.table.table(key, maker.log) {
            Some(coil) => {
                winding(maker, &coil, &format!("{key} coil"), effect);
                coil.close(maker.log);
            }
            None if maker.table.get(key).is_none() => {
                maker.table.missing(key, maker.log);
            }
            None => {}
        }
    }
    maker.part.states.truncate(1);
    if maker.part.states.is_empty() {
        maker.state(true, 0.0);
    }
    maker.contacts(States::Latch);
}

/// Adds a winding and, for the first one, the state that it moves. The state goes in when the winding carries the current
/// that `pulls-in` drives through it.
fn winding(maker: &mut Maker, coil: &Table, name: &str, effect: Effect) {
    let label = |what: &str| format!("{name} {what}");
    let pins = maker.pins_of(coil);
    let ohms = maker.needed_of(coil, "resistance", &label("resistance"));
    let pulls_in = maker.needed_of(coil, "pulls-in", &label("pulls in at"));
    let drops_out = match effect {
        Effect::Hold => coil.quantity("drops-out", maker.log),
        _ => None,
    };
    let (Some(pins), Some(ohms), Some(pulls_in)) = (pins, ohms, pulls_in) else {
        return;
    };
    let mut share = DROP_OUT;
    if let Some(drops_out) = drops_out {
        maker.fact(&label("drops out at"), drops_out.to_string());
        share = drops_out.value.value / pulls_in;
        if !(0.0..1.0).contains(&share) {
            let finding = Finding::new(
                Code::OutOfRange,
                drops_out.span,
                "a relay drops out below the voltage at which it pulls in",
            );
            maker.log.push(finding);
            share = DROP_OUT;
        }
    }
    maker.state(effect != Effect::Hold, share);
    let action = Action::Coil { ohms: Ohm(ohms), state: 0, effect, per_ampere: ohms / pulls_in };
    maker.element(name, pins, action);
}

/// A diode (its cathode at the pin named) or a resistor across the coil.
fn suppression(maker: &mut Maker, coil: &Table) {
    let pins = maker.part.elements.first().map(|element| (element.a, element.b));
    let diode = coil.text("diode", maker.log);
    let resistor = coil.quantity("suppressor", maker.log);
    let Some((a, b)) = pins else { return };
    if let Some(cathode) = diode {
        let names = [a, b].map(|pin| maker.part.terminals[pin.index()].name.clone());
        let anode = match names.iter().position(|name| *name == cathode.value) {
            Some(0) => (b, a),
            Some(_) => (a, b),
            None => {
                let headline = format!("the coil has no pin `{}`", cathode.value);
                let finding = Finding::new(Code::UnknownTerminal, cathode.span, headline);
                let hint = format!("the cathode is at `{}` or `{}`", names[0], names[1]);
                maker.log.push(finding.hint(hint));
                return;
            }
        };
        maker.fact("suppression diode", format!("cathode at {}", cathode.value));
        maker.element("diode", anode, Action::Diode { breakdown: None });
    }
    if let Some(resistor) = resistor
        && let Some(ohms) = maker.positive(&resistor)
    {
        maker.fact("suppression resistor", resistor.to_string());
        let ohms = Resistance::Fixed(Ohm(ohms));
        maker.element("suppressor", (a, b), Action::Resistor { ohms });
    }
}

/// A starter's solenoid switch: a pull-in winding in series with the motor and a hold winding to ground. Both have the same
/// number of turns, so that they cancel when they are fed backwards through the closed contact after key-off; that is why
/// one ampere counts the same in both. `pulls-in` is the voltage at which both together pull in, `drops-out` the one at
/// which the hold winding alone lets go.
pub fn solenoid(maker: &mut Maker) {
    let mut windings: Vec<(&str, (TerminalId, TerminalId), f64)> = Vec::new();
    for key in ["pull-in", "hold"] {
        let Some(table) = maker.table.table(key, maker.log) else {
            if maker.table.get(key).is_none() {
                maker.table.missing(key, maker.log);
            }
            continue;
        };
        let pins = maker.pins_of(&table);
        let ohms = maker.needed_of(&table, "resistance", &format!("{key} winding"));
        table.close(maker.log);
        if let (Some(pins), Some(ohms)) = (pins, ohms) {
            windings.push((key, pins, ohms));
        }
    }
    let pulls_in = maker.needed("pulls-in");
    let drops_out = maker.given("drops-out");
    let mut share = 0.0;
    if let Some(pulls_in) = pulls_in {
        let at_pull_in: f64 = windings.iter().map(|(_, _, ohms)| pulls_in / ohms).sum();
        for (name, pins, ohms) in &windings {
            let action = Action::Coil {
                ohms: Ohm(*ohms),
                state: 0,
                effect: Effect::Hold,
                per_ampere: 1.0 / at_pull_in,
            };
            maker.element(name, *pins, action);
            if *name == "hold" {
                share = drops_out.unwrap_or(pulls_in * DROP_OUT) / ohms / at_pull_in;
            }
        }
    }
    maker.state(false, share);
    maker.contacts(States::Coil);
}

/// A flasher unit, with a ground terminal 31 that it may have (DIN 72552).
pub fn flasher(maker: &mut Maker) {
    let pins = maker.pins();
    maker.terminal("31");
    let closed = maker.closed();
    let per_minute = maker.needed("rate");
    let share = maker.usual("on-share") / 100.0;
    if share >= 1.0 {
        maker.log.error(
            Code::OutOfRange,
            maker.table.place(),
            "a flasher is on for less than its whole period",
        );
    }
    let bulb_out = maker.table.table("bulb-out", maker.log).and_then(|table| {
        let below = maker.needed_of(&table, "below", "bulb out below");
        let rate = maker.needed_of(&table, "rate", "bulb-out rate");
        table.close(maker.log);
        Some(BulbOut { below: below?, per_minute: rate? })
    });
    let Some(per_minute) = per_minute else { return };
    let action = Action::Flasher { closed, per_minute, share, bulb_out };
    maker.element("contact", pins, action);
}
