//! Sheets and key as pages.

use crate::report::paper::{Align, Block, Cell, Column, Fact, Part, Table, Writing};
use crate::report::{CAUTIONS, program};

use super::{Answer, ExerciseSet, ExerciseSheet, Problem, SetOrder};

/// Columns of answers side by side on a page.
const ANSWERS_IN_A_ROW: usize = 6;

/// The sheets, each on paper of its own.
#[must_use]
pub fn questions_writing(set: &ExerciseSet) -> Writing {
    Writing {
        title: format!("Exercises {}", set.order().name()),
        program: program(),
        at: None,
        parts: set.sheets().iter().map(|sheet| sheet_part(set, sheet)).collect(),
    }
}

fn identity(set: &ExerciseSet) -> String {
    format!("set {}   code {}", set.order().name(), set.code())
}

fn sheet_part(set: &ExerciseSet, sheet: &ExerciseSheet) -> Part {
    let order = set.order();
    let mut blocks = vec![
        Block::Title(format!("Exercise sheet {}", sheet.number)),
        Block::Strong("Invented: places, equipment and numbers are made up.".into()),
        Block::Facts(vec![
            Fact::blank("Name"),
            Fact::blank("Day"),
            Fact::new("Set", order.name()),
            Fact::new("Code", set.code()),
            Fact::new("Level", order.level.key()),
            Fact::new("Questions", sheet.problems.len().to_string()),
        ]),
        Block::Paragraph(
            "Work with the numbers as they are printed. Write the answer on its line, a number with \
             its unit."
                .into(),
        ),
        Block::Caution {
            head: "Before anyone goes to the regulator".into(),
            sentences: CAUTIONS.map(str::to_owned).to_vec(),
        },
    ];
    for (number, problem) in (1..).zip(&sheet.problems) {
        blocks.push(Block::Together(question(number, problem)));
    }
    Part {
        head_left: format!("Exercise sheet {} of {}", sheet.number, order.class),
        head_right: identity(set),
        on_one_sheet: false,
        on_own_leaf: true,
        blocks,
    }
}

fn question(number: u32, problem: &Problem) -> Vec<Block> {
    let mut blocks = vec![
        Block::Subheading(format!("{number}   {}", problem.kind.title())),
        Block::Small(format!("{} (invented)", problem.site)),
        Block::Paragraph(problem.story.clone()),
    ];
    if !problem.givens.is_empty() {
        let givens = problem.givens.iter();
        blocks.push(Block::Items(
            givens.map(|given| format!("{}: {}", given.name, given.value)).collect(),
        ));
    }
    if let Some(table) = &problem.table {
        let columns =
            table.columns.iter().map(|head| Column { head: head.clone(), align: Align::End });
        let rows = table.rows.iter().map(|row| row.iter().map(Cell::text).collect());
        blocks.push(Block::Table(Table::new(
            table.caption.clone(),
            columns.collect(),
            rows.collect(),
        )));
    }
    blocks.push(Block::Strong(problem.question.clone()));
    let head = match &problem.answer {
        Answer::Choice { options, .. } => {
            let lettered = options.iter().enumerate();
            blocks.push(Block::Items(
                lettered.map(|(at, option)| format!("{}) {option}", Answer::letter(at))).collect(),
            ));
            "Answer: one letter".to_owned()
        }
        Answer::Steps { .. } => "Answer: step numbers, or none".to_owned(),
        Answer::Number { unit, .. } if unit.symbol().is_empty() => "Answer: a number".to_owned(),
        Answer::Number { unit, .. } => format!("Answer in {}", unit.symbol()),
    };
    blocks.push(Block::Lines { head, count: 1 });
    blocks
}

/// The key to every sheet of the set: a table to mark by, then the worked solutions.
#[must_use]
pub fn key_writing(set: &ExerciseSet) -> Writing {
    Writing {
        title: format!("Key to exercises {}", set.order().name()),
        program: program(),
        at: None,
        parts: vec![key_table(set), key_solutions(set)],
    }
}

fn key_table(set: &ExerciseSet) -> Part {
    let order = set.order();
    let mut blocks = vec![
        Block::Title("Key".into()),
        Block::Strong("Not for trainees. Invented: places, equipment and numbers are made up.".into()),
        Block::Facts(vec![
            Fact::new("Set", order.name()),
            Fact::new("Code", set.code()),
            Fact::new("Level", order.level.key()),
            Fact::new("Seed", order.seed.to_string()),
            Fact::new("Sheets", order.class.to_string()),
            Fact::new("Questions on each", order.questions.to_string()),
        ]),
        Block::Paragraph(
            "A sheet belongs to this key when set and code are the same. What counts as right stands \
             with each solution."
                .into(),
        ),
        Block::Paragraph(SetOrder::WITHOUT_REPEATS.into()),
    ];
    let questions: Vec<usize> = (0..order.questions as usize).collect();
    for shown in questions.chunks(ANSWERS_IN_A_ROW) {
        let mut columns = vec![Column::words("sheet")];
        columns.extend(shown.iter().map(|at| Column::words(&(at + 1).to_string())));
        let rows = set.sheets().iter().map(|sheet| {
            let mut row = vec![Cell::Strong(sheet.number.to_string())];
            row.extend(shown.iter().map(|at| Cell::text(sheet.problems[*at].answer.short())));
            row
        });
        blocks.push(Block::Table(Table::new(
            "Answers: a letter for a choice, numbers of steps, or a number with its unit",
            columns,
            rows.collect(),
        )));
    }
    Part {
        head_left: "Key to the exercises".into(),
        head_right: identity(set),
        on_one_sheet: false,
        on_own_leaf: false,
        blocks,
    }
}

fn key_solutions(set: &ExerciseSet) -> Part {
    let mut blocks = vec![Block::Title("Worked solutions".into())];
    for sheet in set.sheets() {
        blocks.push(Block::Heading(format!("Sheet {}", sheet.number)));
        for (number, problem) in (1..).zip(&sheet.problems) {
            let title = format!("{}.{number}   {}", sheet.number, problem.kind.title());
            blocks.push(Block::Together(vec![
                Block::Subheading(title),
                Block::Strong(problem.answer.words()),
                Block::Small(problem.answer.rule()),
                Block::Items(problem.solution.clone()),
            ]));
        }
    }
    blocks.push(Block::Caution {
        head: "Before anyone goes to the regulator".into(),
        sentences: CAUTIONS.map(str::to_owned).to_vec(),
    });
    Part {
        head_left: "Key to the exercises: worked solutions".into(),
        head_right: identity(set),
        on_one_sheet: false,
        on_own_leaf: false,
        blocks,
    }
}
