//! Turns a plain value into one that remembers where an author wrote it.

use super::Span;

/// A value with the place it was written at. Equality and order ignore the place, so that two parts with the
/// same rating are equal wherever they stand.
#[derive(Debug, Clone, Copy)]
pub struct Placed<T> {
    pub value: T,
    pub span: Span,
}

impl<T> Placed<T> {
    /// `value`, written at `span`.
    pub fn new(value: T, span: Span) -> Self {
        Placed { value, span }
    }

    /// Another value at the same place.
    pub fn map<U>(self, f: impl FnOnce(T) -> U) -> Placed<U> {
        Placed { value: f(self.value), span: self.span }
    }

    /// A reference with the same place.
    pub fn as_ref(&self) -> Placed<&T> {
        Placed { value: &self.value, span: self.span }
    }
}

impl<T: PartialEq> PartialEq for Placed<T> {
    fn eq(&self, other: &Self) -> bool {
        self.value == other.value
    }
}

impl<T: Eq> Eq for Placed<T> {}

impl<T: PartialOrd> PartialOrd for Placed<T> {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        self.value.partial_cmp(&other.value)
    }
}

impl<T: Ord> Ord for Placed<T> {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.value.cmp(&other.value)
    }
}

impl<T> std::ops::Deref for Placed<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.value
    }
}
