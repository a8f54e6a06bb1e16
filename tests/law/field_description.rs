//! The field of a description: what is read, and how what cannot be read is refused.

use std::path::Path;

use loopcrest::description::Description;
use loopcrest::error::ErrorKind;
use loopcrest::series::{FieldFault, FixtureKind, LampTolerance};

use crate::support::{assert_absolute, assert_relative};

const HEAD: &str = "format = 1\ntitle = \"bench\"\ninvented = true\n\
                    [steps]\ncircuit = \"6.6A-5-step\"\n\
                    [regulator]\nrating = \"10 kW\"\nload = \"2 %\"\n\
                    [[meter]]\nname = \"clamp\"\ndetector = \"average\"\n";

const GROUP: &str = "[[field.group]]\ncount = 40\npower = \"120 W\"\n";

fn parse(field: &str) -> loopcrest::error::Result<Description> {
    Description::parse(&format!("{HEAD}{field}"), Path::new(""))
}

#[track_caller]
fn refused(field: &str, said: &[&str]) {
    let error = parse(field).expect_err("this must be refused");
    assert!(error.place().is_some(), "no place: {error}");
    let text = format!("{error} {}", error.hint().unwrap_or_default());
    for word in said {
        assert!(text.contains(word), "\"{word}\" is not in: {text}");
    }
}

#[track_caller]
fn noted(field: &str, code: &str) -> String {
    let field = parse(field).unwrap().field.unwrap();
    let found = field.notes.iter().find(|note| note.code == code);
    found.unwrap_or_else(|| panic!("no {code} in {:?}", field.notes)).text.clone()
}

#[test]
fn law_a_field_is_read_with_its_units() {
    let text = "[field]\ntap = \"75 %\"\nlamp-tolerance = \"most\"\nsizes = [\"7.5 kW\", \"4 kW\"]\n\
        [field.transformer]\ncore-loss = \"120 ohm\"\n\
        [[field.group]]\nname = \"edge\"\ncount = 30\npower = \"45 W\"\nlamps-per-fixture = 2\n\
        open = 3\nshorted = 1\nloss = \"20 %\"\ntransformer = { rating = \"100 W\", knee = \"25 V\" }\n\
        [[field.group]]\ncount = 4\npower = \"60 W\"\nkind = \"rectifier\"\n\
        [[field.cable]]\nconductor = \"8awg-stranded-coated\"\nlength = \"20 kft\"\n\
        [field.fault]\nkind = \"partial-short\"\nfrom = \"40 %\"\nto = 0.7\nresistance = \"0.5 ohm\"\n";
    let setup = parse(text).unwrap().field.unwrap();
    let edge = &setup.field.groups[0];
    assert_eq!((edge.count, edge.open, edge.shorted, edge.lit()), (30, 3, 1, 26));
    assert_absolute(edge.transformer.core_loss_ohm, 120.0, 0.0, "from [field.transformer]");
    assert_absolute(edge.transformer.knee_rms_v, 25.0, 0.0, "the group's own");
    assert!(matches!(setup.field.groups[1].kind, FixtureKind::Rectifier(_)));
    // 0.6783 ohm/kft at 25 °C, twenty of them.
    assert_relative(setup.field.cable_ohm(), 20.0 * 0.6783, 1e-4, "four printed digits");
    assert_relative(setup.field.cable_m(), 6096.0, 1e-12, "20,000 ft of 0.3048 m");
    assert_eq!(setup.sizes.smallest_for(5e3), Some(7.5e3));
    assert_eq!(setup.lamp_tolerance, LampTolerance::Most);
    let fault = FieldFault::PartialShort { from_ratio: 0.4, to_ratio: 0.7, resistance_ohm: 0.5 };
    assert_eq!(setup.field.fault, Some(fault));
    // 30 fixtures of two lamps of 45 W +8 %, and 20 % loss on top: the design load counts them all.
    let sum = setup.calculation().sum().unwrap();
    assert_relative(sum.lamp_w, 30.0 * 2.0 * 48.6, 1e-12, "rounding");
}

