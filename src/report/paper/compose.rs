//! From blocks to sheets: what stands where, and where a new sheet begins.

mod caution;
mod facts;
mod form;
mod lanes;
mod tables;
mod together;

pub(super) use caution::lead_words;

use crate::plot::{Figure, drawable};

use super::look::Look;
use super::style::Style;
use super::table_layout::TableLayout;
use super::text_lines::{lines, width_pt};
use super::{Block, Frame, Mark, PaperSize, Part, Sheet, Writing};

const BLACK: f64 = 0.0;
const MUTED: f64 = 0.36;
const RULE: f64 = 0.55;
const SHADE: f64 = 0.92;

/// The sheets of every part, one after the other.
pub(super) fn sheets(writing: &Writing, size: PaperSize) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    for part in &writing.parts {
        sheets.extend(sheets_of(writing, part, size));
        // Printed on both sides, the next part would begin on the back of this one.
        if part.on_own_leaf && sheets.len() % 2 == 1 {
            sheets.push(left_blank(size));
        }
    }
    sheets
}

/// The back of a last sheet.
fn left_blank(size: PaperSize) -> Sheet {
    let (look, frame) = (Style::of(size).running(), size.text_pt());
    let words = "left blank";
    let x_pt = 0.5 * (frame.left_pt + frame.right_pt - width_pt(words, look));
    let mark = text_mark((x_pt, 0.5 * (frame.top_pt + frame.bottom_pt)), words, look);
    Sheet { number: 1, of: 1, marks: vec![mark] }
}

fn sheets_of(writing: &Writing, part: &Part, size: PaperSize) -> Vec<Sheet> {
    let run = |style: Style| Composer::new(writing, part, size, style).run();
    if !part.on_one_sheet {
        return run(Style::of(size));
    }
    // The largest type with the fewest sheets.
    let runs = Style::forms().map(run);
    runs.reduce(|best, smaller| if smaller.len() < best.len() { smaller } else { best })
        .unwrap_or_default()
}

struct Composer<'a> {
    writing: &'a Writing,
    part: &'a Part,
    size: PaperSize,
    style: Style,
    /// Where texts may stand: the sheet inside its margins, or one lane of it.
    lane: Frame,
    sheets: Vec<Sheet>,
    y_pt: f64,
}

/// The running head stands this much above the text.
const HEAD_PT: f64 = 14.0;

impl<'a> Composer<'a> {
    fn new(writing: &'a Writing, part: &'a Part, size: PaperSize, style: Style) -> Self {
        let lane = if part.on_one_sheet { size.form_pt() } else { size.text_pt() };
        let mut composer = Self { writing, part, size, style, lane, sheets: Vec::new(), y_pt: 0.0 };
        composer.begin_sheet();
        composer
    }

    fn run(mut self) -> Vec<Sheet> {
        for (index, block) in self.part.blocks.iter().enumerate() {
            self.block(block, self.part.blocks.get(index + 1));
        }
        let of = self.sheets.len();
        for number in 1..=of {
            self.sheets[number - 1].of = of;
            self.foot(number, of);
        }
        self.sheets
    }

    fn left_pt(&self) -> f64 {
        self.lane.left_pt
    }

    fn right_pt(&self) -> f64 {
        self.lane.right_pt
    }

    fn width_pt(&self) -> f64 {
        self.right_pt() - self.left_pt()
    }

    /// Height of a sheet inside its margins.
    fn sheet_pt(&self) -> f64 {
        self.lane.bottom_pt - self.lane.top_pt
    }

    fn room_pt(&self) -> f64 {
        self.lane.bottom_pt - self.y_pt
    }

    fn is_at_top(&self) -> bool {
        self.y_pt <= self.lane.top_pt
    }

    fn push(&mut self, mark: Mark) {
        self.sheets.last_mut().expect("a sheet is begun before anything is set").marks.push(mark);
    }

    fn begin_sheet(&mut self) {
        let number = self.sheets.len() + 1;
        self.sheets.push(Sheet { number, of: number, marks: Vec::new() });
        self.y_pt = self.lane.top_pt;
        if self.part.on_one_sheet {
            // The title of a form says what it belongs to; what goes on overleaf has to say it again.
            if number == 1 {
                return;
            }
            self.lane.top_pt = self.size.form_pt().top_pt + HEAD_PT;
            self.y_pt = self.lane.top_pt;
        }
        let look = self.style.running();
        let y_pt = self.lane.top_pt - HEAD_PT;
        let right = fitted(&self.part.head_right, look, 0.4 * self.width_pt());
        let right_width_pt = width_pt(&right, look);
        let left = fitted(&self.part.head_left, look, self.width_pt() - right_width_pt - 12.0);
        self.text((self.left_pt(), y_pt), &left, look);
        self.text((self.right_pt() - right_width_pt, y_pt), &right, look);
        self.rule(y_pt + 5.0, 0.6, RULE);
    }

