//! Names each thing of the book by a small typed number: its index in the list that holds it.

macro_rules! ids {
    ($($name:ident: $what:literal;)*) => {$(
        #[doc = concat!("The index of ", $what, " in the book's list of them.")]
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
        pub struct $name(pub u32);

        impl $name {
            /// As an index into the list.
            pub fn index(self) -> usize {
                self.0 as usize
            }
        }
    )*};
}

ids! {
    SheetId: "a circuit sheet";
    ControlId: "a control";
    BandId: "a working band";
    PartId: "a part";
    WireId: "a wire";
    ConnectorId: "a connector";
    HarnessId: "a harness";
    BuildId: "a build";
    FaultId: "a fault";
    PageId: "a page";
    ClaimId: "a claim";
    FigureId: "a figure";
}

/// The index of a terminal in its part's list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
pub struct TerminalId(pub u16);

impl TerminalId {
    /// As an index into the part's terminals.
    pub fn index(self) -> usize {
        self.0 as usize
    }
}
