//! A lesson as slides: of every section what an instructor points at.

use crate::report::CAUTIONS;
use crate::report::paper::{Deck, Slide, SlideLine};

use super::handout::picture;
use super::{BuiltLesson, Piece, Question, QuestionKind, Slider};

pub(super) fn deck(lesson: &BuiltLesson) -> Deck {
    let mut slides = vec![first(lesson), cautions()];
    let (intro, sections) = sections(&lesson.pieces);
    for (head, pieces) in
        intro.map(|pieces| (lesson.title.clone(), pieces)).into_iter().chain(sections)
    {
        section(&head, pieces, &mut slides);
    }
    if !lesson.sources.is_empty() {
        let source = |source: &super::LessonSource| {
            SlideLine::Item(format!("{} ({})", source.text, source.known.words()))
        };
        slides.push(Slide {
            head: "Sources".into(),
            lines: lesson.sources.iter().map(source).collect(),
            picture: None,
        });
    }
    Deck {
        title: lesson.title.clone(),
        program: concat!("loopcrest ", env!("CARGO_PKG_VERSION")).to_owned(),
        slides,
    }
}

fn first(lesson: &BuiltLesson) -> Slide {
    let mut lines =
        vec![SlideLine::Text(format!("For {}, {} minutes", lesson.audience, lesson.minutes))];
    lines.extend(lesson.goals.iter().cloned().map(SlideLine::Item));
    if lesson.is_invented {
        lines.push(SlideLine::Text(format!("The circuit, {}, is invented.", lesson.circuit)));
    }
    Slide { head: lesson.title.clone(), lines, picture: None }
}

fn cautions() -> Slide {
    let lines = CAUTIONS.iter().map(|caution| SlideLine::Item((*caution).to_owned()));
    Slide {
        head: "Before anyone goes to the equipment".into(),
        lines: lines.collect(),
        picture: None,
    }
}

type Section<'a> = (String, &'a [Piece]);

/// What stands before the first heading, and every section under its own.
fn sections(pieces: &[Piece]) -> (Option<&[Piece]>, Vec<Section<'_>>) {
    let heads: Vec<usize> =
        (0..pieces.len()).filter(|at| matches!(pieces[*at], Piece::Heading(..))).collect();
    let before = &pieces[..heads.first().copied().unwrap_or(pieces.len())];
    let ends = heads.iter().skip(1).copied().chain([pieces.len()]);
    let sections = heads.iter().zip(ends).filter_map(|(at, end)| match &pieces[*at] {
        Piece::Heading(_, words) => Some((words.plain.clone(), &pieces[at + 1..end])),
        _ => None,
    });
    ((!before.is_empty()).then_some(before), sections.collect())
}

fn section(head: &str, pieces: &[Piece], slides: &mut Vec<Slide>) {
    let has_points = pieces
        .iter()
        .any(|piece| matches!(piece, Piece::Items(..) | Piece::Key(_) | Piece::Table(..)));
    let mut lines = Vec::new();
    let push = |lines: &mut Vec<SlideLine>, slides: &mut Vec<Slide>| {
        if !lines.is_empty() {
            let lines = std::mem::take(lines);
            slides.push(Slide { head: head.to_owned(), lines, picture: None });
        }
    };
    let mut pieces = pieces.iter().peekable();
    while let Some(piece) = pieces.next() {
        match piece {
            Piece::Heading(..) => {}
            Piece::Paragraph(words) if !has_points => {
                lines.push(SlideLine::Text(words.plain.clone()));
            }
            Piece::Paragraph(_) => {}
            Piece::Items(is_numbered, items) => {
                for (at, words) in items.iter().enumerate() {
                    lines.push(if *is_numbered {
                        SlideLine::Text(format!("{}. {}", at + 1, words.plain))
                    } else {
                        SlideLine::Item(words.plain.clone())
                    });
                }
            }
            Piece::Key(paragraphs) => {
                lines.extend(paragraphs.iter().map(|words| SlideLine::Strong(words.plain.clone())));
            }
            Piece::Table(head, rows) => {
                for row in rows {
                    let pairs = head.iter().zip(row).skip(1);
                    let pairs: Vec<String> = pairs
                        .map(|(head, cell)| format!("{} {}", head.plain, cell.plain))
                        .collect();
                    let name = row.first().map_or("", |words| words.plain.as_str());
                    lines.push(SlideLine::Item(format!("{name}: {}", pairs.join(", "))));
                }
            }
            Piece::Figure(figure) => {
                push(&mut lines, slides);
                // What must stay in mind stands with the figure it follows.
                let key = match pieces.peek() {
                    Some(Piece::Key(paragraphs)) => paragraphs
                        .iter()
                        .map(|words| SlideLine::Strong(words.plain.clone()))
                        .collect(),
                    _ => Vec::new(),
                };
                if !key.is_empty() {
                    pieces.next();
                }
                slides.push(Slide {
                    head: head.to_owned(),
                    lines: key,
                    picture: Some(picture(figure)),
                });
            }
            Piece::Slider(slider) => {
                push(&mut lines, slides);
                slides.push(settings(slider));
            }
            Piece::Question(question) => {
                push(&mut lines, slides);
                slides.push(asked(question));
            }
        }
    }
    push(&mut lines, slides);
}

/// A slider stands still on a slide: its first meter at the ends of every axis.
fn settings(slider: &Slider) -> Slide {
    let is_end = |frame: usize| {
        slider.axes.iter().zip(slider.settings(frame)).all(|(axis, words)| {
            let ends = [axis.settings.first(), axis.settings.last()];
            ends.into_iter().flatten().any(|end| end == words)
        })
    };
    let line = |at: usize| {
        let frame = &slider.frames[at];
        let axes = slider.axes.iter().zip(slider.settings(at));
        let words: Vec<String> = axes
            .filter(|(axis, _)| axis.settings.len() > 1)
            .map(|(axis, words)| match axis.key {
                "step" => format!("step {words}"),
                "lamps-out" => format!("{words} of lamps out"),
                _ => format!("load {words}"),
            })
            .collect();
        let shown = frame.meters.first().map_or_else(String::new, |reading| {
            format!(": shows {} ({}), {}", reading.shown[0], reading.shown[1], reading.shown[4])
        });
        SlideLine::Item(format!("{}{shown}", words.join(", ")))
    };
    let mut lines: Vec<SlideLine> = Vec::new();
    if let Some(meter) = slider.meters.first() {
        lines.push(SlideLine::Text(format!("{meter}; the page of this lesson moves through all")));
    }
    lines.extend((0..slider.frames.len()).filter(|at| is_end(*at)).map(line));
    Slide { head: slider.title.plain.clone(), lines, picture: None }
}

fn asked(question: &Question) -> Slide {
    let mut lines = vec![SlideLine::Strong(question.ask.plain.clone())];
    match &question.kind {
        QuestionKind::Single { choices, .. } | QuestionKind::Several { choices, .. } => {
            lines.extend(choices.iter().map(|words| SlideLine::Item(words.plain.clone())));
        }
        QuestionKind::Number { unit, .. } => {
            lines.push(SlideLine::Text(format!("Answer in {unit}.")));
        }
    }
    Slide { head: "Question".into(), lines, picture: None }
}
