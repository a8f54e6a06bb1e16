//! A lesson as one HTML file: style, script, figures and frames inside, nothing asked for from outside.

use std::fmt::Write;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

use crate::report::CAUTIONS;
use crate::report::paper::Writing;

use super::words::escaped;
use super::{
    BuiltLesson, LessonFigure, LessonSource, Piece, Question, QuestionKind, Words, slider_page,
};

const STYLE: &str = include_str!("page.css");
const SCRIPT: &str = include_str!("page.js");

pub(super) fn document(lesson: &BuiltLesson) -> String {
    let mut html = String::new();
    head(&mut html, lesson);
    for piece in &lesson.pieces {
        self::piece(&mut html, piece);
    }
    sources(&mut html, &lesson.sources);
    let invented = if lesson.is_invented { ", invented" } else { "" };
    let _ = write!(
        html,
        "</main>\n<footer><p>Circuit: {}{invented}. Every number was computed by {} from a model, not \
         measured; a reading at the equipment outranks it.</p></footer>\n<script>{SCRIPT}</script>\n\
         </body>\n</html>\n",
        escaped(&lesson.circuit),
        concat!("loopcrest ", env!("CARGO_PKG_VERSION")),
    );
    html
}

/// What may be used: this one style and this one script, known by their hashes, and nothing from anywhere.
fn policy() -> String {
    let hash = |text: &str| STANDARD.encode(Sha256::digest(text.as_bytes()));
    format!(
        "default-src 'none'; style-src 'sha256-{}'; script-src 'sha256-{}'; img-src data:; \
         base-uri 'none'; form-action 'none'",
        hash(STYLE),
        hash(SCRIPT)
    )
}

fn head(html: &mut String, lesson: &BuiltLesson) {
    let _ = write!(
        html,
        "<!DOCTYPE html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"{}\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta name=\"color-scheme\" content=\"light dark\">\n<link rel=\"icon\" href=\"data:,\">\n\
         <title>{title}</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<header>\n<h1>{title}</h1>\n\
         <p class=\"muted\">For {}, {} minutes</p>\n",
        Writing::LANGUAGE,
        policy(),
        escaped(&lesson.audience),
        lesson.minutes,
        title = escaped(&lesson.title),
    );
    if !lesson.goals.is_empty() {
        html.push_str("<p>Afterwards you can:</p>\n<ul>\n");
        for goal in &lesson.goals {
            let _ = writeln!(html, "<li>{}</li>", escaped(goal));
        }
        html.push_str("</ul>\n");
    }
    html.push_str(
        "<aside class=\"caution\"><p><strong>Before anyone goes to the equipment</strong></p>\n",
    );
    for caution in CAUTIONS {
        let _ = writeln!(html, "<p>{}</p>", escaped(caution));
    }
    html.push_str("</aside>\n</header>\n<main>\n");
}

fn piece(html: &mut String, piece: &Piece) {
    match piece {
        Piece::Heading(depth, words) => {
            let level = depth + 1;
            let _ = writeln!(html, "<h{level}>{}</h{level}>", words.html);
        }
        Piece::Paragraph(words) => {
            let _ = writeln!(html, "<p>{}</p>", words.html);
        }
        Piece::Items(is_numbered, items) => {
            let tag = if *is_numbered { "ol" } else { "ul" };
            let _ = writeln!(html, "<{tag}>");
            for item in items {
                let _ = writeln!(html, "<li>{}</li>", item.html);
            }
            let _ = writeln!(html, "</{tag}>");
        }
        Piece::Key(paragraphs) => {
            html.push_str("<blockquote class=\"key\">\n");
            for words in paragraphs {
                let _ = writeln!(html, "<p>{}</p>", words.html);
            }
            html.push_str("</blockquote>\n");
        }
        Piece::Table(head, rows) => table(html, head, rows),
        Piece::Figure(figure) => self::figure(html, figure),
        Piece::Slider(slider) => slider_page::slider(html, slider),
        Piece::Question(question) => self::question(html, question),
    }
}

