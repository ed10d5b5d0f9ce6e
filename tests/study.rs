//! Turns the demo into questions and holds every answer and every wrong choice against vehicles set up by hand.

use goodground::bench::{Bench, Carrier, Done, Reading, Rig};
use goodground::book::{
    Act, Book, End, FaultId, Instrument, PageId, Place, Point, Role, Setup, Subject, Target,
};
use goodground::proof::corners::middle;
use goodground::proof::illustrate::illustrate;
use goodground::proof::script::Script;
use goodground::proof::{Fleet, Proof, Silent, prove, steps};
use goodground::quantity::{Amount, Dimension};
use goodground::source::Sources;
use goodground::study::lab::{Edge, Lab, Levels, Looks, Node, PATIENCE, Planted, View, labs};
use goodground::study::quiz::{Answer, Ask, EACH, Lot, Question, Said, Scene, Sort, ask, seed, told_apart};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

fn sources() -> Sources {
    let mut sources = Sources::default();
    for (path, text) in crate::book::folder("") {
        sources.add(path, text);
    }
    sources
}

/// The demo with its proof and more questions than any pack holds.
struct Demo {
    book: &'static Book,
    proof: Proof,
    questions: Vec<Question>,
}

static DEMO: LazyLock<Demo> = LazyLock::new(|| {
    let (book, _) = goodground::read::read(&sources(), &[]);
    let book: &'static Book = Box::leak(Box::new(book));
    let proof = prove(book, &Silent);
    let live = illustrate(book).live;
    let questions = ask(book, &proof, &live, 19, 420);
    Demo { book, proof, questions }
});

/// A vehicle set up word by word: what is written is read again as an author's, and done hand by hand.
fn by_words<'r>(rig: &'r Rig, words: &str) -> Bench<'r> {
    let mut sources = sources();
    let file = sources.add("state", words);
    let (_, setup, findings) = goodground::read::state(&sources, &[], file);
    assert!(findings.sorted().is_empty(), "`{words}` cannot be read");
    by_hand(rig, &setup)
}

pub fn by_hand<'r>(rig: &'r Rig, setup: &[Setup]) -> Bench<'r> {
    let mut bench = Bench::new(rig, middle(rig)).unwrap();
    for setup in setup {
        match setup {
            Setup::Without(part) => bench.take_out(*part).unwrap(),
            Setup::Bridged(part) => bench.bridge(*part).unwrap(),
            Setup::Act(act) => {
                bench.act(act).unwrap();
            }
            other => panic!("no scene holds {other:?}"),
        }
    }
    bench
}

/// The step that first fails with a fault, and which of its results fail, walked here and not by the coverage.
fn first_failure<'r>(
    book: &Book,
    rig: &'r Rig,
    page: PageId,
    fault: FaultId,
) -> (Option<(Place, Vec<usize>)>, Bench<'r>) {
    let mut bench = Bench::new(rig, middle(rig)).unwrap();
    bench.plant(rig.vehicle.fault(fault)).unwrap();
    for (place, step) in Script::alone(book, page).steps() {
        bench.listen();
        for act in step.acts {
            bench.act(act).unwrap();
        }
        let outcome = steps::look(&mut bench, &step.expects, &step.branches).unwrap();
        let fails: Vec<usize> =
            (0..step.expects.len()).filter(|&at| outcome.holds[at] == Some(false)).collect();
        if !fails.is_empty() {
            return (Some((place, fails)), bench);
        }
    }
    (None, bench)
}

/// Whether two readings are one: a number is written with three digits, a rate is counted.
fn same(a: &Reading, b: &Reading) -> bool {
    match (a, b) {
        (Reading::Number(a), Reading::Number(b)) => {
            (a.value - b.value).abs() <= 0.01 * a.value.abs().max(b.value.abs()) + 0.05
        }
        (a, b) => !told_apart(a, b),
    }
}

fn amps(bench: &Bench, carrier: Carrier) -> f64 {
    let carriers = bench.rig().carriers.iter().enumerate();
    let of = carriers.filter(|(_, other)| **other == carrier);
    of.map(|(index, _)| bench.amps(index).abs()).fold(0.0, f64::max)
}

