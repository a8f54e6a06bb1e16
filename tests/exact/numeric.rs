//! Linear algebra and roots against values that can be checked by hand.

use loopcrest::numeric::{Lu, eigenvalues, integral, root_between};
use proptest::prelude::*;

#[test]
fn exact_lu_solves_a_system_that_needs_row_exchanges() {
    // x = 1, y = 2, z = 3 in equations made from them.
    let lu = Lu::factor(3, vec![0.0, 1.0, 1.0, 2.0, 0.0, 1.0, 1.0, 1.0, 0.0]).unwrap();
    let mut b = vec![5.0, 5.0, 3.0];
    lu.solve_in_place(&mut b);
    for (got, want) in b.iter().zip([1.0, 2.0, 3.0]) {
        assert!((got - want).abs() < 1e-14, "rounding of a 3 x 3 system: {b:?}");
    }
    // det = -(2·0 - 1·1)·1 + (2·1 - 0·1)·1 = 3
    assert!(lu.determinant_sign() > 0.0);
}

#[test]
fn exact_lu_refuses_a_singular_matrix_and_a_nan() {
    assert!(Lu::factor(2, vec![1.0, 2.0, 2.0, 4.0]).is_err());
    assert!(Lu::factor(2, vec![f64::NAN, 2.0, 2.0, 4.0]).is_err());
    // Ohms beside siemens: small rows are not singular rows.
    assert!(Lu::factor(2, vec![1e-9, 0.0, 0.0, 1e9]).is_ok());
}

#[test]
fn exact_eigenvalues_of_a_rotation_and_a_triangle() {
    let turned = eigenvalues(2, &[0.0, -2.0, 2.0, 0.0]).unwrap();
    assert!((turned[0].im - 2.0).abs() < 1e-14 && turned[0].re.abs() < 1e-14);
    assert!((turned[1].im + 2.0).abs() < 1e-14);
    let triangle = eigenvalues(3, &[1.0, 5.0, 6.0, 0.0, -3.0, 7.0, 0.0, 0.0, 2.0]).unwrap();
    let real: Vec<f64> = triangle.iter().map(|z| z.re).collect();
    for (got, want) in real.iter().zip([-3.0, 2.0, 1.0]) {
        assert!((got - want).abs() < 1e-12, "diagonal of a triangle, largest first: {real:?}");
    }
    assert!(eigenvalues(1, &[f64::NAN]).is_none());
    assert!(eigenvalues(0, &[]).unwrap().is_empty());
}

#[test]
fn exact_root_of_cosine_is_half_pi() {
    let root = root_between(|x| Ok(x.cos()), 0.0, 3.0, 1e-14).unwrap();
    assert!((root - std::f64::consts::FRAC_PI_2).abs() < 1e-13, "asked for 1e-14: {root}");
    assert!(root_between(|x| Ok(x * x + 1.0), -1.0, 1.0, 1e-9).is_err(), "no change of sign");
}

proptest! {
    #[test]
    fn law_lu_leaves_no_residual(entries in prop::collection::vec(-1.0..1.0f64, 36), b in prop::collection::vec(-1.0..1.0f64, 6)) {
        // A dominant diagonal keeps the condition number below about 10, so 1e-12 is generous to
        // rounding and still far below any error of method.
        let mut a = entries;
        for k in 0..6 {
            a[k * 6 + k] += 8.0;
        }
        let mut x = b.clone();
        Lu::factor(6, a.clone()).unwrap().solve_in_place(&mut x);
        for row in 0..6 {
            let sum: f64 = (0..6).map(|c| a[row * 6 + c] * x[c]).sum();
            prop_assert!((sum - b[row]).abs() < 1e-12);
        }
    }
}

#[test]
fn exact_integrals() {
    // A polynomial of degree 13 is exact for the smaller of the two rules.
    let got = integral(|x| 14.0 * x.powi(13), &[0.0, 1.0], 1e-12).unwrap();
    assert!((got - 1.0).abs() < 1e-14, "rounding of one piece: {got}");
    let got = integral(|x| (-x * x).exp(), &[-8.0, 8.0], 1e-12).unwrap();
    let want = std::f64::consts::PI.sqrt();
    assert!((got - want).abs() < 1e-12, "the tolerance asked for; tails are 1e-29: {got}");
    // A root at its end, not given as smooth: halved until it is below the tolerance.
    let got = integral(|x| x.sqrt(), &[0.0, 1.0], 1e-10).unwrap();
    assert!((got - 2.0 / 3.0).abs() < 1e-10, "the tolerance asked for: {got}");
    // Nothing between equal ends; no answer for what is no number or has no integral.
    assert_eq!(integral(|x| x, &[1.0, 1.0], 1e-12).unwrap(), 0.0);
    assert!(integral(|_| f64::NAN, &[0.0, 1.0], 1e-12).is_err());
    assert!(integral(|x| 1.0 / x, &[0.0, 1.0], 1e-6).is_err());
}
