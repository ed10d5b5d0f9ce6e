//! Names the commands and their options.

use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// A compiler for vehicle-electrical service manuals: proves every stated result against the circuit, then makes the book.
#[derive(Debug, Parser)]
#[command(name = "goodground", version, max_term_width = 80)]
pub struct Arguments {
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Check everything that the book states against its circuits
    Prove(Prove),
    /// Prove the book and write it as HTML; refuses while there is an error
    Publish(Publish),
    /// Explain one state of the vehicle: what works, what is live, and why
    Why(Why),
    /// Say which faults give what was seen on a vehicle, and what to look at next
    Suspects(Suspects),
    /// Write a checkout or a troubleshooting page for a circuit, as source to edit
    Draft(Draft),
    /// Make a folder with a small book to start from
    New(New),
    /// Tell what may be written, and what a finding means and how to mend it
    About(About),
}

/// Where the book is and how to speak.
#[derive(Debug, Clone, Args)]
pub struct Common {
    /// The book's folder
    #[arg(long, value_name = "DIR", default_value = ".")]
    pub book: PathBuf,
    /// How results are printed
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub format: Format,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    Text,
    Json,
}

#[derive(Debug, Clone, Args)]
pub struct Prove {
    #[command(flatten)]
    pub common: Common,
    /// Prove again whenever a file of the book changes
    #[arg(long)]
    pub watch: bool,
    /// Compare with an earlier proof, as `--format json` printed it
    #[arg(long, value_name = "FILE")]
    pub since: Option<PathBuf>,
    /// Walk every two faults of a system at once, and tell which do not end well; takes a while
    #[arg(long)]
    pub pairs: bool,
    /// Tell how few tests each procedure could do with; takes a while
    #[arg(long)]
    pub fewest: bool,
}

#[derive(Debug, Clone, Args)]
pub struct Publish {
    #[command(flatten)]
    pub common: Common,
    /// Where the book is written [default: book-out in the book's folder]
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Write it in spite of errors, with every page marked as unproven
    #[arg(long)]
    pub draft: bool,
    /// Walk every two faults of a system at once, and tell the share that ends well; takes a while
    #[arg(long)]
    pub pairs: bool,
    /// Write a draft again whenever a file of the book changes; a page that is open in a browser shows it by itself
    #[arg(long)]
    pub watch: bool,
}

#[derive(Debug, Clone, Args)]
pub struct Why {
    #[command(flatten)]
    pub common: Common,
    /// The state, in the words of a claim: "key run, door open, with W41 open, test light K4:86 to ground"
    #[arg(value_name = "STATE", default_value = "")]
    pub state: String,
    /// What to explain: a part, a wire, a connector, or a terminal such as K4:86; without it, every load that shows
    /// something
    #[arg(long, value_name = "NAME")]
    pub part: Option<String>,
    /// The supply's volts, in place of the middle of the book's band
    #[arg(long, value_name = "VOLTS")]
    pub supply: Option<String>,
}

#[derive(Debug, Clone, Args)]
pub struct Suspects {
    #[command(flatten)]
    pub common: Common,
    /// The circuit sheet whose checkout was gone through, or the checkout's page
    pub sheet: String,
    /// What was seen, once for each: "step 2 good", "step 3: H9 dark", "step 3; unplug K4: H9 lit"
    #[arg(long, value_name = "SIGHTING")]
    pub saw: Vec<String>,
    /// Which vehicle it is, as far as that is known: "gearbox manual, cab long"
    #[arg(long, value_name = "CHOICES")]
    pub build: Option<String>,
}

#[derive(Debug, Clone, Args)]
pub struct Draft {
    #[command(flatten)]
    pub common: Common,
    /// What to write
    #[arg(value_enum)]
    pub what: Drafted,
    /// The circuit sheet, by the name of its file without `.toml`
    pub sheet: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Drafted {
    Checkout,
    Troubleshooting,
}

#[derive(Debug, Clone, Args)]
pub struct New {
    /// The folder to make; it must not exist yet or be empty
    pub folder: PathBuf,
}

#[derive(Debug, Clone, Args)]
pub struct About {
    /// A topic, a kind of part or a finding, such as `steps`, `relay` or `wrong-result`; without one, all of them
    pub name: Option<String>,
    /// Write all of it to this folder: for a browser, for editors, for `man`, for shells
    #[arg(long, value_name = "DIR", conflicts_with = "name")]
    pub out: Option<PathBuf>,
    /// Print the licenses of all that the program is linked from
    #[arg(long, conflicts_with_all = ["name", "out"])]
    pub notices: bool,
}
