//! From blocks to sheets: what stands where, and where a new sheet begins.

use crate::plot::{Figure, drawable};

use super::look::Look;
use super::style::Style;
use super::table_layout::{PAD_PT, TableLayout, cell_look};
use super::text_lines::{lines, width_pt};
use super::{Align, Block, Cell, Fact, Frame, Mark, PaperSize, Part, Sheet, Table, Writing};

const BLACK: f64 = 0.0;
const MUTED: f64 = 0.36;
const RULE: f64 = 0.55;
const SHADE: f64 = 0.92;

/// The sheets of every part, one after the other.
pub(super) fn sheets(writing: &Writing, size: PaperSize) -> Vec<Sheet> {
    writing.parts.iter().flat_map(|part| sheets_of(writing, part, size)).collect()
}

/// Type this much smaller is tried for a part that should take few sheets.
const SHRUNK: [f64; 5] = [1.0, 0.96, 0.92, 0.88, 0.85];

fn sheets_of(writing: &Writing, part: &Part, size: PaperSize) -> Vec<Sheet> {
    let run = |ratio: f64| Composer::new(writing, part, size, Style::of(size).shrunk(ratio)).run();
    if !part.on_one_sheet {
        return run(1.0);
    }
    // The largest type with the fewest sheets.
    let runs = SHRUNK.into_iter().map(run);
    runs.reduce(|best, smaller| if smaller.len() < best.len() { smaller } else { best })
        .unwrap_or_default()
}

struct Composer<'a> {
    writing: &'a Writing,
    part: &'a Part,
    size: PaperSize,
    style: Style,
    sheets: Vec<Sheet>,
    y_pt: f64,
}

impl<'a> Composer<'a> {
    fn new(writing: &'a Writing, part: &'a Part, size: PaperSize, style: Style) -> Self {
        let mut composer = Self { writing, part, size, style, sheets: Vec::new(), y_pt: 0.0 };
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
        self.size.left_pt()
    }

    fn width_pt(&self) -> f64 {
        self.size.text_width_pt()
    }

    fn right_pt(&self) -> f64 {
        self.left_pt() + self.width_pt()
    }

    fn room_pt(&self) -> f64 {
        self.size.bottom_pt() - self.y_pt
    }

    fn is_at_top(&self) -> bool {
        self.y_pt <= self.size.top_pt()
    }

    fn push(&mut self, mark: Mark) {
        self.sheets.last_mut().expect("a sheet is begun before anything is set").marks.push(mark);
    }

    fn begin_sheet(&mut self) {
        let number = self.sheets.len() + 1;
        self.sheets.push(Sheet { number, of: number, marks: Vec::new() });
        self.y_pt = self.size.top_pt();
        let look = self.style.running();
        let y_pt = self.size.top_pt() - 14.0;
        let right = fitted(&self.part.head_right, look, 0.4 * self.width_pt());
        let right_width_pt = width_pt(&right, look);
        let left = fitted(&self.part.head_left, look, self.width_pt() - right_width_pt - 12.0);
        self.text((self.left_pt(), y_pt), &left, look);
        self.text((self.right_pt() - right_width_pt, y_pt), &right, look);
        self.rule(y_pt + 5.0, 0.6, RULE);
    }

