use std::fmt::Write as _;

use rayon::prelude::*;

use crate::error::{Error, Result};
use crate::plot::{Canvas, Figure, Palette};

/// Pictures of one size to be leafed through: as an animated SVG, and as a page with keys.
#[derive(Clone, Debug)]
pub struct FlipBook {
    title: String,
    pictures: Vec<Picture>,
}

/// One picture: what a reader who does not see it is told, and its drawing.
#[derive(Clone, Debug)]
struct Picture {
    caption: String,
    svg: String,
}

impl FlipBook {
    /// How long a picture stands, in seconds.
    pub const PICTURE_S: f64 = 0.4;
    /// Times the animation of the SVG runs before it stops by itself.
    pub const ROUNDS: usize = 3;

    /// A book of these figures in their order, drawn on all processors.
    ///
    /// # Errors
    /// As [`Figure::draw`]; `Inconsistent` without any figure.
    pub fn of(title: &str, figures: &[Figure], palette: &Palette) -> Result<Self> {
        if figures.is_empty() {
            return Err(Error::inconsistent("a book without pictures cannot be leafed through"));
        }
        let drawn: Vec<Result<Picture>> = figures
            .par_iter()
            .map(|figure| {
                let svg = figure.draw_on(Canvas::Slide, palette)?.svg().to_owned();
                Ok(Picture { caption: figure.caption.clone(), svg })
            })
            .collect();
        let pictures = drawn.into_iter().collect::<Result<_>>()?;
        Ok(Self { title: title.to_owned(), pictures })
    }

    /// One SVG file that shows the pictures in turn, a few rounds long, then rests on the last. Opened by
    /// itself, the space key or a click holds it. Whoever asks for less motion sees the first picture.
    #[must_use]
    pub fn svg(&self) -> String {
        let (width_px, height_px) = Canvas::Slide.size_px();
        let count = self.pictures.len();
        let round_s = Self::PICTURE_S * count as f64;
        let share = 100.0 / count as f64;
        // The last picture ends its last round while it is still seen, and rests there.
        let after = (1.02 * share).min(100.0);
        let last_rounds = (Self::ROUNDS - 1) as f64 + 1.0 / count as f64;
        let mut text = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width_px}\" height=\"{height_px}\" \
             viewBox=\"0 0 {width_px} {height_px}\" role=\"img\">\n<title>{}</title>\n<desc>{}</desc>\n\
             <style>\n.p {{ visibility: hidden; animation: turn {round_s:.2}s step-end {} both; }}\n\
             .p.first {{ visibility: visible; }}\n\
             .p.last {{ animation-name: rest; animation-iteration-count: {last_rounds:.6}; }}\n\
             .still .p {{ animation-play-state: paused; }}\n\
             @keyframes turn {{ 0% {{ visibility: visible; }} {share:.4}% {{ visibility: hidden; }} \
             100% {{ visibility: hidden; }} }}\n\
             @keyframes rest {{ 0% {{ visibility: visible; }} {after:.4}% {{ visibility: hidden; }} \
             100% {{ visibility: hidden; }} }}\n\
             @media (prefers-reduced-motion: reduce) {{ .p {{ animation: none; }} }}\n</style>\n",
            escaped(&self.title),
            escaped(&self.summary()),
            Self::ROUNDS
        );
        for (place, picture) in self.pictures.iter().enumerate() {
            let class = match place {
                0 => "p first",
                _ if place + 1 == count => "p last",
                _ => "p",
            };
            let delay_s = Self::PICTURE_S * place as f64;
            let _ = writeln!(
                text,
                "<g class=\"{class}\" style=\"animation-delay:{delay_s:.2}s;animation-fill-mode:forwards\">",
            );
            text.push_str(&picture.svg);
            text.push_str("\n</g>\n");
        }
        text.push_str(
            "<script>\nconst root = document.documentElement;\nconst hold = () => \
             root.classList.toggle('still');\nroot.addEventListener('click', hold);\n\
             window.addEventListener('keydown', e => { if (e.key === ' ') { hold(); \
             e.preventDefault(); } });\n</script>\n</svg>\n",
        );
        text
    }

    /// One page without outside parts: back, play and on, a slider, and the keys left, right, home,
    /// end and space. It plays by itself only where nobody asked for less motion, and stops at its end.
    #[must_use]
    pub fn html(&self, palette: &Palette) -> String {
        let hex =
            |colour: crate::plot::Rgb| format!("#{:02x}{:02x}{:02x}", colour.0, colour.1, colour.2);
        let last = self.pictures.len() - 1;
        let mut pictures = String::new();
        for (place, picture) in self.pictures.iter().enumerate() {
            let hidden = if place == 0 { "" } else { " hidden" };
            let _ = writeln!(
                pictures,
                "<figure{hidden} data-caption=\"{}\">{}</figure>",
                escaped(&picture.caption),
                picture.svg
            );
        }
        PAGE.replace("{title}", &escaped(&self.title))
            .replace("{ground}", &hex(palette.background))
            .replace("{ink}", &hex(palette.text))
            .replace("{last}", &last.to_string())
            .replace("{ms}", &format!("{:.0}", 1e3 * Self::PICTURE_S))
            .replace("{first}", &escaped(&self.pictures[0].caption))
            .replace("{pictures}", &pictures)
    }

    fn summary(&self) -> String {
        let captions = self.pictures.first().zip(self.pictures.last());
        captions.map_or_else(String::new, |(first, last)| {
            format!("From: {} To: {}", first.caption, last.caption)
        })
    }
}

const PAGE: &str = include_str!("flip_book.html");

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
