//! Pages: nothing covers anything else, nothing is cut off, the same bytes every time, and the text
//! of the PDF is that of the record.

use std::process::Command;

use loopcrest::assess::instrument::{Instrument, Terms, Verdict};
use loopcrest::description::Description;
use loopcrest::meter::{Archetype, Detector, Meter};
use loopcrest::procedure::Procedure;
use loopcrest::report::CAUTIONS;
use loopcrest::report::paper::{
    Blank, Block, Cell, Column, Fact, Frame, Mark, PaperSize, Part, Sheet, Table, Writing,
};
use loopcrest::report::worksheet::{Worksheet, worksheet_writing};
use loopcrest::waveform::Coupling;

use crate::support::program::{run, text};
use crate::support::recorded_visit;

/// Every text and figure lies on the sheet, beside its margins, and covers no other.
#[track_caller]
fn assert_clean(writing: &Writing, size: PaperSize) {
    for sheet in writing.sheets(size) {
        let paper =
            Frame::new(size.left_pt() - 0.1, 10.0, size.width_pt() - 10.0, size.height_pt() - 10.0);
        let boxes = sheet.boxes_pt();
        assert!(!boxes.is_empty(), "an empty sheet {}", sheet.number);
        for (index, (frame, words)) in boxes.iter().enumerate() {
            assert!(paper.contains(frame), "{size:?} {}: \"{words}\" {frame:?}", sheet.number);
            for (other, other_words) in &boxes[index + 1..] {
                assert!(
                    !frame.overlaps(other),
                    "{size:?} {}: \"{words}\" {frame:?} covers \"{other_words}\" {other:?}",
                    sheet.number
                );
            }
        }
    }
}

/// A text from outside that is as long and as rude as it gets.
const LONG: &str = "Regulator-for-the-southern-approach-and-everything-that-hangs-on-it & a \
                    <script>alert(1)</script> \"name\" that goes on for longer than anybody would \
                    want to write it on a plate in any vault of any aerodrome";

fn crowded() -> Writing {
    let columns: Vec<Column> =
        (0..12).map(|k| Column::numbers(&format!("column {k} with a head A"))).collect();
    let row = |k: usize| {
        let mut row = vec![Cell::text(LONG.repeat(1 + k % 3)), Cell::Strong("6.600".into())];
        row.extend((0..9).map(|_| Cell::Absent("not read".into())));
        row.push(Cell::Blank);
        row
    };
    let table = Table::new(LONG, columns, (0..20).map(row).collect());
    let blocks = vec![
        Block::Title(LONG.into()),
        Block::Facts(vec![Fact::new(LONG, LONG), Fact::blank("Name"), Fact::new("a", "b")]),
        Block::Checks(vec![LONG.into(); 40]),
        Block::Heading(LONG.into()),
        Block::Table(table.clone().for_pencil()),
        Block::Table(table),
        Block::Caution { head: "Caution".into(), sentences: vec![LONG.into(); 60] },
        Block::Paragraph(LONG.repeat(60)),
        Block::Lines { head: LONG.into(), count: 3 },
        Block::Items(vec![LONG.into(); 30]),
        Block::CautionInBrief { head: LONG.into(), sentences: vec![LONG.into(); 4] },
        Block::FillIn(vec![
            Blank::Words(LONG.into()),
            Blank::Gap,
            Blank::Tick(LONG.into()),
            Blank::Gap,
            Blank::Gap,
            Blank::Gap,
            Blank::Words("A".into()),
        ]),
        Block::Lanes(vec![
            Block::Subheading(LONG.into()),
            Block::Checks(vec![LONG.into(); 7]),
            Block::Lines { head: LONG.into(), count: 1 },
            Block::FillIn(vec![Blank::Words(LONG.into()), Blank::Gap, Blank::Tick("yes".into())]),
        ]),
        Block::Lanes(vec![Block::Checks(vec![LONG.into(); 90])]),
        Block::Signatures(vec![LONG.into(); 5]),
    ];
    let part = Part {
        head_left: LONG.into(),
        head_right: LONG.into(),
        on_one_sheet: true,
        on_own_leaf: false,
        blocks,
    };
    Writing { title: LONG.into(), program: LONG.into(), at: None, parts: vec![part.clone(), part] }
}

