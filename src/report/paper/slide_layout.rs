//! From slides to sheets: the largest type that fits, and another slide where none does.

use crate::plot::{Figure, Weight};

use super::look::Look;
use super::text_lines::lines;
use super::{Deck, Frame, Mark, Sheet, Slide, SlideLine};

const MARGIN_PT: f64 = 44.0;
const HEAD_PT: f64 = 30.0;
/// Type of the text, from what is wanted down to what the last row can still read.
const TEXT_PT: [f64; 5] = [26.0, 24.0, 22.0, 20.0, 18.0];
/// Type of what stands with a figure, and the most room it gets there.
const KEY_PT: f64 = 20.0;
const KEY_ROOM_PT: f64 = 64.0;
const FOOT_PT: f64 = 11.0;
const BLACK: f64 = 0.0;
const MUTED: f64 = 0.36;

/// One line as it is set: its text, its type, how far it is moved in, whether a square stands before it.
struct Set {
    text: String,
    look: Look,
    indent_pt: f64,
    begins_item: bool,
    gap_pt: f64,
}

pub(super) fn sheets(deck: &Deck) -> Vec<Sheet> {
    let mut sheets: Vec<Sheet> = Vec::new();
    for slide in &deck.slides {
        self::slide(slide, &mut sheets);
    }
    let of = sheets.len();
    for (index, sheet) in sheets.iter_mut().enumerate() {
        let (number, y_pt) = (index + 1, Deck::HEIGHT_PT - 18.0);
        (sheet.number, sheet.of) = (number, of);
        let look = Look { size_pt: FOOT_PT, weight: Weight::Regular, is_muted: true };
        let page = format!("{number} / {of}");
        let right_pt = Deck::WIDTH_PT - MARGIN_PT - super::text_lines::width_pt(&page, look);
        sheet.marks.push(mark((MARGIN_PT, y_pt), &deck.program, look));
        sheet.marks.push(mark((right_pt, y_pt), &page, look));
    }
    sheets
}

fn slide(slide: &Slide, sheets: &mut Vec<Sheet>) {
    let bottom_pt = Deck::HEIGHT_PT - 36.0;
    let (mut marks, mut y_pt) = head(&slide.head, "");
    let room_pt = bottom_pt - y_pt;
    if let Some(picture) = &slide.picture {
        let key = set(&slide.lines, KEY_PT);
        if height_pt(&key) <= KEY_ROOM_PT {
            y_pt = self::lines_at(&key, y_pt, &mut marks);
            y_pt += if key.is_empty() { 0.0 } else { 8.0 };
        } else {
            let text = Slide { picture: None, ..slide.clone() };
            self::slide(&text, sheets);
        }
        let room_pt = bottom_pt - y_pt;
        let ratio = Figure::HEIGHT_PX / Figure::WIDTH_PX;
        let width_pt = (room_pt / ratio).min(Deck::WIDTH_PT - 2.0 * MARGIN_PT);
        let left_pt = 0.5 * (Deck::WIDTH_PT - width_pt);
        let frame = Frame::new(left_pt, y_pt, left_pt + width_pt, ratio.mul_add(width_pt, y_pt));
        marks.push(Mark::Figure { frame, drawing: picture.drawing.clone() });
        sheets.push(Sheet { number: 0, of: 0, marks });
        return;
    }
    let fitting = TEXT_PT
        .into_iter()
        .map(|size_pt| set(&slide.lines, size_pt))
        .find(|set| height_pt(set) <= room_pt);
    let smallest = TEXT_PT[TEXT_PT.len() - 1];
    let all = fitting.unwrap_or_else(|| set(&slide.lines, smallest));
    let top_pt = y_pt;
    for line in &all {
        let height_pt = line.gap_pt + line.look.pitch_pt();
        if y_pt + height_pt > bottom_pt + 0.01 && y_pt > top_pt {
            sheets.push(Sheet { number: 0, of: 0, marks: std::mem::take(&mut marks) });
            (marks, y_pt) = head(&slide.head, ", continued");
        }
        y_pt = lines_at(std::slice::from_ref(line), y_pt, &mut marks);
    }
    sheets.push(Sheet { number: 0, of: 0, marks });
}

/// Lines set from a height downwards; where what follows begins.
fn lines_at(set: &[Set], mut y_pt: f64, marks: &mut Vec<Mark>) -> f64 {
    for line in set {
        y_pt += line.gap_pt;
        let size_pt = line.look.size_pt;
        let baseline_pt = y_pt + line.look.above_pt() + 0.1 * size_pt;
        if line.begins_item {
            let half_pt = 0.14 * size_pt;
            let (x_pt, middle_pt) = (MARGIN_PT + 0.35 * size_pt, baseline_pt - 0.3 * size_pt);
            let (left_pt, top_pt) = (x_pt - half_pt, middle_pt - half_pt);
            let frame = Frame::new(left_pt, top_pt, x_pt + half_pt, middle_pt + half_pt);
            marks.push(Mark::Area { frame, grey: BLACK });
        }
        marks.push(mark((MARGIN_PT + line.indent_pt, baseline_pt), &line.text, line.look));
        y_pt += line.look.pitch_pt();
    }
    y_pt
}

/// The head with a rule below, and where what follows begins.
fn head(words: &str, more: &str) -> (Vec<Mark>, f64) {
    let look = Look { size_pt: HEAD_PT, weight: Weight::Bold, is_muted: false };
    let mut marks = Vec::new();
    let mut y_pt = 26.0;
    for line in lines(&format!("{words}{more}"), look, Deck::WIDTH_PT - 2.0 * MARGIN_PT) {
        marks.push(mark((MARGIN_PT, y_pt + look.above_pt()), &line, look));
        y_pt += look.pitch_pt();
    }
    marks.push(Mark::Bookmark { y_pt: 0.0, text: format!("{words}{more}") });
    marks.push(Mark::Line {
        from_pt: (MARGIN_PT, y_pt),
        to_pt: (Deck::WIDTH_PT - MARGIN_PT, y_pt),
        width_pt: 1.0,
        grey: MUTED,
    });
    (marks, y_pt + 12.0)
}

fn set(all: &[SlideLine], size_pt: f64) -> Vec<Set> {
    let mut set = Vec::new();
    let plain = Look { size_pt, weight: Weight::Regular, is_muted: false };
    for line in all {
        let (text, look, indent_pt) = match line {
            SlideLine::Text(text) => (text, plain, 0.0),
            SlideLine::Strong(text) => (text, plain.bold(), 0.0),
            SlideLine::Item(text) => (text, plain, 1.1 * size_pt),
        };
        let width_pt = Deck::WIDTH_PT - 2.0 * MARGIN_PT - indent_pt;
        for (at, text) in lines(text, look, width_pt).into_iter().enumerate() {
            set.push(Set {
                text,
                look,
                indent_pt,
                begins_item: at == 0 && indent_pt > 0.0,
                gap_pt: if at == 0 { 0.45 * size_pt } else { 0.0 },
            });
        }
    }
    set
}

fn height_pt(set: &[Set]) -> f64 {
    set.iter().map(|line| line.gap_pt + line.look.pitch_pt()).sum()
}

fn mark(at_pt: (f64, f64), text: &str, look: Look) -> Mark {
    let grey = if look.is_muted { MUTED } else { BLACK };
    let Look { size_pt, weight, .. } = look;
    Mark::Text { at_pt, text: text.to_owned(), size_pt, weight, grey }
}
