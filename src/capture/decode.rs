use std::borrow::Cow;

/// How the bytes of a text were turned into characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Encoding {
    /// UTF-8, which plain ASCII is too.
    Utf8,
    /// UTF-8 with a byte-order mark.
    Utf8Marked,
    /// UTF-16, least significant byte first.
    Utf16Le,
    /// UTF-16, most significant byte first.
    Utf16Be,
    /// Latin-1: what is no UTF-8 is read as that, since every byte is one of its characters.
    Latin1,
}

impl Encoding {
    /// The encoding in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Utf8 => "UTF-8",
            Self::Utf8Marked => "UTF-8 with a byte-order mark",
            Self::Utf16Le => "UTF-16, low byte first",
            Self::Utf16Be => "UTF-16, high byte first",
            Self::Latin1 => "Latin-1",
        }
    }
}

/// The text of a file.
#[derive(Debug)]
pub(super) struct Decoded<'b> {
    /// Lines end in a line feed, perhaps with a carriage return before it; the last may lack it.
    pub(super) text: Cow<'b, str>,
    pub(super) encoding: Encoding,
}

/// The text of a file: byte-order mark removed, UTF-16 by its mark, otherwise UTF-8 and, when it is
/// not that, Latin-1 (which never fails). Plain text is not copied.
pub(super) fn decode(bytes: &[u8]) -> Decoded<'_> {
    let (marked, rest) = match bytes {
        [0xEF, 0xBB, 0xBF, rest @ ..] => (Encoding::Utf8Marked, rest),
        [0xFF, 0xFE, rest @ ..] => (Encoding::Utf16Le, rest),
        [0xFE, 0xFF, rest @ ..] => (Encoding::Utf16Be, rest),
        _ => (Encoding::Utf8, bytes),
    };
    let (text, encoding): (Cow<'_, str>, Encoding) = match marked {
        Encoding::Utf16Le => (utf16(rest, u16::from_le_bytes), marked),
        Encoding::Utf16Be => (utf16(rest, u16::from_be_bytes), marked),
        _ => match std::str::from_utf8(rest) {
            Ok(text) => (text.into(), marked),
            Err(_) => (latin1(rest), Encoding::Latin1),
        },
    };
    Decoded { text: with_line_feeds(text), encoding }
}

/// The text with line feeds at the ends of its lines and no mark at its own end.
pub(super) fn with_line_feeds(mut text: Cow<'_, str>) -> Cow<'_, str> {
    // Lines of old machines end in a carriage return alone.
    if has_lone_return(text.as_bytes()) {
        text = text.replace("\r\n", "\n").replace('\r', "\n").into();
    }
    // An old end-of-file mark, sometimes the last byte.
    let kept = text.trim_end_matches('\u{1a}').len();
    match &mut text {
        Cow::Borrowed(text) => *text = &text[..kept],
        Cow::Owned(text) => text.truncate(kept),
    }
    text
}

fn has_lone_return(bytes: &[u8]) -> bool {
    memchr::memchr_iter(b'\r', bytes).any(|at| bytes.get(at + 1) != Some(&b'\n'))
}

/// Bytes as the characters of the same numbers.
pub(super) fn latin1(bytes: &[u8]) -> Cow<'static, str> {
    bytes.iter().map(|byte| char::from(*byte)).collect::<String>().into()
}

fn utf16(bytes: &[u8], join: fn([u8; 2]) -> u16) -> Cow<'static, str> {
    let (pairs, _) = bytes.as_chunks::<2>();
    let units: Vec<u16> = pairs.iter().map(|pair| join(*pair)).collect();
    String::from_utf16_lossy(&units).into()
}
