/// The text of a file: byte-order mark removed, UTF-16 by its mark, otherwise UTF-8 and, when it is
/// not that, Latin-1 (which never fails); lines end in one line feed, the last one too.
pub(super) fn decode(bytes: &[u8]) -> String {
    let mut text = match bytes {
        [0xEF, 0xBB, 0xBF, rest @ ..] => utf8_or_latin1(rest),
        [0xFF, 0xFE, rest @ ..] => utf16(rest, u16::from_le_bytes),
        [0xFE, 0xFF, rest @ ..] => utf16(rest, u16::from_be_bytes),
        _ => utf8_or_latin1(bytes),
    };
    if text.contains('\r') {
        text = text.replace("\r\n", "\n").replace('\r', "\n");
    }
    // An old end-of-file mark, sometimes the last byte.
    let kept = text.trim_end_matches('\u{1a}').len();
    text.truncate(kept);
    if !text.is_empty() && !text.ends_with('\n') {
        text.push('\n');
    }
    text
}

fn utf8_or_latin1(bytes: &[u8]) -> String {
    match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().map(|byte| char::from(*byte)).collect(),
    }
}

fn utf16(bytes: &[u8], join: fn([u8; 2]) -> u16) -> String {
    let (pairs, _) = bytes.as_chunks::<2>();
    let units: Vec<u16> = pairs.iter().map(|pair| join(*pair)).collect();
    String::from_utf16_lossy(&units)
}
