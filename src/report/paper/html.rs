//! A writing as one HTML file.

use std::fmt::Write;

use super::compose::lead_words;
use super::{Align, Blank, Block, Cell, Fact, PaperSize, Part, Picture, RowHeight, Table, Writing};

const STYLE: &str = include_str!("page.css");

/// The whole file.
pub(super) fn document(writing: &Writing, size: PaperSize) -> String {
    let mut html = Html::default();
    let _ = write!(
        html.text,
        "<!DOCTYPE html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta name=\"color-scheme\" content=\"light dark\">\n<title>",
        Writing::LANGUAGE
    );
    html.escaped(&writing.title);
    let _ = write!(
        html.text,
        "</title>\n<style>\n@page {{ size: {}; margin: 16mm 14mm 16mm 20mm; }}\n{STYLE}</style>\n\
         </head>\n<body>\n<main>\n",
        size.key()
    );
    for part in &writing.parts {
        html.part(part);
    }
    html.text.push_str("</main>\n<footer>");
    html.escaped(&writing.program);
    html.text.push_str("</footer>\n</body>\n</html>\n");
    html.text
}

/// The file while it is written: everything that comes from outside passes [`Self::escaped`].
#[derive(Default)]
struct Html {
    text: String,
}

impl Html {
    fn escaped(&mut self, text: &str) {
        for character in text.chars() {
            match character {
                '&' => self.text.push_str("&amp;"),
                '<' => self.text.push_str("&lt;"),
                '>' => self.text.push_str("&gt;"),
                '"' => self.text.push_str("&quot;"),
                '\'' => self.text.push_str("&#39;"),
                other => self.text.push(other),
            }
        }
    }

    /// An element that holds one text; `open` is ours and written as it stands.
    fn element(&mut self, open: &str, text: &str) {
        let name = open.split(' ').next().unwrap_or(open);
        let _ = write!(self.text, "<{open}>");
        self.escaped(text);
        let _ = writeln!(self.text, "</{name}>");
    }

