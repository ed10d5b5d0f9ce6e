//! Declares what an author may write in a table: each key once, for the reader, for the hints of its findings and for the reference.

use crate::quantity::Dimension;

/// A key that a table may have.
#[derive(Debug, Clone, Copy)]
pub struct Key {
    pub name: &'static str,
    pub takes: Takes,
    pub need: Need,
    /// A value as it is written in TOML.
    pub example: &'static str,
    /// What it says, in a sentence.
    pub tells: &'static str,
}

/// What may stand under a key.
#[derive(Debug, Clone, Copy)]
pub enum Takes {
    Text,
    /// One of these words.
    Word(fn() -> Vec<&'static str>),
    /// `true` or `false`; `false` when it is not there.
    Flag,
    /// A share from 0 to 1.
    Number,
    Quantity(Dimension),
    /// Two quantities, or one.
    Range(Dimension),
    /// A voltage and what flows or is turned into heat at it.
    Rating(Dimension),
    /// Two terminals of the part: `86-85`.
    Pins,
    /// When something is so.
    Condition,
    /// A list of texts.
    Texts,
    /// A list of lists of texts.
    Groups,
    Table(&'static [Key]),
    /// A table whose names are the author's: what each name is, one of them, and what stands under it.
    Each(&'static str, &'static str, &'static Takes),
    /// Any of these forms.
    Any(&'static [Takes]),
    /// A list of such.
    List(&'static Takes),
}

/// Whether a key has to be there.
#[derive(Debug, Clone, Copy)]
pub enum Need {
    Must,
    /// What holds without it.
    May(&'static str),
    /// The value that holds without it, and where that comes from.
    Usually(&'static str, &'static str),
    /// It stands in place of the key named.
    Instead(&'static str),
}

impl Key {
    /// A key that must be there.
    pub const fn must(name: &'static str, takes: Takes, example: &'static str, tells: &'static str) -> Key {
        Key { name, takes, need: Need::Must, example, tells }
    }

    /// A key that may be there; `without` says what holds when it is not.
    pub const fn may(
        name: &'static str,
        takes: Takes,
        without: &'static str,
        example: &'static str,
        tells: &'static str,
    ) -> Key {
        Key { name, takes, need: Need::May(without), example, tells }
    }

    /// A key whose value is known without it, from a source.
    pub const fn usually(
        name: &'static str,
        takes: Takes,
        (value, source): (&'static str, &'static str),
        example: &'static str,
        tells: &'static str,
    ) -> Key {
        Key { name, takes, need: Need::Usually(value, source), example, tells }
    }

    /// A key in place of another.
    pub const fn instead(
        name: &'static str,
        other: &'static str,
        takes: Takes,
        example: &'static str,
        tells: &'static str,
    ) -> Key {
        Key { name, takes, need: Need::Instead(other), example, tells }
    }

    /// Whether it must be there.
    pub fn is_needed(&self) -> bool {
        matches!(self.need, Need::Must)
    }

    /// The key with its example, as it is written.
    pub fn written(&self) -> String {
        format!("{} = {}", self.name, self.example)
    }

    /// The value that holds when the key is not there.
    ///
    /// # Panics
    /// When none is declared.
    pub fn usual(&self) -> &'static str {
        match self.need {
            Need::Usually(value, _) => value,
            _ => panic!("`{}` has no value of its own", self.name),
        }
    }
}

impl Takes {
    /// The keys of the table that may stand here; none where the names are the author's.
    pub fn keys(self) -> &'static [Key] {
        match self {
            Takes::Table(keys) => keys,
            Takes::Any(forms) => {
                forms.iter().map(|form| form.keys()).find(|keys| !keys.is_empty()).unwrap_or(&[])
            }
            Takes::List(each) => each.keys(),
            _ => &[],
        }
    }

    /// The keys of what stands under each name of the author's.
    pub fn inner(self) -> &'static [Key] {
        match self {
            Takes::Each(_, _, each) => each.keys(),
            Takes::Any(forms) => {
                forms.iter().map(|form| form.inner()).find(|keys| !keys.is_empty()).unwrap_or(&[])
            }
            _ => self.keys(),
        }
    }

    /// The dimension of the quantities that stand here.
    ///
    /// # Panics
    /// When what stands here is no quantity.
    pub fn dimension(self) -> Dimension {
        match self {
            Takes::Quantity(dimension) | Takes::Range(dimension) | Takes::Rating(dimension) => dimension,
            Takes::Any(forms) => {
                forms.iter().find(|form| form.is_measured()).expect("a quantity among the forms").dimension()
            }
            other => panic!("{other:?} has no dimension"),
        }
    }

    fn is_measured(&self) -> bool {
        matches!(self, Takes::Quantity(_) | Takes::Range(_) | Takes::Rating(_))
    }
}
