//! Turns a resolved condition into one that is quick to judge for a build: options folded away, its memories numbered.

use super::Corner;
use crate::book::{BandId, Condition, ControlId, Setting, TerminalId, Timing};
use crate::quantity::Band;
use crate::solve::{NodeId, Point};

/// A condition compiled for one build.
#[derive(Debug, Clone, PartialEq)]
pub enum Gate {
    Fixed(bool),
    /// The control stands at one of the positions whose bits are set.
    Position {
        control: ControlId,
        any: u64,
    },
    Level {
        control: ControlId,
        above: bool,
        threshold: Band<f64>,
        until: Option<Band<f64>>,
        band: Option<BandId>,
        memory: usize,
    },
    /// A relay state of the rig.
    State(usize),
    /// A voltage between two nodes of the rig, with hysteresis between the ends of the band.
    Volts {
        plus: NodeId,
        minus: NodeId,
        band: Band<f64>,
        memory: usize,
    },
    Timed {
        inner: Box<Gate>,
        timing: Timing,
        timer: usize,
    },
    All(Vec<Gate>),
    Any(Vec<Gate>),
    Not(Box<Gate>),
}

/// Where a gate remembers whether it was on: one number space for level switches and voltage thresholds.
#[derive(Debug, Clone, Copy, Default)]
pub struct Numbering {
    pub memories: usize,
    pub timers: usize,
}

/// When a timed condition began to be what it is now.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Timer {
    pub inner: bool,
    /// Seconds of simulated time; minus infinity when it has always been so.
    pub since: f64,
}

impl Timer {
    /// A condition that has never been true.
    pub const REST: Timer = Timer { inner: false, since: f64::NEG_INFINITY };
}

/// What a gate is judged by: where everything stands, the voltages, the time.
pub struct Circumstances<'a> {
    pub settings: &'a [Setting],
    pub corner: &'a Corner,
    pub states: &'a [bool],
    pub point: &'a Point,
    pub now: f64,
}

/// Times closer than this are the same moment: far below any stated time, far above rounding.
const MOMENT: f64 = 1e-9;

impl Gate {
    /// Compiles `condition` of a part: `state` and `node` translate the part's own numbers into the rig's.
    pub fn compile(
        choices: &[u16],
        condition: &Condition,
        numbering: &mut Numbering,
        state: &impl Fn(usize) -> usize,
        node: &impl Fn(Option<TerminalId>) -> NodeId,
    ) -> Gate {
        let mut nested = |inner: &Condition| Gate::compile(choices, inner, numbering, state, node);
        match condition {
            Condition::Always => Gate::Fixed(true),
            Condition::Never => Gate::Fixed(false),
            Condition::Position { control, any } => {
                Gate::Position { control: *control, any: any.iter().fold(0, |bits, &at| bits | 1 << at) }
            }
            Condition::Level(level) => {
                numbering.memories += 1;
                Gate::Level {
                    control: level.control,
                    above: level.above,
                    threshold: level.threshold,
                    until: level.until,
                    band: level.band,
                    memory: numbering.memories - 1,
                }
            }
            Condition::Option { group, any } => Gate::Fixed(any.contains(&choices[*group])),
            Condition::Energized(index) => Gate::State(state(*index)),
            Condition::TerminalAbove { terminal, against, volts } => {
                numbering.memories += 1;
                Gate::Volts {
                    plus: node(Some(*terminal)),
                    minus: node(*against),
                    band: *volts,
                    memory: numbering.memories - 1,
                }
            }
            Condition::Timed { inner, timing } => {
                let inner = Box::new(nested(inner));
                numbering.timers += 1;
                Gate::Timed { inner, timing: *timing, timer: numbering.timers - 1 }
            }
            Condition::And(list) => Gate::All(list.iter().map(&mut nested).collect()),
            Condition::Or(list) => Gate::Any(list.iter().map(&mut nested).collect()),
            Condition::Not(inner) => Gate::Not(Box::new(nested(inner))),
        }
    }

