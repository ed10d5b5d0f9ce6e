//! (see DEVELOPERS.md)
