//! The printed load calculation and its three measured cases.
//!
//! The printed sheet adds watts and volt-amperes as numbers; so does the calculation under test.

use loopcrest::cited::{Cited, Evidence, Source};
use loopcrest::description::Description;
use loopcrest::regulator::{BandSet, CircuitClass, StepTable};
use loopcrest::series::{
    CableRun, Draw, LampTolerance, LoadCalculation, LoadDiagnosis, LoadItem, LoadMargin, LoadSum,
    MeasuredLoad, TransformerLoss,
};
use loopcrest::waveform::TrueRms;

use super::sources::{LAMP_TOLERANCES, UFC_LOAD};
use crate::support::{agrees_as_printed, assert_absolute};

const OHM_PER_KFT: f64 = 1.0 / 304.8;

fn share(value: f64) -> Option<TransformerLoss> {
    let source = Source::known(UFC_LOAD, "formula lines", Evidence::Printed);
    Some(TransformerLoss::Share(Cited { value, source }))
}

fn item(name: &str, count: u32, draw: Draw, loss: Option<TransformerLoss>) -> LoadItem {
    LoadItem { name: name.into(), count, draw, loss }
}

/// 20,000 ft of cable of 0.68 ohm/kft, signs by their VA, one system of 400 W at 0.43.
pub(crate) fn example() -> LoadCalculation {
    let sign = |apparent_va| Draw::Apparent { apparent_va };
    LoadCalculation {
        current_rms_a: 6.6,
        items: vec![
            item("fixtures 120 W", 70, Draw::Lamp { power_w: 120.0 }, share(0.18)),
            item("fixtures 200 W", 16, Draw::Lamp { power_w: 200.0 }, share(0.11)),
            item(
                "identifier lights",
                1,
                Draw::Electronic { active_w: 400.0, power_factor: 0.43 },
                None,
            ),
            item("signs 100 VA", 10, sign(100.0), None),
            item("signs 200 VA", 5, sign(200.0), None),
            item("signs 300 VA", 3, sign(300.0), None),
        ],
        cable: vec![CableRun {
            name: "8 AWG".into(),
            resistance_ohm_per_m: 0.68 * OHM_PER_KFT,
            reference_degc: 25.0,
            temperature_coefficient_per_k: 0.0,
            length_m: 20_000.0 * 0.3048,
            temperature_degc: 25.0,
            inductance_h_per_m: None,
        }],
    }
}

fn sum() -> LoadSum {
    example().sum().unwrap()
}

#[test]
fn published_ufc_load_example() {
    let sum = sum();
    agrees_as_printed(sum.loss_w, "1864");
    agrees_as_printed(sum.cable_w, "592");
    assert_absolute(sum.cable_w, 592.4, 0.05, "6.6² · 0.68 · 20, recomputed to one decimal");
    agrees_as_printed(sum.lamp_w, "11600");
    agrees_as_printed(sum.electronic_va, "3830");
    agrees_as_printed(sum.apparent_va() / 1e3, "17.89");
    assert_absolute(sum.apparent_va() / 1e3, 17.8866, 5e-5, "recomputed to four decimals");
    let margin = LoadMargin::new(sum, 30e3, 1.0).unwrap();
    agrees_as_printed(margin.rated_voltage_rms_v(), "4545");
    assert_absolute(margin.rated_voltage_rms_v(), 4545.45, 0.005, "30 kW / 6.6 A");
    // The signs' power factor is not printed: an active power would be invented.
    assert_eq!(sum.active_w, None);
    assert_eq!(sum.power_factor(), None);
}

/// The usual loss shares are those of the example.
#[test]
fn published_usual_transformer_losses() {
    for (power_w, printed) in [(120.0, "0.18"), (200.0, "0.11")] {
        agrees_as_printed(TransformerLoss::usual(power_w).of(power_w) / power_w, printed);
    }
    // Ours between and beyond: a straight line, then level.
    let share = |power_w| TransformerLoss::usual(power_w).of(power_w) / power_w;
    assert_absolute(share(160.0), 0.145, 1e-12, "half way");
    assert_absolute(share(30.0), 0.18, 1e-12, "level below");
    assert_absolute(share(500.0), 0.11, 1e-12, "level above");
}

#[test]
fn published_ufc_measured_cases() {
    let steps = StepTable::published(CircuitClass::FiveStep6A6, BandSet::Ufc2005).unwrap();
    let band = steps.top().band;
    let calculated_va = sum().apparent_va();
    for (current_a, voltage_v, printed_kva, diagnosis) in [
        (6.52, 2880.0, "18.8", LoadDiagnosis::Satisfactory),
        (6.52, 1880.0, "12.3", LoadDiagnosis::PartialShort),
        (6.30, 2550.0, "16.1", LoadDiagnosis::RegulatorLow),
    ] {
        let measured = MeasuredLoad::new(TrueRms::stated_a(current_a), voltage_v).unwrap();
        agrees_as_printed(measured.apparent_va() / 1e3, printed_kva);
        assert_eq!(measured.diagnose(&band, calculated_va, 30e3), diagnosis);
    }
    let printed = ["satisfactory", "partial short of the load", "faulty regulator"];
    let cases =
        [LoadDiagnosis::Satisfactory, LoadDiagnosis::PartialShort, LoadDiagnosis::RegulatorLow];
    for (case, words) in cases.iter().zip(printed) {
        assert!(case.words().contains(words), "{}", case.words());
    }
    assert!(LoadDiagnosis::RegulatorLow.words().contains("short-circuit test"));
}

