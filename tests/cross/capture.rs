//! Measured and published records analysed by an independent program (numpy and scipy; its method
//! is printed in full beside the expected values, with a tolerance per quantity for a program that
//! chooses its own window of whole periods). The files are not part of this package: they are looked
//! for in the folder named by `LOOPCREST_DATA` or in `../shared/data`.

#![expect(clippy::unwrap_used, reason = "a helper of a test fails like the test itself")]

use std::path::PathBuf;

use loopcrest::capture::{
    ChannelOptions, ColumnChoice, Cut, CutOptions, ReadOptions, Record, RowProblemKind, Stretch,
    read_file,
};
use loopcrest::error::{ErrorKind, Noted};
use loopcrest::spectrum::Spectrum;
use serde_json::Value;

/// The folder with the files, or a loud line that they are missing.
pub(super) fn data(what: &str) -> Option<PathBuf> {
    let folder = std::env::var_os("LOOPCREST_DATA").map_or_else(
        || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../shared/data"),
        PathBuf::from,
    );
    if folder.join("expected").is_dir() {
        return Some(folder);
    }
    eprintln!("SKIPPED: {what} not checked, no data in {}", folder.display());
    None
}

pub(super) fn expected(folder: &std::path::Path, id: &str) -> Value {
    let text = std::fs::read_to_string(folder.join(format!("expected/{id}.json"))).unwrap();
    serde_json::from_str(&text).unwrap()
}

struct Case {
    id: &'static str,
    file: &'static str,
    /// What the file does not say: `import_expected` gives it as not in the file, or as the true
    /// rate of bunched stamps.
    rate_hz: Option<f64>,
    /// Unit of the columns where the file gives none.
    unit: Option<&'static str>,
    /// Expected analysis and the column it belongs to.
    analyses: &'static [(&'static str, ColumnRef)],
}

