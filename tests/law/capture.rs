//! Laws that any record must obey, on synthetic records whose RMS, mean and frequency are closed
//! forms.

#![expect(clippy::unwrap_used, reason = "a helper of a test fails like the test itself")]

use std::f64::consts::TAU;

use loopcrest::capture::{
    ChannelOptions, ColumnChoice, Cut, CutOptions, Limits, ReadOptions, Samples, Stretch,
    read_bytes,
};
use proptest::prelude::*;

/// A mean and a few harmonics, with its closed forms.
#[derive(Clone, Debug)]
struct Tone {
    frequency_hz: f64,
    mean_a: f64,
    /// Amplitude and phase of the orders 1, 3, 5, 7.
    lines: Vec<(usize, f64, f64)>,
}

impl Tone {
    fn at(&self, time_s: f64) -> f64 {
        let turn = TAU * self.frequency_hz * time_s;
        let each = self.lines.iter().map(|(h, a, phase)| a * (*h as f64 * turn + phase).sin());
        self.mean_a + each.sum::<f64>()
    }

    /// √(m² + Σ A²/2)
    fn rms_a(&self) -> f64 {
        let lines: f64 = self.lines.iter().map(|(_, a, _)| a * a / 2.0).sum();
        (self.mean_a * self.mean_a + lines).sqrt()
    }

    fn record(&self, rate_hz: f64, seconds: f64, noise: impl Fn(usize) -> f64) -> Samples {
        let count = (rate_hz * seconds) as usize;
        let samples_a =
            (0..count).map(|k| self.at(k as f64 / rate_hz) + noise(k)).collect::<Vec<_>>();
        Samples::new(samples_a, rate_hz).unwrap()
    }
}

fn tones() -> impl Strategy<Value = Tone> {
    let line = (0.0..0.3, 0.0..TAU);
    (45.0..65.0_f64, -1.0..1.0_f64, 0.0..TAU, prop::collection::vec(line, 3)).prop_map(
        |(frequency_hz, mean_a, phase, others)| {
            let mut lines = vec![(1, 6.6 * 2.0_f64.sqrt(), phase)];
            for (k, (ratio, phase)) in others.into_iter().enumerate() {
                lines.push((2 * k + 3, ratio * 6.6, phase));
            }
            Tone { frequency_hz, mean_a, lines }
        },
    )
}

