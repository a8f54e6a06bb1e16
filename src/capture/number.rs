/// Powers of ten that a double holds exactly.
const EXACT_POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];
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
    let (negative, mut rest) = match text {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        _ => (false, text),
    };
    let mut whole = 0_u64;
    let mut digits = 0;
    let mut take = |from: &mut &[u8]| {
        let mut taken = 0;
        while let [digit @ b'0'..=b'9', more @ ..] = from {
            // Wraps only beyond the digits counted below, where the result is not used.
            whole = whole.wrapping_mul(10).wrapping_add(u64::from(digit - b'0'));
            taken += 1;
            *from = more;
        }
        digits += taken;
        taken
    };
    let before = take(&mut rest);
    let mut exponent = 0_i32;
    if let [mark, more @ ..] = rest
        && *mark == decimal_mark
    {
        rest = more;
        let fraction = take(&mut rest);
        // A decimal comma without a digit after it is no number here.
        if fraction == 0 && (before == 0 || decimal_mark != b'.') {
            return None;
        }
        exponent = -i32::try_from(fraction).ok()?;
    } else if before == 0 {
        return None;
    }
    if digits > MOST_DIGITS {
        return None;
    }
    if let [b'e' | b'E', more @ ..] = rest {
        exponent += small_exponent(more)?;
        rest = &[];
    }
    if !rest.is_empty() || whole > EXACT_WHOLE {
        return None;
    }
    let power = *EXACT_POWERS.get(exponent.unsigned_abs() as usize)?;
    let value = if exponent < 0 { whole as f64 / power } else { whole as f64 * power };
    Some(if negative { -value } else { value })
}

/// Two digits at most, with or without a sign.
fn small_exponent(text: &[u8]) -> Option<i32> {
    let (negative, digits) = match text {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        _ => (false, text),
    };
    let digit = |byte: u8| byte.is_ascii_digit().then(|| i32::from(byte - b'0'));
    let value = match *digits {
        [one] => digit(one)?,
        [ten, one] => 10 * digit(ten)? + digit(one)?,
        [b'0', ten, one] => 10 * digit(ten)? + digit(one)?,
        _ => return None,
    };
    Some(if negative { -value } else { value })
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

    #[test]
    fn exact_what_is_left_to_the_standard_library() {
        assert_eq!(plain_number(b"-12,5", b','), Some(-12.5));
        assert_eq!(plain_number(b"1.5e-003", b'.'), Some(1.5e-3));
        for text in ["", "-", ".", "1,", "NaN", "1 2", "1e", "1e400", "12345678901234567890"] {
            assert_eq!(plain_number(text.as_bytes(), b','), None, "{text}");
        }
    }
}