#[derive(Clone, Copy)]
enum ColumnRef {
    Auto,
    Number(usize),
    Name(&'static str),
}

impl ColumnRef {
    fn choice(self) -> ColumnChoice {
        match self {
            Self::Auto => ColumnChoice::Auto,
            Self::Number(number) => ColumnChoice::Number(number),
            Self::Name(name) => ColumnChoice::Name(name.to_owned()),
        }
    }
}

const CASES: [Case; 8] = [
    Case {
        id: "dv08",
        file: "dv08_kettle_scope_sideheader.csv",
        rate_hz: None,
        unit: None,
        analyses: &[("I", ColumnRef::Auto)],
    },
    Case {
        id: "dv09",
        file: "dv09_kettle_semicolon_comma.csv",
        rate_hz: None,
        unit: None,
        analyses: &[("I", ColumnRef::Auto), ("V", ColumnRef::Name("Kanal B"))],
    },
    Case {
        id: "dv10",
        file: "dv10_kettle_approx_time.csv",
        rate_hz: Some(2000.0),
        unit: None,
        analyses: &[("I", ColumnRef::Auto)],
    },
    Case {
        id: "dv11",
        file: "dv11_sv_harm_2400rows.csv",
        rate_hz: Some(4000.0),
        unit: Some("A"),
        analyses: &[
            ("Ia", ColumnRef::Number(2)),
            ("Ib", ColumnRef::Number(3)),
            ("Ic", ColumnRef::Number(4)),
            ("Ua", ColumnRef::Number(6)),
        ],
    },
    Case {
        id: "dv12",
        file: "dv12_motor_3col_notime.csv",
        rate_hz: Some(1000.0),
        unit: Some("A"),
        analyses: &[
            ("column 1", ColumnRef::Number(1)),
            ("column 2", ColumnRef::Number(2)),
            ("column 3", ColumnRef::Number(3)),
        ],
    },
    Case {
        id: "dv13",
        file: "dv13_power_50kHz_first4000.csv",
        rate_hz: None,
        unit: None,
        analyses: &[
            ("MODAQ_Va_V", ColumnRef::Name("MODAQ_Va_V")),
            ("MODAQ_Ia_I", ColumnRef::Auto),
            ("MODAQ_Ic_I", ColumnRef::Name("MODAQ_Ic_I")),
        ],
    },
    Case {
        id: "dv15",
        file: "dv15_sim_rocof_singlecol.csv",
        rate_hz: Some(4000.0),
        unit: Some("A"),
        analyses: &[("first_0.4s", ColumnRef::Auto), ("last_0.4s", ColumnRef::Auto)],
    },
    Case {
        id: "dv18",
        file: "dv18_kettle_single_column_mA.txt",
        rate_hz: Some(2000.0),
        unit: Some("mA"),
        analyses: &[("I", ColumnRef::Auto)],
    },
];

/// RMS of the harmonic orders 1 to `most` by a plain transform sum over the whole waveform.
fn harmonics_rms(cut: &Cut, most: usize) -> Vec<f64> {
    let samples_a = cut.waveform.samples_a();
    let per_period = cut.waveform.samples_per_period();
    (1..=most)
        .map(|h| {
            let (mut c, mut s) = (0.0, 0.0);
            for (k, i_a) in samples_a.iter().enumerate() {
                let turn = (h * (k % per_period)) as f64 / per_period as f64;
                let (sin, cos) = (std::f64::consts::TAU * turn).sin_cos();
                c += i_a * cos;
                s += i_a * sin;
            }
            2.0_f64.sqrt() * c.hypot(s) / samples_a.len() as f64
        })
        .collect()
}

/// Every quantity the independent program gives, from our waveform.
fn quantities(cut: &Cut, thd_orders: usize) -> Vec<(&'static str, f64)> {
    let m = cut.waveform.measures();
    let lines = harmonics_rms(cut, thd_orders);
    let distortion: f64 = lines[1..].iter().map(|x| x * x).sum::<f64>().sqrt();
    vec![
        ("rms_total", m.dc.rms_a),
        ("mean", m.mean_a),
        ("rms_ac", m.ac.rms_a),
        ("rect_mean_ac", m.ac.arv_a),
        ("avg_responding_reading", std::f64::consts::PI / 8.0_f64.sqrt() * m.ac.arv_a),
        ("peak_pos", m.max_a),
        ("peak_neg", m.min_a),
        ("peak_abs", m.dc.peak_a),
        ("peak_abs_ac", m.ac.peak_a),
        ("crest_factor", m.dc.crest_factor().unwrap()),
        ("crest_factor_ac", m.ac.crest_factor().unwrap()),
        ("form_factor", m.dc.form_factor().unwrap()),
        ("form_factor_ac", m.ac.form_factor().unwrap()),
        ("fundamental_rms", lines[0]),
        ("thd_f", distortion / lines[0]),
        ("f1_hz", cut.frequency_hz),
    ]
}

fn is_ampere(name: &str) -> bool {
    !(name.starts_with("form") || name.starts_with("crest") || name == "thd_f" || name == "f1_hz")
}

fn channel_options(case: &Case, column: ColumnRef, record: &Record) -> (ChannelOptions, f64) {
    let choice = column.choice();
    let channel = record.channel(&choice).unwrap();
    let unit = case.unit.map(str::to_owned);
    let volts = unit.is_none() && channel.unit.as_deref() == Some("V");
    // A factor of 1 V/A lets a voltage through number by number.
    let options = ChannelOptions {
        column: choice,
        unit: unit.clone(),
        clamp_v_per_a: volts.then_some(1.0),
        ..ChannelOptions::default()
    };
    (options, if unit.as_deref() == Some("mA") { 1000.0 } else { 1.0 })
}

fn cut_region(
    case: &Case,
    column: ColumnRef,
    folder: &std::path::Path,
    stretch: Stretch,
) -> (Noted<Cut>, f64) {
    let options = ReadOptions { sample_rate_hz: case.rate_hz, ..ReadOptions::default() };
    let record = read_file(folder.join("dev").join(case.file), &options).unwrap().value;
    let (channel, per_ampere) = channel_options(case, column, &record);
    let samples = record.current(&channel).unwrap().value;
    let options = CutOptions { stretch, ..CutOptions::default() };
    (samples.cut(&options).unwrap(), per_ampere)
}

/// Misses in words; the largest part of its tolerance that any quantity used.
pub(super) fn misses(cut: &Cut, per_ampere: f64, analysis: &Value) -> (Vec<String>, f64) {
    let orders = analysis["harmonics"]["thd_hmax"].as_u64().unwrap() as usize;
    let mut out = Vec::new();
    let mut worst: f64 = 0.0;
    for (name, value) in quantities(cut, orders) {
        let scale = if is_ampere(name) { per_ampere } else { 1.0 };
        let Some(tolerance) = analysis["tolerance"][name]["tol_any_window"].as_f64() else {
            assert_eq!(name, "f1_hz", "no check applies where the frequency was given by hand");
            continue;
        };
        let reference = analysis["A"][name].as_f64().unwrap();
        let used = (value * scale - reference).abs() / tolerance;
        worst = worst.max(used);
        if used > 1.0 {
            out.push(format!(
                "{name}: {} instead of {reference}, {used:.2} of the tolerance",
                value * scale
            ));
        }
    }
    (out, worst)
}

/// Tolerance: `tol_any_window` of the independent program, per quantity.
#[test]
fn cross_captures_give_every_measure_of_the_stated_region() {
    let Some(folder) = data("every measure of eight text files") else { return };
    let mut bad = Vec::new();
    for case in &CASES {
        let json = expected(&folder, case.id);
        for (name, column) in case.analyses {
            let analysis = &json["analysis"][*name];
            let from = analysis["region"]["first_sample"].as_u64().unwrap() as usize;
            let count = analysis["region"]["samples"].as_u64().unwrap() as usize;
            let stretch = Stretch::Samples { from, to: Some(from + count) };
            let (cut, per_ampere) = cut_region(case, *column, &folder, stretch);
            assert_eq!(
                cut.value.cycles as u64,
                analysis["window"]["cycles_M"].as_u64().unwrap(),
                "{} {name}: whole periods in the region",
                case.id
            );
            let (missed, worst) = misses(&cut.value, per_ampere, analysis);
            eprintln!("{} {name}: at most {worst:.2} of the tolerance", case.id);
            bad.extend(missed.into_iter().map(|miss| format!("{} {name} {miss}", case.id)));
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

/// A kettle switched on at sample 1040: the part after it is found, and its RMS is that of the single
/// cycles the independent program lists for the whole record.
#[test]
fn cross_captures_find_the_steady_part_after_switching_on() {
    let Some(folder) = data("the steady part of four text files") else { return };
    for id in ["dv08", "dv09", "dv10", "dv18"] {
        let case = CASES.iter().find(|case| case.id == id).unwrap();
        let (noted, per_ampere) = cut_region(case, ColumnRef::Auto, &folder, Stretch::Steady);
        let cut = noted.value;
        assert!((1041..1300).contains(&cut.region.start), "{id}: {:?}", cut.region);
        assert_eq!(cut.region.end, 3000, "{id}: steady to the end");
        assert!(noted.notes.iter().any(|note| note.code == "steady-part"), "{id}: it is told");
        let json = expected(&folder, id);
        let listed = &json["extra"]["cycle_rms_current_whole_record"];
        let period = listed["period_samples"].as_f64().unwrap();
        let values: Vec<f64> =
            listed["values"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
        let first = (cut.first_sample as f64 / period).round() as usize;
        let cycles = &values[first..first + cut.cycles];
        let rms = (cycles.iter().map(|x| x * x).sum::<f64>() / cycles.len() as f64).sqrt();
        let ours = cut.waveform.measures().dc.rms_a * per_ampere;
        let off = (ours / rms - 1.0).abs();
        eprintln!("{id}: region {:?}, RMS {ours}, cycles {rms}, {off:.1e} apart", cut.region);
        // The list interpolates linearly at the ends of every cycle: 3e-5 of the RMS at 40 samples
        // a period (its methods A and C differ by that); windows start up to a sample apart.
        assert!(off < 1e-4, "{id}: {ours} instead of {rms}");
        // The independent program's own region begins where the current has settled: so does ours.
        let (missed, worst) = misses(&cut, per_ampere, &json["analysis"]["I"]);
        eprintln!("{id}: at most {worst:.2} of the tolerance with the default options");
        assert!(missed.is_empty(), "{id}: {missed:?}");
    }
    // Records that are steady throughout are used from end to end.
    for case in CASES.iter().filter(|case| matches!(case.id, "dv11" | "dv12" | "dv13")) {
        let (cut, per_ampere) = cut_region(case, case.analyses[0].1, &folder, Stretch::Steady);
        let samples = expected(&folder, case.id)["import_expected"]["samples"].as_u64();
        let samples = samples.unwrap_or(4000) as usize;
        assert_eq!(cut.value.region, 0..samples, "{}", case.id);
        let json = expected(&folder, case.id);
        let (missed, worst) = misses(&cut.value, per_ampere, &json["analysis"][case.analyses[0].0]);
        eprintln!("{}: at most {worst:.2} of the tolerance with the default options", case.id);
        assert!(missed.is_empty(), "{}: {missed:?}", case.id);
    }
}

/// Both programs read the same digits; the reader of the expected values may be one unit in the last
/// place off, so 1e-15 relative is allowed.
#[test]
fn cross_captures_are_imported_as_an_independent_reader_does() {
    let Some(folder) = data("the import of nine text files") else { return };
    let scope = Case {
        id: "dv14",
        file: "dv14_rigol_ds1074z.csv",
        rate_hz: None,
        unit: None,
        analyses: &[],
    };
    for case in CASES.iter().chain([&scope]) {
        let json = expected(&folder, case.id);
        let options = ReadOptions { sample_rate_hz: case.rate_hz, ..ReadOptions::default() };
        let record = read_file(folder.join("dev").join(case.file), &options).unwrap().value;
        let import = &json["import_expected"];
        assert_eq!(record.len() as u64, import["samples"].as_u64().unwrap(), "{}", case.id);
        assert_eq!(record.problem_count, 0, "{}: {:?}", case.id, record.problems.first());
        let channels = json["channels"].as_array().unwrap();
        assert_eq!(record.channels.len(), channels.len(), "{}: channels", case.id);
        let named = !matches!(case.id, "dv11" | "dv12" | "dv15" | "dv18");
        for (channel, reference) in record.channels.iter().zip(channels) {
            let label = format!("{} {}", case.id, channel.label());
            if named {
                assert_eq!(channel.name.as_deref(), reference["name"].as_str(), "{label}: name");
                let unit = reference["unit"].as_str().unwrap();
                if unit == "A" || unit == "V" {
                    let ours = channel.unit.as_deref().map(|u| if u == "Volt" { "V" } else { u });
                    assert_eq!(ours, Some(unit), "{label}: unit");
                }
            }
            for (side, start) in [("first3", 0), ("last3", record.len() - 3)] {
                for (k, value) in reference[side].as_array().unwrap().iter().enumerate() {
                    let reference = value.as_f64().unwrap();
                    let ours = channel.value(start + k).unwrap();
                    let off = (ours - reference).abs();
                    assert!(off <= 1e-15 * reference.abs(), "{label}: {side} {k}: {ours}");
                }
            }
        }
    }
}

/// Rate and first time as found from the file alone, within the range the expected values state.
#[test]
fn cross_sample_rate_is_found_from_every_kind_of_time_axis() {
    let Some(folder) = data("the sample rate of six text files") else { return };
    for file in [
        "dv08_kettle_scope_sideheader.csv",
        "dv09_kettle_semicolon_comma.csv",
        "dv10_kettle_approx_time.csv",
        "dv11_sv_harm_2400rows.csv",
        "dv13_power_50kHz_first4000.csv",
        "dv14_rigol_ds1074z.csv",
    ] {
        let json = expected(&folder, &file[..4]);
        let import = &json["import_expected"];
        let noted = read_file(folder.join("dev").join(file), &ReadOptions::default()).unwrap();
        let timing = noted.value.timing.clone().unwrap();
        match import["acceptable_rate"].as_array() {
            Some(range) => {
                let (low, high) = (range[0].as_f64().unwrap(), range[1].as_f64().unwrap());
                let rate_hz = timing.sample_rate_hz;
                assert!((low..=high).contains(&rate_hz), "{file}: {rate_hz} Hz");
            }
            None => {
                let rate_hz = import["sample_rate_hz"].as_f64().unwrap();
                let off = (timing.sample_rate_hz / rate_hz - 1.0).abs();
                assert!(
                    off < 1e-9,
                    "{file}: {} Hz; the file's digits are exact",
                    timing.sample_rate_hz
                );
            }
        }
        let first = import["first_time_s"].as_f64().or(import["start_s"].as_f64());
        if let Some(first_s) = first {
            let ours_s = timing.first_time_s.unwrap();
            assert!((ours_s - first_s).abs() < 1e-9, "{file}: first time {ours_s} s, exact digits");
        }
        let bunched = file.starts_with("dv10") || file.starts_with("dv11");
        let told = noted.notes.iter().any(|note| note.code == "coarse-time-stamps");
        assert_eq!(told, bunched, "{file}: coarse stamps are told, even ones are not");
    }
}

/// A file without time asks for the rate instead of assuming one.
#[test]
fn cross_a_missing_sample_rate_is_asked_for() {
    let Some(folder) = data("the question for a sample rate") else { return };
    for file in ["dv15_sim_rocof_singlecol.csv", "dv18_kettle_single_column_mA.txt"] {
        let record = read_file(folder.join("dev").join(file), &ReadOptions::default()).unwrap();
        let error = record.value.current(&ChannelOptions::default()).unwrap_err();
        assert!(error.hint().is_some_and(|hint| hint.contains("sample rate")), "{file}: {error}");
    }
    let motor = folder.join("dev/dv12_motor_3col_notime.csv");
    let record = read_file(motor, &ReadOptions::default()).unwrap().value;
    let error = record.current(&ChannelOptions::default()).unwrap_err();
    assert!(error.hint().is_some_and(|hint| hint.contains("1, 2, 3")), "columns listed: {error}");
}

/// Behaviour stated for the damaged files: rows 51, 121, 122, 301 and 401 carry no current, each is
/// reported with its number, nothing moves in time.
#[test]
fn cross_bad_rows_stay_gaps_in_their_place() {
    let Some(folder) = data("bad rows") else { return };
    let noted =
        read_file(folder.join("broken/br07_csv_bad_rows.csv"), &ReadOptions::default()).unwrap();
    let record = &noted.value;
    assert_eq!(record.len(), 600);
    let current = record.channel(&ColumnChoice::Auto).unwrap();
    let gaps: Vec<usize> =
        (0..600).filter(|k| current.value(*k).is_none()).map(|k| k + 1).collect();
    assert_eq!(gaps, [51, 121, 122, 301, 401]);
    let voltage = record.channel(&ColumnChoice::Name("voltage_V".to_owned())).unwrap();
    // Row 51 as printed: 0.0250,OL,316.672. A bad cell does not take its neighbour with it.
    assert_eq!((voltage.value(50), voltage.value(120)), (Some(316.672), None));
    let reported: Vec<usize> = record
        .problems
        .iter()
        .filter(|problem| problem.kind.leaves_gap())
        .map(|problem| problem.row)
        .collect();
    assert_eq!(reported, [51, 121, 122, 301, 401]);
    assert_eq!(record.problems[0].kind, RowProblemKind::TextCell("OL".to_owned()));
    // Row 402 as printed in the file: 0.2005,0.9787.
    assert_eq!(current.value(401), Some(0.9787), "the time axis has not moved");
    let cut = record
        .current(&ChannelOptions::default())
        .unwrap()
        .value
        .cut(&CutOptions::default())
        .unwrap();
    assert!(cut.notes.iter().any(|note| note.code == "gaps"), "{:?}", cut.notes);
    assert_eq!(cut.value.region, 401..600, "the longest stretch without a gap");
    let across = CutOptions {
        stretch: Stretch::Samples { from: 10, to: Some(200) },
        ..CutOptions::default()
    };
    let samples = record.current(&ChannelOptions::default()).unwrap().value;
    let refused = samples.cut(&across).unwrap_err();
    assert!(refused.to_string().contains("gap"), "{refused}");
}

#[test]
fn cross_values_that_are_not_finite_are_reported_and_left_out() {
    let Some(folder) = data("NaN and infinity") else { return };
    let noted = read_file(folder.join("broken/br10_nan_inf.csv"), &ReadOptions::default()).unwrap();
    let rows: Vec<usize> = noted.value.problems.iter().map(|problem| problem.row).collect();
    assert_eq!(rows, [101, 102, 251]);
    let samples = noted.value.current(&ChannelOptions::default()).unwrap().value;
    let cut = samples.cut(&CutOptions::default()).unwrap();
    assert_eq!(cut.value.region, 251..600);
    assert!(cut.value.waveform.measures().dc.rms_a.is_finite());
    assert!(noted.notes.iter().any(|note| note.text.contains("row 251")), "{:?}", noted.notes);
}

#[test]
fn cross_files_without_samples_are_refused() {
    let Some(folder) = data("files without samples") else { return };
    for (file, says) in [("br08_empty.csv", "empty file"), ("br15_header_only.csv", "no samples")] {
        let error =
            read_file(folder.join("broken").join(file), &ReadOptions::default()).unwrap_err();
        assert!(matches!(error.kind(), ErrorKind::Malformed { .. }), "{error}");
        assert!(error.to_string().contains(says) && error.to_string().contains(file), "{error}");
    }
}

/// A record that is steady from end to end but noisy loses nothing (simulated, frequency ramp).
#[test]
fn cross_noise_alone_shortens_no_record() {
    let Some(folder) = data("a noisy steady record") else { return };
    let case = CASES.iter().find(|case| case.id == "dv15").unwrap();
    let (noted, _) = cut_region(case, ColumnRef::Auto, &folder, Stretch::Steady);
    let samples = expected(&folder, "dv15")["import_expected"]["samples"].as_u64().unwrap();
    assert_eq!(noted.value.region, 0..samples as usize);
    assert!(noted.notes.iter().all(|note| note.code != "steady-part"), "{:?}", noted.notes);
}

/// What lies above half of a record's own rate is no harmonic: 40 samples a period hold 20 orders.
#[test]
fn cross_captures_show_no_harmonic_above_their_own_rate() {
    let Some(folder) = data("the highest order of a record") else { return };
    for (id, highest) in [("dv08", 20), ("dv13", 416)] {
        let case = CASES.iter().find(|case| case.id == id).unwrap();
        let (noted, _) = cut_region(case, case.analyses[0].1, &folder, Stretch::Steady);
        let spectrum = Spectrum::of(&noted.value.waveform);
        // 2000 Hz / 50 Hz and 50 kHz / 60 Hz, halved.
        assert_eq!(spectrum.highest_order(), highest, "{id}");
        assert!(spectrum.line(highest + 1).is_none());
    }
}