/// Even noise between -1 and 1, the same for the same sample (splitmix finaliser).
fn noise(k: usize) -> f64 {
    let mut z = (k as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(0x1234_5678_9ABC_DEF1);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
}

fn cut(samples: &Samples) -> Cut {
    samples.cut(&CutOptions::default()).unwrap().value
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    /// Closed form √(m² + Σ A²/2) from 3 periods up to many, at off-nominal frequencies.
    #[test]
    fn law_rms_mean_and_frequency_of_any_tone(
        tone in tones(), rate_hz in 1000.0..20_000.0_f64, periods in 3.0..40.0_f64,
    ) {
        let cut = cut(&tone.record(rate_hz, periods / tone.frequency_hz + 2.0 / rate_hz, |_| 0.0));
        let measures = cut.waveform.measures();
        // The harmonics are fitted exactly up to the search for the frequency, which stops at 1e-6
        // lines of 1/T; a misplaced window of one period costs at most 2π times that.
        prop_assert!((measures.dc.rms_a / tone.rms_a() - 1.0).abs() < 1e-5, "RMS {}", measures.dc.rms_a);
        prop_assert!((measures.mean_a - tone.mean_a).abs() < 1e-4, "mean {}", measures.mean_a);
        let line_hz = tone.frequency_hz / periods;
        prop_assert!((cut.frequency_hz - tone.frequency_hz).abs() < 1e-5 * line_hz, "{}", cut.frequency_hz);
        prop_assert!(cut.cycles >= periods as usize - 1);
    }

    /// Multiplying the samples multiplies every measure and moves nothing else.
    #[test]
    fn law_measures_scale_with_the_amplitude(tone in tones(), factor in 1e-3..1e3_f64) {
        let scaled = Tone {
            mean_a: factor * tone.mean_a,
            lines: tone.lines.iter().map(|(h, a, p)| (*h, factor * a, *p)).collect(),
            ..tone.clone()
        };
        let one = cut(&tone.record(5000.0, 0.3, |_| 0.0));
        let other = cut(&scaled.record(5000.0, 0.3, |_| 0.0));
        let (m, n) = (one.waveform.measures(), other.waveform.measures());
        // Rounding of products only, and the last step of the search for the frequency.
        for (a, b) in [(m.dc.rms_a, n.dc.rms_a), (m.ac.arv_a, n.ac.arv_a), (m.dc.peak_a, n.dc.peak_a)] {
            prop_assert!((b / (factor * a) - 1.0).abs() < 1e-6, "{a} {b}");
        }
        prop_assert_eq!(one.cycles, other.cycles);
    }

    /// A mean added moves the mean by itself and leaves every AC-coupled measure.
    #[test]
    fn law_a_mean_added_moves_only_the_mean(tone in tones(), added_a in -20.0..20.0_f64) {
        let moved = Tone { mean_a: tone.mean_a + added_a, ..tone.clone() };
        let m = cut(&tone.record(5000.0, 0.3, |_| 0.0)).waveform.measures();
        let n = cut(&moved.record(5000.0, 0.3, |_| 0.0)).waveform.measures();
        // As above: the last step of the search for the frequency.
        prop_assert!((n.mean_a - m.mean_a - added_a).abs() < 1e-5 * (1.0 + added_a.abs()));
        prop_assert!((n.ac.rms_a / m.ac.rms_a - 1.0).abs() < 1e-5);
        prop_assert!((n.ac.arv_a / m.ac.arv_a - 1.0).abs() < 1e-5);
    }

    /// Where the record begins within the period does not matter.
    #[test]
    fn law_the_start_of_the_record_does_not_matter(tone in tones(), shift_s in 0.0..0.02_f64) {
        let turn = TAU * tone.frequency_hz * shift_s;
        let later = Tone {
            lines: tone.lines.iter().map(|(h, a, p)| (*h, *a, p + *h as f64 * turn)).collect(),
            ..tone.clone()
        };
        let m = cut(&tone.record(8000.0, 0.25, |_| 0.0)).waveform.measures();
        let n = cut(&later.record(8000.0, 0.25, |_| 0.0)).waveform.measures();
        prop_assert!((n.dc.rms_a / m.dc.rms_a - 1.0).abs() < 1e-5);
        // A grid of 1024 cells misses the top of the seventh harmonic by half a cell at most:
        // (7 π/1024)²/2 = 2.3e-4 of it, 0.3 of the fundamental; a zero crossing within a cell moves
        // the rectified mean by less.
        prop_assert!((n.ac.arv_a / m.ac.arv_a - 1.0).abs() < 2e-4);
        prop_assert!((n.dc.peak_a / m.dc.peak_a - 1.0).abs() < 2e-4);
    }

    /// White noise of σ adds σ² to the mean square, and the frequency stays within five of its
    /// stated standard uncertainties.
    #[test]
    fn law_noise_adds_its_power_and_its_uncertainty(tone in tones(), seed in 0_usize..1_000_000, level_a in 0.01..0.5_f64) {
        let count: f64 = 4000.0 * 0.5;
        let cut = cut(&tone.record(4000.0, 0.5, |k| level_a * noise(seed * 7919 + k)));
        let sigma2 = level_a * level_a / 3.0;
        let expected = (tone.rms_a().powi(2) + sigma2).sqrt();
        let rms_a = cut.waveform.measures().dc.rms_a;
        // Standard deviation of the mean square: 2 · rms · σ/√N, six of them; the interpolation loses
        // part of the noise in the top of the band, at most a fifth of its power.
        let six = 6.0 * sigma2.sqrt() / count.sqrt();
        prop_assert!((rms_a - expected).abs() < six + 0.2 * sigma2 / (2.0 * expected), "{rms_a} {expected}");
        let u_hz = cut.frequency_standard_uncertainty_hz.unwrap();
        prop_assert!((cut.frequency_hz - tone.frequency_hz).abs() < 5.0 * u_hz, "{} ± {u_hz}", cut.frequency_hz);
    }

    /// Whatever bytes come, there is a record or an error, and what can be cut is finite.
    #[test]
    fn law_random_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        through(&bytes);
    }

    /// The same with the characters tables are made of, which reach further into the reader.
    #[test]
    fn law_random_tables_never_panic(text in "[-0-9.,;:eE\t \"#\nAVsm/OL]{0,400}") {
        through(text.as_bytes());
    }

    /// Numbers written in any layout are read back as they were.
    #[test]
    fn law_every_layout_reads_back_the_same_numbers(
        values in prop::collection::vec(-1e4..1e4_f64, 10..40), layout in 0_usize..6,
    ) {
        let (separator, comma) = [(",", false), (";", true), (";", false), ("\t", true), ("  ", false), (" ", true)][layout];
        let write = |x: f64| {
            let text = format!("{x:.4}");
            if comma { text.replace('.', ",") } else { text }
        };
        let mut text = format!("time (ms){separator}current (mA)\r\n").replace(" (", "_(");
        for (k, value) in values.iter().enumerate() {
            text += &format!("{}{separator}{}\r\n", write(0.5 * k as f64), write(*value));
        }
        let record = read_bytes(text.as_bytes(), &ReadOptions::default()).unwrap().value;
        prop_assert_eq!(record.channels.len(), 1, "{:?}", record.layout);
        for (k, value) in values.iter().enumerate() {
            let printed: f64 = format!("{value:.4}").parse().unwrap();
            prop_assert_eq!(record.channels[0].value(k), Some(printed));
        }
        let samples = record.current(&ChannelOptions::default()).unwrap().value;
        prop_assert!((samples.sample_rate_hz() - 2000.0).abs() < 1e-6, "digits are exact");
    }
}

