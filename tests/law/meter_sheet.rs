//! Sheets that cannot be, and sheets that make a meter doubtful.

use loopcrest::error::ErrorKind;
use loopcrest::meter::{
    Accuracy, Archetype, Bandwidth, Certificate, Circumstances, CrestCapability, Range, Sheet,
};

fn general() -> Sheet {
    Archetype::GeneralTrueRmsClamp.sheet()
}

fn refused(sheet: &Sheet) -> String {
    sheet.check(60.0).expect_err("this sheet cannot be").to_string()
}

#[test]
fn law_every_archetype_is_a_possible_sheet_with_its_own_name() {
    for kind in Archetype::ALL {
        kind.sheet().check(50.0).unwrap();
        kind.sheet().check(60.0).unwrap();
        assert_eq!(Archetype::from_key(kind.key()), Some(kind));
    }
    assert_eq!(Archetype::from_key("clamp"), None);
}

#[test]
fn law_impossible_sheets_are_refused_with_the_reason() {
    let crest = CrestCapability { at_full_scale: 0.9, cap: None, bands: Vec::new() };
    let error = Sheet { crest: Some(crest), ..general() }.check(60.0).unwrap_err();
    assert!(matches!(error.kind(), ErrorKind::OutOfRange { .. }));
    assert!(error.to_string().contains("crest-factor capability is 0.9"), "{error}");

    let narrow = Sheet { bandwidth: Bandwidth::Poles(vec![40.0]), ..general() };
    assert!(refused(&narrow).contains("bandwidth of 40 Hz is below the mains frequency"));

    let mut coarse = general();
    coarse.ranges.list = vec![Range { full_scale_a: 10.0, resolution_a: 2.0 }];
    assert!(refused(&coarse).contains("resolution of 2 A"));

    let mut counts = general();
    counts.ranges.list = vec![Range { full_scale_a: 100.0, resolution_a: 0.01 }];
    assert!(refused(&counts).contains("needs 10000 counts"));

    let silent = Sheet { accuracy: Accuracy { lines: Vec::new() }, ..general() };
    assert!(refused(&silent).contains("no accuracy"));
}

fn codes(sheet: &Sheet, circumstances: &Circumstances) -> Vec<&'static str> {
    sheet.findings(circumstances).iter().map(|note| note.code).collect()
}

#[test]
fn law_doubts_come_with_the_circumstances_that_make_them() {
    let certificate = Certificate {
        number: "KM-7".into(),
        date: Certificate::day("2025-03-01").unwrap(),
        due: Some(Certificate::day("2026-03-01").unwrap()),
        expanded_ratio: 0.003,
        coverage_factor: 2.0,
    };
    let sheet = Sheet { certificate: Some(certificate), ..general() };
    let quiet = Circumstances::default();
    assert!(codes(&sheet, &quiet).is_empty(), "nothing is known that could be wrong");
    let on = |day: &str| Circumstances { today: Some(Certificate::day(day).unwrap()), ..quiet };
    assert!(codes(&sheet, &on("2026-03-01")).is_empty(), "the last day still counts");
    assert_eq!(codes(&sheet, &on("2026-03-02")), ["certificate-overdue"]);
    assert_eq!(codes(&sheet, &on("2025-02-28")), ["certificate-not-yet"]);
    let loaded = |loop_rms_v| Circumstances { loop_rms_v: Some(loop_rms_v), ..quiet };
    assert!(codes(&sheet, &loaded(600.0)).is_empty());
    assert_eq!(codes(&sheet, &loaded(1515.0)), ["voltage-category"]);
    let band = |band_width_a| Circumstances { band_width_a: Some(band_width_a), ..quiet };
    assert!(codes(&sheet, &band(0.2)).is_empty());
    assert_eq!(codes(&sheet, &band(0.01)), ["coarse-resolution"]);
    let hot = Circumstances { ambient_degc: Some(38.0), ..quiet };
    assert_eq!(codes(&sheet, &hot), ["outside-temperature"]);
    assert_eq!(codes(&general(), &quiet), ["no-certificate"]);
    assert!(Certificate::day("1 March 2026").is_err());
}