    fn foot(&mut self, number: usize, of: usize) {
        let look = self.style.running();
        let below_pt = if self.part.on_one_sheet { 13.0 } else { 16.0 };
        let y_pt = self.lane.bottom_pt + below_pt;
        let goes_on = self.part.on_one_sheet && number < of;
        let goes_on = if goes_on { ", goes on overleaf" } else { "" };
        let page = format!("page {number} of {of}{goes_on}");
        let page_pt = width_pt(&page, look);
        let program = fitted(&self.writing.program, look, self.width_pt() - page_pt - 12.0);
        let texts = [((self.left_pt(), y_pt), program), ((self.right_pt() - page_pt, y_pt), page)];
        for (at_pt, text) in texts {
            let mark = text_mark(at_pt, &text, look);
            self.sheets[number - 1].marks.push(mark);
        }
    }

    fn text(&mut self, at_pt: (f64, f64), text: &str, look: Look) {
        if !text.is_empty() {
            self.push(text_mark(at_pt, text, look));
        }
    }

    fn rule(&mut self, y_pt: f64, line_pt: f64, grey: f64) {
        let (left, right) = (self.left_pt(), self.right_pt());
        self.line((left, y_pt), (right, y_pt), line_pt, grey);
    }

    fn line(&mut self, from_pt: (f64, f64), to_pt: (f64, f64), width_pt: f64, grey: f64) {
        self.push(Mark::Line { from_pt, to_pt, width_pt, grey });
    }

    /// A new sheet unless so much room is left on this one.
    fn need(&mut self, height_pt: f64) {
        if self.room_pt() < height_pt && !self.is_at_top() {
            self.begin_sheet();
        }
    }

    fn block(&mut self, block: &Block, next: Option<&Block>) {
        let gap_pt = self.style.gap_pt();
        let text = self.style.text();
        match block {
            Block::Title(words) => {
                self.head(words, self.style.title(), 0.0, next);
            }
            Block::Heading(words) => {
                self.head(words, self.style.heading(), 1.6 * gap_pt, next);
                let (y_pt, words) = (self.y_pt, words.clone());
                self.push(Mark::Bookmark { y_pt: y_pt - 2.0 * gap_pt, text: words });
                self.rule(y_pt - 0.35 * gap_pt, 0.5, RULE);
                self.y_pt += 0.35 * gap_pt;
            }
            Block::Subheading(words) => {
                self.head(words, self.style.subheading(), gap_pt, next);
            }
            Block::Paragraph(words) => self.paragraph(words, text, 0.0),
            Block::Strong(words) => self.paragraph(words, text.bold(), 0.0),
            Block::Small(words) => self.paragraph(words, self.style.small(), 0.0),
            Block::Items(items) => self.items(items, text),
            Block::Checks(checks) => self.checks(checks),
            Block::Caution { head, sentences } => self.caution(head, sentences),
            Block::CautionInBrief { head, sentences } => self.caution_in_brief(head, sentences),
            Block::Facts(facts) => self.facts(facts),
            Block::Table(table) => self.table(table),
            Block::Figure(picture) => {
                let height_pt = self.figure_height_pt();
                self.need(height_pt);
                let top_pt = self.y_pt;
                let frame = Frame::new(self.left_pt(), top_pt, self.right_pt(), top_pt + height_pt);
                self.push(Mark::Figure { frame, drawing: picture.drawing.clone() });
                self.y_pt += height_pt + gap_pt;
            }
            Block::Signatures(who) => self.signatures(who),
            Block::Lines { head, count } => self.pencil_lines(head, *count),
            Block::FillIn(blanks) => self.fill_in(blanks),
            Block::Together(blocks) => self.together(blocks),
            Block::Lanes(blocks) => self.lanes(blocks),
        }
    }

    fn figure_height_pt(&self) -> f64 {
        self.width_pt() * Figure::HEIGHT_PX / Figure::WIDTH_PX
    }

