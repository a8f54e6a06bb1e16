//! Lessons: the same bytes every time, nothing from outside, every slip told with its place.

use std::path::Path;

use loopcrest::classroom::lesson::{BuiltLesson, Lesson, Piece, Quantity};
use loopcrest::description::Description;
use loopcrest::report::CAUTIONS;
use loopcrest::report::paper::{Deck, PaperSize};
use loopcrest::situation::{Situation, SituationSolver};

use crate::support::program;

fn built(text: &str) -> loopcrest::error::Result<BuiltLesson> {
    Lesson::parse(text, "own", Path::new("")).and_then(|lesson| lesson.build(&|_, _| {}))
}

fn names() -> impl Iterator<Item = &'static str> {
    Lesson::INCLUDED.into_iter().map(|(name, _)| name)
}

#[test]
fn law_a_lesson_is_the_same_bytes_whatever_the_number_of_threads() {
    let all = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            let write = |name| {
                let built = Lesson::included(name).unwrap().build(&|_, _| {}).unwrap();
                let papers = (built.slides().unwrap(), built.handout(PaperSize::A4).unwrap());
                (built.page(), papers)
            };
            names().map(write).collect::<Vec<_>>()
        })
    };
    // Not compared with assert_eq: nobody wants a page in a message.
    assert!(all(1) == all(3));
}

#[test]
fn law_a_lesson_asks_for_nothing_from_outside_and_carries_the_cautions() {
    for name in names() {
        let page = Lesson::included(name).unwrap().build(&|_, _| {}).unwrap().page();
        for foreign in [" src=", "url(", "@import", "<iframe", "<object", "style=\"", " onclick"] {
            assert!(!page.contains(foreign), "{name}: {foreign}");
        }
        assert_eq!(page.matches("<link ").count(), 1, "the icon alone, which is empty");
        assert!(page.contains("<link rel=\"icon\" href=\"data:,\">"));
        assert!(page.contains("default-src 'none'; style-src 'sha256-"));
        for caution in CAUTIONS {
            assert!(page.contains(&caution.replace('\'', "&#39;")), "{name}: {caution}");
        }
        for source in &Lesson::included(name).unwrap().sources {
            assert!(page.contains(source.known.words()));
        }
        assert!(page.contains("invented"));
        // A reader without script has the first frame and the numbers of the others.
        assert!(
            page.contains("<noscript>") && page.contains("<polyline class=\"wave\" points=\"40.0,")
        );
    }
}

#[test]
fn law_a_value_in_a_text_is_what_the_engine_says() {
    let text = Lesson::STARTER_TEXT;
    let page = built(text).unwrap().page();
    let mut situation = Situation::default();
    for (key, value) in [("step", "1"), ("load", "shorted"), ("meter", "average")] {
        situation.set(key, value).unwrap();
    }
    let seen = SituationSolver::new(Description::embedded()).seen(&situation).unwrap();
    let shown = Quantity::named("shown").unwrap();
    let three = shown.shown(&seen, 0, None).unwrap();
    let one = shown.shown(&seen, 0, Some(1)).unwrap();
    let text = page.replace('\u{a0}', " ");
    assert!(text.contains(&format!("the meter shows {three}, with one digit {one}.")));
    assert!(
        page.contains(&format!("<dd data-meter=\"0\">{three}</dd>")),
        "the slider begins there"
    );
}

#[test]
fn law_no_text_of_a_slide_leaves_it() {
    for name in names() {
        let built = Lesson::included(name).unwrap().build(&|_, _| {}).unwrap();
        let sheets = built.deck().sheets();
        assert!(sheets.len() >= 10, "{name} has {} slides", sheets.len());
        for sheet in sheets {
            let boxes = sheet.boxes_pt();
            for (frame, words) in &boxes {
                let inside = frame.left_pt >= 0.0
                    && frame.right_pt <= Deck::WIDTH_PT
                    && frame.top_pt >= 0.0
                    && frame.bottom_pt <= Deck::HEIGHT_PT;
                assert!(inside, "{name}, slide {}: {words}", sheet.number);
            }
            for (at, (one, words)) in boxes.iter().enumerate() {
                for (other, others) in &boxes[at + 1..] {
                    let apart = one.right_pt <= other.left_pt
                        || other.right_pt <= one.left_pt
                        || one.bottom_pt <= other.top_pt + 0.5
                        || other.bottom_pt <= one.top_pt + 0.5;
                    assert!(apart, "{name}, slide {}: \"{words}\" and \"{others}\"", sheet.number);
                }
            }
        }
    }
}

/// 200 frames with three meters: the largest lesson anyone has asked for stays under 3 MB.
#[test]
fn law_two_hundred_frames_stay_small() {
    let lamps: Vec<String> = (0..10).map(|k| format!("\"{} %\"", 3 * k)).collect();
    let slider = format!(
        "[slider.large]\ntitle = \"Large\"\nsteps = [1, 2, 3, 4, 5]\n\
         loads = [\"25 %\", \"50 %\", \"75 %\", \"100 %\"]\nlamps-out = [{}]\n\
         meters = [\"average\", \"peak\", \"true-rms\"]\n+++\n{{{{ slider large }}}}\n",
        lamps.join(", ")
    );
    let text = Lesson::STARTER_TEXT.replacen("\n+++\n", &format!("\n{slider}"), 1);
    let built = built(&text).unwrap();
    let large = built.pieces.iter().find_map(|piece| match piece {
        Piece::Slider(slider) if slider.name == "large" => Some(slider),
        _ => None,
    });
    assert_eq!(large.unwrap().frames.len(), 200);
    let bytes = built.page().len();
    assert!(bytes < 3_000_000, "{bytes} bytes");
}

