//! Data for teaching: levels that are safe, tables that are the current, books that need nothing else.

use loopcrest::classroom::training::{
    FlipBook, GeneratorTable, Sound, TeachData, TrainingFigure, teach_data_files,
};
use loopcrest::plot::Palette;
use loopcrest::waveform::{Scale, Shape, Synthesis};

use super::training::{CIRCUIT, drawn};

/// The highest sample stands 12 dB below full scale, the ends are silent, and a sine comes out as one.
#[test]
fn law_sounds_are_safe() {
    let sine = Synthesis::new(Shape::Sine, Scale::RmsA(6.6)).waveform().unwrap();
    let sound = Sound::of(&sine, 2.0).unwrap();
    let full = 10.0_f64.powf(-12.0 / 20.0);
    let samples = sound.samples();
    assert_eq!(samples.len(), 96_000);
    let peak = samples.iter().map(|s| s.abs()).fold(0.0, f64::max);
    assert!(peak <= full + 1e-12 && peak > 0.999 * full, "{peak}");
    assert!(samples[0].abs() < 1e-9 && samples[95_999].abs() < 1e-9, "faded ends");
    // Closed form: √2 · 6.6 A is the peak of the sine.
    assert!((sound.amperes_at_full_scale * full / (6.6 * 2.0_f64.sqrt()) - 1.0).abs() < 1e-6);
    // Two zero crossings a period of 60 Hz in the middle second.
    let middle = &samples[24_000..72_000];
    let crossings = middle.windows(2).filter(|pair| (pair[0] < 0.0) != (pair[1] < 0.0)).count();
    assert!((119..=121).contains(&crossings), "{crossings}");
    let file = sound.wav().unwrap();
    assert!(file.starts_with(b"RIFF") && file.len() == 44 + 2 * 96_000, "{}", file.len());
    assert!(Sound::of(&sine, 0.0).is_err() && Sound::of(&sine, f64::NAN).is_err());
}

/// Values times the scale factor are the current, whatever the number of points.
#[test]
fn law_generator_tables_are_the_current() {
    let step = CIRCUIT.steps()[0].clone();
    let case = CIRCUIT.case(&step, 0.5).unwrap();
    let held = case.waveform.samples_a();
    let n = case.waveform.samples_per_period();
    for points in [16, 1000, 4096] {
        let table = GeneratorTable::of(&case.waveform, points).unwrap();
        assert_eq!(table.plain().lines().count(), points);
        let largest = table.values.iter().map(|v| v.abs()).fold(0.0, f64::max);
        assert!((largest - 1.0).abs() < 1e-12);
        for (k, value) in table.values.iter().enumerate() {
            let near = held[(k * n / points) % held.len()];
            let slack = 0.02 * table.amperes_per_unit;
            assert!((value * table.amperes_per_unit - near).abs() < slack, "{points}: {k}");
        }
    }
    assert!(GeneratorTable::of(&case.waveform, 3).is_err());
}

#[test]
fn law_books_need_nothing_else() {
    let figures = [drawn(TrainingFigure::Sources), drawn(TrainingFigure::SignChange)];
    let book = FlipBook::of("two <pictures>", &figures, &Palette::LIGHT).unwrap();
    for text in [book.svg(), book.html(&Palette::DARK)] {
        assert!(text.contains("prefers-reduced-motion"));
        assert!(text.contains("two &lt;pictures&gt;"));
        assert!(text.contains("keydown"), "a key holds it");
        let outside = text.replace("http://www.w3.org/2000/svg", "");
        for word in ["http:", "https:", "src=", "href=", "@import", "url("] {
            assert!(!outside.contains(word), "{word}");
        }
    }
    assert_eq!(book.html(&Palette::LIGHT).matches("<figure").count(), 2);
    assert!(FlipBook::of("none", &[], &Palette::LIGHT).is_err());
}

#[test]
fn law_teach_data_says_what_each_file_is() {
    let wanted = TeachData { sound_s: 0.5, ..TeachData::default() };
    let files = teach_data_files(&wanted).unwrap();
    let index = files.iter().find(|(name, _)| name == "index.txt").unwrap();
    let index = String::from_utf8(index.1.clone()).unwrap();
    for (name, bytes) in &files {
        assert!(!bytes.is_empty(), "{name}");
        assert!(name.starts_with("index.") || index.contains(name.as_str()), "{name}");
    }
    assert!(index.contains("12 dB below full scale"), "{index}");
    assert!(teach_data_files(&TeachData { step: 7, ..TeachData::default() }).is_err());
    assert!(teach_data_files(&TeachData { load_ratio: 3.0, ..TeachData::default() }).is_err());
}