/// Whether a contact or a fuse is closed.
fn closed(bench: &Bench, carrier: Carrier) -> bool {
    let Carrier::Element { part, element } = carrier else { panic!("{carrier:?} is no contact") };
    let rig = bench.rig();
    let contact = rig.contacts.iter().position(|it| (it.part, it.element) == (part, element));
    let link = rig.links.iter().position(|it| (it.part, it.element) == (part, element));
    match (contact, link) {
        (Some(contact), _) => bench.made(contact),
        (_, Some(link)) => !bench.blown(link),
        _ => panic!("{carrier:?} is neither a contact nor a fuse"),
    }
}

/// Which choices of a question are right, found out without the question's own table.
pub fn right_choices(book: &Book, rigs: &[Rig], question: &Question, words: bool) -> Vec<bool> {
    let rig = |scene: &Scene| &rigs[scene.build.index()];
    let bench = question.scene.as_ref().map(|scene| match words {
        true => by_words(rig(scene), &book.step_line().setup(&scene.setup()).join(", ")),
        false => by_hand(rig(scene), &scene.setup()),
    });
    let choice = |answer: &Answer| {
        match (&question.ask, answer) {
        (Ask::Loads(_) | Ask::Meter(_), Answer::Readings(says)) => {
            let subjects: Vec<Subject> = says.iter().map(|(subject, _)| *subject).collect();
            let readings = bench.clone().unwrap().observe(&subjects, 0.0).unwrap();
            says.iter().zip(&readings).all(|((_, said), read)| same(said, read))
        }
        (Ask::Path { part, element }, Answer::Path(hops)) => {
            let bench = bench.as_ref().unwrap();
            let through = hops.contains(&Carrier::Element { part: *part, element: *element });
            through && hops.iter().all(|hop| amps(bench, *hop) >= 1e-3)
        }
        (Ask::Contact { part, element }, Answer::Contact(carrier)) => {
            let bench = bench.as_ref().unwrap();
            let carries = amps(bench, Carrier::Element { part: *part, element: *element });
            assert!(carries < 1e-3, "{}: the load works", question.id);
            !closed(bench, *carrier)
        }
        (Ask::Symptom { step, fails }, Answer::Fault(fault)) => {
            let scene = question.scene.as_ref().unwrap();
            first_failure(book, rig(scene), step.page, *fault).0 == Some((*step, fails.clone()))
        }
        (Ask::Step { fault, page }, Answer::Step(step)) => {
            let scene = question.scene.as_ref().unwrap();
            first_failure(book, rig(scene), *page, *fault).0.is_some_and(|(place, _)| place == *step)
        }
        (Ask::Apart { faults, step }, Answer::Test(test)) => {
            let scene = question.scene.as_ref().unwrap();
            let read = faults.map(|fault| {
                let (failed, mut bench) = first_failure(book, rig(scene), step.page, fault);
                assert_eq!(failed.unwrap().0, *step, "{}", question.id);
                bench.act(test).unwrap();
                bench.observe(&[Subject::Instrument(Instrument::TestLight)], 0.0).unwrap()[0]
            });
            !same(&read[0], &read[1])
        }
        (Ask::Wire { part, terminal }, Answer::Wire(says)) => {
            let look = |wire: &goodground::book::Wire| format!("{} {}", wire.color, wire.size);
            let end = End::Terminal { part: *part, terminal: *terminal };
            let there: Vec<String> = book.wires.iter().filter(|wire| wire.ends.contains(&end)).map(look).collect();
            there == [look(book.wire(*says))]
        }
        (Ask::Cavity { wire, connector }, Answer::Cavity(says)) => book.wire(*wire).ends.iter().any(
            |end| matches!(end, End::Cavity { connector: of, cavity, .. } if of == connector && cavity == says),
        ),
        (Ask::Technicians(said), Answer::Technicians(says)) => {
            let scene = question.scene.as_ref().unwrap();
            let truth = said.each_ref().map(|Said { of, subject, reading }| {
                let scene = of.map_or_else(|| scene.clone(), |of| scene.varied(book, of));
                let mut bench = by_hand(rig(&scene), &scene.setup());
                same(reading, &bench.observe(&[*subject], 0.0).unwrap()[0])
            });
            truth == *says
        }
        (ask, answer) => panic!("{}: {answer:?} does not answer {ask:?}", question.id),
    }
    };
    question.choices.iter().map(|it| choice(&it.answer)).collect()
}