fn through(bytes: &[u8]) {
    for sample_rate_hz in [None, Some(2000.0)] {
        let options = ReadOptions { sample_rate_hz, ..ReadOptions::default() };
        let Ok(noted) = read_bytes(bytes, &options) else { continue };
        let record = noted.value;
        for channel in &record.channels {
            assert_eq!(channel.len(), record.len(), "one time axis for all channels");
            let choice = ColumnChoice::Number(channel.number);
            let options = ChannelOptions { column: choice, ..ChannelOptions::default() };
            let Ok(samples) = record.current(&options) else { continue };
            for stretch in [Stretch::Steady, Stretch::Whole] {
                let options = CutOptions { stretch, ..CutOptions::default() };
                if let Ok(cut) = samples.value.cut(&options) {
                    assert!(cut.value.waveform.measures().dc.rms_a.is_finite());
                }
            }
        }
    }
}

/// A period at 400 Hz is found when the range is widened, and pointed to when it is not.
#[test]
fn law_a_widened_range_finds_an_aircraft_supply() {
    let tone =
        Tone { frequency_hz: 398.7, mean_a: 0.0, lines: vec![(1, 10.0, 0.2), (3, 1.0, 0.0)] };
    let samples = tone.record(40_000.0, 0.1, |_| 0.0);
    let refused = samples.cut(&CutOptions::default()).unwrap_err();
    assert!(refused.to_string().contains("no mains frequency"), "{refused}");
    let wide = CutOptions { max_frequency_hz: 450.0, ..CutOptions::default() };
    let cut = samples.cut(&wide).unwrap().value;
    // Harmonics are fitted exactly; the search stops at 1e-6 lines of 10 Hz.
    assert!((cut.frequency_hz - 398.7).abs() < 1e-4, "{}", cut.frequency_hz);
}

