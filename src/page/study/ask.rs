//! Turns a question and its computed answers into words of the book's language.

use super::super::kit::Kit;
use crate::book::{FaultId, Place, Role, Subject};
use crate::proof::reasons::Way;
use crate::proof::{Carrier, Reading};
use crate::study::quiz::{Answer, Ask, Because, Question, Said, Scene, Variation};

/// Puts the questions of one book into words.
pub struct Asker<'a> {
    pub kit: &'a Kit<'a>,
}

impl Asker<'_> {
    fn fill(&self, key: &str, values: &[(&str, &str)]) -> String {
        self.kit.words.fill(&format!("study.{key}"), values)
    }

    /// The state that a question is about, hand by hand; nothing where it is about none.
    pub fn state(&self, question: &Question) -> Vec<String> {
        let Some(scene) = &question.scene else {
            return Vec::new();
        };
        let stops = matches!(question.ask, Ask::Symptom { .. } | Ask::Step { .. } | Ask::Apart { .. });
        let mut state = self.kit.say().setup(&scene.setup());
        if state.is_empty() && !stops {
            state.push(self.fill("at-rest", &[]));
        }
        state
    }

    /// The build that a question is about, where the vehicle has options.
    pub fn build(&self, question: &Question) -> Option<String> {
        let scene: &Scene = question.scene.as_ref()?;
        let name = self.kit.book.build_name(scene.build);
        (!name.is_empty()).then_some(name)
    }

    /// The question itself.
    pub fn question(&self, question: &Question) -> String {
        let (book, say) = (self.kit.book, self.kit.say());
        match &question.ask {
            Ask::Loads(subjects) => {
                let loads: Vec<String> = subjects.iter().map(|subject| say.subject(*subject)).collect();
                self.fill("ask-loads", &[("loads", &loads.join("; "))])
            }
            Ask::Path { part, element } => self.fill("ask-path", &[("load", &self.face(*part, *element))]),
            Ask::Contact { part, element } => {
                self.fill("ask-contact", &[("load", &self.face(*part, *element))])
            }
            Ask::Meter(instrument) => self.fill("ask-meter", &[("tool", &say.instrument(*instrument))]),
            Ask::Symptom { step, fails } => {
                let values = [("step", &*self.place(*step)), ("fails", &*self.results(*step, fails))];
                self.fill("ask-symptom", &values)
            }
            Ask::Step { fault, page } => {
                let values = [("fault", &*self.fault(*fault)), ("page", &*book.page(*page).title)];
                self.fill("ask-step", &values)
            }
            Ask::Apart { faults, step } => {
                let values = [
                    ("step", &*self.place(*step)),
                    ("one", &*self.fault(faults[0])),
                    ("other", &*self.fault(faults[1])),
                ];
                self.fill("ask-apart", &values)
            }
            Ask::Wire { part, terminal } => {
                let at = book.part(*part).terminal_name(*terminal);
                self.fill("ask-wire", &[("terminal", &at), ("part", &book.part(*part).name)])
            }
            Ask::Cavity { wire, connector } => {
                let connector = book.connector(*connector);
                let named = format!("{} {}", connector.id, connector.name);
                self.fill("ask-cavity", &[("wire", &say.wire(*wire)), ("connector", &named)])
            }
            Ask::Technicians([one, other]) => {
                let values = [("one", &*self.said(one)), ("other", &*self.said(other))];
                self.fill("ask-technicians", &values)
            }
        }
    }

    /// A choice.
    pub fn choice(&self, question: &Question, answer: &Answer) -> String {
        let (book, say) = (self.kit.book, self.kit.say());
        match answer {
            Answer::Readings(list) => match (&list[..], &question.ask) {
                ([(subject, reading)], Ask::Meter(_)) => say.reading(*subject, reading),
                (list, _) => list
                    .iter()
                    .map(|(subject, reading)| self.shows(*subject, reading))
                    .collect::<Vec<_>>()
                    .join("; "),
            },
            Answer::Path(hops) => self.carriers(hops),
            Answer::Contact(carrier) => self.carriers(&[*carrier]),
            Answer::Fault(fault) => self.fault(*fault),
            Answer::Step(place) => book.section(*place).title.clone(),
            Answer::Test(act) => say.act(act),
            Answer::Wire(wire) => {
                let wire = book.wire(*wire);
                let values = [("color", &*wire.color.to_string()), ("size", &*wire.size.to_string())];
                self.fill("wire-look", &values)
            }
            Answer::Cavity(cavity) => match &question.ask {
                Ask::Cavity { connector, .. } => {
                    let connector = book.connector(*connector);
                    format!("{}:{}", connector.id, connector.cavities[*cavity as usize])
                }
                _ => cavity.to_string(),
            },
            Answer::Technicians(right) => self.fill(
                match right {
                    [true, true] => "both",
                    [true, false] => "only-a",
                    [false, true] => "only-b",
                    [false, false] => "neither",
                },
                &[],
            ),
        }
    }

    /// Why a choice is right or wrong.
    pub fn because(&self, question: &Question, because: &Because) -> String {
        let say = self.kit.say();
        match because {
            Because::Computed(list) if list.is_empty() => self.fill("computed", &[]),
            Because::Computed(list) => list
                .iter()
                .map(|(subject, why)| format!("{}: {}", self.short(*subject), say.why(why)))
                .collect::<Vec<_>>()
                .join(". "),
            Because::Otherwise(variation) => {
                self.fill("otherwise", &[("variation", &self.variation(*variation))])
            }
            Because::Idle(carrier) => self.fill("idle", &[("what", &self.carriers(&[*carrier]))]),
            Because::Closed(carrier) => self.fill("closed", &[("what", &self.carriers(&[*carrier]))]),
            Because::Shows(None) => self.fill("unshown", &[]),
            Because::Shows(Some((step, fails))) => {
                let values = [("step", &*self.place(*step)), ("fails", &*self.results(*step, fails))];
                self.fill("shows", &values)
            }
            Because::Passes => self.fill("passes", &[]),
            Because::Later => self.fill("later", &[]),
            Because::Reads(readings) => {
                let Ask::Apart { faults, .. } = &question.ask else {
                    return self.fill("computed", &[]);
                };
                let light = Subject::Instrument(crate::book::Instrument::TestLight);
                let values = [
                    ("one", &*self.fault(faults[0])),
                    ("other", &*self.fault(faults[1])),
                    ("reads", &*say.reading(light, &readings[0])),
                    ("other-reads", &*say.reading(light, &readings[1])),
                ];
                self.fill("reads", &values)
            }
            Because::Wire(wire) => self.fill("that-wire", &[("wire", &say.wire(*wire))]),
            Because::Really(readings) => {
                let Ask::Technicians(said) = &question.ask else {
                    return self.fill("computed", &[]);
                };
                let really = said
                    .iter()
                    .zip(readings)
                    .map(|(said, reading)| self.said(&Said { reading: *reading, ..said.clone() }));
                self.fill("really", &[("what", &really.collect::<Vec<_>>().join("; "))])
            }
            Because::Nowhere => self.fill("nowhere", &[]),
        }
    }

    /// Where in the book the answer is explained.
    pub fn reference(&self, question: &Question) -> String {
        let title = &self.kit.book.sheets[question.sheet.index()].title;
        match question.place {
            Some(place) => {
                let page = &self.kit.book.page(place.page).title;
                let section = &self.kit.book.section(place).title;
                format!("{page}, {section}")
            }
            None => self.fill("see-drawing", &[("sheet", title)]),
        }
    }

    fn said(&self, said: &Said) -> String {
        let shows = self.shows(said.subject, &said.reading);
        match said.of {
            None => shows,
            Some(of) => {
                let values = [("variation", &*self.variation(of)), ("shows", &*shows)];
                self.fill("said-of", &values)
            }
        }
    }

    fn shows(&self, subject: Subject, reading: &Reading) -> String {
        let reading = self.kit.say().reading(subject, reading);
        format!("{}: {reading}", self.short(subject))
    }

    /// A subject by its id alone.
    fn short(&self, subject: Subject) -> String {
        match subject {
            Subject::Instrument(instrument) => self.kit.say().instrument(instrument),
            other => self.kit.book.step_line().subject(other),
        }
    }

    fn face(&self, part: crate::book::PartId, element: usize) -> String {
        self.kit.say().subject(Subject::Face { part, element })
    }

    fn variation(&self, variation: Variation) -> String {
        let say = self.kit.say();
        match variation {
            Variation::Moved(control, to) => say.setting(control, to),
            Variation::Part(part, Way::TakenOut) => {
                self.kit.words.fill("setup.without", &[("part", &say.part(part))])
            }
            Variation::Part(part, Way::Bridged) => {
                self.kit.words.fill("setup.bridged", &[("part", &say.part(part))])
            }
            Variation::InPlace(part) => self.fill("in-place", &[("part", &say.part(part))]),
            Variation::Lead(point) => self.fill("lead-at", &[("point", &say.point(point))]),
        }
    }

    fn carriers(&self, carriers: &[Carrier]) -> String {
        let say = self.kit.say();
        let mut names: Vec<String> = carriers.iter().filter_map(|carrier| say.carrier(*carrier)).collect();
        names.dedup();
        names.join(" → ")
    }

    /// A fault by its name, with what its part is called.
    pub fn fault(&self, fault: FaultId) -> String {
        let name = self.kit.say().fault(fault);
        match self.kit.book.fault(fault).part() {
            Some(part) => format!("{name} ({})", self.kit.book.part(part).name),
            None => name,
        }
    }

    fn place(&self, place: Place) -> String {
        let (page, section) = (self.kit.book.page(place.page), self.kit.book.section(place));
        format!("{}, {}", page.title, section.title)
    }

    /// Some of a step's expected results.
    fn results(&self, step: Place, which: &[usize]) -> String {
        let Role::Step(step) = &self.kit.book.section(step).role else {
            return String::new();
        };
        let say = self.kit.say();
        let results = which.iter().map(|&at| &step.expects[at]);
        let results = results.map(|expect| say.expect(expect.subject, &expect.look));
        results.collect::<Vec<_>>().join("; ")
    }
}
