use crate::error::{Error, ErrorKind, Result};

/// Half of the abscissae of the 15-point rule, from the outermost to the centre.
const ABSCISSAE: [f64; 8] = [
    0.991_455_371_120_812_6,
    0.949_107_912_342_758_5,
    0.864_864_423_359_769_1,
    0.741_531_185_599_394_4,
    0.586_087_235_467_691_1,
    0.405_845_151_377_397_2,
    0.207_784_955_007_898_47,
    0.0,
];
const KRONROD_WEIGHTS: [f64; 8] = [
    0.022_935_322_010_529_224,
    0.063_092_092_629_978_55,
    0.104_790_010_322_250_18,
    0.140_653_259_715_525_92,
    0.169_004_726_639_267_9,
    0.190_350_578_064_785_4,
    0.204_432_940_075_298_9,
    0.209_482_141_084_727_82,
];
/// Weights of the 7-point rule, at every second abscissa.
const GAUSS_WEIGHTS: [f64; 4] = [
    0.129_484_966_168_869_7,
    0.279_705_391_489_276_67,
    0.381_830_050_505_118_94,
    0.417_959_183_673_469_4,
];
/// Pieces after which the integral counts as not converged.
const MOST_PIECES: usize = 2000;

/// The integral of a function over neighbouring pieces whose ends are given in rising order.
///
/// Give every place where the function bends sharply as an end: the rule then sees smooth pieces.
/// The piece with the largest error is halved until all errors together are below `tolerance`.
///
/// # Errors
/// `NotConverged` when 2000 pieces do not do, or the function is not a number somewhere.
///
/// # Source
/// Gauss and Kronrod's rule of 7 and 15 points; R. Piessens et al., QUADPACK, 1983 (the idea; the code
/// is ours).
pub fn integral(mut f: impl FnMut(f64) -> f64, ends: &[f64], tolerance: f64) -> Result<f64> {
    let mut pieces: Vec<Piece> = ends
        .windows(2)
        .filter(|pair| pair[0] < pair[1])
        .map(|p| Piece::new(&mut f, p[0], p[1]))
        .collect();
    loop {
        let error: f64 = pieces.iter().map(|piece| piece.error).sum();
        if error <= tolerance {
            return Ok(pieces.iter().map(|piece| piece.value).sum());
        }
        let worst = (0..pieces.len())
            .max_by(|one, other| pieces[*one].error.total_cmp(&pieces[*other].error))
            .expect("an error above zero has a piece");
        let Piece { low, high, .. } = pieces[worst];
        if error.is_nan() || pieces.len() >= MOST_PIECES {
            return Err(Error::new(ErrorKind::NotConverged {
                stage: "integrating".to_owned(),
                iterations: pieces.len(),
                residual: error,
                worst: format!("{low} to {high}"),
            }));
        }
        let middle = 0.5 * (low + high);
        pieces[worst] = Piece::new(&mut f, low, middle);
        pieces.push(Piece::new(&mut f, middle, high));
    }
}

struct Piece {
    low: f64,
    high: f64,
    value: f64,
    error: f64,
}

impl Piece {
    fn new(f: &mut impl FnMut(f64) -> f64, low: f64, high: f64) -> Self {
        let (centre, half) = (0.5 * (low + high), 0.5 * (high - low));
        let (mut kronrod, mut gauss) = (0.0, 0.0);
        for (k, abscissa) in ABSCISSAE.iter().enumerate() {
            let sum = if k == 7 {
                f(centre)
            } else {
                f(centre - half * abscissa) + f(centre + half * abscissa)
            };
            kronrod += KRONROD_WEIGHTS[k] * sum;
            if k % 2 == 1 {
                gauss += GAUSS_WEIGHTS[k / 2] * sum;
            }
        }
        Self { low, high, value: half * kronrod, error: (half * (kronrod - gauss)).abs() }
    }
}