/// Empty, one sample, constant, and a header that promises a thousand million samples.
#[test]
fn law_hopeless_records_are_refused_with_a_reason() {
    let mut stray = "t,i (A)\n".to_owned();
    for k in 0..40 {
        stray += &format!("{k},{}{}\n", if k == 30 { "\"" } else { "" }, k % 7);
    }
    let cases: [(&str, &str); 5] = [
        ("t,i (A)\n0,1\n", "one sample"),
        ("t,i (A)\n", "no samples"),
        ("", "empty file"),
        ("Record Length,1000000000\nSample Interval,0.0005\nVertical Units,A\n", "no samples"),
        (stray.as_str(), "quote"),
    ];
    for (text, says) in cases {
        let error = read_bytes(text.as_bytes(), &ReadOptions::default())
            .and_then(|noted| noted.value.current(&ChannelOptions::default()))
            .unwrap_err();
        assert!(error.to_string().contains(says), "{text:?}: {error}");
    }
    let limits = Limits { max_file_bytes: 10, ..Limits::DEFAULT };
    let error =
        read_bytes(&[b'1'; 11], &ReadOptions { limits, ..ReadOptions::default() }).unwrap_err();
    assert!(error.to_string().contains("file size is 11 byte"), "{error}");
    let constant = Samples::new(vec![6.6; 4000], 2000.0).unwrap();
    let error = constant.cut(&CutOptions::default()).unwrap_err();
    assert!(error.to_string().contains("constant"), "{error}");
    let mut promising = "Record Length,1e9\n".to_owned();
    for k in 0..20 {
        promising += &format!("{},{}\n", 0.5 * f64::from(k), k % 3);
    }
    let noted = read_bytes(promising.as_bytes(), &ReadOptions::default()).unwrap();
    assert_eq!(noted.value.len(), 20);
    assert!(noted.notes.iter().any(|note| note.code == "promise-not-kept"), "{:?}", noted.notes);
}

/// Rows that the time column skips become gaps; lines between contiguous rows move nothing.
#[test]
fn law_rows_are_placed_by_their_time() {
    let mut text = "t (s),i (A)\n".to_owned();
    for k in (0..40).filter(|k| !(10..13).contains(k)) {
        if k == 20 {
            text += "# a remark between two rows\n";
        }
        text += &format!("{:.4},{k}\n", 0.0005 * f64::from(k));
    }
    let noted = read_bytes(text.as_bytes(), &ReadOptions::default()).unwrap();
    let channel = &noted.value.channels[0];
    assert_eq!(channel.len(), 40);
    for k in 0..40_u32 {
        let expected = (!(10..13).contains(&k)).then(|| f64::from(k));
        assert_eq!(channel.value(k as usize), expected, "sample {k}");
    }
    assert!(noted.notes.iter().any(|note| note.code == "rows-placed-by-time"));
}

/// An index that skips says which samples are missing, the header how long a step is.
#[test]
fn law_an_index_column_keeps_missing_rows_missing() {
    let text = "Increment,0.001\nn,I (A)\n0,1.5\n1,2.5\n2,3.5\n5,4.5\n6,5.5\n";
    let record = read_bytes(text.as_bytes(), &ReadOptions::default()).unwrap().value;
    let channel = &record.channels[0];
    let values: Vec<_> = (0..channel.len()).map(|k| channel.value(k)).collect();
    let (a, b) = (Some(4.5), Some(5.5));
    assert_eq!(values, [Some(1.5), Some(2.5), Some(3.5), None, None, a, b]);
    let rate_hz = record.timing.unwrap().sample_rate_hz;
    assert!((rate_hz - 1000.0).abs() < 1e-9, "the digits are exact: {rate_hz}");
}

/// A frequency that rises by 0.08 Hz in a second for two seconds bends the phase by 0.04 periods from
/// the middle to either end (half of 0.08 times one second squared): it is told.
#[test]
fn law_a_moving_frequency_is_told() {
    let record = |rise_hz_per_s: f64| {
        let at = |t: f64| 9.0 * (TAU * (50.0 * t + rise_hz_per_s * t * t / 2.0)).sin();
        Samples::new((0..8000).map(|k| at(f64::from(k) / 4000.0)).collect(), 4000.0).unwrap()
    };
    for (rise_hz_per_s, told) in [(0.0, false), (0.08, true)] {
        let cut = record(rise_hz_per_s).cut(&CutOptions::default()).unwrap();
        let note = cut.notes.iter().any(|note| note.code == "frequency-moves");
        assert_eq!(note, told, "{:?}", cut.notes);
        let rms_a = cut.value.waveform.measures().dc.rms_a;
        // A whole number of mean periods is off by a small part of one of 99 periods.
        assert!((rms_a / (9.0 / 2.0_f64.sqrt()) - 1.0).abs() < 1e-3, "{rms_a}");
    }
}