#[test]
fn law_pages_hold_long_names_and_many_columns() {
    for size in PaperSize::ALL {
        assert_clean(&crowded(), size);
    }
}

#[test]
fn law_the_pages_of_a_record_are_clean_on_every_paper() {
    for name in ["R-07", LONG] {
        let (_, writing) = recorded_visit::record(name);
        for size in PaperSize::ALL {
            assert_clean(&writing, size);
        }
    }
}

/// The check itself can fail: two texts at one place are seen.
#[test]
fn law_the_check_of_pages_sees_an_overlap() {
    let one = Frame::new(0.0, 0.0, 10.0, 10.0);
    assert!(one.overlaps(&Frame::new(9.0, 9.0, 20.0, 20.0)));
    assert!(!one.overlaps(&Frame::new(10.0, 0.0, 20.0, 10.0)));
}

#[test]
fn law_the_same_record_gives_the_same_bytes() {
    let (_, one) = recorded_visit::record("R-07");
    let (_, other) = recorded_visit::record("R-07");
    let pdf = one.pdf(PaperSize::A4).unwrap();
    assert_eq!(pdf, other.pdf(PaperSize::A4).unwrap());
    assert_ne!(pdf, recorded_visit::record("R-08").1.pdf(PaperSize::A4).unwrap());
    assert_eq!(one.html(PaperSize::A4), other.html(PaperSize::A4));
}

#[test]
fn law_html_needs_nothing_from_outside_and_escapes_names() {
    let (_, writing) = recorded_visit::record(LONG);
    let html = writing.html(PaperSize::A4);
    assert!(!html.contains("<script"), "a name became a script");
    assert!(html.contains("&lt;script&gt;"), "the name is not there");
    for outside in [" src=", " href=", "url(", "@import", "<link", "<iframe"] {
        assert!(!html.contains(outside), "{outside}");
    }
    assert_eq!(html.matches("http").count(), html.matches("http://www.w3.org/2000/svg").count());
    assert!(html.contains("<html lang=\"en\">") && html.contains("<th scope=\"col\""));
}

/// What poppler makes of a PDF; `None`, said loudly, where it is not installed.
fn poppler(program: &str, pdf: &[u8], arguments: &[&str]) -> Option<String> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("record.pdf");
    std::fs::write(&file, pdf).unwrap();
    let mut command = Command::new(program);
    command.arg(arguments[0]).arg(&file).args(&arguments[1..]);
    match command.output() {
        Ok(output) => {
            assert!(output.status.success(), "{}", text(&output.stderr));
            Some(text(&output.stdout))
        }
        Err(_) => {
            eprintln!(
                "SKIPPED: {program} of poppler-utils is not installed; the text of the PDF was not checked"
            );
            None
        }
    }
}

#[test]
fn cross_the_text_of_the_pdf_is_that_of_the_record() {
    let (record, writing) = recorded_visit::record("R-07");
    let pdf = writing.pdf(PaperSize::A4).unwrap();
    let Some(said) = poppler("pdftotext", &pdf, &["-layout", "-"]) else { return };
    assert!(record.readings.len() == 15 && record.corrections.len() == 1);
    for reading in &record.readings {
        let true_a = format!("{:.3}", reading.true_rms_a.unwrap());
        let expanded = format!("{:.3}", reading.expanded_uncertainty_a.unwrap());
        let shown = format!("{:.2}", reading.shown_a);
        let line = said.lines().find(|line| {
            let words: Vec<&str> = line.split_whitespace().collect();
            words.first() == Some(&reading.step.to_string().as_str())
                && words.last() == Some(&reading.entry.to_string().as_str())
        });
        let line = line.unwrap_or_else(|| panic!("no line for entry {}:\n{said}", reading.entry));
        for value in [shown, true_a, expanded] {
            assert!(line.split_whitespace().any(|word| word == value), "{value} in {line}");
        }
    }
    let flowing: String = said.split_whitespace().collect();
    for words in [
        record.last_hash.as_str(),
        "KM-2026-118",
        "66.00Ashown",
        "Fanfiltercleaned.",
        "4.2",
        "2027-11-25",
    ] {
        assert!(flowing.contains(words), "{words}");
    }
    let pages = writing.sheets(PaperSize::A4).len();
    assert!(said.contains(&format!("page {pages} of {pages}")));
}

