/// Powers of ten that a double holds exactly.
const EXACT_POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];
/// Powers of ten as whole numbers.
const WHOLE_POWERS: [u64; 9] =
    [1, 10, 100, 1_000, 10_000, 100_000, 1_000_000, 10_000_000, 100_000_000];
/// Whole numbers up to this one are exact in a double.
const EXACT_WHOLE: u64 = 1 << 53;
/// Decimal digits that surely fit in 64 bits.
const MOST_DIGITS: usize = 19;

/// A plainly written number, rounded as exactly as the standard library does, or `None` when it takes
/// that library to read it.
///
/// Digits, one decimal mark and an exponent; the digits as a whole number and the power of ten are both
/// exact, so that the one multiplication or division between them rounds once. Anything else (more
/// digits, words such as "NaN", no number at all) is left to the caller.
pub(super) fn plain_number(text: &[u8], decimal_mark: u8) -> Option<f64> {
    let (value, rest) = leading_number(text, decimal_mark)?;
    rest.is_empty().then_some(value)
}

/// The plainly written number with which a text begins, and what follows it.
#[inline]
pub(super) fn leading_number(text: &[u8], decimal_mark: u8) -> Option<(f64, &[u8])> {
    let (negative, text) = signed(text);
    let (whole, mut rest) = digits(0, text);
    let before = text.len() - rest.len();
    let (mut mantissa, mut count, mut exponent) = (whole, before, 0_i32);
    if let [mark, more @ ..] = rest
        && *mark == decimal_mark
    {
        (mantissa, rest) = digits(mantissa, more);
        let fraction = more.len() - rest.len();
        // A decimal comma without a digit after it is no number here.
        if fraction == 0 && (before == 0 || decimal_mark != b'.') {
            return None;
        }
        count += fraction;
        exponent = -i32::try_from(fraction).ok()?;
    } else if before == 0 {
        return None;
    }
    // The count comes first: with more digits the whole number has wrapped.
    if count > MOST_DIGITS || mantissa > EXACT_WHOLE {
        return None;
    }
    if let [b'e' | b'E', more @ ..] = rest {
        let (negative, text) = signed(more);
        let (power, after) = digits(0, text);
        if !(1..=3).contains(&(text.len() - after.len())) {
            return None;
        }
        let power = i32::try_from(power).ok()?;
        exponent += if negative { -power } else { power };
        rest = after;
    }
    let power = *EXACT_POWERS.get(exponent.unsigned_abs() as usize)?;
    let value = if exponent < 0 { mantissa as f64 / power } else { mantissa as f64 * power };
    Some((if negative { -value } else { value }, rest))
}

fn signed(text: &[u8]) -> (bool, &[u8]) {
    match text {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        _ => (false, text),
    }
}

/// A whole number continued by the digits of a text, and what follows them.
#[inline]
fn digits(mut whole: u64, mut text: &[u8]) -> (u64, &[u8]) {
    while let Some(eight) = text.first_chunk::<8>() {
        let (value, count) = leading_digits(u64::from_le_bytes(*eight));
        whole = whole.wrapping_mul(WHOLE_POWERS[count]).wrapping_add(value);
        text = &text[count..];
        if count < 8 {
            return (whole, text);
        }
    }
    while let [digit @ b'0'..=b'9', more @ ..] = text {
        whole = whole.wrapping_mul(10).wrapping_add(u64::from(digit - b'0'));
        text = more;
    }
    (whole, text)
}

/// Value and number of the digits with which eight characters begin, the first in the lowest byte.
///
/// All eight are looked at together: a character is a digit when its distance from '0' is at most 9,
/// and neighbours are joined to twos, fours and eight.
#[inline]
fn leading_digits(eight: u64) -> (u64, usize) {
    const EACH: u64 = 0x0101_0101_0101_0101;
    let distance = eight ^ (EACH * 0x30);
    // A byte of more than 9 sets its high bit, and may upset only the bytes after it.
    let others = (distance.wrapping_add(EACH * 0x76) | distance) & (EACH * 0x80);
    let count = (others.trailing_zeros() / 8) as usize;
    if count == 0 {
        return (0, 0);
    }
    // Zeros before the digits make them eight.
    let digits = distance << (64 - 8 * count);
    let twos = (digits.wrapping_mul(10).wrapping_add(digits >> 8)) & 0x00FF_00FF_00FF_00FF;
    let fours = (twos.wrapping_mul(100).wrapping_add(twos >> 16)) & 0x0000_FFFF_0000_FFFF;
    let value = (fours.wrapping_mul(10_000).wrapping_add(fours >> 32)) & 0xFFFF_FFFF;
    (value, count)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig {
            cases: 2000, failure_persistence: None, ..ProptestConfig::default()
        })]

        /// Bit for bit what the standard library reads, whenever there is an answer at all.
        #[test]
        fn law_plain_numbers_round_like_the_standard_library(
            text in "[+-]?[0-9]{0,17}(\\.[0-9]{0,8})?(e[+-]?[0-9]{1,3})?",
        ) {
            if let Some(value) = plain_number(text.as_bytes(), b'.') {
                let standard: f64 = text.parse().unwrap();
                prop_assert_eq!(value.to_bits(), standard.to_bits(), "{}", text);
            }
        }
    }

    /// Every number of digits before every character that is none, against counting by hand.
    #[test]
    fn exact_eight_characters_are_read_together() {
        for other in (0..=255_u8).filter(|byte| !byte.is_ascii_digit()) {
            for count in 0..=8_usize {
                let mut eight = *b"98765432";
                eight[count..].fill(other);
                let by_hand = eight[..count].iter().fold(0, |v, d| 10 * v + u64::from(d - b'0'));
                assert_eq!(leading_digits(u64::from_le_bytes(eight)), (by_hand, count));
            }
        }
    }

    #[test]
    fn exact_a_number_ends_where_its_text_does() {
        assert_eq!(leading_number(b"1.5;2", b'.'), Some((1.5, &b";2"[..])));
        assert_eq!(leading_number(b"-2e3 A", b'.'), Some((-2000.0, &b" A"[..])));
        assert_eq!(leading_number(b" 1", b'.'), None);
    }

    #[test]
    fn exact_what_is_left_to_the_standard_library() {
        assert_eq!(plain_number(b"-12,5", b','), Some(-12.5));
        assert_eq!(plain_number(b"1.5e-003", b'.'), Some(1.5e-3));
        for text in ["", "-", ".", "1,", "NaN", "1 2", "1e", "1e400", "12345678901234567890"] {
            assert_eq!(plain_number(text.as_bytes(), b','), None, "{text}");
        }
    }
}
