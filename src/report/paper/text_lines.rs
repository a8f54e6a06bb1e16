//! Texts broken into lines that fit.

use crate::plot::{drawable, is_drawable, text_width_px};

use super::look::Look;

pub(super) fn width_pt(text: &str, look: Look) -> f64 {
    text_width_px(text, look.size_pt, look.weight)
}

/// Width of the widest word: nothing narrower holds the text unbroken.
pub(super) fn widest_word_pt(text: &str, look: Look) -> f64 {
    words(text).map(|word| width_pt(word, look)).fold(0.0, f64::max)
}

/// Where a line may be broken; a no-break space is none of them.
const BLANKS: [char; 4] = [' ', '\n', '\t', '\r'];

/// Characters that are no blank and that the fonts of the pages lack.
pub(super) fn lacking(text: &str) -> impl Iterator<Item = char> {
    text.chars().filter(|character| !BLANKS.contains(character) && !is_drawable(*character))
}

fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split(BLANKS).filter(|word| !word.is_empty())
}

/// Lines no wider than `width_pt`; a word that is wider alone is broken between characters. A line
/// break in the text is kept. At least one line, empty for an empty text.
pub(super) fn lines(text: &str, look: Look, width_pt: f64) -> Vec<String> {
    let mut lines = Vec::new();
    for paragraph in text.split('\n') {
        let mut line = String::new();
        for word in words(paragraph) {
            let word = drawable(word);
            let longer = if line.is_empty() { word.clone() } else { format!("{line} {word}") };
            if self::width_pt(&longer, look) <= width_pt {
                line = longer;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            line = broken(&word, look, width_pt, &mut lines);
        }
        lines.push(line);
    }
    lines
}

/// A text of one look within a line of several.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Run {
    /// What it says.
    pub(super) text: String,
    /// How it looks.
    pub(super) look: Look,
}

/// The runs one after the other in lines no wider than `room_pt`; a blank stands between two runs.
pub(super) fn run_lines(runs: &[Run], room_pt: f64) -> Vec<Vec<Run>> {
    let mut set: Vec<Vec<Run>> = vec![Vec::new()];
    let mut used_pt = 0.0;
    for Run { text, look } in runs {
        for word in words(text) {
            // A word wider than a line is broken like everywhere.
            for piece in lines(word, *look, room_pt) {
                let gap_pt = if used_pt > 0.0 { width_pt(" ", *look) } else { 0.0 };
                let piece_pt = width_pt(&piece, *look);
                if used_pt > 0.0 && used_pt + gap_pt + piece_pt > room_pt {
                    set.push(Vec::new());
                    used_pt = 0.0;
                } else {
                    used_pt += gap_pt;
                }
                used_pt += piece_pt;
                let line = set.last_mut().expect("there is a line");
                match line.last_mut().filter(|last| last.look == *look) {
                    Some(last) => last.text = format!("{} {piece}", last.text),
                    None => line.push(Run { text: piece, look: *look }),
                }
            }
        }
    }
    set
}

/// A word in pieces that fit, all but the last already put on lines of their own.
fn broken(word: &str, look: Look, width_pt: f64, lines: &mut Vec<String>) -> String {
    let mut piece = String::new();
    for character in word.chars() {
        piece.push(character);
        if self::width_pt(&piece, look) > width_pt && piece.chars().count() > 1 {
            piece.pop();
            lines.push(std::mem::replace(&mut piece, character.to_string()));
        }
    }
    piece
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plot::Weight;

    const LOOK: Look = Look { size_pt: 10.0, weight: Weight::Regular, is_muted: false };

    #[test]
    fn law_no_line_is_wider_than_asked_and_no_character_is_lost() {
        let text = "Output shorted at the cutout; \
                    averyverylongnamewithoutanyblankthatmustbebrokensomewhere then on\nand on";
        for width in [30.0, 60.0, 120.0, 400.0] {
            let lines = lines(text, LOOK, width);
            assert!(lines.iter().all(|line| width_pt(line, LOOK) <= width), "{width}: {lines:?}");
            let kept: String = lines.concat().split_whitespace().collect();
            assert_eq!(kept, text.split_whitespace().collect::<String>());
        }
    }

    #[test]
    fn exact_empty_text_is_one_empty_line() {
        assert_eq!(lines("", LOOK, 50.0), [String::new()]);
    }
}