/// A clamp of 100 mV/A, a column in volts with its unit row: 0.66 V are 6.6 A.
#[test]
fn law_a_clamp_factor_turns_volts_into_amperes() {
    let text = "time;probe\n(s);(mV)\n0;660\n0,5;-660\n1;660\n";
    let record = read_bytes(text.as_bytes(), &ReadOptions::default()).unwrap().value;
    let error = record.current(&ChannelOptions::default()).unwrap_err();
    assert!(error.to_string().contains("clamp"), "{error}");
    let clamp = ChannelOptions { clamp_v_per_a: Some(0.1), ..ChannelOptions::default() };
    let samples = record.current(&clamp).unwrap().value;
    let i_a = samples.sample_a(1).unwrap();
    assert!((i_a + 6.6).abs() < 1e-12, "rounding of two products only: {i_a}");
    let twice = ChannelOptions { unit: Some("A".to_owned()), ..clamp };
    assert!(record.current(&twice).is_err(), "an ampere column is not scaled by a clamp");
}

/// What loggers write around their numbers: each text holds the same two samples a millisecond apart.
#[test]
fn law_headers_units_and_encodings_are_understood() {
    let utf16: Vec<u8> = [0xFF, 0xFE]
        .into_iter()
        .chain("t\tI (A)\n0\t1.5\n0.001\t-2.5\n".encode_utf16().flat_map(u16::to_le_bytes))
        .collect();
    let texts: [(&str, &[u8]); 8] = [
        ("quoted decimal commas", b"\"t\",\"I (A)\"\n\"0,000\",\"1,5\"\n\"0,001\",\"-2,5\"\n"),
        ("Latin-1", b"Zeit;Strom gemessen f\xfcr Feld 3\n(ms);(A)\n0;1,5\n1;-2,5\n"),
        ("UTF-16", &utf16),
        (
            "date and time",
            b"when,current\n2026-01-31 23:59:59.9990,1.5\n2026-02-01 00:00:00.0000,-2.5\n",
        ),
        ("date beside time", b"31.01.2026;23:59:59,999;1,5\n01.02.2026;00:00:00,000;-2,5\n"),
        ("interval in the header", b"# rig 4\nSample Interval: 1 ms\ncurrent\n1.5e0\n-2.5E+00\n"),
        (
            "metadata block",
            b"Model;X\nSamples;2\nSampling rate (kHz);1\n\nn;I [mA]\n1;1500,0\n2;-2500,0\n",
        ),
        ("old line ends", b"t,I (A)\r0,1.5\r.001,-2.5\r\x1a"),
    ];
    for (what, bytes) in texts {
        let record = read_bytes(bytes, &ReadOptions::default()).unwrap().value;
        let samples = record
            .current(&ChannelOptions::default())
            .map_err(|e| format!("{what}: {e}, {:?}", record.layout))
            .unwrap()
            .value;
        assert_eq!(samples.len(), 2, "{what}");
        assert_eq!((samples.sample_a(0), samples.sample_a(1)), (Some(1.5), Some(-2.5)), "{what}");
        let rate_hz = samples.sample_rate_hz();
        assert!((rate_hz - 1000.0).abs() < 1e-6, "{what}: the digits are exact, got {rate_hz}");
    }
}