    /// Judges the gate and updates what it remembers.
    pub fn judge(&self, given: &Circumstances, memories: &mut [bool], timers: &mut [Timer]) -> bool {
        match self {
            Gate::Fixed(value) => *value,
            Gate::Position { control, any } => match given.settings[control.index()] {
                Setting::Position(at) => any >> at & 1 == 1,
                Setting::Level(_) => false,
            },
            Gate::Level { control, above, threshold, until, band, memory } => {
                let Setting::Level(value) = given.settings[control.index()] else {
                    return false;
                };
                let band = band.map(BandId::index);
                memories[*memory] = match until {
                    // It returns where the level is beyond that mark, and not at it.
                    Some(until) if memories[*memory] => {
                        let limit = given.corner.end(band, *until);
                        if *above { value >= limit } else { value <= limit }
                    }
                    _ => {
                        let limit = given.corner.end(band, *threshold);
                        if *above { value > limit } else { value < limit }
                    }
                };
                memories[*memory]
            }
            Gate::State(state) => given.states[*state],
            Gate::Volts { plus, minus, band, memory } => {
                let volts = given.point.volts_between(*plus, *minus);
                let limit = if memories[*memory] { band.low } else { band.high };
                // Between what nothing joins there is no voltage that could drive anything.
                memories[*memory] = volts >= limit && given.point.island(*plus) == given.point.island(*minus);
                memories[*memory]
            }
            Gate::Timed { inner, timing, timer } => {
                let inner = inner.judge(given, memories, timers);
                let clock = &mut timers[*timer];
                if clock.inner != inner {
                    *clock = Timer { inner, since: given.now };
                }
                clock.value(*timing, given.corner, given.now)
            }
            // Every member is judged, since each may have something to remember.
            Gate::All(list) => {
                let mut all = true;
                for gate in list {
                    all &= gate.judge(given, memories, timers);
                }
                all
            }
            Gate::Any(list) => {
                let mut any = false;
                for gate in list {
                    any |= gate.judge(given, memories, timers);
                }
                any
            }
            Gate::Not(inner) => !inner.judge(given, memories, timers),
        }
    }

    /// The next moment after `now` at which the gate changes by itself.
    pub fn deadline(&self, corner: &Corner, timers: &[Timer], now: f64) -> Option<f64> {
        match self {
            Gate::Timed { inner, timing, timer } => {
                let own = timers[*timer].deadline(*timing, corner, now);
                [own, inner.deadline(corner, timers, now)].into_iter().flatten().reduce(f64::min)
            }
            Gate::All(list) | Gate::Any(list) => {
                list.iter().filter_map(|gate| gate.deadline(corner, timers, now)).reduce(f64::min)
            }
            Gate::Not(inner) => inner.deadline(corner, timers, now),
            _ => None,
        }
    }

    /// Takes its clocks as having stood like that for ever: a time counts from when something was set. What blinks goes on.
    pub fn rest(&self, timers: &mut [Timer]) {
        self.walk(&mut |gate| match gate {
            Gate::Timed { timing: Timing::Blinking { .. }, .. } => {}
            Gate::Timed { timer, .. } => timers[*timer].since = f64::NEG_INFINITY,
            _ => {}
        });
    }

    /// Calls `visit` on this gate and everything in it.
    pub fn walk(&self, visit: &mut impl FnMut(&Gate)) {
        visit(self);
        match self {
            Gate::All(list) | Gate::Any(list) => list.iter().for_each(|gate| gate.walk(visit)),
            Gate::Not(inner) | Gate::Timed { inner, .. } => inner.walk(visit),
            _ => {}
        }
    }
}

impl Timer {
    fn value(&self, timing: Timing, corner: &Corner, now: f64) -> bool {
        let elapsed = now - self.since;
        match timing {
            Timing::For(band) => self.inner && elapsed + MOMENT >= corner.time(band),
            Timing::Lasting(band) => self.inner || elapsed + MOMENT < corner.time(band),
            Timing::AtMost(band) => self.inner && elapsed + MOMENT < corner.time(band),
            Timing::Blinking { per_minute, share } => {
                let period = 60.0 / per_minute;
                self.inner && (elapsed + MOMENT).rem_euclid(period) < share * period
            }
        }
    }

    fn deadline(&self, timing: Timing, corner: &Corner, now: f64) -> Option<f64> {
        let later = |moment: f64| (moment > now + MOMENT).then_some(moment);
        match timing {
            Timing::For(band) | Timing::AtMost(band) if self.inner => later(self.since + corner.time(band)),
            Timing::Lasting(band) if !self.inner => later(self.since + corner.time(band)),
            Timing::Blinking { per_minute, share } if self.inner => {
                let period = 60.0 / per_minute;
                let start = self.since + ((now - self.since + MOMENT) / period).floor() * period;
                later(start + share * period).or(Some(start + period))
            }
            _ => None,
        }
    }
}
