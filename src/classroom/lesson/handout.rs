//! A lesson on paper: its text and figures, and the answers on sheets of their own.

use crate::report::CAUTIONS;
use crate::report::paper::{Align, Block, Cell, Column, Part, Picture, RowHeight, Table, Writing};

use super::{BuiltLesson, LessonFigure, Piece, Question, QuestionKind, Slider, Words};

/// Rows of a slider's table: more would be a book.
const SLIDER_ROWS: usize = 30;
/// Meters side by side in it.
const METERS: usize = 4;

pub(super) fn writing(lesson: &BuiltLesson) -> Writing {
    let mut blocks = vec![Block::Title(lesson.title.clone())];
    blocks.push(Block::Small(format!("For {}, {} minutes", lesson.audience, lesson.minutes)));
    if lesson.is_invented {
        blocks.push(Block::Strong(format!(
            "The circuit of this lesson, {}, is invented: place, equipment and numbers are made up.",
            lesson.circuit
        )));
    }
    if !lesson.goals.is_empty() {
        blocks.push(Block::Subheading("Afterwards you can".into()));
        blocks.push(Block::Items(lesson.goals.clone()));
    }
    blocks.push(Block::Caution {
        head: "Before anyone goes to the equipment".into(),
        sentences: CAUTIONS.map(str::to_owned).to_vec(),
    });
    let mut questions = 0;
    let mut answers = vec![Block::Title("Answers".into())];
    for piece in &lesson.pieces {
        self::piece(piece, &mut blocks);
        if let Piece::Question(question) = piece {
            questions += 1;
            blocks.push(asked(question, questions));
            answers.push(Block::Together(vec![
                Block::Subheading(format!("Question {questions}: {}", question.ask.plain)),
                Block::Strong(question.answer()),
                Block::Paragraph(question.why.plain.clone()),
            ]));
        }
    }
    blocks.push(Block::Heading("Sources".into()));
    let source =
        |source: &super::LessonSource| format!("{} ({})", source.text, source.known.words());
    blocks.push(Block::Items(lesson.sources.iter().map(source).collect()));
    let part = |blocks, head_right: &str| Part {
        head_left: lesson.title.clone(),
        head_right: head_right.to_owned(),
        on_one_sheet: false,
        on_own_leaf: false,
        blocks,
    };
    let mut parts = vec![part(blocks, "handout")];
    if questions > 0 {
        parts.push(part(answers, "answers"));
    }
    Writing {
        title: lesson.title.clone(),
        program: concat!("loopcrest ", env!("CARGO_PKG_VERSION")).to_owned(),
        at: None,
        parts,
    }
}

fn piece(piece: &Piece, blocks: &mut Vec<Block>) {
    let plain = |words: &Words| words.plain.clone();
    match piece {
        Piece::Heading(1, words) => blocks.push(Block::Heading(plain(words))),
        Piece::Heading(_, words) => blocks.push(Block::Subheading(plain(words))),
        Piece::Paragraph(words) => blocks.push(Block::Paragraph(plain(words))),
        Piece::Items(false, items) => {
            blocks.push(Block::Items(items.iter().map(plain).collect()));
        }
        Piece::Items(true, items) => {
            let numbered = items.iter().enumerate();
            blocks.push(Block::Together(
                numbered
                    .map(|(at, words)| Block::Paragraph(format!("{}. {}", at + 1, words.plain)))
                    .collect(),
            ));
        }
        Piece::Key(paragraphs) => {
            for words in paragraphs {
                blocks.push(Block::Strong(plain(words)));
            }
        }
        Piece::Table(head, rows) => {
            blocks.push(Block::Together(vec![Block::Table(table(head, rows))]));
        }
        Piece::Figure(figure) => blocks.push(Block::Figure(picture(figure))),
        Piece::Slider(slider) => blocks.push(Block::Table(settings(slider))),
        Piece::Question(_) => {}
    }
}

pub(super) fn picture(figure: &LessonFigure) -> Picture {
    Picture {
        alternative: format!("{}. {}", figure.title, figure.caption),
        drawing: figure.drawing.clone(),
    }
}

fn table(head: &[Words], rows: &[Vec<Words>]) -> Table {
    let column = |words: &Words| Column { head: words.plain.clone(), align: Align::Start };
    let row = |row: &Vec<Words>| row.iter().map(|words| Cell::Text(words.plain.clone())).collect();
    Table {
        caption: String::new(),
        columns: head.iter().map(column).collect(),
        rows: rows.iter().map(row).collect(),
        height: RowHeight::Text,
    }
}

/// A slider as a table of its settings: one meter with what it shows, several with their errors.
fn settings(slider: &Slider) -> Table {
    let axes = || slider.axes.iter().filter(|axis| axis.settings.len() > 1);
    let mut heads: Vec<(String, Align)> =
        axes().map(|axis| (axis.words.to_owned(), Align::Start)).collect();
    heads.push(("true RMS".into(), Align::End));
    heads.push(("crest factor".into(), Align::End));
    match slider.meters.as_slice() {
        [meter] => {
            heads.push((format!("{meter} shows"), Align::End));
            heads.push(("error".into(), Align::End));
            heads.push(("verdict".into(), Align::Start));
        }
        meters => {
            let columns = meters.iter().take(METERS);
            heads.extend(columns.map(|meter| (format!("{meter}: error, verdict"), Align::Start)));
        }
    }
    // Every so many, so that the ends of every axis are among them where they fit.
    let every = slider.frames.len().div_ceil(SLIDER_ROWS).max(1);
    let row = |at: usize| {
        let frame = &slider.frames[at];
        let set = slider.axes.iter().zip(slider.settings(at));
        let moving = set.filter(|(axis, _)| axis.settings.len() > 1);
        let mut cells: Vec<Cell> = moving.map(|(_, words)| Cell::Text(words.to_owned())).collect();
        cells.push(Cell::Text(frame.circuit[0].clone()));
        cells.push(Cell::Text(frame.circuit[1].clone()));
        match frame.meters.as_slice() {
            [reading] => {
                cells.extend([0, 1, 4].map(|shown| Cell::Text(reading.shown[shown].clone())));
            }
            readings => {
                cells.extend(readings.iter().take(METERS).map(|reading| {
                    Cell::Text(format!("{}, {}", reading.shown[1], reading.shown[4]))
                }))
            }
        }
        cells
    };
    let is_part = every > 1 || slider.meters.len() > METERS;
    let shown = if is_part { " (a part of the settings; all are on the page)" } else { "" };
    Table {
        caption: format!("{}{shown}", slider.title.plain),
        columns: heads.into_iter().map(|(head, align)| Column { head, align }).collect(),
        rows: (0..slider.frames.len()).step_by(every).map(row).collect(),
        height: RowHeight::Text,
    }
}

fn asked(question: &Question, number: usize) -> Block {
    let answer = match &question.kind {
        QuestionKind::Single { choices, .. } | QuestionKind::Several { choices, .. } => {
            Block::Checks(choices.iter().map(|words| words.plain.clone()).collect())
        }
        QuestionKind::Number { unit, .. } => {
            Block::Lines { head: format!("Answer in {unit}"), count: 1 }
        }
    };
    Block::Together(vec![
        Block::Subheading(format!("Question {number}")),
        Block::Paragraph(question.ask.plain.clone()),
        answer,
    ])
}
