//! Holds everything in one crate: the tests of one promise a file, and what several of them need a folder.

// Tests look at files, run programs and print what they measured.
#![allow(clippy::disallowed_macros, clippy::disallowed_methods, clippy::disallowed_types)]

mod book;
mod large;
mod reference;
mod printed;
mod shelf;
mod vehicle;

mod about;
mod again;
mod awake;
mod currents;
mod draft;
mod draw_geometry;
mod draw_states;
mod editions;
mod edits;
mod every_statement;
mod exam;
mod facts;
mod faults;
mod flattened;
mod fuzz;
mod killed;
mod language;
mod machines;
mod manual;
mod page;
mod pairs;
mod planted;
mod printing;
mod program;
mod promises;
mod published;
mod read_back_drawings;
mod read_back_links;
mod read_back_lists;
mod read_back_procedures;
mod read_back_strips;
mod read_back_study;
mod reading;
mod reasons;
mod sneak;
mod solve_laws;
mod solve_random;
mod solve_worked;
mod stamp;
mod stepped;
mod suspects;
mod study;
mod suite;
mod supply;
mod tidy;
mod together;
mod unread;
mod watched;
