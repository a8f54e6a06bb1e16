//! What holds for sensitivity indices of any function.

use loopcrest::uncertainty::VarianceShares;

use crate::published::sensitivity::{indices, ishigami};

/// The errors the blocks give are those seen over repetitions with other seeds.
#[test]
fn law_standard_errors_are_the_spread_over_seeds() {
    const SEEDS: u64 = 60;
    let runs: Vec<_> = (0..SEEDS).map(|seed| indices(ishigami, 3, 1000, 100 + seed)).collect();
    for k in 0..3 {
        let values: Vec<f64> = runs.iter().map(|run| run[k].first_order_ratio).collect();
        let mean = values.iter().sum::<f64>() / SEEDS as f64;
        let spread = (values.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / 59.0).sqrt();
        let said = runs.iter().map(|run| run[k].first_order_error).sum::<f64>() / SEEDS as f64;
        // The spread of 60 values is known to 1/√118 = 9 %; three of those.
        assert!((said / spread - 1.0).abs() < 0.28, "input {k}: said {said}, seen {spread}");
    }
}

/// An output that does not vary, or too few pairs, has no indices.
#[test]
fn law_no_indices_of_nothing() {
    let mut sums = VarianceShares::new(1, 3.0);
    for pair in 0..100 {
        sums.add(pair, 3.5, 3.5, &[3.5]);
    }
    assert_eq!(sums.indices(), None);
    let mut few = VarianceShares::new(1, 0.0);
    few.add(0, 1.0, 2.0, &[1.5]);
    assert_eq!(few.indices(), None);
}
