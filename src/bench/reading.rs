//! What a person sees, hears and reads of a subject: how it is told, and whether it is what a statement says.

use crate::book::{Look, Strength};
use crate::quantity::{Amount, Dimension, Unit, print, rounded};

/// How long a technician looks at a step's result, in seconds. A fuse at twice its rating opens within it.
pub(super) const LOOKING: f64 = 5.0;

/// The same in seconds for what flashes: long enough for three cycles of the slowest lawful rate of 60 per minute.
pub(super) const FLASHING: f64 = 8.0;

/// A change within this time after the last hand, in seconds, belongs to the hand (common practice, no source).
pub(super) const SETTLING: f64 = 1.0;

/// What lasts shorter than this, in seconds, nobody sees (common practice, no source).
pub const BLINK: f64 = 0.1;

/// What a face shows at one moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Seen {
    pub strength: Strength,
    /// A motor that turns against its usual sense.
    pub backwards: bool,
}

impl Seen {
    /// Nothing to see.
    pub const NOTHING: Seen = Seen { strength: Strength::Off, backwards: false };
}

/// What a subject does while it is looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    Steady(Seen),
    Flashing {
        per_minute: f64,
    },
    /// One thing for a time, then another.
    Then {
        first: Seen,
        seconds: f64,
        last: Seen,
    },
    /// On for some seconds, again and again: so slowly that nobody calls it flashing.
    Pulses {
        on: Seen,
        seconds: f64,
        /// Seconds from one to the next.
        every: f64,
    },
    /// It, or what feeds it, pulls in and drops out without end.
    Chattering,
    /// It changes in no order that has a name; this is how it ended.
    Unsteady(Seen),
    Number(Amount),
    /// The build has no such thing, or the instrument is not in place.
    Nothing,
}

impl Reading {
    /// The reading as it is told: two numbers that differ further down than numbers are printed are one. No two machines
    /// need agree on the last digits of a power or an exponential.
    pub fn rounded(self) -> Reading {
        match self {
            Reading::Number(amount) => Reading::Number(Amount { value: rounded(amount.value), ..amount }),
            Reading::Flashing { per_minute } => Reading::Flashing { per_minute: rounded(per_minute) },
            Reading::Then { first, seconds, last } => {
                Reading::Then { first, seconds: rounded(seconds), last }
            }
            Reading::Pulses { on, seconds, every } => {
                Reading::Pulses { on, seconds: rounded(seconds), every: rounded(every) }
            }
            other => other,
        }
    }

    /// Whether the reading is what a look says. `clicked` is whether the subject's relay changed over.
    pub fn is(&self, look: &Look, clicked: bool) -> bool {
        match (look, self) {
            (Look::Clicks, _) => clicked,
            (Look::Is(strength), Reading::Steady(seen)) => seen.strength == *strength && !seen.backwards,
            // What is over within a second of the hand is seen, and what is there afterwards is what was asked for.
            (Look::Is(strength), Reading::Then { seconds, last, .. }) => {
                *seconds <= SETTLING && last.strength == *strength && !last.backwards
            }
            (Look::Backwards, Reading::Steady(seen)) => seen.backwards,
            (Look::Flashing(rate), Reading::Flashing { per_minute }) => {
                rate.is_none_or(|band| band.holds(*per_minute))
            }
            (Look::Flashing(rate), Reading::Pulses { every, .. }) => {
                rate.is_none_or(|band| band.holds(60.0 / every))
            }
            (
                Look::Then { first, backwards, seconds: band, last: end },
                Reading::Then { first: was, seconds, last },
            ) => {
                (*first, *end) == (was.strength, last.strength)
                    && *backwards == (was.backwards || last.backwards)
                    && band.holds(*seconds)
            }
            (
                Look::Pulses { on, seconds, every },
                Reading::Pulses { on: was, seconds: lasts, every: period },
            ) => *on == was.strength && !was.backwards && seconds.holds(*lasts) && every.holds(*period),
            (Look::Chattering, Reading::Chattering) => true,
            (Look::Reads(band), Reading::Number(amount)) => {
                band.low.value <= amount.value && amount.value <= band.high.value
            }
            _ => false,
        }
    }

    /// The reading with its subject's words for off, weak and full: `dim`, `flashing 92 per min`, `11.8 V`.
    pub fn words(&self, words: [&str; 3]) -> String {
        let word = |seen: Seen| {
            if seen.backwards { "backwards".to_string() } else { words[seen.strength as usize].to_string() }
        };
        match self {
            Reading::Steady(seen) => word(*seen),
            Reading::Flashing { per_minute } => {
                format!("flashing {}", print(*per_minute, Unit::base(Dimension::Rate)))
            }
            Reading::Then { first, seconds, last } => format!(
                "{} for {}, then {}",
                word(*first),
                print(*seconds, Unit::base(Dimension::Time)),
                word(*last)
            ),
            Reading::Pulses { on, seconds, every } => {
                let [seconds, every] = [seconds, every].map(|time| print(*time, Unit::base(Dimension::Time)));
                format!("{} for {seconds} every {every}", word(*on))
            }
            Reading::Chattering => "chattering".to_string(),
            Reading::Unsteady(seen) => format!("unsteady, at last {}", word(*seen)),
            Reading::Number(amount) if amount.value.is_infinite() => "open circuit".to_string(),
            Reading::Number(amount) => amount.to_string(),
            Reading::Nothing => "not there".to_string(),
        }
    }
}

/// Seconds that a look needs to be told from others.
pub fn seconds_needed(look: &Look) -> f64 {
    match look {
        Look::Then { seconds, .. } => seconds.high + 2.0,
        Look::Flashing(_) => FLASHING,
        Look::Pulses { every, .. } => 3.0 * every.high + 2.0,
        _ => LOOKING,
    }
}