#[test]
fn law_the_embedded_field_is_about_the_load_of_the_recheck() {
    let description = Description::embedded();
    let (field, setup) = (description.field.unwrap(), description.regulator.unwrap());
    let share = field.margin(&setup).unwrap().share_of_rating();
    let recheck = setup.recheck_load_ratio.unwrap();
    assert_absolute(share, recheck, 0.02, "the example names the share in whole tens of percent");
    assert!(field.notes.is_empty(), "{:?}", field.notes);
}

#[test]
fn law_bad_groups_are_refused_with_place_and_reason() {
    let group = |fields: &str| format!("[[field.group]]\n{fields}\n");
    let lamps = "count = 4\npower = \"100 W\"\n";
    refused(&group("count = -3\npower = \"100 W\""), &["count", "-3", "1 to 10000"]);
    refused(&group("count = 0\npower = \"100 W\""), &["fixtures in the group is 0"]);
    refused(&group("count = 2.5\npower = \"100 W\""), &["whole number", "2.5"]);
    refused(&group(&format!("{lamps}open = 5")), &["(open)", "5 fixtures open", "more than the 4"]);
    refused(&group(&format!("{lamps}shorted = -1")), &["(shorted)", "-1"]);
    refused(&group(&format!("{lamps}kind = \"lamb\"")), &["did you mean \"lamp\"?"]);
    refused(&group(&format!("{lamps}lamps = 2")), &["lamps-per-fixture"]);
    refused(&group("count = 4"), &["`power` in every fixture group"]);
    refused(
        &group(&format!("{lamps}current = \"20 A\"\ntransformer = {{ secondary = \"6.6 A\" }}")),
        &["(current)", "20 A", "secondary of 6.6 A"],
    );
    refused(&group(&format!("{lamps}power-factor = 0.9")), &["says nothing about a filament lamp"]);
    refused(&group(&format!("{lamps}transformer = {{ iron-exponent = 4 }}")), &["odd"]);
    refused(
        &format!(
            "{}{}",
            group(&format!("{lamps}name = \"a\"")),
            group(&format!("{lamps}name = \"a\""))
        ),
        &["two fixture groups are called \"a\""],
    );
    refused("[field]\n", &["no fixtures and no cable"]);
    let apparent = "count = 4\nkind = \"apparent\"\n";
    refused(&group(&format!("{apparent}power = \"100 W\"")), &["`apparent-power`"]);
    refused(&group(&format!("{apparent}apparent-power = \"100 W\"")), &["100 W", "VA"]);
    refused(&group(&format!("{apparent}apparent-power = \"-1 VA\"")), &["(apparent-power)", "-1"]);
    refused(
        &group(&format!("{apparent}apparent-power = \"100 VA\"\npower-factor = 0.9")),
        &["(power-factor)", "only the volt-amperes are known"],
    );
    refused(
        &group(&format!("{lamps}apparent-power = \"100 VA\"")),
        &["says nothing about a filament lamp"],
    );
}

#[test]
fn law_bad_cable_fault_and_tap_are_refused_with_place_and_reason() {
    let cable = |fields: &str| format!("{GROUP}[[field.cable]]\n{fields}\n");
    refused(
        &cable("conductor = \"6mm2\"\nlength = \"2 km\""),
        &["(conductor)", "6mm2-class2", "6 mm2 is not 8 AWG"],
    );
    refused(
        &cable("conductor = \"8awg-solid\"\nlength = \"0 m\""),
        &["(length)", "cable length is 0"],
    );
    refused(&cable("conductor = \"8awg-solid\"\nlength = \"-5 km\""), &["(length)", "-5000"]);
    refused(&cable("conductor = \"8awg-solid\"\nlength = \"2\""), &["without a unit", "kft"]);
    refused(&cable("length = \"2 km\""), &["`conductor` or `resistance`"]);
    let long = "conductor = \"8awg-solid\"\nlength = \"2 km\"\n";
    refused(&cable(&format!("{long}inductance = \"3 ohm/km\"")), &["(inductance)", "mH/km"]);
    refused(&cable(&format!("{long}inductance = \"2 H/m\"")), &["(inductance)", "is 2"]);
    refused(&cable(&format!("{long}inductance = \"-1 mH/km\"")), &["(inductance)", "-0.000001"]);
    refused(
        &cable("conductor = \"8awg-solid\"\nresistance = \"3 ohm/km\"\nlength = \"2 km\""),
        &["both a conductor and a resistance"],
    );
    let fault = |fields: &str| format!("{GROUP}[field.fault]\n{fields}\n");
    refused(
        &fault("kind = \"partial-short\"\nfrom = 0.7\nto = 0.4\nresistance = \"1 ohm\""),
        &["nothing is bypassed"],
    );
    refused(&fault("kind = \"short\""), &["partial-short"]);
    refused(&format!("[field]\ntap = \"175 %\"\n{GROUP}"), &["(tap)", "175", "100"]);
    refused(&format!("[field]\nsizes = []\n{GROUP}"), &["without a size"]);
}

