//! Turns the vehicle over a stretch of time into what a person sees, hears and reads.

use super::curve::along;
use super::reading::{BLINK, FLASHING, LOOKING, Reading, SETTLING, Seen};
use super::shine;
use super::state::{Bench, Upset};
use crate::book::{Face, Strength, Subject};
use crate::quantity::Amount;

/// Below this current nothing a person can see or hear works, in amperes.
const LEAST_AMPS: f64 = 1e-4;

/// From this many seconds from one to the next, what goes on and off is told by its times and not as flashing (common
/// practice, no source: the slowest lawful flasher has one second).
const PULSING: f64 = 4.0;

/// Seconds for which a technician goes on looking at what has begun to go on and off slowly.
const PATIENT: f64 = 60.0;

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
            let pulsing = |&subject: &Subject| {
                let story = self.story(subject, start);
                let changes = story.iter().filter(|(moment, _)| *moment > SETTLING).count();
                changes > 1 && rises(&story).len() < CYCLES
            };
            if self.is_lively() && subjects.iter().any(pulsing) {
                self.wait(PATIENT - FLASHING.max(needs).min(PATIENT))?;
            }
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

    /// What the record has of a subject, in seconds since `start`.
    fn story(&self, subject: Subject, start: f64) -> Vec<(f64, Seen)> {
        let own = self.record.iter().filter(|(_, other, _)| *other == subject);
        own.map(|&(moment, _, seen)| (moment - start, seen)).collect()
    }

    /// What a subject did since `start`, from the record.
    fn tell(&self, subject: Subject, start: f64) -> Reading {
        if self.shaken.contains(&subject) {
            return Reading::Chattering;
        }
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
        classify(&self.story(subject, start))
    }
}

/// How often something must come on to be said to do so again and again.
const CYCLES: usize = 3;

/// The moments at which something comes on.
fn rises(story: &[(f64, Seen)]) -> Vec<f64> {
    let pairs = story
        .windows(2)
        .filter(|pair| pair[1].1.strength > pair[0].1.strength && pair[0].1.strength == Strength::Off);
    pairs.map(|pair| pair[1].0).collect()
}

/// Puts a story of changes into one word.
fn classify(story: &[(f64, Seen)]) -> Reading {
    let last = story[story.len() - 1].1;
    let late = story.iter().filter(|(moment, _)| *moment > SETTLING).count();
    if late == 0 {
        return pulse(story, last).unwrap_or(Reading::Steady(last));
    }
    let rises = rises(story);
    if rises.len() >= CYCLES {
        let every = (rises[rises.len() - 1] - rises[0]) / (rises.len() - 1) as f64;
        if every < PULSING {
            return Reading::Flashing { per_minute: 60.0 / every };
        }
        let at = story.iter().position(|(moment, _)| *moment == rises[0]).unwrap_or_default();
        let seconds = story[at + 1].0 - story[at].0;
        return Reading::Pulses { on: story[at].1, seconds, every };
    }
    match story {
        [.., (_, first), (moment, last)] if late == 1 => {
            Reading::Then { first: *first, seconds: *moment, last: *last }
        }
        _ => Reading::Unsteady(last),
    }
}

/// What is over before it belongs to the hand no more, and was there long enough to be seen: strongest first.
fn pulse(story: &[(f64, Seen)], last: Seen) -> Option<Reading> {
    let lasts = story.windows(2).map(|pair| (pair[1].0 - pair[0].0, pair[0].1));
    let seen = lasts.filter(|(seconds, seen)| *seconds >= BLINK && seen.strength > last.strength);
    let (_, first) = seen.max_by_key(|(_, seen)| *seen)?;
    let over = story.iter().rev().take_while(|(_, seen)| *seen == last).last()?;
    Some(Reading::Then { first, seconds: over.0, last })
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
            Reading::Then { first: seen(Strength::Full), seconds: 6.0, last: seen(Strength::Off) }
        );
        let early = [(0.0, seen(Strength::Off)), (0.2, seen(Strength::Full))];
        assert_eq!(classify(&early), Reading::Steady(seen(Strength::Full)));
    }

    #[test]
    fn a_pulse_is_seen_from_a_tenth_of_a_second_on() {
        let pulse = |seconds| classify(&[(0.0, seen(Strength::Full)), (seconds, Seen::NOTHING)]);
        assert_eq!(
            pulse(0.4),
            Reading::Then { first: seen(Strength::Full), seconds: 0.4, last: Seen::NOTHING }
        );
        assert_eq!(pulse(0.05), Reading::Steady(Seen::NOTHING));
    }

    #[test]
    fn what_comes_on_every_five_seconds_is_told_by_its_times() {
        let on = |at: f64| [(at, seen(Strength::Full)), (at + 1.0, Seen::NOTHING)];
        let story: Vec<(f64, Seen)> =
            [(0.0, Seen::NOTHING)].into_iter().chain((1..4).flat_map(|at| on(5.0 * at as f64))).collect();
        assert_eq!(classify(&story), Reading::Pulses { on: seen(Strength::Full), seconds: 1.0, every: 5.0 });
    }
}
