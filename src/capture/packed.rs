use std::ops::Range;
use std::sync::Arc;

use rayon::prelude::*;

/// How one number is written in a file of bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Coding {
    /// Whole, 8 bits, 128 stands for zero.
    Offset8,
    Whole8,
    Whole16,
    Whole24,
    Whole32,
    /// Whole and never negative; all bits set stands for "no value".
    Unsigned32,
    Float32,
    Float64,
    /// As the ones above, the most significant byte first.
    Whole16Big,
    Whole32Big,
    Float32Big,
    Float64Big,
}

impl Coding {
    /// Bytes of one number.
    pub(super) fn bytes(self) -> usize {
        match self {
            Self::Offset8 | Self::Whole8 => 1,
            Self::Whole16 | Self::Whole16Big => 2,
            Self::Whole24 => 3,
            Self::Whole32
            | Self::Unsigned32
            | Self::Float32
            | Self::Whole32Big
            | Self::Float32Big => 4,
            Self::Float64 | Self::Float64Big => 8,
        }
    }
}

/// One channel of a file of bytes, read where it lies: nothing is unpacked until it is asked for.
///
/// Number k stands `start + k · stride` bytes into the file; its value is `factor · number + offset`.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Packed {
    pub(super) file: Arc<Vec<u8>>,
    pub(super) start: usize,
    pub(super) stride: usize,
    pub(super) count: usize,
    pub(super) coding: Coding,
    pub(super) factor: f64,
    pub(super) offset: f64,
    /// The whole number that stands for "no value".
    pub(super) missing: Option<i32>,
}

/// Numbers unpacked by one thread at a time.
const BLOCK: usize = 1 << 16;

impl Packed {
    /// Value k; NaN when the file marks it as missing or it is not finite.
    pub(super) fn value(&self, k: usize) -> f64 {
        self.unpacked(k..k + 1).first().copied().unwrap_or(f64::NAN)
    }

    /// The same bytes, other numbers: the ones in `range`.
    pub(super) fn slice(&self, range: Range<usize>) -> Self {
        let count = range.end.min(self.count).saturating_sub(range.start);
        Self { start: self.start + range.start * self.stride, count, ..self.clone() }
    }

    /// All values, NaN where there is none.
    pub(super) fn all(&self) -> Vec<f64> {
        self.scaled(1.0)
    }

    /// All values times a factor.
    pub(super) fn scaled(&self, by: f64) -> Vec<f64> {
        let mut values = vec![0.0; self.count];
        values.par_chunks_mut(BLOCK).enumerate().for_each(|(block, out)| {
            self.unpack(block * BLOCK, by, out);
        });
        values
    }

    /// All values in their order through one block of memory, NaN where there is none.
    pub(super) fn each_block(&self, mut each: impl FnMut(&[f64])) {
        let mut block = vec![0.0; BLOCK.min(self.count)];
        for first in (0..self.count).step_by(BLOCK) {
            let part = &mut block[..BLOCK.min(self.count - first)];
            self.unpack(first, 1.0, part);
            each(part);
        }
    }

    fn unpacked(&self, range: Range<usize>) -> Vec<f64> {
        let end = range.end.min(self.count);
        let mut values = vec![0.0; end.saturating_sub(range.start)];
        self.unpack(range.start, 1.0, &mut values);
        values
    }

    fn unpack(&self, first: usize, by: f64, out: &mut [f64]) {
        let missing = self.missing;
        let whole = move |number: i32| match missing {
            Some(code) if code == number => f64::NAN,
            _ => f64::from(number),
        };
        match self.coding {
            Coding::Offset8 => self.each(first, by, out, |[b]: [u8; 1]| whole(i32::from(b) - 128)),
            Coding::Whole8 => {
                self.each(first, by, out, |b: [u8; 1]| whole(i32::from(i8::from_le_bytes(b))));
            }
            Coding::Whole16 => {
                self.each(first, by, out, |b: [u8; 2]| whole(i32::from(i16::from_le_bytes(b))));
            }
            Coding::Whole24 => self.each(first, by, out, |[low, middle, high]: [u8; 3]| {
                whole(i32::from_le_bytes([0, low, middle, high]) >> 8)
            }),
            Coding::Whole32 => {
                self.each(first, by, out, |b: [u8; 4]| whole(i32::from_le_bytes(b)));
            }
            Coding::Unsigned32 => {
                self.each(first, by, out, |b: [u8; 4]| match u32::from_le_bytes(b) {
                    u32::MAX => f64::NAN,
                    number => f64::from(number),
                })
            }
            Coding::Float32 => {
                self.each(first, by, out, |b: [u8; 4]| f64::from(f32::from_le_bytes(b)));
            }
            Coding::Float64 => self.each(first, by, out, f64::from_le_bytes),
            Coding::Whole16Big => {
                self.each(first, by, out, |b: [u8; 2]| whole(i32::from(i16::from_be_bytes(b))));
            }
            Coding::Whole32Big => {
                self.each(first, by, out, |b: [u8; 4]| whole(i32::from_be_bytes(b)));
            }
            Coding::Float32Big => {
                self.each(first, by, out, |b: [u8; 4]| f64::from(f32::from_be_bytes(b)));
            }
            Coding::Float64Big => self.each(first, by, out, f64::from_be_bytes),
        }
    }

    fn each<const N: usize>(
        &self,
        first: usize,
        by: f64,
        out: &mut [f64],
        number: impl Fn([u8; N]) -> f64,
    ) {
        let from = (self.start + first * self.stride).min(self.file.len());
        let (factor, offset) = (self.factor, self.offset);
        // The last number may end with the file, before a whole stride is over.
        for (value, bytes) in out.iter_mut().zip(self.file[from..].chunks(self.stride)) {
            let number = bytes.first_chunk::<N>().map_or(f64::NAN, |bytes| number(*bytes));
            let scaled = factor * number + offset;
            *value = if scaled.is_finite() { by * scaled } else { f64::NAN };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two's complement by hand: 0x800000 is -2²³, 0xFFFFFF is -1, 0x7FFFFF is 2²³ - 1.
    #[test]
    fn exact_numbers_of_three_bytes_keep_their_sign() {
        let file = Arc::new(vec![0, 0, 0x80, 9, 0xFF, 0xFF, 0xFF, 9, 0xFF, 0xFF, 0x7F]);
        let packed = Packed {
            file,
            start: 0,
            stride: 4,
            count: 3,
            coding: Coding::Whole24,
            factor: 1.0,
            offset: 0.5,
            missing: Some(-1),
        };
        let values = packed.all();
        let mut visited = Vec::new();
        packed.each_block(|block| visited.extend_from_slice(block));
        let bits = |values: &[f64]| values.iter().map(|v| v.to_bits()).collect::<Vec<_>>();
        assert_eq!(bits(&visited), bits(&values));
        assert_eq!((values[0], values[2]), (-8_388_607.5, 8_388_607.5));
        assert!(values[1].is_nan(), "marked as missing");
        assert_eq!(packed.slice(2..9).all(), [8_388_607.5]);
    }
}