/// What can be built wrongly in a real field is a finding, not a mistake of the file.
#[test]
fn law_what_can_be_laid_wrongly_is_a_note_that_travels() {
    let text = noted("[[field.group]]\ncount = 120\npower = \"100 W\"\n", "field-beyond-rating");
    // 120 fixtures of 100 W with 18 % loss.
    assert!(text.contains("14.16 kVA") && text.contains("142 %"), "{text}");
    let text = noted(
        "[[field.group]]\ncount = 4\npower = \"100 W\"\ntransformer = { rating = \"65 W\" }\n",
        "transformer-overloaded",
    );
    assert!(text.contains("100 W") && text.contains("65 W"), "{text}");
    // 6.6 A through a transformer of 20 A to 6.6 A: a third.
    let text = noted(
        "[[field.group]]\ncount = 4\npower = \"100 W\"\n\
         transformer = { primary = \"20 A\", secondary = \"6.6 A\" }\n",
        "transformer-ratio",
    );
    assert!(text.contains("2.18 A"), "{text}");
    noted("[[field.group]]\ncount = 4\npower = \"90 W\"\n", "transformer-chosen");
    let large =
        "[field]\nlamp-tolerance = \"most\"\n[[field.group]]\ncount = 4\npower = \"500 W\"\n";
    noted(large, "lamp-tolerance-unknown");
    noted(large, "lamp-tolerance-calculated");
    let head = HEAD.replace("load = \"2 %\"", "load = \"2 %\"\nrecheck-load = \"90 %\"");
    let description = Description::parse(&format!("{head}{GROUP}"), Path::new("")).unwrap();
    let notes = description.field.unwrap().notes;
    assert!(notes.iter().any(|note| note.code == "recheck-load-differs"), "{notes:?}");
}

/// Signs printed in volt-amperes alone: they count as such, active power and power factor stay unknown,
/// and what the solved circuit makes of them is said.
#[test]
fn law_an_unknown_power_factor_stays_unknown() {
    let text = "[[field.group]]\ncount = 10\nkind = \"apparent\"\napparent-power = \"0.1 kVA\"\n\
                loss = \"18 %\"\ntransformer = { rating = \"150 W\" }\n";
    let setup = parse(text).unwrap().field.unwrap();
    let sum = setup.calculation().sum().unwrap();
    assert_relative(sum.electronic_va, 1000.0, 1e-12, "ten of 100 VA");
    assert_relative(sum.apparent_va(), 1180.0, 1e-12, "and 18 % loss");
    assert_eq!((sum.lamp_w, sum.active_w, sum.power_factor()), (0.0, None, None));
    // 100 VA at 6.6 A as a resistance.
    let ohm = setup.field.groups[0].secondary_ohm(6.6);
    assert_relative(ohm, 100.0 / (6.6 * 6.6), 1e-12, "S / I²");
    let said = noted(text, "power-factor-unknown");
    assert!(said.contains("100 VA") && said.contains("as a resistance"), "{said}");
}