#[test]
fn each_of_two_thousand_questions_has_one_right_choice_and_it_is_the_first() {
    let demo = &*DEMO;
    let fleet = Fleet::of(demo.book);
    assert!(demo.questions.len() >= 2_000, "{} questions", demo.questions.len());
    let mut sorts: BTreeMap<Sort, usize> = BTreeMap::new();
    let mut wrong = Vec::new();
    for (number, question) in demo.questions.iter().enumerate() {
        // Reading a state's words reads the whole book again, so every twentieth goes that way.
        let right = right_choices(demo.book, &fleet, question, number % 20 == 0);
        let expected: Vec<bool> = (0..right.len()).map(|at| at == 0).collect();
        if right != expected {
            let of =
                question.scene.as_ref().map(|scene| demo.book.step_line().setup(&scene.setup()).join(", "));
            wrong.push(format!("{right:?} {of:?} {question:?}"));
        }
        assert!(right.len() >= 3, "{}", question.id);
        *sorts.entry(question.sort).or_default() += 1;
    }
    let some = &wrong[..wrong.len().min(8)];
    assert!(wrong.is_empty(), "{} wrong, such as\n{}", wrong.len(), some.join("\n\n"));
    for sort in Sort::ALL {
        assert!(sorts.get(sort).is_some_and(|count| *count >= 20), "{sort:?}: {sorts:?}");
    }
}

#[test]
fn the_same_seed_gives_the_same_questions_and_another_seed_others() {
    let demo = &*DEMO;
    let live = illustrate(demo.book).live;
    let draw = |with| ask(demo.book, &demo.proof, &live, with, 12);
    let ids = |questions: &[Question]| questions.iter().map(|it| it.id.clone()).collect::<Vec<_>>();
    assert_eq!(draw(1), draw(1));
    assert_ne!(ids(&draw(1)), ids(&draw(2)));
}

/// A vehicle of a lab as its page follows it: by edges alone.
struct Case<'l> {
    lab: &'l Lab,
    planted: &'l Planted,
    at: usize,
}

impl<'l> Case<'l> {
    fn node(&self) -> &'l Node {
        let shared = self.lab.shared.len();
        match self.at < shared {
            true => &self.lab.shared[self.at],
            false => &self.planted.nodes[self.at - shared],
        }
    }

    /// The hands that lead on from here.
    fn edges(&self) -> Vec<&'l Edge> {
        let changed: Vec<&Edge> =
            self.planted.changed.iter().filter(|(node, _)| *node == self.at).map(|(_, edge)| edge).collect();
        let own = self.node().edges.iter();
        let kept = own.filter(|edge| changed.iter().all(|other| other.by != edge.by));
        let all: Vec<&Edge> = kept.chain(changed.iter().copied()).collect();
        all.into_iter().filter(|edge| edge.to.is_some()).collect()
    }

    /// Does what a line says; whether the lab has it.
    fn act(&mut self, act: &Act) -> bool {
        let by = self.lab.moves.iter().position(|other| other == act);
        let edge = self.edges().into_iter().find(|edge| Some(edge.by) == by);
        let Some(to) = edge.and_then(|edge| edge.to) else {
            return false;
        };
        self.at = to;
        true
    }

    fn looks(&self) -> &'l Looks {
        let own = self.planted.differs.iter().find(|(node, _)| *node == self.at);
        own.map_or(&self.node().looks, |(_, looks)| looks)
    }

    fn view(&self) -> &'l View {
        &self.lab.views[self.looks().view]
    }

    fn index(&self, point: Point) -> usize {
        self.lab.points.iter().position(|other| *other == point).unwrap()
    }

    /// What the page shows of an instrument: one reading, or one for each phase of a vehicle in which something goes on by
    /// itself. None where it says that this was not computed.
    fn read(&self, placed: &Act) -> Option<Vec<Reading>> {
        if let Some(probe) = self.lab.probes.iter().position(|other| other == placed)
            && let Some((_, reading)) = self.looks().probes.iter().find(|(at, _)| *at == probe)
        {
            return Some(vec![*reading]);
        }
        let Act::Connect { instrument, from, to } = *placed else {
            return None;
        };
        let (a, b) = (self.index(from), self.index(to));
        let view = self.view();
        let volts = |levels: &Levels| {
            let tenths = match levels[a].zip(levels[b]) {
                Some((a, b)) if a.far == b.far => (a.near == b.near).then_some(a.tenths - b.tenths)?,
                _ => 0,
            };
            let volts = Amount::base(f64::from(tenths) / 10.0, Dimension::Potential);
            Some(Reading::Number(volts))
        };
        match instrument {
            Instrument::Voltmeter if !view.volts.is_empty() => view.volts.iter().map(volts).collect(),
            Instrument::TestLight if a <= 1 || b <= 1 => {
                let (point, other) = if a <= 1 { (b, a) } else { (a, b) };
                let reading = view.lights[point]?[other];
                (reading != Reading::Nothing).then(|| vec![reading])
            }
            _ => None,
        }
    }
}