    /// The least that has to stand below a head on the same sheet.
    fn lead_pt(&self, next: Option<&Block>) -> f64 {
        let two_lines_pt = 2.0 * self.style.text().pitch_pt();
        match next {
            Some(Block::Figure(_)) => self.figure_height_pt(),
            Some(Block::Together(blocks)) => self.lead_pt(blocks.first()),
            Some(Block::Table(table)) => {
                let layout = TableLayout::new(table, self.style, self.width_pt());
                let first_pt = layout.rows.first().map_or(0.0, |row| layout.height_pt(row));
                layout.look.pitch_pt() + layout.head_height_pt() + first_pt + self.style.gap_pt()
            }
            Some(Block::Lines { .. }) => 2.0 * self.style.pencil_pt(),
            Some(Block::Signatures(who)) => {
                who.len().div_ceil(2) as f64 * (self.style.signature_pt() + two_lines_pt)
            }
            Some(Block::Subheading(_)) => 5.0 * two_lines_pt,
            Some(Block::Caution { .. } | Block::CautionInBrief { .. } | Block::Facts(_)) => {
                2.0 * two_lines_pt
            }
            _ => two_lines_pt,
        }
    }

    fn head(&mut self, words: &str, look: Look, above_pt: f64, next: Option<&Block>) {
        let lines = lines(words, look, self.width_pt());
        let height_pt = lines.len() as f64 * look.pitch_pt();
        let lead_pt = self.lead_pt(next);
        self.need(above_pt + height_pt + lead_pt);
        if !self.is_at_top() {
            self.y_pt += above_pt;
        }
        for line in lines {
            self.set_line(&line, look, self.left_pt());
        }
        self.y_pt += 0.5 * self.style.gap_pt();
    }

    /// One line of text at the present height.
    fn set_line(&mut self, line: &str, look: Look, left_pt: f64) {
        let baseline_pt = self.y_pt + look.above_pt() + 0.1 * look.size_pt;
        self.text((left_pt, baseline_pt), line, look);
        self.y_pt += look.pitch_pt();
    }

    /// A paragraph; at least two of its lines stay together.
    fn paragraph(&mut self, words: &str, look: Look, indent_pt: f64) {
        let lines = lines(words, look, self.width_pt() - indent_pt);
        let count = lines.len();
        for (index, line) in lines.iter().enumerate() {
            let together = if index == 0 && count > 1 || index + 2 == count { 2.0 } else { 1.0 };
            self.need(together * look.pitch_pt());
            self.set_line(line, look, self.left_pt() + indent_pt);
        }
        self.y_pt += 0.7 * self.style.gap_pt();
    }

    fn items(&mut self, items: &[String], look: Look) {
        let indent_pt = 1.2 * look.size_pt;
        for item in items {
            let lines = lines(item, look, self.width_pt() - indent_pt);
            for (index, line) in lines.iter().enumerate() {
                self.need(
                    if index == 0 { lines.len().min(2) as f64 } else { 1.0 } * look.pitch_pt(),
                );
                if index == 0 {
                    let middle_pt = self.y_pt + 0.6 * look.size_pt;
                    let half_pt = 0.14 * look.size_pt;
                    let x_pt = self.left_pt() + 0.4 * look.size_pt;
                    let frame = Frame::new(
                        x_pt - half_pt,
                        middle_pt - half_pt,
                        x_pt + half_pt,
                        middle_pt + half_pt,
                    );
                    self.push(Mark::Area { frame, grey: BLACK });
                }
                self.set_line(line, look, self.left_pt() + indent_pt);
            }
            self.y_pt += 0.3 * self.style.gap_pt();
        }
        self.y_pt += 0.5 * self.style.gap_pt();
    }

    fn outline(&mut self, frame: Frame, width_pt: f64, grey: f64) {
        let Frame { left_pt, top_pt, right_pt, bottom_pt } = frame;
        self.line((left_pt, top_pt), (right_pt, top_pt), width_pt, grey);
        self.line((right_pt, top_pt), (right_pt, bottom_pt), width_pt, grey);
        self.line((right_pt, bottom_pt), (left_pt, bottom_pt), width_pt, grey);
        self.line((left_pt, bottom_pt), (left_pt, top_pt), width_pt, grey);
    }
}

fn text_mark(at_pt: (f64, f64), text: &str, look: Look) -> Mark {
    let grey = if look.is_muted { MUTED } else { BLACK };
    let Look { size_pt, weight, .. } = look;
    Mark::Text { at_pt, text: text.to_owned(), size_pt, weight, grey }
}

/// The text, or its beginning with an ellipsis where it is too wide: for running heads, whose whole
/// text stands elsewhere too.
fn fitted(text: &str, look: Look, room_pt: f64) -> String {
    let text = drawable(text);
    if width_pt(&text, look) <= room_pt {
        return text;
    }
    let mut kept: Vec<char> = text.chars().collect();
    while !kept.is_empty() {
        kept.pop();
        let candidate = format!("{}…", kept.iter().collect::<String>().trim_end());
        if width_pt(&candidate, look) <= room_pt {
            return candidate;
        }
    }
    String::new()
}