    fn foot(&mut self, number: usize, of: usize) {
        let look = self.style.running();
        let y_pt = self.size.bottom_pt() + 16.0;
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
            Some(Block::Table(table)) => {
                let layout = TableLayout::new(table, self.style, self.width_pt());
                let first_pt = layout.rows.first().map_or(0.0, |row| layout.height_pt(row));
                layout.look.pitch_pt() + layout.head_height_pt() + first_pt + self.style.gap_pt()
            }
            Some(Block::Lines { .. }) => 2.0 * self.style.pencil_pt(),
            Some(Block::Signatures(who)) => {
                who.len().div_ceil(2) as f64 * (1.5 * self.style.pencil_pt() + two_lines_pt)
            }
            Some(Block::Subheading(_)) => 5.0 * two_lines_pt,
            Some(Block::Caution { .. } | Block::Facts(_)) => 2.0 * two_lines_pt,
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

    fn checks(&mut self, checks: &[String]) {
        let look = self.style.text();
        let side_pt = 1.25 * look.size_pt;
        let indent_pt = side_pt + 0.8 * look.size_pt;
        for check in checks {
            let lines = lines(check, look, self.width_pt() - indent_pt);
            let text_pt = lines.len() as f64 * look.pitch_pt();
            let height_pt = text_pt.max(side_pt) + 0.45 * look.size_pt;
            self.need(height_pt);
            let top_pt = self.y_pt;
            let frame =
                Frame::new(self.left_pt(), top_pt, self.left_pt() + side_pt, top_pt + side_pt);
            self.outline(frame, 0.9, BLACK);
            for line in &lines {
                self.set_line(line, look, self.left_pt() + indent_pt);
            }
            self.y_pt = top_pt + height_pt;
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

    /// A frame that stays on one sheet as long as it fits on any.
    fn caution(&mut self, head: &str, sentences: &[String]) {
        let (look, head_look) = (self.style.text(), self.style.subheading());
        let inset_pt = 8.0;
        let width_pt = self.width_pt() - 2.0 * inset_pt;
        let mut set: Vec<(String, Look)> =
            lines(head, head_look, width_pt).into_iter().map(|line| (line, head_look)).collect();
        for sentence in sentences {
            set.extend(lines(sentence, look, width_pt).into_iter().map(|line| (line, look)));
        }
        let mut rest = set.as_slice();
        while !rest.is_empty() {
            let whole_pt: f64 = rest.iter().map(|(_, look)| look.pitch_pt()).sum();
            let all_pt = whole_pt + 2.0 * inset_pt;
            let sheet_pt = self.size.bottom_pt() - self.size.top_pt();
            self.need(all_pt.min(sheet_pt));
            let mut fitting = 0;
            let mut height_pt = 2.0 * inset_pt;
            while let Some((_, look)) = rest.get(fitting) {
                if fitting > 0 && height_pt + look.pitch_pt() > self.room_pt() + 0.01 {
                    break;
                }
                height_pt += look.pitch_pt();
                fitting += 1;
            }
            let top_pt = self.y_pt;
            let frame = Frame::new(self.left_pt(), top_pt, self.right_pt(), top_pt + height_pt);
            self.push(Mark::Area { frame, grey: 0.96 });
            self.outline(frame, 1.1, BLACK);
            self.y_pt += inset_pt;
            let (now, later) = rest.split_at(fitting);
            for (line, look) in now {
                self.set_line(line, *look, self.left_pt() + inset_pt);
            }
            self.y_pt = top_pt + height_pt + self.style.gap_pt();
            rest = later;
        }
    }

    /// Names and values side by side, two pairs across where both fit.
    fn facts(&mut self, facts: &[Fact]) {
        let pairs = if self.size == PaperSize::A5 { 1 } else { 2 };
        let slot_pt = self.width_pt() / f64::from(pairs);
        let name_pt = (0.36 * slot_pt).min(self.name_width_pt(facts));
        let mut place = 0;
        let mut row: Vec<(f64, &Fact, f64)> = Vec::new();
        for fact in facts {
            let room_pt = slot_pt - name_pt - 2.0 * PAD_PT;
            let look = cell_look(&fact.value, self.style.text());
            let is_wide = width_pt(fact.value.words(), look) > 1.9 * room_pt;
            if is_wide {
                self.fact_row(&row, name_pt);
                self.fact_row(&[(self.left_pt(), fact, self.width_pt())], name_pt);
                row.clear();
                place = 0;
                continue;
            }
            row.push((f64::from(place).mul_add(slot_pt, self.left_pt()), fact, slot_pt));
            place += 1;
            if place == pairs {
                self.fact_row(&row, name_pt);
                row.clear();
                place = 0;
            }
        }
        self.fact_row(&row, name_pt);
        self.y_pt += 0.5 * self.style.gap_pt();
    }

    fn name_width_pt(&self, facts: &[Fact]) -> f64 {
        let look = self.style.text().muted();
        facts.iter().map(|fact| width_pt(&fact.name, look)).fold(0.0, f64::max) + 2.0 * PAD_PT
    }

    fn fact_row(&mut self, row: &[(f64, &Fact, f64)], name_pt: f64) {
        let look = self.style.text();
        let set: Vec<_> = row
            .iter()
            .map(|(left_pt, fact, slot_pt)| {
                let value_look = cell_look(&fact.value, look);
                let room_pt = slot_pt - name_pt - 2.0 * PAD_PT;
                let name = lines(&fact.name, look.muted(), name_pt - PAD_PT);
                let value = lines(fact.value.words(), value_look, room_pt);
                (*left_pt, name, value, value_look, fact.value == Cell::Blank, *slot_pt)
            })
            .collect();
        let Some(most) = set.iter().map(|cell| cell.1.len().max(cell.2.len())).max() else {
            return;
        };
        let is_pencil = set.iter().any(|cell| cell.4);
        let sheet_lines = ((self.size.bottom_pt() - self.size.top_pt()) / look.pitch_pt()) as usize;
        for first in (0..most).step_by(sheet_lines.max(1)) {
            let count = (most - first).min(sheet_lines);
            let text_pt = count as f64 * look.pitch_pt();
            let height_pt =
                if is_pencil { text_pt.max(0.85 * self.style.pencil_pt()) } else { text_pt };
            self.need(height_pt);
            let top_pt = self.y_pt;
            for (left_pt, name, value, value_look, is_blank, slot_pt) in &set {
                let start_pt = top_pt + height_pt - text_pt;
                for (lines, look, x_pt) in
                    [(name, look.muted(), *left_pt), (value, *value_look, left_pt + name_pt)]
                {
                    self.y_pt = if is_pencil { start_pt - 2.0 } else { top_pt };
                    for line in lines.iter().skip(first).take(count) {
                        self.set_line(line, look, x_pt);
                    }
                }
                if *is_blank {
                    let y_pt = top_pt + height_pt - 1.5;
                    let right_pt = left_pt + slot_pt - 3.0 * PAD_PT;
                    self.line((left_pt + name_pt, y_pt), (right_pt, y_pt), 0.7, RULE);
                }
            }
            self.y_pt = top_pt + height_pt + 0.2 * self.style.gap_pt();
        }
    }

    fn table(&mut self, table: &Table) {
        let layout = TableLayout::new(table, self.style, self.width_pt());
        let caption = lines(&table.caption, self.style.text().bold(), self.width_pt());
        let caption = if table.caption.is_empty() { Vec::new() } else { caption };
        let caption_look = self.style.text().bold();
        let head_pt = layout.head_height_pt();
        let first_pt = layout.rows.first().map_or(0.0, |row| layout.height_pt(row));
        let caption_pt = caption.len() as f64 * caption_look.pitch_pt();
        self.need(caption_pt + head_pt + first_pt);
        for line in &caption {
            self.set_line(line, caption_look, self.left_pt());
        }
        self.y_pt += 0.2 * self.style.gap_pt();
        self.table_head(table, &layout);
        let most_lines = ((self.size.bottom_pt() - self.size.top_pt() - head_pt - 2.0 * PAD_PT)
            / layout.look.pitch_pt()) as usize;
        for (cells, lines) in table.rows.iter().zip(&layout.rows) {
            let longest = lines.iter().map(Vec::len).max().unwrap_or(1);
            for first in (0..longest.max(1)).step_by(most_lines.max(1)) {
                let piece: Vec<Vec<String>> = lines
                    .iter()
                    .map(|lines| lines.iter().skip(first).take(most_lines).cloned().collect())
                    .collect();
                if self.room_pt() < layout.height_pt(&piece) {
                    self.begin_sheet();
                    self.table_head(table, &layout);
                }
                self.table_row(table, &layout, cells, &piece);
            }
        }
        self.y_pt += self.style.gap_pt();
    }

    fn table_head(&mut self, table: &Table, layout: &TableLayout) {
        let height_pt = layout.head_height_pt();
        let top_pt = self.y_pt;
        let frame = Frame::new(self.left_pt(), top_pt, self.right_pt(), top_pt + height_pt);
        self.push(Mark::Area { frame, grey: SHADE });
        self.rule(top_pt, 0.9, BLACK);
        let look = layout.look.bold();
        let mut x_pt = self.left_pt();
        for ((column, lines), width_pt) in
            table.columns.iter().zip(&layout.heads).zip(&layout.widths_pt)
        {
            let text_pt = lines.len() as f64 * look.pitch_pt();
            self.y_pt = top_pt + height_pt - PAD_PT - text_pt;
            self.cell_lines(lines, look, column.align, (x_pt, *width_pt));
            x_pt += width_pt;
        }
        self.y_pt = top_pt + height_pt;
        self.rule(self.y_pt, 0.6, BLACK);
    }

    fn table_row(
        &mut self,
        table: &Table,
        layout: &TableLayout,
        cells: &[Cell],
        lines: &[Vec<String>],
    ) {
        let height_pt = layout.height_pt(lines);
        let top_pt = self.y_pt;
        let is_pencil = layout.least_row_pt > 0.0;
        let mut x_pt = self.left_pt();
        for (k, width_pt) in layout.widths_pt.iter().enumerate() {
            let look = cell_look(&cells[k], layout.look);
            let text_pt = lines[k].len() as f64 * look.pitch_pt();
            self.y_pt = top_pt + if is_pencil { 0.5 * (height_pt - text_pt) } else { PAD_PT - 0.5 };
            self.cell_lines(&lines[k], look, table.columns[k].align, (x_pt, *width_pt));
            if is_pencil && k > 0 {
                self.line((x_pt, top_pt), (x_pt, top_pt + height_pt), 0.5, RULE);
            }
            x_pt += width_pt;
        }
        self.y_pt = top_pt + height_pt;
        self.rule(self.y_pt, 0.5, RULE);
    }

    fn cell_lines(&mut self, lines: &[String], look: Look, align: Align, place: (f64, f64)) {
        let (x_pt, cell_pt) = place;
        for line in lines {
            let left_pt = match align {
                Align::Start => x_pt + PAD_PT,
                Align::End => x_pt + cell_pt - PAD_PT - width_pt(line, look),
            };
            self.set_line(line, look, left_pt);
        }
    }

    fn signatures(&mut self, who: &[String]) {
        let look = self.style.small();
        let height_pt = 1.5 * self.style.pencil_pt() + look.pitch_pt();
        let gap_pt = 14.0;
        let slot_pt = 0.5 * (self.width_pt() - gap_pt);
        for pair in who.chunks(2) {
            self.need(height_pt);
            let top_pt = self.y_pt;
            let line_pt = top_pt + height_pt - look.pitch_pt() - 2.0;
            for (index, words) in pair.iter().enumerate() {
                let x_pt = (index as f64).mul_add(slot_pt + gap_pt, self.left_pt());
                self.line((x_pt, line_pt), (x_pt + slot_pt, line_pt), 0.8, BLACK);
                self.y_pt = line_pt + 2.0;
                let words = fitted(words, look, slot_pt);
                self.set_line(&words, look, x_pt);
            }
            self.y_pt = top_pt + height_pt + 0.5 * self.style.gap_pt();
        }
    }

    fn pencil_lines(&mut self, head: &str, count: usize) {
        let look = self.style.small();
        let words = lines(head, look, self.width_pt());
        self.need(words.len() as f64 * look.pitch_pt() + self.style.pencil_pt());
        for line in &words {
            self.set_line(line, look, self.left_pt());
        }
        for _ in 0..count {
            let height_pt = 0.8 * self.style.pencil_pt();
            self.need(height_pt);
            self.y_pt += height_pt;
            let y_pt = self.y_pt - 1.0;
            self.rule(y_pt, 0.7, RULE);
        }
        self.y_pt += self.style.gap_pt();
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