static LABS: LazyLock<Vec<Lab>> = LazyLock::new(|| {
    let demo = &*DEMO;
    labs(demo.book, &demo.proof, &illustrate(demo.book).live)
});

fn acts(book: &Book, place: Place) -> (&[Act], Option<Subject>) {
    match &book.section(place).role {
        Role::Test(test) => (&test.acts, test.reads),
        Role::Step(step) => (&step.acts, None),
        _ => (&[], None),
    }
}

/// Puts the leads of an instrument somewhere or takes them away, when an act says so; a jumper changes the vehicle instead.
fn place_leads(act: &Act, leads: &mut BTreeMap<Instrument, Act>) -> bool {
    match *act {
        Act::Connect { instrument, .. } | Act::Remove(instrument)
            if matches!(instrument, Instrument::Jumper | Instrument::FusedJumper) =>
        {
            false
        }
        Act::Connect { instrument, .. } | Act::Measure { instrument, .. } => {
            leads.insert(instrument, act.clone());
            true
        }
        Act::Remove(instrument) => {
            leads.remove(&instrument);
            true
        }
        _ => false,
    }
}

/// Faults on whose way the lab's meter reads something else than the procedure's: there the test light of the step before is
/// still in place and loads what the meter reads, and a lab has one instrument in place at a time. The list is exact.
const ONE_AT_A_TIME: &[&str] = &["G1 lost", "W102 high resistance", "W103 high resistance", "W103 open"];

