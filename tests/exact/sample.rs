//! Quantiles of samples, their own uncertainty, and a memory that stops growing.

use loopcrest::uncertainty::{Distribution, Sample, Stream};

use crate::support::{assert_absolute, assert_relative};

/// Of 1..=n the plotting positions of definition 8 give quantile p as (n + 1/3) p + 1/3.
#[test]
fn exact_quantiles_of_a_row_of_numbers() {
    let mut sample = Sample::new(50.0);
    // In an order that is not sorted: 37 is coprime to 101.
    (0..101).for_each(|k| sample.push(f64::from(37 * k % 101 + 1)));
    let got = sample.quantiles(&[0.025, 0.5, 0.975]).unwrap();
    for (got, p) in got.iter().zip([0.025, 0.5, 0.975]) {
        assert_absolute(*got, (101.0 + 1.0 / 3.0) * p + 1.0 / 3.0, 1e-12, "rounding");
    }
    assert_absolute(sample.mean().unwrap(), 51.0, 1e-12, "rounding");
    // Variance of 1..=n, divided by n − 1: n(n + 1)/12.
    let deviation = sample.standard_deviation().unwrap();
    assert_relative(deviation, (101.0_f64 * 102.0 / 12.0).sqrt(), 1e-14, "rounding");
}

/// Of 200 samples of a known law, the interval of the quantile covers the true one in at least 95 %:
/// 200 · 0.05 = 10 misses expected at most, 3.1 their standard deviation; 20 is three of those.
#[test]
fn exact_quantile_intervals_cover() {
    let law = Distribution::Normal { mean: 1.6, standard_uncertainty: 0.05 };
    let stream = Stream::new(21);
    for p in [0.025, 0.975] {
        let mut missed = 0;
        for run in 0..200 {
            let mut values = vec![0.0; 1000];
            law.draw(&stream, run, 0, &mut values);
            let mut sample = Sample::new(1.6);
            values.iter().for_each(|x| sample.push(*x));
            let found = sample.bracketed(p).unwrap();
            assert!(found.low <= found.value && found.value <= found.high);
            missed += usize::from(!(found.low..=found.high).contains(&law.quantile(p)));
        }
        assert!((1..=20).contains(&missed), "{missed} of 200 missed");
    }
    let mut few = Sample::new(0.0);
    (0..50).for_each(|k| few.push(f64::from(k)));
    assert_eq!(few.bracketed(0.025), None, "fifty values cannot bracket a 2.5 % quantile");
}

/// A million values hold no more numbers than the range has bins, and their quantiles are those of
/// the law within the bins' width and three standard errors of a quantile, √(p(1−p)/n)/f(x).
#[test]
fn exact_memory_stops_growing_and_quantiles_stay() {
    const N: usize = 1_000_000;
    let law = Distribution::Normal { mean: 1.6, standard_uncertainty: 0.05 };
    let mut values = vec![0.0; N];
    law.draw(&Stream::new(4), 0, 0, &mut values);
    let mut sample = Sample::new(1.6);
    let mut held_at = Vec::new();
    for (k, x) in values.iter().enumerate() {
        sample.push(*x);
        if (k + 1) % 250_000 == 0 {
            held_at.push(sample.held());
        }
    }
    // ±5 standard deviations: ln(1.85/1.35)/2e-5 bins.
    let most = ((1.85_f64 / 1.35).ln() / Sample::RESOLUTION_RATIO) as usize;
    assert!(held_at.iter().all(|held| *held <= most), "{held_at:?}, at most {most}");
    for p in [0.025, 0.5, 0.975] {
        let x = law.quantile(p);
        let error = (p * (1.0 - p) / N as f64).sqrt() / law.density(x).unwrap();
        let got = sample.bracketed(p).unwrap();
        let allowed = 3.0 * error + x * Sample::RESOLUTION_RATIO;
        assert_absolute(got.value, x, allowed, "three standard errors and a bin");
        assert!(got.high - got.low < 5.0 * error + 2.0 * x * Sample::RESOLUTION_RATIO);
    }
    let reason = "1/√(2N) relative for the deviation: three of those";
    assert_relative(sample.standard_deviation().unwrap(), 0.05, 0.0022, reason);
}

/// Binned or kept, negative or positive: the same quantiles within a bin.
#[test]
fn exact_both_signs_are_binned() {
    let mut sample = Sample::new(0.0);
    let n = 2 * Sample::EXACT;
    (0..n).for_each(|k| sample.push(k as f64 / n as f64 - 0.5));
    for (got, p) in sample.quantiles(&[0.1, 0.5, 0.9]).unwrap().iter().zip([0.1, 0.5, 0.9]) {
        assert_absolute(*got, p - 0.5, 2e-5, "a bin of 2e-5 of 0.4 and one place in 131,072");
    }
}