    fn part(&mut self, part: &Part) {
        let class = if part.on_one_sheet { "part form" } else { "part" };
        let _ = write!(self.text, "<section class=\"{class}\">\n<p class=\"running\"><span>");
        self.escaped(&part.head_left);
        self.text.push_str("</span> <span>");
        self.escaped(&part.head_right);
        self.text.push_str("</span></p>\n");
        for block in &part.blocks {
            self.block(block);
        }
        self.text.push_str("</section>\n");
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Title(text) => self.element("h1", text),
            Block::Heading(text) => self.element("h2", text),
            Block::Subheading(text) => self.element("h3", text),
            Block::Paragraph(text) => self.element("p", text),
            Block::Strong(text) => self.element("p class=\"strong\"", text),
            Block::Small(text) => self.element("p class=\"small\"", text),
            Block::Items(items) => self.list("ul", items),
            Block::Checks(checks) => self.list("ul class=\"checks\"", checks),
            Block::Caution { head, sentences } => {
                self.text.push_str("<aside class=\"caution\">\n");
                self.element("p class=\"strong\"", head);
                sentences.iter().for_each(|sentence| self.element("p", sentence));
                self.text.push_str("</aside>\n");
            }
            Block::CautionInBrief { head, sentences } => {
                self.text.push_str("<aside class=\"caution\">\n<p><b>");
                self.escaped(&format!("{head}:"));
                self.text.push_str("</b>");
                for sentence in sentences {
                    let (lead, rest) = lead_words(sentence);
                    self.text.push_str(" <b>");
                    self.escaped(lead);
                    self.text.push_str("</b> ");
                    self.escaped(rest);
                }
                self.text.push_str("</p>\n</aside>\n");
            }
            Block::Facts(facts) => self.facts(facts),
            Block::Table(table) => self.table(table),
            Block::Figure(picture) => self.figure(picture),
            Block::Signatures(who) => self.list("ul class=\"signatures\"", who),
            Block::Lines { head, count } => {
                self.element("p class=\"small\"", head);
                let _ = write!(self.text, "<div class=\"lines\" aria-hidden=\"true\">");
                (0..*count).for_each(|_| self.text.push_str("<div></div>"));
                self.text.push_str("</div>\n");
            }
            Block::FillIn(blanks) => self.fill_in(blanks),
            Block::Together(blocks) => {
                self.text.push_str("<div class=\"together\">\n");
                blocks.iter().for_each(|block| self.block(block));
                self.text.push_str("</div>\n");
            }
            Block::Lanes(blocks) => {
                self.text.push_str("<div class=\"lanes\">\n");
                blocks.iter().for_each(|block| self.block(block));
                self.text.push_str("</div>\n");
            }
        }
    }

    fn fill_in(&mut self, blanks: &[Blank]) {
        self.text.push_str("<p class=\"fill\">");
        for blank in blanks {
            match blank {
                Blank::Words(words) => self.element("span", words),
                Blank::Gap => self.text.push_str("<span class=\"gap\"></span>\n"),
                Blank::Tick(words) => self.element("span class=\"tick\"", words),
            }
        }
        self.text.push_str("</p>\n");
    }

    fn list(&mut self, open: &str, items: &[String]) {
        let _ = writeln!(self.text, "<{open}>");
        items.iter().for_each(|item| self.element("li", item));
        self.text.push_str("</ul>\n");
    }

    fn facts(&mut self, facts: &[Fact]) {
        self.text.push_str("<dl>\n");
        for fact in facts {
            self.text.push_str("<div>");
            self.element("dt", &fact.name);
            match &fact.value {
                Cell::Blank => self.text.push_str("<dd class=\"blank\"></dd>"),
                Cell::Absent(text) => self.element("dd class=\"absent\"", text),
                Cell::Strong(text) => self.element("dd class=\"strong\"", text),
                Cell::Text(text) => self.element("dd", text),
            }
            self.text.push_str("</div>\n");
        }
        self.text.push_str("</dl>\n");
    }

    fn table(&mut self, table: &Table) {
        let class = match table.height {
            RowHeight::Text => "",
            RowHeight::Pencil => " class=\"pencil\"",
        };
        let _ = writeln!(self.text, "<div class=\"wide\"><table{class}>");
        if !table.caption.is_empty() {
            self.element("caption", &table.caption);
        }
        self.text.push_str("<thead><tr>\n");
        for column in &table.columns {
            let class = if column.align == Align::End { " class=\"number\"" } else { "" };
            self.element(&format!("th scope=\"col\"{class}"), &column.head);
        }
        self.text.push_str("</tr></thead>\n<tbody>\n");
        for row in &table.rows {
            self.text.push_str("<tr>\n");
            for (index, (cell, column)) in row.iter().zip(&table.columns).enumerate() {
                let mut classes = Vec::new();
                if column.align == Align::End {
                    classes.push("number");
                }
                match cell {
                    Cell::Strong(_) => classes.push("strong"),
                    Cell::Absent(_) => classes.push("absent"),
                    Cell::Blank => classes.push("blank"),
                    Cell::Text(_) => {}
                }
                let mut open = if index == 0 { "th scope=\"row\"" } else { "td" }.to_owned();
                if !classes.is_empty() {
                    let _ = write!(open, " class=\"{}\"", classes.join(" "));
                }
                self.element(&open, cell.words());
            }
            self.text.push_str("</tr>\n");
        }
        self.text.push_str("</tbody>\n</table></div>\n");
    }

    /// The drawing escapes its own texts; it carries title and description.
    fn figure(&mut self, picture: &Picture) {
        self.text.push_str("<figure aria-label=\"");
        self.escaped(&picture.alternative);
        self.text.push_str("\">\n");
        self.text.push_str(picture.drawing.svg());
        self.text.push_str("</figure>\n");
    }
}