#[test]
fn cross_every_font_of_the_pdf_is_embedded() {
    let (_, writing) = recorded_visit::record("R-07");
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("record.pdf");
    std::fs::write(&file, writing.pdf(PaperSize::A5).unwrap()).unwrap();
    let Ok(output) = Command::new("pdffonts").arg(&file).output() else {
        eprintln!("SKIPPED: pdffonts of poppler-utils is not installed; fonts were not checked");
        return;
    };
    let fonts = text(&output.stdout);
    let rows: Vec<&str> = fonts.lines().skip(2).collect();
    assert!(!rows.is_empty(), "{fonts}");
    for row in rows {
        let words: Vec<&str> = row.split_whitespace().rev().collect();
        // From the right: object (two numbers), uni, sub, emb.
        assert_eq!(words[4], "yes", "{row}");
        assert!(row.contains("DejaVu"), "{row}");
    }
}

/// The worksheet of the embedded example with a meter that is fit, as a writing.
fn worksheet() -> Writing {
    let kind = Archetype::from_key("precision-true-rms-clamp").unwrap();
    worksheet_with(Meter::with_sheet(kind.words(), kind.sheet()))
}

/// The same with another meter.
fn worksheet_with(meter: Meter) -> Writing {
    let description = Description::embedded();
    let terms = Terms::default();
    let instrument = Instrument::of_meter(&meter, description.frequency_hz, None).unwrap();
    let currents = description.possible_currents().unwrap().value;
    let verdicts: Vec<Verdict> =
        currents.iter().map(|place| Verdict::new(&instrument, place, &terms).unwrap()).collect();
    let procedure = Procedure::embedded();
    worksheet_writing(&[Worksheet {
        description: &description,
        currents: &currents,
        meter: &meter,
        verdicts: &verdicts,
        terms: &terms,
        procedure: &procedure,
    }])
}

/// One sheet goes into the vault: the whole procedure, every caution, no type below 8 points, rows of
/// 8 mm at the least for a gloved hand, and no text over another or off the paper.
#[test]
fn law_a_worksheet_takes_one_sheet() {
    let writing = worksheet();
    for size in PaperSize::ALL {
        assert_clean(&writing, size);
        let sheets = writing.sheets(size);
        if size != PaperSize::A5 {
            assert_eq!(sheets.len(), 1, "{size:?}");
        }
        let marks = || sheets.iter().flat_map(|sheet| &sheet.marks);
        for mark in marks() {
            if let Mark::Text { text, size_pt, .. } = mark {
                assert!(*size_pt >= 7.999, "{size:?}: {size_pt} pt: {text}");
            }
        }
        // The rules below the rows of the table lie as far apart as the rows are high; on the
        // smallest paper cells take more lines and rows are higher still.
        let across = 0.9 * (size.width_pt() - size.left_pt() - 26.0);
        let mut rules: Vec<f64> = marks()
            .filter_map(|mark| match mark {
                Mark::Line { from_pt: (x0, y0), to_pt: (x1, y1), .. }
                    if (y1 - y0).abs() < 1e-9 && x1 - x0 > across =>
                {
                    Some(*y0)
                }
                _ => None,
            })
            .collect();
        rules.sort_by(f64::total_cmp);
        let rows = rules.windows(2).filter(|pair| {
            let height_pt = pair[1] - pair[0];
            (7.9..8.6).contains(&(height_pt / PaperSize::PT_PER_MM))
        });
        if size != PaperSize::A5 {
            assert_eq!(rows.count(), 5, "{size:?}: {rules:?}");
        }
        let said: String = sheets.iter().flat_map(Sheet::texts).collect::<Vec<_>>().join(" ");
        let said: String = said.split_whitespace().collect();
        let holds = |words: &str| said.contains(&words.split_whitespace().collect::<String>());
        for caution in CAUTIONS {
            assert!(holds(caution), "{size:?}: {caution}\n{said}");
        }
        for (_, item) in Procedure::embedded().items() {
            let short = item.short.as_deref().expect("every embedded item has its line");
            assert!(holds(short), "{size:?}: {short}");
        }
        assert!(holds("DANGER, field connected, step 5, 4, 3"), "the clamp is made for 600 V");
    }
}

