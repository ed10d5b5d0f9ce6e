//! Turns a vehicle at rest into what is still to come by itself: its next states, and what these depend on.

use super::blow::opening_time;
use super::state::{Bench, Upset};

/// Seconds ahead within which a vehicle's states are taken: as long as a person looks at something that flashes.
const AHEAD: f64 = 8.0;

/// A vehicle that changes by itself more often than this within that time has no phases that can be told apart.
const PHASES: usize = 64;

impl<'r> Bench<'r> {
    /// The vehicle as it stands and at each moment in the next seconds at which something happens by itself. A vehicle in
    /// which nothing is to come gives itself alone.
    pub fn phases(&self) -> Result<Vec<Bench<'r>>, Upset> {
        let mut phases = vec![self.clone()];
        let mut rhythms = vec![self.rhythm()];
        let mut bench = self.clone();
        let end = self.now + AHEAD;
        while let Some(moment) = bench.next_event().filter(|&moment| moment <= end) {
            if phases.len() >= PHASES {
                break;
            }
            bench.wait(moment - bench.now)?;
            let rhythm = bench.rhythm();
            if rhythms.contains(&rhythm) {
                break;
            }
            rhythms.push(rhythm);
            phases.push(bench.clone());
        }
        Ok(phases)
    }

    /// Whether a fuse carries so much that it opens sooner or later.
    pub fn is_heating(&self) -> bool {
        let mut links = self.links.iter().zip(&self.rig.links);
        links.any(|(state, link)| {
            let time = opening_time(link.protection, state.share);
            !state.open && time.is_some_and(|time| time.high.is_finite())
        })
    }

    /// What decides the vehicle's future beside what can be seen of its contacts and fuses: what it remembers, how far its
    /// fuses have heated up, and when which timer runs out. In which half of its period a flasher is decides nothing.
    pub fn pending(&self) -> Vec<i64> {
        let millionths = |share: f64| (share * 1e6).round() as i64;
        let memories = self.memories.iter().map(|&memory| i64::from(memory));
        let links = self.links.iter().map(|state| if state.open { 0 } else { millionths(state.used) });
        let timers = self.rig.lively.iter().map(|&contact| {
            let gate = &self.rig.contacts[contact].gate;
            let deadline = gate.deadline(&self.corner, &self.timers, self.now);
            deadline.map_or(-1, |moment| millionths(moment - self.now))
        });
        let charges = self.charges.iter().map(|&volts| millionths(volts));
        memories.chain(links).chain(timers).chain(charges).collect()
    }

    /// Whether relays, contacts and fuses stand as in another vehicle of the same rig.
    pub fn rests_as(&self, other: &Bench) -> bool {
        let open = |bench: &Bench| bench.links.iter().map(|link| link.open).collect::<Vec<_>>();
        self.states == other.states && self.made == other.made && open(self) == open(other)
    }
}
