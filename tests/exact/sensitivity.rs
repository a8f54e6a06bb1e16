//! Sensitivity of groups of inputs against the closed form.

use loopcrest::uncertainty::{PairedDesign, Stream, VarianceShares};

use crate::published::sensitivity::{assert_estimates, ishigami};

/// Grouped inputs share one index: with x₁ and x₃ together nothing acts across groups, so S = T for
/// both groups and the two add up to 1.
#[test]
fn exact_grouped_inputs_of_the_ishigami_function() {
    const ROWS: u64 = 40_000;
    let design = PairedDesign::new(Stream::new(9), ROWS, vec![0, 1, 0]);
    let mut sums = VarianceShares::new(2, 0.0);
    for pair in 0..ROWS {
        let mixed: Vec<f64> = (0..2).map(|g| ishigami(&design.mixed(pair, g))).collect();
        let (a, b) = (design.plain(pair), design.plain(ROWS + pair));
        sums.add(pair, ishigami(&a), ishigami(&b), &mixed);
    }
    let want = [1.0 - 0.4424, 0.4424];
    assert_estimates(&sums.indices().unwrap(), &want, &want);
}