#[test]
fn each_fault_of_the_labs_is_found_by_its_proven_procedure() {
    let demo = &*DEMO;
    let book = demo.book;
    let (mut found, mut beyond, mut lost) = (0, Vec::new(), Vec::new());
    for lab in LABS.iter() {
        for planted in &lab.planted {
            let mut case = Case { lab, planted, at: planted.start };
            let name = &book.fault(planted.fault).name;
            let follow = |case: &mut Case| -> Result<(), String> {
                let mut leads: BTreeMap<Instrument, Act> = BTreeMap::new();
                for (place, step) in steps::steps(book.page(lab.page), lab.page) {
                    for act in &step.acts {
                        if !place_leads(act, &mut leads) && !case.act(act) {
                            return Err(format!("{name}: {} cannot be done", book.step_line().act(act)));
                        }
                    }
                    if place == planted.step {
                        break;
                    }
                }
                for (at, place) in planted.route.iter().enumerate() {
                    let (acts, reads) = acts(book, *place);
                    for act in acts {
                        if !place_leads(act, &mut leads) && !case.act(act) {
                            return Err(format!("{name}: {} is not there", book.step_line().act(act)));
                        }
                    }
                    let Some(subject) = reads else { continue };
                    let reading = match subject {
                        Subject::Instrument(instrument) => {
                            leads.get(&instrument).and_then(|placed| case.read(placed))
                        }
                        face => lab
                            .faces
                            .iter()
                            .position(|other| *other == face)
                            .map(|at| vec![case.view().faces[at]]),
                    };
                    let Some(reading) = reading else {
                        return Err(format!("{name}: {} is not read", book.section(*place).title));
                    };
                    let Role::Test(test) = &book.section(*place).role else {
                        continue;
                    };
                    let taken = test.outcomes.iter().find(|outcome| {
                        let is = |reading: &Reading| outcome.looks.iter().any(|look| reading.is(look, false));
                        outcome.looks.is_empty() || reading.iter().any(is)
                    });
                    let leads_on = match taken.map(|outcome| &outcome.to) {
                        Some(Target::Go(next)) => planted.route.get(at + 1).is_some_and(|after| {
                            Script::whole(book, next.page).test_at(*next).map(|it| it.0) == Some(*after)
                        }),
                        Some(Target::Verdict { blames, .. }) => {
                            goodground::proof::trouble::names(book, blames, book.fault(planted.fault))
                        }
                        _ => false,
                    };
                    if !leads_on {
                        return Err(format!("{name}: {} reads {reading:?}", book.section(*place).title));
                    }
                }
                Ok(())
            };
            match follow(&mut case) {
                Ok(()) => found += 1,
                Err(_) if ONE_AT_A_TIME.contains(&name.as_str()) => beyond.push(name.as_str()),
                Err(reason) => lost.push(reason),
            }
        }
    }
    println!("{found} faults found");
    beyond.sort();
    assert_eq!(beyond, ONE_AT_A_TIME, "what leads astray in a lab is on the list, and nothing else");
    assert!(lost.is_empty(), "{found} faults were found, {} not:\n{}", lost.len(), lost.join("\n"));
    assert!(found > 800, "only {found} faults were found");
}

/// How often a meter in a vehicle in which something goes on by itself is read again, and how long, in seconds.
const AGAIN: (f64, f64) = (0.05, 8.0);

/// Looks as a student of the lab does: as long as a fuse is heating up, for a minute at most.
fn look(bench: &mut Bench, faces: &[Subject]) -> Vec<Reading> {
    let needs = if bench.is_heating() { PATIENCE } else { 0.0 };
    bench.observe(faces, needs).unwrap()
}

/// What a voltmeter shows at any time while it is looked at.
fn metered(mut bench: Bench, from: Point, to: Point) -> Vec<f64> {
    let mut found = Vec::new();
    let start = bench.now();
    loop {
        let (a, b) = (bench.node(from).unwrap(), bench.node(to).unwrap());
        found.push(bench.point().volts_between(a, b));
        if !bench.is_lively() || bench.now() - start > AGAIN.1 {
            return found;
        }
        bench.wait(AGAIN.0).unwrap();
    }
}