/// A stretch in seconds is the same stretch in samples; one outside the record is refused, and so are
/// options that make no sense.
#[test]
fn law_a_stretch_means_the_same_in_seconds_and_in_samples() {
    let tone = Tone { frequency_hz: 59.9, mean_a: 0.1, lines: vec![(1, 9.0, 1.0), (3, 1.0, 2.0)] };
    let samples = tone.record(2000.0, 1.0, |_| 0.0);
    let cut = |stretch| samples.cut(&CutOptions { stretch, ..CutOptions::default() });
    let seconds = cut(Stretch::Seconds { from_s: Some(0.25), to_s: Some(0.75) }).unwrap();
    let counted = cut(Stretch::Samples { from: 500, to: Some(1500) }).unwrap();
    assert_eq!(seconds, counted);
    assert_eq!(seconds.value.region, 500..1500);
    for stretch in [
        Stretch::Seconds { from_s: Some(0.5), to_s: Some(1.5) },
        Stretch::Seconds { from_s: Some(f64::NAN), to_s: None },
        Stretch::Seconds { from_s: Some(0.6), to_s: Some(0.2) },
        Stretch::Samples { from: 0, to: Some(2001) },
        Stretch::Samples { from: 0, to: Some(40) },
    ] {
        assert!(cut(stretch.clone()).is_err(), "{stretch:?}");
    }
    for options in [
        CutOptions { min_frequency_hz: 70.0, max_frequency_hz: 40.0, ..CutOptions::default() },
        CutOptions { frequency_hz: Some(f64::INFINITY), ..CutOptions::default() },
        CutOptions { samples_per_period: Some(3), ..CutOptions::default() },
        CutOptions { steady_ratio: -1.0, ..CutOptions::default() },
    ] {
        assert!(samples.cut(&options).is_err(), "{options:?}");
    }
}

/// With the frequency given, one period is enough, and no uncertainty is claimed for it.
#[test]
fn law_a_given_frequency_needs_one_period_only() {
    let tone = Tone { frequency_hz: 50.0, mean_a: 0.0, lines: vec![(1, 9.0, 1.0), (3, 1.0, 2.0)] };
    let samples = tone.record(4000.0, 0.0205, |_| 0.0);
    assert!(samples.cut(&CutOptions::default()).is_err(), "too short to find a frequency in");
    let given = CutOptions { frequency_hz: Some(50.0), ..CutOptions::default() };
    let cut = samples.cut(&given).unwrap().value;
    assert_eq!((cut.cycles, cut.frequency_standard_uncertainty_hz), (1, None));
    let rms_a = cut.waveform.measures().dc.rms_a;
    // The fit is exact on a little more than one period; what is left is rounding.
    assert!((rms_a / tone.rms_a() - 1.0).abs() < 1e-9, "{rms_a}");
}

/// The same record gives the same bytes whatever the number of threads.
#[test]
fn law_threads_do_not_change_a_bit() {
    let tone = Tone { frequency_hz: 50.1, mean_a: 0.2, lines: vec![(1, 9.0, 1.0), (5, 1.0, 2.0)] };
    let samples = tone.record(20_000.0, 1.0, |k| 0.01 * noise(k));
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| cut(&samples))
    };
    assert_eq!(with(1), with(3));
}

/// Three periods of 61.457 Hz are fewer than two of the lowest frequency looked for; they were refused
/// for that once (November 2026), although three periods are enough.
#[test]
fn law_three_periods_of_a_high_frequency_are_enough() {
    let tone = Tone { frequency_hz: 61.457, mean_a: 0.0, lines: vec![(1, 9.3, 0.0)] };
    let cut = cut(&tone.record(13_272.0, 3.0 / 61.457 + 2.0 / 13_272.0, |_| 0.0));
    // The search stops at 1e-6 lines of 20 Hz, and the fit is exact.
    assert!((cut.frequency_hz - 61.457).abs() < 1e-4, "{}", cut.frequency_hz);
    assert_eq!(cut.cycles, 3);
}

/// Every limit the caller may set, up to the largest number, ends in a record or a refusal.
#[test]
fn law_no_limit_on_missing_rows_overflows() {
    let text = b"t (s),I (A)\n0,1\n1e-3,2\n2e-3,1\n3e-3,2\n1e18,1\n";
    for max_missing_rows in [0, usize::MAX / 2, usize::MAX - 3, usize::MAX] {
        let limits = Limits { max_missing_rows, ..Limits::default() };
        let options = ReadOptions { limits, ..ReadOptions::default() };
        let message = read_bytes(text, &options).unwrap_err().to_string();
        assert!(message.contains("rows would be missing"), "{message}");
    }
}

