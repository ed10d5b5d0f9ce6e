//! Names every kind of problem once: its code, its severity and one line of meaning.

/// How much a finding weighs: an error stops `publish`, a warning does not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    Error,
    Warning,
}

macro_rules! codes {
    ($($variant:ident = $name:literal, $severity:ident, $meaning:literal;)*) => {
        /// The kinds of problem, each with a kebab-case name that an author can read aloud.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code { $(#[doc = $meaning] $variant,)* }

        impl Code {
            /// Every code, in the order of the table.
            pub const ALL: &[Code] = &[$(Code::$variant,)*];

            /// The name that is printed and that `goodground explain` takes.
            pub fn name(self) -> &'static str {
                match self { $(Code::$variant => $name,)* }
            }

            /// Error or warning.
            pub fn severity(self) -> Severity {
                match self { $(Code::$variant => Severity::$severity,)* }
            }

            /// One sentence: what it means.
            pub fn meaning(self) -> &'static str {
                match self { $(Code::$variant => $meaning,)* }
            }
        }
    };
}

codes! {
    // Reading: the files themselves.
    BadToml = "bad-toml", Error, "A TOML file that cannot be parsed.";
    BadTable = "bad-table", Error, "A wire list or another table whose rows do not fit its columns.";
    BadPage = "bad-page", Error, "A page whose front matter or step lines cannot be read.";
    UnknownKey = "unknown-key", Error, "A key that this table does not have.";
    MissingKey = "missing-key", Error, "A key that this table must have.";
    WrongType = "wrong-type", Error, "A value of another type than its key takes.";
    WrongUnit = "wrong-unit", Error, "A quantity without a unit, or with the unit of something else.";
    OutOfRange = "out-of-range", Error, "A quantity outside what the thing can have.";
    BadColor = "bad-color", Error, "A wire color that is not made of IEC 60757 letters.";
    BadCondition = "bad-condition", Error, "A condition that cannot be parsed.";
    BadStatement = "bad-statement", Error, "A step line, claim or expected result that cannot be parsed.";
    // References.
    BadId = "bad-id", Error, "An id or a position that cannot be written in a statement.";
    DuplicateId = "duplicate-id", Error, "An id that is given twice in the book.";
    UnknownKind = "unknown-kind", Error, "A part kind that does not exist.";
    UnknownPart = "unknown-part", Error, "A part that no sheet defines.";
    UnknownTerminal = "unknown-terminal", Error, "A terminal that its part does not have.";
    UnknownContact = "unknown-contact", Error, "A contact pair that the part does not have.";
    UnknownCavity = "unknown-cavity", Error, "A connector cavity that no wire reaches.";
    UnknownConnector = "unknown-connector", Error, "A connector that no sheet defines.";
    UnknownWire = "unknown-wire", Error, "A wire that no list holds.";
    UnknownControl = "unknown-control", Error, "A control that no sheet defines.";
    UnknownPosition = "unknown-position", Error, "A position that its control does not have.";
    UnknownOption = "unknown-option", Error, "An option that the manual does not have.";
    UnknownHarness = "unknown-harness", Error, "A harness that no sheet defines.";
    UnknownPage = "unknown-page", Error, "A link to a page that does not exist.";
    UnknownAnchor = "unknown-anchor", Error, "A link to a place that its page does not have.";
    UnknownImage = "unknown-image", Error, "An image file that is not in the book.";
    UnknownSheet = "unknown-sheet", Error, "A circuit sheet that does not exist.";
    UnknownQuestion = "unknown-question", Error, "A pinned or dropped question that the book does not have.";
    UnknownFault = "unknown-fault", Error, "An accepted fault that the catalogue does not have.";
    DanglingWire = "dangling-wire", Error, "A wire end that reaches nothing.";
    NotFitted = "not-fitted", Error, "A wire or statement that needs a part a build does not have.";
    Unused = "unused", Warning, "Something defined that nothing uses.";
    UnlinkedStep = "unlinked-step", Error, "A checkout step that does not say where a failure leads.";
    MissingText = "missing-text", Error, "A text of the book's language that the strings file does not have.";
    BadTemplate = "bad-template", Error, "A page template that cannot be parsed or rendered.";
    // Proof: the vehicle.
    WrongResult = "wrong-result", Error, "An expected result that the circuit does not give.";
    FalseClaim = "false-claim", Error, "A claim in the text that the circuit does not bear out.";
    SneakPath = "sneak-path", Error, "A load that works when its intent says it should not.";
    DeadFunction = "dead-function", Error, "A load that does not work when its intent says it should.";
    NoReason = "no-reason", Warning, "A part that changes nothing when it is taken out or bridged.";
    NoIntent = "no-intent", Warning, "A load whose purpose is not stated.";
    Chatter = "chatter", Error, "A relay or switch that never comes to rest.";
    FightingSources = "fighting-sources", Error, "Two stiff supplies joined against each other.";
    Unsolved = "unsolved", Error, "A state of the circuit that could not be solved within its limits.";
    // Proof: faults and troubleshooting.
    UnshownFault = "unshown-fault", Error, "A fault that no checkout step shows and nobody accepted.";
    NeedlessAcceptance = "needless-acceptance", Warning, "An accepted fault that a step shows after all.";
    UnhandledFault = "unhandled-fault", Error, "A fault whose failed step leads to no procedure.";
    WrongVerdict = "wrong-verdict", Error, "A verdict that blames a good part.";
    NeedlessSuspect = "needless-suspect", Warning, "A suspect that is never guilty where it is blamed.";
    NoVerdict = "no-verdict", Error, "A fault that reaches no verdict.";
    DeadBranch = "dead-branch", Error, "A branch that no fault reaches.";
    MissingBranch = "missing-branch", Error, "A reading that no branch covers.";
    EndlessLoop = "endless-loop", Error, "A procedure that goes round without a verdict.";
    DeadPoint = "dead-point", Warning, "A test whose reading is the same for every fault that reaches it.";
    UnusedProcedure = "unused-procedure", Warning, "A procedure that no step leads to.";
    // Proof: hands.
    BlownFuse = "blown-fuse", Error, "A step that blows a fuse.";
    OverloadedWire = "overloaded-wire", Error, "A step that overloads a wire.";
    OverloadedTool = "overloaded-tool", Error, "A step that overloads an instrument.";
    LiveOhmmeter = "live-ohmmeter", Error, "An ohmmeter or continuity light on a live circuit.";
    UnaskedMotion = "unasked-motion", Error, "A step that moves a machine unasked.";
    ImpossibleAct = "impossible-act", Error, "A hand that cannot do what the step says.";
    MissingCaution = "missing-caution", Error, "A procedure whose work needs a caution that it does not show.";
}