/// Inductance of cable is what was entered times the length, and none where none was.
#[test]
fn law_inductance_of_cable_is_entered_or_absent() {
    let run = |more: &str| {
        let text = format!(
            "{GROUP}[[field.cable]]\nconductor = \"6mm2-class2\"\nlength = \"3 km\"\n{more}"
        );
        parse(&text).unwrap().field.unwrap().field.cable[0].inductance_h()
    };
    assert_eq!(run(""), None);
    assert_relative(run("inductance = \"1.2 mH/km\"").unwrap(), 3.6e-3, 1e-12, "3 km of 1.2 mH");
    assert_relative(run("inductance = \"1.2 uH/m\"").unwrap(), 3.6e-3, 1e-12, "the same");
    assert_relative(run("inductance = \"0.3 mH/kft\"").unwrap(), 2.952_755_9e-3, 1e-7, "feet");
}

/// A file of groups gives the same field as the same groups written out.
#[test]
fn law_groups_from_a_file_are_the_groups_written_out() {
    let place = tempfile::tempdir().unwrap();
    let from = |rows: &str| {
        std::fs::write(place.path().join("groups.csv"), rows).unwrap();
        let text = format!("{HEAD}[field]\ngroups-from = \"groups.csv\"\n");
        Description::parse(&text, place.path()).map(|description| description.field.unwrap())
    };
    let written = parse(
        "[[field.group]]\nname = \"edge\"\ncount = 30\npower = \"120 W\"\nopen = 2\n\
         transformer = { rating = \"150 W\" }\n\
         [[field.group]]\nname = \"signs\"\ncount = 4\npower = \"60 W\"\nkind = \"constant-power\"\n\
         power-factor = 0.9\ntransformer = { rating = \"100 W\" }\n",
    );
    let written = written.unwrap().field.unwrap();
    for rows in [
        "name,count,power,open,kind,power-factor,rating\n\
         edge,30,120 W,2,,,150 W\nsigns,4,60 W,,constant-power,0.9,100 W\n",
        "# exported\nName;Count;Power (W);Open;Kind;Power factor;Rating [kW]\n\
         edge;30;120;2;;;0,15\n\nsigns;4;60,0;;constant-power;90 %;100 W\n",
    ] {
        let read = from(rows).unwrap();
        assert_eq!(read.field, written.field);
        assert_eq!(read.losses, written.losses);
    }
}

#[test]
fn law_a_bad_row_is_named_with_row_and_column() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("groups.csv");
    for (rows, said) in [
        ("count,power\n30,120 W\n-4,60 W\n", "3 (count): fixtures in the group is -4"),
        (
            "count,power\n30,120 W\n4,60\n",
            "3 (power): row 2, column 2 \"power\": expected a quantity",
        ),
        (
            "count,power\nmany,60 W\n",
            "2 (count): row 1, column 1 \"count\": expected a whole number",
        ),
        ("count,power\n30,120 W,3\n", "2: row 1: expected 2 cells as in the heading, found 3"),
        ("count,powr\n30,120 W\n", "did you mean \"power\"?"),
        ("count,power,count\n30,120 W,1\n", "two columns are headed \"count\""),
        ("count,power (A)\n30,120\n", "expected a unit of quantities such as \"10 kW\""),
        ("count,power,open\n3,120 W,4\n", "2 (open): fixture group \"group 1\": 4 fixtures open"),
        ("count\n30\n", "`power` in every fixture group"),
        ("count,power\n", "headings only"),
        ("", "an empty file"),
    ] {
        std::fs::write(&file, rows).unwrap();
        let text = format!("{HEAD}[field]\ngroups-from = \"groups.csv\"\n");
        let error = Description::parse(&text, place.path()).expect_err(rows);
        let shown = format!("{error} {}", error.hint().unwrap_or_default());
        assert!(shown.contains("groups.csv"), "{rows}: {shown}");
        assert!(shown.contains(said), "{rows}: {shown}");
    }
    std::fs::remove_file(&file).unwrap();
    let text = format!("{HEAD}[field]\ngroups-from = \"groups.csv\"\n");
    let error = Description::parse(&text, place.path()).unwrap_err();
    assert!(matches!(error.kind(), ErrorKind::Io { .. }), "{error}");
}