/// What the paper says of the meter is true of that meter; a trial and every "dead" have their whole
/// words, since the paper is all that is in the vault.
#[test]
fn law_a_worksheet_speaks_of_its_own_meter() {
    let said = |meter: Meter| {
        let sheets = worksheet_with(meter).sheets(PaperSize::A4);
        let texts: Vec<_> = sheets.iter().flat_map(Sheet::texts).collect();
        texts.join(" ").split_whitespace().collect::<String>()
    };
    let holds =
        |said: &str, words: &str| said.contains(&words.split_whitespace().collect::<String>());
    let kind = |key: &str| {
        let kind = Archetype::from_key(key).unwrap();
        Meter::with_sheet(kind.words(), kind.sheet())
    };
    let fit = said(kind("precision-true-rms-clamp"));
    assert!(holds(&fit, "clamp on one conductor, in its middle; AC A, true RMS."));
    assert!(holds(&fit, "This meter may set this regulator.") && !holds(&fit, "NO DATA SHEET"));
    assert!(holds(&fit, "Then put everything back as it was."));
    assert_eq!(fit.matches("waitedforthecapacitors").count(), 3, "{fit}");

    let average = said(kind("average-responding-clamp"));
    assert!(holds(&average, "AC A, average-responding, not true RMS"), "{average}");
    assert!(!holds(&average, "AC A, true RMS"));
    assert!(!holds(&average, "This meter may set this regulator."), "it may not");
    assert!(holds(&average, "NOT FIT: this meter may not set this regulator."));
    let panel = said(kind("rectifier-panel"));
    assert!(holds(&panel, "in the circuit, no clamp; AC A, average-responding"), "{panel}");

    // Known by its law alone: said in bold, and no digits no display has.
    let bare = said(Meter::ideal("bare", Detector::AverageResponding(Coupling::Ac)));
    assert!(holds(&bare, "NO DATA SHEET of bare: its accuracy is not counted"), "{bare}");
    assert!(holds(&bare, "as its manual says; AC A, average-responding"), "{bare}");
    let bare = worksheet_with(Meter::ideal("bare", Detector::TrueRms(Coupling::Ac)));
    let sheets = bare.sheets(PaperSize::A4);
    let texts: Vec<_> = sheets.iter().flat_map(Sheet::texts).collect();
    let has_six = texts.iter().flat_map(|text| text.split_whitespace()).any(|word| {
        word.split_once('.')
            .is_some_and(|(ampere, decimals)| ampere.parse::<u32>().is_ok() && decimals.len() > 3)
    });
    assert!(!has_six, "{texts:?}");
}