#[test]
fn law_every_slip_in_a_lesson_is_told_with_its_place() {
    let text = Lesson::STARTER_TEXT;
    assert!(built(text).is_ok());
    for (from, to, wanted) in [
        ("load = \"shorted\"", "laod = \"shorted\"", "expected one of step, load"),
        ("load = \"shorted\"", "load = \"half\"", "load: expected as-set, shorted, full"),
        ("step = 1\nload = \"field\"", "step = 7\nload = \"field\"", "5, 4, 3, 2, 1"),
        ("lamps-out = \"10 %\"", "lamps-out = \"130 %\"", "share of lamps out"),
        ("\"three-detectors\"", "\"three-detctors\"", "training figure"),
        ("with = { step = 1", "with = { stepp = 1", "no parameter \"stepp\""),
        ("plot = \"current\"", "plot = \"currents\"", "current, harmonics, errors, ladder"),
        ("plot = \"current\"", "training = \"sources\"\nplot = \"current\"", "found both"),
        ("situation = \"service\"", "situation = \"servce\"", "service, shorted"),
        (
            "meters = [\"average\", \"true-rms\"]",
            "meters = [\"averag\"]",
            "a meter: true-RMS clamp",
        ),
        ("steps = [1, 3, 5]", "steps = [1, 3, 6]", "step 6"),
        ("right = [2]", "right = [3]", "a number from 1 to 2"),
        ("quantity = \"error\"", "quantity = \"eror\"", "a quantity: true-rms"),
        ("known = \"memory\"", "known = \"sure\"", "printed, quoted, memory, derived"),
        ("{{ value shorted shown 1 }}", "{{ value shorted shwn }}", "expected a quantity"),
        ("{{ value shorted shown 1 }}", "{{ value short shown }}", "service, shorted"),
        ("{{ value shorted shown 1 }}", "{{ value shorted shown 9 }}", "digits after the point"),
        ("{{ value shorted shown 1 }}", "{{ value shorted limit }}", "there is no limit"),
        ("{{ value shorted shown 1 }}", "{{ value shorted", "}} after {{"),
        ("{{ figure current }}", "{{ figure curent }}", "a figure of the head: current, detectors"),
        ("{{ figure current }}", "", "stands nowhere in the text"),
        ("{{ figure current }}", "{{ figure detectors }}", "placed twice"),
        ("{{ figure current }}", "see {{ figure current }}", "on a line of its own"),
        ("# A section", "<b>A section</b>", "found HTML"),
        ("# A section", "![x](y.png)", "found a picture"),
        ("# A section", "[x](javascript:alert(1))", "no web address"),
        ("format = 1", "format = 2", "format = 1"),
        ("minutes = 20", "minutes = 0", "minutes of a lesson"),
    ] {
        let changed = text.replacen(from, to, 1);
        assert_ne!(changed, text, "{from}");
        let error = built(&changed).err().unwrap_or_else(|| panic!("{from} -> {to} is taken"));
        let said = format!("{error}");
        assert!(said.contains(wanted), "{from} -> {to}: {said}");
        assert!(error.place().is_some_and(|place| place.line > 1 || to == "x"), "{to}: {said}");
    }
    for wrong in ["", "# no head\n", "+++\nformat = 1\n"] {
        assert!(format!("{}", built(wrong).unwrap_err()).contains("+++"));
    }
}

/// A figure that cannot be computed fails the whole lesson, and nothing is written.
#[test]
fn law_a_lesson_is_written_whole_or_not_at_all() {
    let folder = tempfile::tempdir().unwrap();
    let unheld =
        Lesson::STARTER_TEXT.replacen("{{ value shorted shown 1 }}", "{{ value none shown }}", 1);
    std::fs::write(folder.path().join("bad.md"), unheld).unwrap();
    let arguments = ["lesson", "bad.md", "--out", "bad.html", "--slides", "bad.pdf"];
    let output = program::run(folder.path(), &arguments);
    assert_eq!(output.status.code(), Some(2));
    let said = program::text(&output.stderr);
    assert!(
        said.contains("bad.md")
            && said.contains("shorted, service") | said.contains("service, shorted"),
        "{said}"
    );
    assert!(!folder.path().join("bad.html").exists() && !folder.path().join("bad.pdf").exists());

    std::fs::write(folder.path().join("here.html"), "mine").unwrap();
    let output = program::run(folder.path(), &["lesson", "trainee", "--out", "here.html"]);
    assert_eq!(output.status.code(), Some(4));
    assert_eq!(std::fs::read_to_string(folder.path().join("here.html")).unwrap(), "mine");

    let output = program::run(folder.path(), &["lesson", "tecnician", "--out", "x.html"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(program::text(&output.stderr).contains("did you mean \"technician\"?"));
}

/// The place of a slip names line and field.
#[test]
fn law_a_slip_names_line_and_field() {
    let text = Lesson::STARTER_TEXT.replacen("load = \"shorted\"", "load = \"half\"", 1);
    let line = text.lines().position(|line| line == "load = \"half\"").unwrap() + 1;
    let place = built(&text).unwrap_err().place().cloned().unwrap();
    assert_eq!((place.line, place.field.as_deref()), (line, Some("load")));
    let text = Lesson::STARTER_TEXT.replacen("shorted shown 1 }}", "shorted shwn }}", 1);
    let line = text.lines().position(|line| line.contains("shwn")).unwrap() + 1;
    let place = built(&text).unwrap_err().place().cloned().unwrap();
    assert_eq!((place.line, place.field.as_deref()), (line, Some("value")));
}
