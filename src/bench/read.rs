//! Turns the vehicle over a stretch of time into what a person sees, hears and reads.

use super::curve::along;
use super::reading::{FLASHING, LOOKING, Reading, Seen};
use super::shine;
use super::state::{Bench, Upset};
use crate::book::{Face, Strength, Subject};
use crate::quantity::Amount;

/// Below this current nothing a person can see or hear works, in amperes.
const LEAST_AMPS: f64 = 1e-4;

/// A change within this time after the last hand belongs to the hand.
const SETTLING: f64 = 1.0;

/// How many things that happen by themselves a glimpse takes in: enough for both halves of a flasher's period, a fuse and a
/// timer.
const GLIMPSES: usize = 6;

impl Bench<'_> {
    /// What a subject shows at this moment.
    pub fn see(&self, subject: Subject) -> Seen {
        match subject {
            Subject::Face { part, element } => {
                self.rig.sight(part, element).map_or(Seen::NOTHING, |sight| self.see_sight(sight))
            }
            Subject::Relay { part, state } => {
                let relay = self.rig.relay(part, state);
                let energized = relay.is_some_and(|relay| self.states[relay]);
                Seen { strength: if energized { Strength::Full } else { Strength::Off }, backwards: false }
            }
            Subject::Instrument(instrument) => {
                self.tool(instrument).map_or(Seen::NOTHING, |tool| self.tool_seen(tool))
            }
        }
    }

    /// What one of the rig's sights shows at this moment: by the current through its own winding or filament, so that
    /// an open one shows nothing however many volts are across it.
    pub fn see_sight(&self, sight: usize) -> Seen {
        let sight = &self.rig.sights[sight];
        let amps = self.point().amps(sight.id);
        if amps.abs() < LEAST_AMPS {
            return Seen::NOTHING;
        }
        let strength = if sight.by_current {
            shine::led(amps / sight.rated)
        } else {
            let volts = self.point().volts_between(sight.a, sight.b);
            let seized = self.has(crate::book::Item::Part(sight.part), |mode| {
                mode == crate::book::Mode::Seized(sight.element)
            });
            if seized { Strength::Off } else { shine::load(&sight.face, volts / sight.rated) }
        };
        let turns = matches!(sight.face, Face::Motor { .. });
        Seen { strength, backwards: turns && amps < 0.0 && strength != Strength::Off }
    }

    /// What a gauge's pointer shows.
    fn gauge(&self, subject: Subject) -> Option<Amount> {
        let Subject::Face { part, element } = subject else {
            return None;
        };
        let sight = &self.rig.sights[self.rig.sight(part, element)?];
        let Face::Gauge { scale } = &sight.face else {
            return None;
        };
        let points: Vec<(f64, f64)> = scale.iter().map(|(amps, amount)| (*amps, amount.value)).collect();
        let value = along(&points, self.point().amps(sight.id).abs());
        Some(Amount { value, unit: scale[0].1.unit })
    }

    /// Lets the technician look at the subjects for a while, and says what each did. `needs` is how many seconds the
    /// statements need to be seen; where nothing happens by itself no time is computed.
    pub fn observe(&mut self, subjects: &[Subject], needs: f64) -> Result<Vec<Reading>, Upset> {
        self.watched = subjects.to_vec();
        self.record.clear();
        let start = self.now;
        for &subject in subjects {
            let seen = self.see(subject);
            self.record.push((start, subject, seen));
        }
        if self.is_lively() {
            self.wait(FLASHING.max(needs))?;
        } else {
            self.now += LOOKING;
        }
        self.watched.clear();
        Ok(subjects.iter().map(|&subject| self.tell(subject, start)).collect())
    }

    /// The strongest that each subject shows at any time while it is looked at, whatever it does in between.
    pub fn glimpse(&mut self, subjects: &[Subject]) -> Result<Vec<Seen>, Upset> {
        if !self.is_lively() {
            return Ok(subjects.iter().map(|&subject| self.see(subject)).collect());
        }
        self.watched = subjects.to_vec();
        self.record.clear();
        self.note();
        for _ in 0..GLIMPSES {
            let Some(moment) = self.next_event() else { break };
            self.wait(moment - self.now)?;
        }
        self.watched.clear();
        let strongest = |subject: Subject| {
            let moments = self.record.iter().filter(|(_, other, _)| *other == subject);
            moments.map(|&(_, _, seen)| seen).max().unwrap_or(Seen::NOTHING)
        };
        Ok(subjects.iter().map(|&subject| strongest(subject)).collect())
    }

    /// What a subject did since `start`, from the record.
    fn tell(&self, subject: Subject, start: f64) -> Reading {
        if let Subject::Instrument(instrument) = subject {
            use crate::book::Instrument::{ContinuityLight, TestLight};
            match self.tool(instrument) {
                None => return Reading::Nothing,
                Some(tool) if !matches!(instrument, TestLight | ContinuityLight) => {
                    return self.tool_number(tool);
                }
                Some(_) => {}
            }
        }
        if let Subject::Face { part, .. } = subject
            && !self.rig.vehicle.part(part).fitted[self.rig.build.index()]
        {
            return Reading::Nothing;
        }
        if let Some(amount) = self.gauge(subject) {
            return Reading::Number(amount);
        }
        let story: Vec<(f64, Seen)> = self
            .record
            .iter()
            .filter(|(_, other, _)| *other == subject)
            .map(|&(moment, _, seen)| (moment - start, seen))
            .collect();
        classify(&story)
    }
}

/// Puts a story of changes into one word.
fn classify(story: &[(f64, Seen)]) -> Reading {
    let last = story[story.len() - 1].1;
    let late = story.iter().filter(|(moment, _)| *moment > SETTLING).count();
    if late == 0 {
        return Reading::Steady(last);
    }
    let rises: Vec<f64> = story
        .windows(2)
        .filter(|pair| pair[1].1.strength > pair[0].1.strength && pair[0].1.strength == Strength::Off)
        .map(|pair| pair[1].0)
        .collect();
    if rises.len() >= 3 {
        let cycles = (rises.len() - 1) as f64;
        return Reading::Flashing { per_minute: 60.0 * cycles / (rises[rises.len() - 1] - rises[0]) };
    }
    match story {
        [.., (_, first), (moment, last)] if late == 1 => {
            Reading::Then { first: first.strength, seconds: *moment, last: last.strength }
        }
        _ => Reading::Unsteady(last),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(strength: Strength) -> Seen {
        Seen { strength, backwards: false }
    }

    /// SAE J945 flasher rates: at 90 per minute a lamp is lit every two thirds of a second.
    #[test]
    fn a_steady_alternation_is_flashing_at_its_rate() {
        let story: Vec<(f64, Seen)> = (0..20)
            .map(|half| (half as f64 / 3.0, seen(if half % 2 == 0 { Strength::Full } else { Strength::Off })))
            .collect();
        let Reading::Flashing { per_minute } = classify(&story) else { panic!("{:?}", classify(&story)) };
        assert!((per_minute - 90.0).abs() < 1e-9);
    }

    #[test]
    fn one_late_change_is_a_time_and_an_early_one_is_not() {
        let late = [(0.0, seen(Strength::Full)), (6.0, seen(Strength::Off))];
        assert_eq!(
            classify(&late),
            Reading::Then { first: Strength::Full, seconds: 6.0, last: Strength::Off }
        );
        let early = [(0.0, seen(Strength::Full)), (0.2, seen(Strength::Off))];
        assert_eq!(classify(&early), Reading::Steady(seen(Strength::Off)));
    }
}