/// Columns of a table that may not fit on a phone.
const WIDE_COLUMNS: usize = 4;

fn table(html: &mut String, head: &[Words], rows: &[Vec<Words>]) {
    html.push_str("<div class=\"wide\" tabindex=\"0\"><table>\n<thead><tr>");
    for words in head {
        let _ = write!(html, "<th scope=\"col\">{}</th>", words.html);
    }
    html.push_str("</tr></thead>\n<tbody>\n");
    for row in rows {
        html.push_str("<tr>");
        for words in row {
            let _ = write!(html, "<td>{}</td>", words.html);
        }
        html.push_str("</tr>\n");
    }
    html.push_str("</tbody></table></div>\n");
    if head.len() >= WIDE_COLUMNS {
        html.push_str(
            "<p class=\"muted hint\">The table may be wider than the screen: move it sideways.</p>\n",
        );
    }
}

/// The picture carries its own title and description.
fn figure(html: &mut String, figure: &LessonFigure) {
    let _ = writeln!(
        html,
        "<figure id=\"figure-{}\"><div class=\"wide plot\" tabindex=\"0\" role=\"group\" \
         aria-label=\"{}\"><div class=\"by-day\">{}</div><div class=\"by-night\">{}</div></div><p class=\"muted hint\">The figure is wider than the screen: move it \
         sideways.</p></figure>",
        escaped(&figure.name),
        escaped(&figure.title),
        figure.drawing.svg(),
        figure.dark.svg()
    );
}

fn question(html: &mut String, question: &Question) {
    let name = escaped(&question.name);
    let (data, input) = match &question.kind {
        QuestionKind::Single { right, .. } => {
            (format!("data-question=\"choice\" data-right=\"{right}\""), "radio")
        }
        QuestionKind::Several { right, .. } => {
            let mut right = right.clone();
            right.sort_unstable();
            let right: Vec<String> = right.iter().map(usize::to_string).collect();
            (format!("data-question=\"choice\" data-right=\"{}\"", right.join(",")), "checkbox")
        }
        QuestionKind::Number { answer, tolerance, .. } => (
            format!(
                "data-question=\"number\" data-answer=\"{answer:.9}\" data-tolerance=\"{tolerance:.9}\""
            ),
            "text",
        ),
    };
    let _ = writeln!(
        html,
        "<fieldset id=\"question-{name}\" {data}><legend>{}</legend>",
        question.ask.html
    );
    match &question.kind {
        QuestionKind::Single { choices, .. } | QuestionKind::Several { choices, .. } => {
            for (at, choice) in choices.iter().enumerate() {
                let _ = writeln!(
                    html,
                    "<label><input type=\"{input}\" name=\"question-{name}\" value=\"{at}\"> <span>{}</span></label>",
                    choice.html
                );
            }
        }
        QuestionKind::Number { unit, .. } => {
            let unit = escaped(unit);
            let _ = writeln!(
                html,
                "<label>Your answer <input type=\"text\" inputmode=\"decimal\" autocomplete=\"off\"> \
                 {unit}</label>"
            );
        }
    }
    let _ = writeln!(
        html,
        "<p class=\"check\" data-live hidden><button type=\"button\">Check</button> \
         <output aria-live=\"polite\"></output></p>\n<details><summary>Answer</summary><p><strong>{}</strong> \
         {}</p></details></fieldset>",
        escaped(&question.answer()),
        question.why.html
    );
}

fn sources(html: &mut String, sources: &[LessonSource]) {
    if sources.is_empty() {
        return;
    }
    html.push_str("<h2>Sources</h2>\n<ul>\n");
    for source in sources {
        let _ = writeln!(
            html,
            "<li>{} <span class=\"muted\">({})</span></li>",
            escaped(&source.text),
            source.known.words()
        );
    }
    html.push_str("</ul>\n");
}
