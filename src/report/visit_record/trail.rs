//! What was entered, by whom and when, and where it is kept, as parts of a record's pages.

use crate::report::paper::{Block, Cell, Column, Fact, Table};

use super::VisitRecordDocument;

pub(super) fn corrections(record: &VisitRecordDocument) -> Vec<Block> {
    let mut blocks = vec![Block::Heading("Corrections".into())];
    if record.corrections.is_empty() {
        blocks.push(Block::Paragraph("No entry of this visit was replaced.".into()));
        return blocks;
    }
    let rows = record.corrections.iter().map(|part| {
        vec![
            Cell::text(part.replaced.to_string()),
            Cell::text(part.was.clone()),
            Cell::text(part.entry.to_string()),
            Cell::text(part.is.clone()),
            Cell::text(format!("{}, {}", part.by, minutes(&part.at))),
        ]
    });
    blocks.push(Block::Table(Table::new(
        "Entries that were replaced; both stay in the logbook",
        vec![
            Column::words("entry"),
            Column::words("said"),
            Column::words("replaced by"),
            Column::words("which says"),
            Column::words("by whom, when"),
        ],
        rows.collect(),
    )));
    blocks
}

pub(super) fn answers(record: &VisitRecordDocument) -> Vec<Block> {
    let mut blocks = vec![Block::Heading("The procedure, as answered".into())];
    let rows = record.answers.iter().flat_map(|answer| {
        let said = if answer.left_as_is {
            Cell::Strong(answer.text.clone().unwrap_or_else(|| "no reason given".into()))
        } else {
            said(answer.holds, answer.text.as_deref())
        };
        let who = answer.by.as_ref().zip(answer.at.as_ref());
        let mut rows: Vec<Vec<Cell>> = answer
            .before
            .iter()
            .map(|before| {
                vec![
                    Cell::text(answer.question.clone()),
                    self::said(
                        before.holds,
                        before.text.as_deref().filter(|text| !text.is_empty()),
                    ),
                    Cell::text(format!("{}, {}", before.by, minutes(&before.at))),
                ]
            })
            .collect();
        rows.push(vec![
            Cell::text(answer.question.clone()),
            said,
            Cell::known(who.map(|(by, at)| format!("{by}, {}", minutes(at))), "-"),
        ]);
        rows
    });
    blocks.push(Block::Table(Table::new(
        record.procedure.clone(),
        vec![Column::words("asked"), Column::words("answered"), Column::words("by whom, when")],
        rows.collect(),
    )));
    blocks
}

/// An answer as it is told; a "no" stands out.
fn said(holds: Option<bool>, text: Option<&str>) -> Cell {
    match (holds, text) {
        (Some(true), None) => Cell::text("yes"),
        (Some(true), Some(text)) => Cell::text(format!("yes: {text}")),
        (Some(false), None) => Cell::Strong("NO".into()),
        (Some(false), Some(text)) => Cell::Strong(format!("NO: {text}")),
        (None, Some(text)) => Cell::text(text),
        (None, None) => Cell::Absent("not answered".into()),
    }
}

pub(super) fn chain(record: &VisitRecordDocument) -> Vec<Block> {
    let head = record.head_entry.zip(record.head_hash.as_ref());
    vec![
        Block::Heading("Where this comes from".into()),
        Block::Facts(vec![
            Fact::new("Entries", format!("{} to {}", record.first_entry, record.last_entry)),
            Fact::new("Last written", minutes(&record.last_at)),
            Fact::new("Hash of the last", record.last_hash.clone()),
            Fact::known(
                "Head of the logbook",
                head.map(|(number, hash)| format!("entry {number}, {hash}")),
                "not known",
            ),
            Fact::new("Written by", record.program.clone()),
        ]),
        Block::Heading("Signatures".into()),
        Block::Signatures(vec![
            format!("{}: name, signature, day", record.person),
            "Second person: name, signature, day".into(),
            "Checked by: name, signature, day".into(),
            "Released to operations: name, signature, day".into(),
        ]),
    ]
}

/// A moment to the minute.
pub(super) fn minutes(at: &str) -> String {
    let day_and_time = at.get(..16).unwrap_or(at);
    format!("{} UTC", day_and_time.replace('T', " "))
}
