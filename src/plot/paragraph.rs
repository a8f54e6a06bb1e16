//! Breaking a sentence into lines.

use super::TextLook;
use super::font;

/// Lines no wider than `width_px`; beyond `most` lines the rest is cut and says so with an ellipsis.
pub(super) fn lines(text: &str, look: TextLook, width_px: f64, most: usize) -> Vec<String> {
    let fits = |line: &str| font::width_px(line, look.size_px, look.weight) <= width_px;
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        match lines.last_mut() {
            Some(line) if fits(&format!("{line} {word}")) => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    let cut = lines.len() > most;
    lines.truncate(most);
    let last = lines.len().saturating_sub(1);
    for (index, line) in lines.iter_mut().enumerate() {
        let shortened = cut && index == last;
        if shortened || !fits(line) {
            *line = clipped(line, look, width_px);
        }
    }
    lines
}

/// The beginning of a text with an ellipsis, no wider than `width_px`.
fn clipped(text: &str, look: TextLook, width_px: f64) -> String {
    let mut kept: Vec<char> = text.chars().collect();
    loop {
        let candidate = format!("{}…", kept.iter().collect::<String>().trim_end());
        if kept.is_empty() || font::width_px(&candidate, look.size_px, look.weight) <= width_px {
            return candidate;
        }
        kept.pop();
    }
}

/// The text itself, or its beginning with an ellipsis when it is wider than `width_px`.
pub(super) fn fitted(text: &str, look: TextLook, width_px: f64) -> String {
    if font::width_px(text, look.size_px, look.weight) <= width_px {
        text.to_owned()
    } else {
        clipped(text, look, width_px)
    }
}
