//! Declares a form of words that an author may write: what stands where, an example, and what it says. Each list stands beside
//! the reader of its forms, and a test reads every example.

/// A form of words.
#[derive(Debug, Clone, Copy)]
pub struct Form {
    /// What is the author's stands in capital letters.
    pub form: &'static str,
    pub example: &'static str,
    pub tells: &'static str,
}

impl Form {
    /// A form with its example, and what it says.
    pub const fn new(form: &'static str, example: &'static str, tells: &'static str) -> Form {
        Form { form, example, tells }
    }
}
