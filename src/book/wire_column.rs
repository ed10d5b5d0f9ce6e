//! The columns of a wire list, declared once: how an author heads them, which must be there, and which are printed.

/// Whether an author gives a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Presence {
    /// Every wire has it.
    Needed,
    /// It may be left out at the end of a row.
    Usual,
    /// Only a list whose author names its columns has it, and a cell of it may be empty.
    Named,
    /// It follows from where the list stands.
    Never,
}

/// A header that an author may write.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WireHeader {
    pub column: WireColumn,
    pub word: &'static str,
    /// The unit of the column's cells where these are numbers alone.
    pub unit: Option<&'static str>,
}

/// One line a column: what it is called, in a sentence and as the key of its title; whether an author gives it; whether it
/// is printed; its headers in an author's list, each with the unit of its cells or an empty text.
macro_rules! columns {
    ($($column:ident $name:literal $presence:ident $printed:literal [$($header:literal $unit:literal),*];)*) => {
        /// A column of a wire list, in the order of the usual list and of the printed one.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum WireColumn { $(#[doc = $name] $column,)* }

        impl WireColumn {
            const ALL: &[WireColumn] = &[$(WireColumn::$column,)*];

            /// What it is called in a sentence, and the key of its title.
            pub fn name(self) -> &'static str {
                match self { $(WireColumn::$column => $name,)* }
            }

            /// Whether an author gives it.
            pub fn presence(self) -> Presence {
                match self { $(WireColumn::$column => Presence::$presence,)* }
            }

            fn is_printed(self) -> bool {
                match self { $(WireColumn::$column => $printed,)* }
            }

            fn written(self) -> &'static [(&'static str, &'static str)] {
                match self { $(WireColumn::$column => &[$(($header, $unit)),*],)* }
            }
        }
    };
}

columns! {
    Id "wire" Needed true ["id" ""];
    From "from" Needed true ["from" ""];
    To "to" Needed true ["to" ""];
    Color "color" Needed true ["color" ""];
    Size "size" Needed true ["mm2" "mm2", "AWG" "AWG"];
    Length "length" Needed true ["m" "m", "ft" "ft"];
    // The list stands under its harness.
    Harness "harness" Never true [];
    // A wire's printed row is marked with its builds instead.
    Only "only" Usual false ["only" ""];
}

impl WireColumn {
    /// Every header that an author may write.
    pub fn headers() -> impl Iterator<Item = WireHeader> {
        Self::ALL.iter().flat_map(|&column| {
            column.written().iter().map(move |&(word, unit)| WireHeader {
                column,
                word,
                unit: (!unit.is_empty()).then_some(unit),
            })
        })
    }

    /// The headers of a list whose author names none: the first of each usual column.
    pub fn usual() -> Vec<WireHeader> {
        let usual =
            |header: &WireHeader| matches!(header.column.presence(), Presence::Needed | Presence::Usual);
        let mut headers: Vec<WireHeader> = Self::headers().filter(usual).collect();
        headers.dedup_by_key(|header| header.column);
        headers
    }

    /// The columns of the printed list.
    pub fn printed() -> impl Iterator<Item = WireColumn> {
        Self::ALL.iter().copied().filter(|column| column.is_printed())
    }
}
