//! Random numbers found by their place.

use loopcrest::uncertainty::Stream;

/// Any block, however cut, holds the numbers that are found one by one.
#[test]
fn law_blocks_hold_the_numbers_of_their_places() {
    let stream = Stream::new(3);
    let mut whole = vec![0.0; 1000];
    stream.uniforms(5, 0, &mut whole);
    for (first, length) in [(0, 1), (1, 7), (63, 130), (500, 500)] {
        let mut part = vec![0.0; length];
        stream.uniforms(5, first as u64, &mut part);
        assert_eq!(part, whole[first..first + length]);
    }
    for trial in [0, 1, 31, 32, 999] {
        assert_eq!(stream.uniform(trial as u64, 5), whole[trial]);
    }
}

/// Coordinates and seeds are different sequences: the correlation of N independent pairs has a
/// standard deviation of 1/√N, and five of those are allowed.
#[test]
fn law_coordinates_and_seeds_are_unrelated() {
    const N: usize = 50_000;
    let column = |seed, coordinate| {
        let mut values = vec![0.0; N];
        Stream::new(seed).uniforms(coordinate, 0, &mut values);
        values
    };
    let columns = [column(1, 0), column(1, 1), column(1, 2), column(2, 0)];
    for (k, a) in columns.iter().enumerate() {
        assert!(a.iter().all(|u| *u > 0.0 && *u < 1.0));
        let shifted = a[1..].iter().chain(&a[..1]).copied().collect::<Vec<_>>();
        for b in columns[k + 1..].iter().chain([&shifted]) {
            let product: f64 = a.iter().zip(b).map(|(x, y)| (x - 0.5) * (y - 0.5)).sum();
            let correlation = 12.0 * product / N as f64;
            assert!(correlation.abs() < 5.0 / (N as f64).sqrt(), "{correlation}");
        }
    }
}