#[test]
fn a_thousand_readings_of_the_labs_are_the_benchs() {
    let demo = &*DEMO;
    let book = demo.book;
    let fleet = Fleet::of(book);
    let mut lot = Lot::new(5, "triples");
    let (mut tried, mut read, mut wrong) = (0, 0, Vec::new());
    while read < 1_000 {
        let lab = lot.pick(&LABS).unwrap();
        let planted = lot.pick(&lab.planted).unwrap();
        let mut case = Case { lab, planted, at: planted.start };
        let mut bench = Bench::new(&fleet[lab.build.index()], middle(&fleet[lab.build.index()])).unwrap();
        bench.plant(book.fault(planted.fault)).unwrap();
        let mut faces = look(&mut bench, &lab.faces);
        let mut words = book.fault(planted.fault).name.clone();
        for _ in 0..lot.below(24) {
            let edges = case.edges();
            let Some(edge) = lot.pick(&edges) else { break };
            let act = &lab.moves[edge.by];
            case.at = edge.to.unwrap();
            bench.listen();
            bench.act(act).unwrap();
            faces = look(&mut bench, &lab.faces);
            words = format!("{words}, {}", book.step_line().act(act));
        }
        for (at, face) in faces.iter().enumerate() {
            if told_apart(face, &case.view().faces[at]) {
                wrong.push(format!(
                    "{words}: {} {face:?} {:?}",
                    book.step_line().subject(lab.faces[at]),
                    case.view().faces[at]
                ));
            }
        }
        let from = *lot.pick(&lab.points).unwrap();
        let (instrument, to) = match lot.below(3) {
            0 => (Instrument::TestLight, Point::Ground),
            1 => (Instrument::TestLight, Point::BatteryPlus),
            _ => (Instrument::Voltmeter, *lot.pick(&lab.points).unwrap()),
        };
        let act = Act::Connect { instrument, from, to };
        if bench.act(&act).unwrap() != Done::Yes {
            continue;
        }
        tried += 1;
        let Some(shown) = case.read(&act) else {
            continue;
        };
        read += 1;
        let (same, really) = match instrument {
            // Two voltages are each rounded to a tenth.
            Instrument::Voltmeter => {
                let really = metered(bench, from, to);
                let near = |volts: f64, shown: &Reading| match shown {
                    Reading::Number(amount) => (amount.value - volts).abs() <= 0.11,
                    _ => false,
                };
                let all = really.iter().all(|volts| shown.iter().any(|shown| near(*volts, shown)));
                let each = shown.iter().all(|shown| really.iter().any(|volts| near(*volts, shown)));
                (all && each, format!("{really:.2?}"))
            }
            _ => {
                let really = bench.observe(&[Subject::Instrument(instrument)], 0.0).unwrap()[0];
                (!told_apart(&really, &shown[0]), format!("{really:?}"))
            }
        };
        if !same {
            wrong.push(format!("{words}, {}: {really} and not {shown:?}", book.step_line().act(&act)));
        }
    }
    println!("{read} of {tried} readings are there, {} of them wrong", wrong.len());
    assert!(wrong.is_empty(), "{} of {read}:\n{}", wrong.len(), wrong.join("\n"));
    assert!(10 * read > 9 * tried, "only {read} of {tried} readings are there");
}

#[test]
fn a_pinned_question_that_nobody_asks_is_found_where_it_stands() {
    let demo = &*DEMO;
    let mut sources = sources();
    let drawn = ask(demo.book, &demo.proof, &illustrate(demo.book).live, seed(demo.book), EACH);
    let right = &drawn[0].id;
    let wrong = format!("{}z", &right[..right.len() - 1]);
    let text = format!(
        "+++\ntitle = \"Wishes\"\nkind = \"study\"\ncircuit = \"lift-power\"\npin = [\"{right}\", \"{wrong}\"]\n+++\n"
    );
    let start = text.find(&wrong).unwrap();
    let file = sources.add("content/zz-wishes.md", text);
    let (book, findings) = goodground::read::read(&sources, &[]);
    assert!(!findings.sorted().iter().any(|finding| finding.span.file == file));
    let found = goodground::check::check(&book, &demo.proof).sorted();
    let [finding] = &found[..] else {
        panic!("{found:?}");
    };
    assert_eq!(finding.code, goodground::finding::Code::UnknownQuestion);
    assert_eq!((finding.span.file, finding.span.start as usize), (file, start));
    let told: Vec<&str> = finding.remarks.iter().map(|remark| remark.text.as_str()).collect();
    assert_eq!(told, [format!("did you mean `{right}`?")]);
}

/// A wire is told by its color and size; two choices that look alike would both be right, or both wrong.
#[test]
fn no_two_choices_of_a_wire_look_alike() {
    let mut drawn = 0;
    for printed in crate::printed::packs() {
        let book = printed.book;
        for with in 0..6 {
            for question in ask(book, &printed.proof, &printed.illustrations.live, with, 60) {
                if !matches!(question.ask, Ask::Wire { .. }) {
                    continue;
                }
                let looks: BTreeSet<String> = question
                    .choices
                    .iter()
                    .filter_map(|choice| match choice.answer {
                        Answer::Wire(wire) => Some(book.wire(wire)),
                        _ => None,
                    })
                    .map(|wire| format!("{} {}", wire.color, wire.size))
                    .collect();
                assert_eq!(looks.len(), question.choices.len(), "{}", question.id);
                drawn += 1;
            }
        }
    }
    assert!(drawn > 50, "{drawn} questions of this kind");
}
