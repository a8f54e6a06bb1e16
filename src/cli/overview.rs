//! The commands by what someone wants to do, in the help.

use std::fmt::Write;

use clap::{Command, CommandFactory};

use super::args::Arguments;

/// Tasks with their commands. A command named nowhere here stands under the last.
const TASKS: [(&str, &[&str]); 7] = [
    (
        "May I set this regulator with this meter?",
        &["judge", "fitness", "budget", "reading", "compare", "requirement", "meters", "steps"],
    ),
    (
        "Calibrate, and keep the record",
        &["worksheet", "calibrate", "protection", "logbook", "consequences"],
    ),
    ("What is on this recording?", &["capture", "record", "captures", "fit"]),
    (
        "What will this regulator do on this load?",
        &[
            "operate",
            "situation",
            "loads",
            "field",
            "lamps-out",
            "transient",
            "follow",
            "contrast",
            "estimate",
            "sweep",
        ],
    ),
    ("Learn and teach", &["shape", "demo", "training", "lesson", "exercises", "teach-data"]),
    ("Begin, and work with other programs", &["page", "starter", "schema", "completions"]),
    ("More", &["help"]),
];

/// The arguments with the commands grouped in their help.
pub(super) fn command() -> Command {
    let command = Arguments::command();
    let listing = listing(&command);
    command.help_template(format!(
        "{{about-with-newline}}\n{{usage-heading}} {{usage}}\n\n{listing}\nOptions:\n{{options}}{{after-help}}"
    ))
}

fn listing(command: &Command) -> String {
    let about = |name: &str| match name {
        "help" => Some("Print this message or the help of a command".to_owned()),
        _ => Some(command.find_subcommand(name)?.get_about()?.to_string()),
    };
    let names: Vec<&str> = command.get_subcommands().map(Command::get_name).collect();
    let is_grouped = |name: &&str| TASKS.iter().any(|(_, of_task)| of_task.contains(name));
    let others: Vec<&str> = names.iter().copied().filter(|name| !is_grouped(name)).collect();
    let width = names.iter().map(|name| name.len()).max().unwrap_or(0);
    let mut text = String::from("Commands:\n");
    for (place, (task, of_task)) in (1..).zip(TASKS) {
        let more: &[&str] = if place == TASKS.len() { &others } else { &[] };
        let known: Vec<(&str, String)> =
            of_task.iter().chain(more).filter_map(|name| Some((*name, about(name)?))).collect();
        if known.is_empty() {
            continue;
        }
        let _ = writeln!(text, "  {task}");
        for (name, about) in known {
            let _ = writeln!(text, "    {name:<width$}  {about}");
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whoever adds a command finds a task for it: under "More" stands nothing but the help.
    #[test]
    fn law_every_command_is_listed_once() {
        let command = command();
        let listing = listing(&command);
        for name in command.get_subcommands().map(Command::get_name) {
            let lines = listing.lines().filter(|line| {
                line.strip_prefix("    ").is_some_and(|line| line.split(' ').next() == Some(name))
            });
            assert_eq!(lines.count(), 1, "{name}\n{listing}");
        }
    }
}
