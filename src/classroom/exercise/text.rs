//! Sheets, keys and marks as plain text.

use std::fmt::Write;

use crate::report::{CAUTIONS, ExerciseMarksDocument};

use super::{Answer, ExerciseSet, ExerciseSheet, Problem, SetOrder};

const WIDTH: usize = 80;

/// Every sheet as text for a terminal, 80 columns wide.
#[must_use]
pub fn questions_text(set: &ExerciseSet) -> String {
    let mut text = String::new();
    for sheet in set.sheets() {
        head(&mut text, set, sheet, "Exercise sheet");
        for (number, problem) in (1..).zip(&sheet.problems) {
            question(&mut text, number, problem);
        }
        text += "\nBefore anyone goes to the regulator\n";
        CAUTIONS.iter().for_each(|caution| text += &folded(caution, "  "));
        text.push('\n');
    }
    text += &folded(SetOrder::WITHOUT_REPEATS, "");
    text
}

fn head(text: &mut String, set: &ExerciseSet, sheet: &ExerciseSheet, what: &str) {
    let order = set.order();
    let _ = writeln!(
        text,
        "{what} {} of {}   set {}   code {}",
        sheet.number,
        order.class,
        order.name(),
        set.code()
    );
    *text += "Invented: places, equipment and numbers are made up.\n";
}

fn question(text: &mut String, number: u32, problem: &Problem) {
    let _ = writeln!(text, "\n{number}  {}", problem.kind.title());
    *text += &folded(&format!("{} (invented)", problem.site), "   ");
    *text += &folded(&problem.story, "   ");
    let widest = problem.givens.iter().map(|given| given.name.chars().count()).max().unwrap_or(0);
    for given in &problem.givens {
        let _ = writeln!(text, "     {:<widest$}  {}", given.name, given.value);
    }
    if let Some(table) = &problem.table {
        *text += &folded(&table.caption, "     ");
        let mut lines = vec![table.columns.clone()];
        lines.extend(table.rows.iter().cloned());
        let widths: Vec<usize> = (0..table.columns.len())
            .map(|column| lines.iter().map(|row| row[column].chars().count()).max().unwrap_or(0))
            .collect();
        for row in &lines {
            let cells: Vec<String> =
                row.iter().zip(&widths).map(|(cell, width)| format!("{cell:>width$}")).collect();
            let _ = writeln!(text, "     {}", cells.join("  "));
        }
    }
    *text += &folded(&problem.question, "   ");
    if let Answer::Choice { options, .. } = &problem.answer {
        for (place, option) in options.iter().enumerate() {
            *text += &folded(&format!("{}) {option}", Answer::letter(place)), "     ");
        }
    }
}

/// The key as text: every answer with its worked solution.
#[must_use]
pub fn key_text(set: &ExerciseSet) -> String {
    let mut text = String::new();
    for sheet in set.sheets() {
        head(&mut text, set, sheet, "Key to sheet");
        for (number, problem) in (1..).zip(&sheet.problems) {
            let answer = problem.answer.words();
            let _ = writeln!(text, "\n{number}  {}", problem.kind.title());
            text += &folded(&format!("{answer}   ({})", problem.answer.rule()), "   ");
            problem.solution.iter().for_each(|line| text += &folded(line, "     "));
        }
        text.push('\n');
    }
    text
}

/// A table of answers to fill in.
#[must_use]
pub fn answers_template(set: &ExerciseSet) -> String {
    let mut text = format!(
        "# set: {}\n# code: {}\n# an answer left empty is \"not answered\"; a decimal comma is \
         understood\nsheet;question;answer\n",
        set.order().name(),
        set.code()
    );
    for sheet in set.sheets() {
        for number in 1..=sheet.problems.len() {
            let _ = writeln!(text, "{};{number};", sheet.number);
        }
    }
    text
}

/// The marks as text.
#[must_use]
pub fn marks_text(marks: &ExerciseMarksDocument) -> String {
    let mut text = format!("Set {}   code {}\n", marks.set, marks.code);
    for sheet in &marks.sheets {
        let _ = writeln!(
            text,
            "\nSheet {}: {} right, {} wrong, {} not answered{}",
            sheet.sheet,
            sheet.right,
            sheet.wrong,
            sheet.not_answered,
            to_look_at(sheet.unreadable)
        );
        for mark in &sheet.marks {
            let word = match mark.mark {
                "right" => "right",
                "wrong" => "WRONG",
                "unreadable" => "LOOK",
                _ => "-",
            };
            let given = mark.given.as_ref().map_or(String::new(), |given| format!("\"{given}\": "));
            let line = format!("{:>2}  {word:<5}  {given}{}", mark.question, mark.reason);
            text += &folded_hanging(&line, "  ", "             ");
        }
    }
    let _ = writeln!(
        text,
        "\nTogether: {} right, {} wrong, {} not answered{}",
        marks.right,
        marks.wrong,
        marks.not_answered,
        to_look_at(marks.unreadable)
    );
    text
}

/// How many answers nobody but a person can read, where there are any.
fn to_look_at(unreadable: usize) -> String {
    if unreadable == 0 { String::new() } else { format!(", {unreadable} to be looked at") }
}

/// Text folded at the width of a terminal, each line indented.
fn folded(text: &str, indent: &str) -> String {
    folded_hanging(text, indent, indent)
}

fn folded_hanging(text: &str, first: &str, others: &str) -> String {
    let mut lines: Vec<String> = vec![first.to_owned()];
    let mut is_begun = false;
    for word in text.split(' ') {
        let last = lines.last_mut().expect("there is always a line");
        let gap = usize::from(is_begun);
        if is_begun && last.chars().count() + gap + word.chars().count() > WIDTH {
            lines.push(format!("{others}{word}"));
        } else {
            if is_begun {
                last.push(' ');
            }
            last.push_str(word);
        }
        is_begun = true;
    }
    lines.iter().map(|line| format!("{}\n", line.trim_end())).collect()
}
