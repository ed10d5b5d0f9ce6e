//! Names every kind of problem once: its code, its severity and its manual page.

/// How much a finding weighs: an error stops `publish`, a warning does not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    Error,
    Warning,
}

impl Severity {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Error => "error",
            Severity::Warning => "warning",
        }
    }
}

macro_rules! codes {
    ($($variant:ident = $name:literal, $severity:ident;)*) => {
        /// The kinds of problem, each with a kebab-case name that an author can read aloud.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code { $(#[doc = include_str!(concat!("manual/", $name, ".md"))] $variant,)* }

        impl Code {
            /// Every code, in the order of the table.
            pub const ALL: &[Code] = &[$(Code::$variant,)*];

            /// The name that is printed and that `goodground about` takes.
            pub fn name(self) -> &'static str {
                match self { $(Code::$variant => $name,)* }
            }

            /// Whether it comes from the proof, of a book that was read.
            pub fn is_proved(self) -> bool {
                self >= Code::WrongResult
            }

            /// Error or warning.
            pub fn severity(self) -> Severity {
                match self { $(Code::$variant => Severity::$severity,)* }
            }

            /// The manual page: what it means in one sentence, why it matters at the bench, an example, the repair.
            pub fn page(self) -> &'static str {
                match self { $(Code::$variant => include_str!(concat!("manual/", $name, ".md")),)* }
            }

            /// One sentence: what it means.
            pub fn meaning(self) -> &'static str {
                self.page().lines().next().expect("a page begins with its sentence")
            }
        }
    };
}

codes! {
    // Reading: the files themselves.
    UnreadSource = "unread-source", Error;
    SamePath = "same-path", Error;
    BadFileName = "bad-file-name", Error;
    BadToml = "bad-toml", Error;
    BadTable = "bad-table", Error;
    BadPage = "bad-page", Error;
    UnknownKey = "unknown-key", Error;
    MissingKey = "missing-key", Error;
    WrongType = "wrong-type", Error;
    WrongUnit = "wrong-unit", Error;
    OutOfRange = "out-of-range", Error;
    TooMuch = "too-much", Error;
    BadColor = "bad-color", Error;
    BadCondition = "bad-condition", Error;
    BadStatement = "bad-statement", Error;
    // References.
    BadId = "bad-id", Error;
    DuplicateId = "duplicate-id", Error;
    UnknownKind = "unknown-kind", Error;
    UnknownPart = "unknown-part", Error;
    UnknownTerminal = "unknown-terminal", Error;
    UnknownContact = "unknown-contact", Error;
    UnknownCavity = "unknown-cavity", Error;
    UnknownConnector = "unknown-connector", Error;
    UnknownWire = "unknown-wire", Error;
    UnknownControl = "unknown-control", Error;
    UnknownPosition = "unknown-position", Error;
    UnknownOption = "unknown-option", Error;
    UnknownHarness = "unknown-harness", Error;
    UnknownPage = "unknown-page", Error;
    UnknownAnchor = "unknown-anchor", Error;
    UnknownImage = "unknown-image", Error;
    UnknownSheet = "unknown-sheet", Error;
    UnknownQuestion = "unknown-question", Error;
    UnknownFault = "unknown-fault", Error;
    UnknownField = "unknown-field", Error;
    DanglingWire = "dangling-wire", Error;
    NotFitted = "not-fitted", Error;
    Unused = "unused", Warning;
    UnlinkedStep = "unlinked-step", Error;
    ContradictedFact = "contradicted-fact", Error;
    MissingText = "missing-text", Error;
    BadTemplate = "bad-template", Error;
    // Proof: the vehicle.
    WrongResult = "wrong-result", Error;
    FalseClaim = "false-claim", Error;
    SneakPath = "sneak-path", Error;
    DeadFunction = "dead-function", Error;
    NoReason = "no-reason", Warning;
    NoIntent = "no-intent", Warning;
    Chatter = "chatter", Error;
    FightingSources = "fighting-sources", Error;
    Unsolved = "unsolved", Error;
    // Proof: faults and troubleshooting.
    UnshownFault = "unshown-fault", Error;
    NeedlessAcceptance = "needless-acceptance", Warning;
    UnhandledFault = "unhandled-fault", Error;
    WrongVerdict = "wrong-verdict", Error;
    NeedlessSuspect = "needless-suspect", Warning;
    NoVerdict = "no-verdict", Error;
    DeadBranch = "dead-branch", Error;
    MissingBranch = "missing-branch", Error;
    EndlessLoop = "endless-loop", Error;
    DeadPoint = "dead-point", Warning;
    UnusedProcedure = "unused-procedure", Warning;
    // Proof: hands.
    BlownFuse = "blown-fuse", Error;
    OverloadedWire = "overloaded-wire", Error;
    OverloadedTool = "overloaded-tool", Error;
    LiveOhmmeter = "live-ohmmeter", Error;
    UnaskedMotion = "unasked-motion", Error;
    ImpossibleAct = "impossible-act", Error;
    MissingCaution = "missing-caution", Error;
}