/// 18.78 kVA of 30 kW, and on the tap of 75 %.
#[test]
fn published_shares_of_rating_and_tap() {
    let measured = MeasuredLoad::new(TrueRms::stated_a(6.52), 2880.0).unwrap();
    let load = LoadSum {
        current_rms_a: 6.52,
        lamp_w: measured.apparent_va(),
        loss_w: 0.0,
        cable_ohm: 0.0,
        cable_w: 0.0,
        electronic_va: 0.0,
        active_w: None,
        reactive_var: None,
    };
    let whole = LoadMargin::new(load, 30e3, 1.0).unwrap();
    agrees_as_printed(100.0 * whole.share_of_rating(), "62.6");
    let tapped = LoadMargin::new(load, 30e3, 0.75).unwrap();
    agrees_as_printed(100.0 * tapped.share_of_tap(), "83.5");
    assert_eq!(whole.smallest_tap(), Some(0.75));
}

#[test]
fn published_lamp_tolerances() {
    assert!(LAMP_TOLERANCES.contains("Transport Canada"));
    for (power_w, printed) in [(30.0, "32.4"), (45.0, "48.6"), (200.0, "214"), (250.0, "265")] {
        agrees_as_printed(LampTolerance::Most.counted_w(power_w).unwrap(), printed);
        assert_absolute(
            LampTolerance::Nominal.counted_w(power_w).unwrap(),
            power_w,
            0.0,
            "as printed on the lamp",
        );
    }
    // Between two printed lamps the larger tolerance; beyond them nobody has printed one.
    assert_absolute(LampTolerance::Most.counted_w(100.0).unwrap(), 108.0, 1e-9, "45 W and 200 W");
    assert_eq!(LampTolerance::Most.counted_w(500.0), None);
}

/// The same sheet as a person writes it down, read and diagnosed by the whole program. Signs are printed
/// in volt-amperes: a power factor of 1 stands for that.
#[test]
fn published_ufc_load_example_as_a_description() {
    let group = |name: &str, count: u32, fields: &str| {
        format!("[[field.group]]\nname = \"{name}\"\ncount = {count}\n{fields}\n")
    };
    let electronic = |power: &str, factor: &str| {
        format!(
            "kind = \"constant-power\"\npower = \"{power}\"\npower-factor = {factor}\nloss = 0\n\
             transformer = {{ rating = \"500 W\" }}"
        )
    };
    let lamp = |power: &str| format!("power = \"{power}\"\ntransformer = {{ rating = \"200 W\" }}");
    let text = [
        "format = 1\ntitle = \"sheet\"\ninvented = true\n[steps]\ncircuit = \"6.6A-5-step\"\n\
         [regulator]\nrating = \"30 kW\"\nload = \"2 %\"\n\
         [[meter]]\nname = \"clamp\"\ndetector = \"true-rms\"\n\
         [field]\ntap = \"75 %\"\n"
            .to_owned(),
        group("120 W", 70, &lamp("120 W")),
        group("200 W", 16, &lamp("200 W")),
        group("identifier", 1, &electronic("400 W", "0.43")),
        group("signs 100", 10, &electronic("100 W", "1.0")),
        group("signs 200", 5, &electronic("200 W", "1.0")),
        group("signs 300", 3, &electronic("300 W", "1.0")),
        "[[field.cable]]\nresistance = \"0.68 ohm/kft\"\nlength = \"20 kft\"\n".to_owned(),
    ]
    .concat();
    let description = Description::parse(&text, std::path::Path::new("")).unwrap();
    let (setup, field) = (description.regulator.unwrap(), description.field.unwrap());
    let margin = field.margin(&setup).unwrap();
    assert_absolute(margin.load.apparent_va() / 1e3, 17.8866, 5e-5, "recomputed to four decimals");
    agrees_as_printed(margin.load.loss_w, "1864");
    agrees_as_printed(margin.rated_voltage_rms_v(), "4545");
    let measured = MeasuredLoad::new(TrueRms::stated_a(6.52), 2880.0).unwrap();
    let band = description.steps.top().band;
    let diagnosis = measured.diagnose(&band, margin.load.apparent_va(), 0.75 * margin.rated_va);
    assert_eq!(diagnosis, LoadDiagnosis::Satisfactory);
    // It is a sum of numbers: the phasors of a sine, with the one power factor that is printed,
    // give less.
    assert!(margin.load.phasor_va().unwrap() < margin.load.apparent_va() - 400.0);
}