/// With the logbook's regulator and meter the paper says what the record will: the certificate counts.
#[test]
fn law_a_worksheet_of_the_logbook_is_what_its_record_says() {
    let folder = tempfile::tempdir().unwrap();
    let done = |arguments: &[&str]| {
        let output = run(folder.path(), arguments);
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", text(&output.stderr));
        output
    };
    let book = ["--logbook", "book.sqlite"];
    let add = |rest: &[&str]| {
        done(&[&["logbook", "add"], rest, &book[..], &["--by", "A. Person"]].concat());
    };
    done(&["starter", "bench.toml"]);
    add(&["regulator", "R-07", "bench.toml", "--place", "vault 3"]);
    add(&["meter", "M-1", "--sheet", "precision-true-rms-clamp"]);
    let certificate = ["certificate", "M-1", "2026-114", "--date", "2026-02-03"];
    add(&[&certificate[..], &["--uncertainty", "0.4%"]].concat());
    let worksheet = |rest: &[&str]| -> serde_json::Value {
        let out = ["--replace", "--out", "sheet.html", "--today", "2026-11-25", "--json"];
        let output = done(&[&["worksheet"], rest, &out[..]].concat());
        let document: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        document["worksheets"][0]["steps"][0]["shorted"]["set_band"].clone()
    };
    let named = ["--regulator", "R-07", "--meter", "M-1"];
    let of_logbook = worksheet(&[&named[..], &book[..]].concat());
    let only_one = worksheet(&[&named[..2], &book[..]].concat());
    assert_eq!(of_logbook, only_one);
    let bare = worksheet(&["bench.toml", "--meter", "precision-true-rms-clamp"]);
    assert_ne!(of_logbook, bare, "the certificate narrows it");

    // A visit of that day judges by the same numbers.
    let rows = "step,moment,output,shown\n5,as-left,shorted,6.60\n";
    std::fs::write(folder.path().join("readings.csv"), rows).unwrap();
    let visit = ["calibrate", "--readings", "readings.csv", "--by", "A. Person", "--json"];
    let day = ["--day", "2026-11-25"];
    let output = run(folder.path(), &[&visit[..], &day[..], &named[..], &book[..]].concat());
    let document: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let reading = &document["readings"][0];
    assert_eq!(reading["set_low_a"], of_logbook["low_a"]);
    assert_eq!(reading["set_high_a"], of_logbook["high_a"]);

    let output = run(
        folder.path(),
        &[&["worksheet", "--regulator", "R-99", "--out", "x.pdf"], &book[..]].concat(),
    );
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("knows no regulator R-99"));
}

/// The numbers of a worksheet are those on the paper.
#[test]
fn law_a_worksheet_has_its_numbers_as_json() {
    let folder = tempfile::tempdir().unwrap();
    let arguments =
        ["worksheet", "--meter", "precision-true-rms-clamp", "--out", "sheet.pdf", "--json"];
    let output = run(folder.path(), &arguments);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let document: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let sheet = &document["worksheets"][0];
    assert_eq!((&document["kind"], &sheet["sides"]), (&"worksheet".into(), &1.into()));
    assert_eq!(sheet["steps"].as_array().unwrap().len(), 5);
    let top = &sheet["steps"][0];
    // The numbers of `loopcrest fitness` for the same meter; closed there by tests/exact/instrument.rs.
    assert_eq!(top["shorted"]["set_band"]["low_a"], 6.418);
    assert_eq!(top["shorted"]["set_band"]["high_a"], 6.681);
    assert!(top["shorted"]["danger"].is_null());
    assert!(top["field"]["danger"].as_str().unwrap().contains("CAT III 600 V"));
    let items = sheet["items"].as_array().unwrap();
    assert_eq!(items.len(), Procedure::embedded().items().count());
    let trial = items.iter().find(|item| item["item_kind"] == "prove").unwrap();
    // 105 % of 6.6 A: the description's default protection, from memory, not verified.
    assert!((trial["set_rms_a"].as_f64().unwrap() - 6.93).abs() < 1e-9);
    assert!(trial["limits_source"].as_str().unwrap().contains("from memory"));
}

#[test]
fn law_a_worksheet_is_written_whole_or_not_at_all() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["sheet.pdf", "sheet.html"] {
        let output = run(folder.path(), &["worksheet", "--out", name]);
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        let again = run(folder.path(), &["worksheet", "--out", name]);
        assert_eq!(again.status.code(), Some(4), "it was written over");
    }
    let html = std::fs::read_to_string(folder.path().join("sheet.html")).unwrap();
    for words in ["as found A", "Switch off, lock out", "6.40 to 6.70", "second person"] {
        assert!(html.to_lowercase().contains(&words.to_lowercase()), "{words}");
    }
    let wrong = run(folder.path(), &["worksheet", "--out", "sheet.doc"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(text(&wrong.stderr).contains(".pdf or .html"));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2);
}
