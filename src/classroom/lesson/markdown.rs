//! Markdown into pieces: what a page, a slide and a sheet of paper can all show, and nothing else.

use pulldown_cmark::{Event, HeadingLevel, Options, Parser, Tag, TagEnd};

use crate::error::{Error, Place, Result};

use super::words::escaped;
use super::{Piece, Words};

const ALLOWED: &str =
    "headings, paragraphs, lists one deep, quotes, tables, emphasis, code words and links";

/// The pieces of a text whose first line is that line of its file.
pub(super) fn pieces(text: &str, first_line: usize) -> Result<Vec<Piece>> {
    let mut reader = Reader::default();
    for (event, range) in Parser::new_ext(text, Options::ENABLE_TABLES).into_offset_iter() {
        reader.event(event).map_err(|error| {
            error.at(Place::line(first_line + text[..range.start].matches('\n').count()))
        })?;
    }
    Ok(reader.pieces)
}

#[derive(Default)]
struct Reader {
    pieces: Vec<Piece>,
    words: Words,
    list: Option<(bool, Vec<Words>)>,
    quote: Option<Vec<Words>>,
    head: Vec<Words>,
    rows: Vec<Vec<Words>>,
    row: Vec<Words>,
}

impl Reader {
    fn event(&mut self, event: Event<'_>) -> Result<()> {
        match event {
            Event::Start(tag) => self.start(tag),
            Event::End(tag) => {
                self.end(tag);
                Ok(())
            }
            Event::Text(text) => {
                self.words.push(&text);
                Ok(())
            }
            Event::Code(text) => {
                self.words.mark("<code>");
                self.words.push(&text);
                self.words.mark("</code>");
                Ok(())
            }
            Event::SoftBreak => {
                self.words.push(" ");
                Ok(())
            }
            Event::HardBreak => {
                self.words.mark("<br>");
                self.words.plain.push('\n');
                Ok(())
            }
            Event::Html(_) | Event::InlineHtml(_) => Err(refused("HTML")),
            Event::Rule => Err(refused("a rule")),
            _ => Err(refused("something else")),
        }
    }

    fn start(&mut self, tag: Tag<'_>) -> Result<()> {
        match tag {
            Tag::Paragraph => {
                if self.list.is_none() {
                    self.words = Words::default();
                } else if !self.words.plain.is_empty() {
                    self.words.push(" ");
                }
            }
            Tag::Heading { .. } | Tag::Item | Tag::TableCell => self.words = Words::default(),
            Tag::BlockQuote(_) => self.quote = Some(Vec::new()),
            Tag::List(first) => {
                if self.list.is_some() {
                    return Err(refused("a list in a list"));
                }
                self.list = Some((first.is_some(), Vec::new()));
            }
            Tag::Table(_) => (self.head, self.rows) = (Vec::new(), Vec::new()),
            Tag::TableHead | Tag::TableRow => self.row = Vec::new(),
            Tag::Emphasis => self.words.mark("<em>"),
            Tag::Strong => self.words.mark("<strong>"),
            Tag::Link { dest_url, .. } => {
                let is_safe = ["https://", "http://", "#"].iter().any(|s| dest_url.starts_with(s));
                if !is_safe {
                    return Err(refused("a link that is no web address"));
                }
                self.words.mark(&format!("<a href=\"{}\">", escaped(&dest_url)));
            }
            Tag::Image { .. } => {
                return Err(refused("a picture")
                    .with_hint("declare a figure in the head and place it: {{ figure NAME }}"));
            }
            Tag::HtmlBlock => return Err(refused("HTML")),
            Tag::CodeBlock(_) => return Err(refused("a block of code")),
            _ => return Err(refused("something else")),
        }
        Ok(())
    }

    fn end(&mut self, tag: TagEnd) {
        match tag {
            TagEnd::Paragraph if self.list.is_some() => {}
            TagEnd::Paragraph => {
                let words = std::mem::take(&mut self.words);
                match &mut self.quote {
                    Some(quote) => quote.push(words),
                    None => self.pieces.push(Piece::Paragraph(words)),
                }
            }
            TagEnd::Heading(level) => {
                let depth = if level == HeadingLevel::H1 { 1 } else { 2 };
                self.pieces.push(Piece::Heading(depth, std::mem::take(&mut self.words)));
            }
            TagEnd::Item => {
                let words = std::mem::take(&mut self.words);
                if let Some((_, items)) = &mut self.list {
                    items.push(words);
                }
            }
            TagEnd::List(_) => {
                if let Some((is_numbered, items)) = self.list.take() {
                    self.pieces.push(Piece::Items(is_numbered, items));
                }
            }
            TagEnd::BlockQuote(_) => {
                self.pieces.extend(self.quote.take().map(Piece::Key));
            }
            TagEnd::TableCell => self.row.push(std::mem::take(&mut self.words)),
            TagEnd::TableHead => self.head = std::mem::take(&mut self.row),
            TagEnd::TableRow => self.rows.push(std::mem::take(&mut self.row)),
            TagEnd::Table => {
                let (head, rows) = (std::mem::take(&mut self.head), std::mem::take(&mut self.rows));
                self.pieces.push(Piece::Table(head, rows));
            }
            TagEnd::Emphasis => self.words.mark("</em>"),
            TagEnd::Strong => self.words.mark("</strong>"),
            TagEnd::Link => self.words.mark("</a>"),
            _ => {}
        }
    }
}

fn refused(what: &str) -> Error {
    Error::malformed(ALLOWED, what)
}
