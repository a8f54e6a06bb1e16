//! A demonstration on a screen of characters.

use ratatui::buffer::Buffer;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Color, Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::canvas::{Canvas, Line as Stroke, Points};
use ratatui::widgets::{Block, Paragraph, Widget, Wrap};

use crate::classroom::demonstration::View;
use crate::error::Error;

use super::console::folded;

/// Columns it needs.
pub(super) const WIDTH: u16 = 80;
/// Lines it needs.
pub(super) const HEIGHT: u16 = 24;

const KEYS: [&str; 2] = [
    "up/down or 1-9 step   left/right load   l/L more/fewer lamps out   m/M meter",
    "r again   q or Esc leave   A model, not your circuit. Qualified persons only.",
];
/// Width of a name before its value.
const NAME: usize = 13;

/// Colours where they are wanted; nothing is told by them alone.
#[derive(Clone, Copy)]
struct Palette {
    curve: Color,
    truth: Color,
    meter: Color,
}

impl Palette {
    fn of(colours: bool) -> Self {
        if colours {
            Self { curve: Color::Cyan, truth: Color::Green, meter: Color::Yellow }
        } else {
            Self { curve: Color::Reset, truth: Color::Reset, meter: Color::Reset }
        }
    }
}

/// Draws a view; says so where there is not room enough.
pub(super) fn draw(view: &View, colours: bool, area: Rect, buffer: &mut Buffer) {
    if area.width < WIDTH || area.height < HEIGHT {
        return too_small(area, buffer);
    }
    let bold = Style::new().add_modifier(Modifier::BOLD);
    let (word, reason) = &view.verdict;
    let said = format!("{word}: {reason}");
    let noticed = view.notes.last().map_or("", String::as_str);
    let [title, words, choices, chart, numbers, verdict, scale, note, keys] = Layout::vertical([
        Constraint::Length(1),
        lines(&view.words),
        Constraint::Length(1),
        Constraint::Min(4),
        Constraint::Length(6),
        lines(&said),
        Constraint::Length(2),
        lines(noticed),
        Constraint::Length(2),
    ])
    .areas(area);
    Line::styled(view.title.as_str(), bold).render(title, buffer);
    Paragraph::new(view.words.as_str()).wrap(Wrap { trim: true }).render(words, buffer);
    chosen(view).render(choices, buffer);
    curve(view, Palette::of(colours), chart, buffer);
    let [left, right] =
        Layout::horizontal([Constraint::Length(42), Constraint::Min(38)]).areas(numbers);
    Paragraph::new(named(&view.current)).render(left, buffer);
    Paragraph::new(named(&view.meter)).render(right, buffer);
    let said =
        Line::from(vec![Span::styled(word.as_str(), bold), Span::raw(format!(": {reason}"))]);
    Paragraph::new(said).wrap(Wrap { trim: true }).render(verdict, buffer);
    let (low, high) = &view.scale.ends;
    Paragraph::new(vec![
        Line::raw(format!("{low:>7} {} {high}", view.scale.line)),
        Line::raw(
            "        [ ] band  | nominal  T true  M shown  L set by it  * several  < > beyond",
        ),
    ])
    .render(scale, buffer);
    Paragraph::new(noticed).wrap(Wrap { trim: true }).render(note, buffer);
    Paragraph::new(KEYS.map(Line::raw).to_vec())
        .style(Style::new().add_modifier(Modifier::DIM))
        .render(keys, buffer);
}

/// The lines a text takes in the narrowest window, up to three of them.
fn lines(text: &str) -> Constraint {
    Constraint::Length(match folded(text, "").lines().count() {
        0 | 1 => 1,
        2 => 2,
        _ => 3,
    })
}

/// Draws an error in place of a view; the keys still turn.
pub(super) fn draw_error(error: &Error, area: Rect, buffer: &mut Buffer) {
    let mut lines = vec![Line::raw(format!("error: {error}"))];
    lines.extend(error.hint().map(|hint| Line::raw(format!("hint: {hint}"))));
    lines.push(Line::raw(""));
    lines.extend(KEYS.map(Line::raw));
    Paragraph::new(lines).wrap(Wrap { trim: true }).render(area, buffer);
}

fn too_small(area: Rect, buffer: &mut Buffer) {
    let text = format!(
        "This window has {} columns and {} lines; the demonstration needs {WIDTH} and {HEIGHT}. \
         Make it larger. q leaves.",
        area.width, area.height
    );
    Paragraph::new(text).wrap(Wrap { trim: true }).render(area, buffer);
}

fn chosen(view: &View) -> Line<'_> {
    let bold = Style::new().add_modifier(Modifier::BOLD);
    let mut spans = Vec::new();
    for (name, position) in &view.choices {
        spans.push(Span::raw(format!("{name} ")));
        spans.push(Span::styled(position.as_str(), bold));
        spans.push(Span::raw("   "));
    }
    Line::from(spans)
}

fn named(rows: &[(&'static str, String)]) -> Vec<Line<'static>> {
    rows.iter().map(|(name, value)| Line::raw(format!("{name:<NAME$}{value}"))).collect()
}

fn curve(view: &View, palette: Palette, area: Rect, buffer: &mut Buffer) {
    let block = Block::bordered()
        .title_top(view.levels.as_str())
        .title_bottom(view.reach.as_str())
        .title_bottom(Line::raw(view.span.as_str()).right_aligned());
    let reach_a = view.reach_a;
    let bottom_a = std::ops::Neg::neg(reach_a);
    Canvas::default()
        .block(block)
        .x_bounds([0.0, 2.0])
        .y_bounds([bottom_a, reach_a])
        .paint(|canvas| {
            let zero = Stroke { x1: 0.0, y1: 0.0, x2: 2.0, y2: 0.0, color: Color::Reset };
            canvas.draw(&zero);
            canvas.layer();
            for pair in view.curve.windows(2) {
                let ((x1, y1), (x2, y2)) = (pair[0], pair[1]);
                canvas.draw(&Stroke { x1, y1, x2, y2, color: palette.curve });
            }
            canvas.layer();
            canvas.draw(&Points { coords: &view.true_dots, color: palette.truth });
            for [(x1, y1), (x2, y2)] in view.shown_dashes.iter().copied() {
                canvas.draw(&Stroke { x1, y1, x2, y2, color: palette.meter });
            }
        })
        .render(area, buffer);
}

/// The characters of a screen, lines without blanks at their ends.
pub(super) fn plain(buffer: &Buffer) -> String {
    let width = usize::from(buffer.area.width).max(1);
    let cells: Vec<&str> = buffer.content.iter().map(|cell| cell.symbol()).collect();
    cells.chunks(width).map(|row| format!("{}\n", row.concat().trim_end())).collect()
}
