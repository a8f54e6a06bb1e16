/// Powers of ten that a double holds exactly.
const EXACT_POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];
/// Powers of ten as whole numbers.
const WHOLE_POWERS: [u64; 9] =
    [1, 10, 100, 1_000, 10_000, 100_000, 1_000_000, 10_000_000, 100_000_000];
/// One in each byte.
const EACH: u64 = 0x0101_0101_0101_0101;
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
#[inline(always)]
pub(super) fn leading_number(text: &[u8], decimal_mark: u8) -> Option<(f64, &[u8])> {
    let (negative, unsigned) = signed(text);
    if let Some(sixteen) = unsigned.first_chunk::<16>()
        && let Some((value, length)) = decimal(sixteen, decimal_mark)
    {
        return Some((if negative { -value } else { value }, &unsigned[length..]));
    }
    any_leading_number(text, decimal_mark)
}

/// The same, whatever the number looks like.
#[inline(never)]
fn any_leading_number(text: &[u8], decimal_mark: u8) -> Option<(f64, &[u8])> {
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

/// Value and length of the decimal number, without sign and exponent, with which sixteen characters
/// begin: its mark among the first eight, up to fifteen digits, something else after them. The usual case.
///
/// The mark is taken out and the digits on both sides of it are read as one whole number.
#[inline(always)]
fn decimal(sixteen: &[u8; 16], decimal_mark: u8) -> Option<(f64, usize)> {
    let all = u128::from_le_bytes(*sixteen);
    let (first, second) = (all as u64 ^ (EACH * 0x30), (all >> 64) as u64 ^ (EACH * 0x30));
    let whole_bits = digit_bits(first);
    let whole = (whole_bits / 8) as usize;
    if whole_bits == 64 || sixteen[whole] != decimal_mark {
        return None;
    }
    let before = (1 << whole_bits) - 1;
    let joined = (first & before) | (((first >> 8) | (second << 56)) & !before);
    let bits = digit_bits(joined);
    let (mantissa, digits) = if bits < 64 {
        // Without a digit the bits would not shift; such a thing is no number anyway.
        (eight_digits(joined << (64 - bits.max(8))), (bits / 8) as usize)
    } else {
        let more = second >> 8;
        // The byte that came in at the end reads as the digit 0 and must not count.
        let bits = digit_bits(more).min(56);
        let count = (bits / 8) as usize;
        if count == 7 {
            return None;
        }
        let low = if count == 0 { 0 } else { eight_digits(more << (64 - bits)) };
        (eight_digits(joined) * WHOLE_POWERS[count] + low, 8 + count)
    };
    let fraction = digits.checked_sub(whole).filter(|fraction| *fraction > 0)?;
    let length = digits + 1;
    if matches!(sixteen[length], b'e' | b'E') {
        return None;
    }
    Some((mantissa as f64 / EXACT_POWERS[fraction], length))
}

#[inline(always)]
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
#[inline]
fn leading_digits(eight: u64) -> (u64, usize) {
    let distance = eight ^ (EACH * 0x30);
    let bits = digit_bits(distance);
    if bits == 0 {
        return (0, 0);
    }
    // Zeros before the digits make them eight.
    (eight_digits(distance << (64 - bits)), (bits / 8) as usize)
}

/// Eight times the number of digits with which eight characters begin, told by their distances from '0'.
///
/// All eight are looked at together: a character is a digit when its distance is at most 9, and only
/// more than that sets the high bit of its byte; nothing is carried into the next.
#[inline]
fn digit_bits(distance: u64) -> u32 {
    let others = ((distance & (EACH * 0x7F)) + EACH * 0x76) | distance;
    (others & (EACH * 0x80)).trailing_zeros() & !7
}

/// Eight digits as a number, the first in the lowest byte: neighbours are joined to twos, fours and eight.
#[inline]
fn eight_digits(digits: u64) -> u64 {
    let twos = (digits.wrapping_mul(10).wrapping_add(digits >> 8)) & 0x00FF_00FF_00FF_00FF;
    let fours = (twos.wrapping_mul(100).wrapping_add(twos >> 16)) & 0x0000_FFFF_0000_FFFF;
    (fours.wrapping_mul(10_000).wrapping_add(fours >> 32)) & 0xFFFF_FFFF
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

    proptest! {
        #![proptest_config(ProptestConfig {
            cases: 5000, failure_persistence: None, ..ProptestConfig::default()
        })]

        /// The same with a cell or anything else after it, where sixteen characters are there to be read
        /// at once; and it ends where its characters do.
        #[test]
        fn law_a_number_within_a_text_rounds_like_the_standard_library(
            number in "[+-]?[0-9]{0,12}(\\.[0-9]{0,12})?(e[+-]?[0-9]{1,2})?",
            after in "([,; \t\n\r:/.x-]\\PC{20,24})",
        ) {
            let text = format!("{number}{after}");
            let longer = after.starts_with('.') && !number.contains(['.', 'e']);
            if !longer && let Some((value, rest)) = leading_number(text.as_bytes(), b'.') {
                let standard: f64 = number.parse().unwrap();
                prop_assert_eq!(value.to_bits(), standard.to_bits(), "{}", text);
                prop_assert_eq!(rest, after.as_bytes());
            }
        }

        /// What the quick way reads, the ordinary way reads alike.
        #[test]
        fn law_sixteen_characters_at_once_are_read_as_one_by_one(
            bytes in proptest::collection::vec(proptest::sample::select(b"0123456789.,-eE \xB0".to_vec()), 16),
        ) {
            let sixteen: [u8; 16] = bytes.try_into().unwrap();
            if let Some((value, length)) = decimal(&sixteen, b'.') {
                let text = std::str::from_utf8(&sixteen[..length]).unwrap();
                let standard: f64 = text.parse().unwrap();
                prop_assert_eq!(value.to_bits(), standard.to_bits(), "{}", text);
                prop_assert!(!sixteen[length].is_ascii_digit());
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