/// What a choice between columns passed over, and a frequency no mains has, are told.
#[test]
fn law_doubtful_choices_are_told() {
    let mut text = String::from("t (s),Ia (A),Ib (A),U (V)\n");
    for k in 0..2000 {
        let at = f64::from(k) * 1e-4;
        let i_a = 9.0 * (TAU * 55.0 * at).sin();
        text += &format!("{at:.4},{i_a:.6},{:.6},{:.6}\n", 0.5 * i_a, 10.0 * i_a);
    }
    let record = read_bytes(text.as_bytes(), &ReadOptions::default()).unwrap().value;
    let told = record.current(&ChannelOptions::default()).unwrap();
    let note = told.notes.iter().find(|note| note.code == "other-currents").unwrap();
    assert!(note.text.contains("3 (Ib") && !note.text.contains("4 (U"), "{}", note.text);
    let chosen = ChannelOptions { column: ColumnChoice::Number(2), ..ChannelOptions::default() };
    assert!(record.current(&chosen).unwrap().notes.is_empty(), "a choice needs no word");
    let cut = told.value.cut(&CutOptions::default()).unwrap();
    assert!(cut.notes.iter().any(|note| note.code == "unusual-frequency"), "{:?}", cut.notes);
    for (frequency_hz, usual) in [(48.5, true), (50.0, true), (61.5, true), (53.0, false)] {
        let tone = Tone { frequency_hz, mean_a: 0.0, lines: vec![(1, 9.0, 0.0)] };
        let cut = tone.record(4000.0, 0.5, |_| 0.0).cut(&CutOptions::default()).unwrap();
        let told = cut.notes.iter().any(|note| note.code == "unusual-frequency");
        assert_eq!(told, !usual, "{frequency_hz} Hz: {:?}", cut.notes);
    }
}

/// One reading each second is no waveform, and the refusal says what it is.
#[test]
fn law_a_list_of_rms_readings_is_told() {
    let readings: Vec<f64> = (0..600).map(|k| 6.6 + 0.01 * noise(k)).collect();
    let samples = Samples::new(readings, 1.0).unwrap();
    let error = samples.cut(&CutOptions::default()).unwrap_err();
    assert!(error.hint().is_some_and(|hint| hint.contains("list of RMS readings")), "{error}");
    let error = Samples::new(vec![6.6; 100], 1.0 / 60.0).unwrap_err();
    assert!(error.hint().is_some_and(|hint| hint.contains("list of RMS readings")), "{error}");
}

/// A constant that has no exact binary form is constant all the same.
#[test]
fn law_a_constant_column_has_no_period() {
    for value_a in [6.6, 0.1, -123.456, 0.0] {
        let samples = Samples::new(vec![value_a; 5000], 5000.0).unwrap();
        let message = samples.cut(&CutOptions::default()).unwrap_err().to_string();
        assert!(message.contains("constant"), "{message}");
    }
}

/// Pictures, other kinds of files and halves of records are refused by name, whatever follows their
/// first bytes.
#[test]
fn law_other_kinds_of_files_are_refused_by_name() {
    for (bytes, says) in [
        (&b"\x89PNG\r\n\x1a\n1,2\n3,4\n"[..], "PNG"),
        (b"RIFF\x10\0\0\0WAVEfmt 1,2\n3,4\n", "WAV"),
        (b"STATION,DEVICE,1999\n2,2A,0D\n1,IA,A,,A,1,0,0,0,1,1,1,P\n", "COMTRADE"),
        (b"--- file type: CFF ---\n1,2\n", "COMTRADE"),
        (b"%PDF-1.7\n1,2\n", "PDF"),
        (b"PK\x03\x04\n1,2\n", "packed"),
    ] {
        let message = read_bytes(bytes, &ReadOptions::default()).unwrap_err().to_string();
        assert!(message.contains(says), "{message}");
    }
    // A table that happens to begin with letters and numbers is no such record.
    assert!(read_bytes(b"t,I,1999\n0,1,2\n1,2,3\n2,1,2\n", &ReadOptions::default()).is_ok());
}
