//! Data sheets typed into a description.

use std::path::Path;

use loopcrest::description::{Description, sheet_text};
use loopcrest::error::Error;
use loopcrest::meter::{
    Archetype, Bandwidth, Certificate, Clamp, Converter, Detector, RangeRule, Sheet,
    TransformerClass, Window,
};
use loopcrest::waveform::Coupling;

const HEAD: &str = "format = 1\ntitle = \"bench\"\ninvented = true\n[steps]\n\
                    circuit = \"6.6A-5-step\"\n[current]\nshape = \"sine\"\n";

fn parse(meters: &str) -> Result<Description, Error> {
    Description::parse(&format!("{HEAD}{meters}"), Path::new(""))
}

fn sheet(meters: &str) -> Sheet {
    let description = parse(meters).unwrap_or_else(|error| panic!("{error}"));
    description.meters[0].sheet.clone().expect("a sheet was given")
}

#[test]
fn law_every_archetype_survives_writing_and_reading() {
    for kind in Archetype::ALL {
        let text = sheet_text(kind.words(), &kind.sheet());
        let read = sheet(&text);
        assert_eq!(read, kind.sheet(), "{text}");
        assert_eq!(sheet_text(kind.words(), &read), text);
    }
}

#[test]
fn law_a_certificate_and_a_table_survive_too() {
    let certificate = Certificate {
        number: "KM \"7\"".into(),
        date: Certificate::day("2026-03-01").unwrap(),
        due: Some(Certificate::day("2027-03-01").unwrap()),
        expanded_ratio: 0.003,
        coverage_factor: 2.0,
    };
    let mut want = Archetype::FlexibleCoilProbe.sheet();
    want.certificate = Some(certificate);
    want.calibrated_hz = Some(55.0);
    want.ranges.rule = RangeRule::Manual(1);
    assert_eq!(sheet(&sheet_text("coil", &want)), want);
}

#[test]
fn law_entries_count_before_those_of_the_kind() {
    let read = sheet(
        "[[meter]]\nname = \"clamp\"\narchetype = \"general-true-rms-clamp\"\n\
         detector = \"average\"\n[meter.sheet]\nbandwidth = [\"2 kHz\", \"10 kHz\"]\n\
         range-choice = \"100 A\"\n[meter.sheet.clamp.iron-core]\nrated = \"200 A\"\nclass = \"3\"\n\
         [meter.sheet.converter.sampling]\nbits = 14\nsample-rate = \"8 kHz\"\n",
    );
    let base = Archetype::GeneralTrueRmsClamp.sheet();
    assert_eq!(read.detector, Detector::AverageResponding(Coupling::Ac));
    assert_eq!(read.bandwidth, Bandwidth::Poles(vec![2e3, 10e3]));
    assert_eq!(read.ranges.rule, RangeRule::Manual(1));
    let Clamp::IronCore(core) = read.clamp else { panic!("{:?}", read.clamp) };
    assert_eq!((core.rated_a, core.class), (200.0, Some(TransformerClass::Three)));
    assert_eq!(core.low_cutoff_hz, None, "a new clamp takes nothing from the one before");
    let Converter::Sampling { bits: 14, window: Window::WholePeriods, .. } = read.converter else {
        panic!("{:?}", read.converter)
    };
    assert_eq!(read.accuracy, base.accuracy);
    assert_eq!(read.category, base.category);
}

/// The message, its line and its hint.
fn refused(meters: &str) -> String {
    let error = parse(meters).expect_err("this must be refused");
    format!("{error} [{}]", error.hint().unwrap_or_default())
}

#[test]
fn law_a_wrong_sheet_is_told_with_its_place() {
    let general = "[[meter]]\nname = \"clamp\"\narchetype = \"general-true-rms-clamp\"\n";
    let with = |entries: &str| refused(&format!("{general}[meter.sheet]\n{entries}"));
    let cases = [
        (with("bandwidth = [\"40 Hz\"]\n"), ["line 11", "below the mains frequency"]),
        (
            with("[meter.sheet.crest]\nat-full-scale = 0.8\n"),
            ["line 13:17 (at-full-scale)", "crest-factor capability is 0.8"],
        ),
        (with("position = \"80 %\"\n"), ["(position)", "80 %, allowed is 0 to 50 %"]),
        (with("range-choice = \"7 A\"\n"), ["(range-choice)", "\"10 A\", \"100 A\""]),
        (with("bandwith = []\n"), ["bandwith", "did you mean \"bandwidth\""]),
        (
            refused("[[meter]]\nname = \"clamp\"\narchetype = \"general-true-rms-clmp\"\n"),
            ["(archetype)", "did you mean \"general-true-rms-clamp\""],
        ),
        (refused("[[meter]]\nname = \"clamp\"\n"), ["`archetype`", "loopcrest meters"]),
        (
            refused("[[meter]]\nname = \"clamp\"\ndetector = \"average\"\n[meter.sheet]\n"),
            ["meter.sheet.range", "archetype"],
        ),
        (
            with(
                "[meter.sheet.certificate]\nnumber = \"1\"\ndate = \"1.3.2026\"\n\
                  uncertainty = \"1 %\"\ncoverage-factor = 2.0\n",
            ),
            ["(date)", "2026-11-25"],
        ),
    ];
    for (message, parts) in cases {
        for part in parts {
            assert!(message.contains(part), "{part} is not in: {message}");
        }
    }
}

#[test]
fn law_a_meter_by_its_law_alone_has_no_sheet() {
    let description = parse("[[meter]]\nname = \"clamp\"\ndetector = \"average\"\n").unwrap();
    assert!(description.meters[0].sheet.is_none());
}
