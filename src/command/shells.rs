//! Turns the declaration of the arguments into manual pages for `man` and completions for shells.

use super::arguments::Arguments;
use crate::page::Output;
use clap::CommandFactory;
use clap_complete::{Shell, generate};
use clap_mangen::Man;

/// The program's name on a command line.
const NAME: &str = "goodground";

/// Shells that completions are made for.
const SHELLS: [(Shell, &str); 4] = [
    (Shell::Bash, "goodground.bash"),
    (Shell::Fish, "goodground.fish"),
    (Shell::PowerShell, "goodground.ps1"),
    (Shell::Zsh, "_goodground"),
];

/// The files, in folders of their own.
///
/// # Errors
/// When a page cannot be written to memory, which is a bug.
pub fn files() -> std::io::Result<Vec<Output>> {
    let mut program = Arguments::command().name(NAME);
    program.build();
    let mut outputs = Vec::new();
    let mut page = |command: clap::Command, name: String| -> std::io::Result<()> {
        let mut bytes = Vec::new();
        Man::new(command).title(&name).render(&mut bytes)?;
        outputs.push(Output { path: format!("man/{name}.1"), bytes });
        Ok(())
    };
    page(program.clone(), NAME.to_string())?;
    for command in program.get_subcommands().filter(|command| command.get_name() != "help") {
        page(command.clone(), format!("{NAME}-{}", command.get_name()))?;
    }
    for (shell, name) in SHELLS {
        let mut bytes = Vec::new();
        generate(shell, &mut program, NAME, &mut bytes);
        outputs.push(Output { path: format!("completions/{name}"), bytes });
    }
    Ok(outputs)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_command_has_its_page_and_every_shell_its_completions() {
        let files = files().expect("they are written to memory");
        let text = |path: &str| {
            let file = files.iter().find(|file| file.path == path);
            String::from_utf8_lossy(&file.unwrap_or_else(|| panic!("no {path}")).bytes).into_owned()
        };
        for command in Arguments::command().get_subcommands() {
            let name = command.get_name();
            assert!(text(&format!("man/{NAME}-{name}.1")).contains("SYNOPSIS"), "{name}");
            for (_, shell) in SHELLS {
                assert!(text(&format!("completions/{shell}")).contains(name), "{name} in {shell}");
            }
        }
        assert!(text("man/goodground.1").contains(".TH"));
    }
}
