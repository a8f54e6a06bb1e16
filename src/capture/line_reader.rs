use std::io::Read;

use crate::error::{Error, Result};

use super::Encoding;

/// Fewest bytes read at a time: more than any mark and character.
const LEAST_PIECE_BYTES: usize = 16;
/// A line this long is no row of numbers.
const LONGEST_LINE_BYTES: usize = 1 << 24;

/// A text in pieces of whole lines, through one buffer: however long it is, only a piece is held.
///
/// UTF-16 becomes UTF-8 on the way; other bytes stay as they are, and a byte-order mark of UTF-8 is
/// left out. A line ends in a line feed, a carriage return or both; [`next_line`] tells where.
#[derive(Debug)]
pub(super) struct LineReader<R> {
    source: R,
    /// Bytes read at a time.
    piece_bytes: usize,
    /// Bytes of the source still to be read.
    left: u64,
    /// Text that is read and not yet handed out stands in `from..end`.
    buffer: Vec<u8>,
    from: usize,
    end: usize,
    wide: Option<Wide>,
    mark: Option<Encoding>,
    at_end: bool,
}

/// UTF-16 on its way to UTF-8.
#[derive(Debug)]
struct Wide {
    join: fn([u8; 2]) -> u16,
    raw: Vec<u8>,
    /// Bytes at the start of `raw` that still need what follows.
    carried: usize,
}

impl<R: Read> LineReader<R> {
    /// A reader of the next `size_bytes` of a source, whose beginning tells how it is written; about
    /// `piece_bytes` are read at a time.
    ///
    /// # Errors
    /// As the source.
    pub(super) fn new(source: R, size_bytes: u64, piece_bytes: usize) -> std::io::Result<Self> {
        let piece_bytes = piece_bytes.max(LEAST_PIECE_BYTES);
        let mut reader = Self {
            source,
            piece_bytes,
            left: size_bytes,
            buffer: Vec::new(),
            from: 0,
            end: 0,
            wide: None,
            mark: None,
            at_end: false,
        };
        let mut bytes = [0; 3];
        let known = reader.read_into(&mut bytes)?;
        let (skipped, mark) = match bytes[..known] {
            [0xEF, 0xBB, 0xBF] => (3, Some(Encoding::Utf8Marked)),
            [0xFF, 0xFE, ..] => (2, Some(Encoding::Utf16Le)),
            [0xFE, 0xFF, ..] => (2, Some(Encoding::Utf16Be)),
            _ => (0, None),
        };
        reader.mark = mark;
        let rest = &bytes[skipped..known];
        let join: Option<fn([u8; 2]) -> u16> = match mark {
            Some(Encoding::Utf16Le) => Some(u16::from_le_bytes),
            Some(Encoding::Utf16Be) => Some(u16::from_be_bytes),
            _ => None,
        };
        match join {
            Some(join) => {
                let mut raw = vec![0; piece_bytes];
                raw[..rest.len()].copy_from_slice(rest);
                reader.wide = Some(Wide { join, raw, carried: rest.len() });
            }
            None => {
                reader.buffer.extend_from_slice(rest);
                reader.end = rest.len();
            }
        }
        Ok(reader)
    }

    /// What a mark at the beginning says of how the text is written.
    pub(super) fn mark(&self) -> Option<Encoding> {
        self.mark
    }

    /// The text up to the end of line `lines`, or as much as there is, and whether that is all; it is
    /// handed out again by [`Self::next_piece`].
    ///
    /// # Errors
    /// As the source; `Malformed` when there is no end of a line where one must be.
    pub(super) fn peek(&mut self, lines: usize) -> Result<(&[u8], bool)> {
        loop {
            let text = &self.buffer[self.from..self.end];
            if self.at_end {
                break;
            }
            let enough = memchr::memchr_iter(b'\n', text).nth(lines - 1).is_some();
            if enough || text.len() >= LONGEST_LINE_BYTES.max(lines * 1024) {
                break;
            }
            self.fill()?;
        }
        let text = &self.buffer[self.from..self.end];
        let whole = if self.at_end { text.len() } else { whole_lines(text) };
        Ok((&text[..whole], self.at_end))
    }

    /// The next lines, none of them cut; `None` when all of the text was handed out.
    ///
    /// # Errors
    /// As the source; `Malformed` when a line has no end for too long.
    pub(super) fn next_piece(&mut self) -> Result<Option<&[u8]>> {
        loop {
            let text = &self.buffer[self.from..self.end];
            let whole = if self.at_end { text.len() } else { whole_lines(text) };
            // What was read ahead is handed out in pieces of the usual size too.
            let whole = if whole > 2 * self.piece_bytes {
                Some(whole_lines(&text[..self.piece_bytes]))
                    .filter(|some| *some > 0)
                    .unwrap_or(whole)
            } else {
                whole
            };
            if whole > 0 && (self.at_end || text.len() >= self.piece_bytes / 2) {
                let from = self.from;
                self.from += whole;
                return Ok(Some(&self.buffer[from..from + whole]));
            }
            if self.at_end {
                return Ok(None);
            }
            if whole == 0 && text.len() > LONGEST_LINE_BYTES {
                return Err(Error::malformed(
                    "rows of numbers",
                    "a line of more than sixteen million bytes",
                ));
            }
            self.fill()?;
        }
    }

    /// Bytes read at a time.
    pub(super) fn piece_bytes(&self) -> usize {
        self.piece_bytes
    }

    /// Bytes of the source that are not read yet, and of the text not handed out.
    pub(super) fn left_bytes(&self) -> u64 {
        let unread = self.wide.as_ref().map_or(0, |wide| wide.carried) + self.end - self.from;
        self.left + unread as u64
    }

    /// Reads on behind what is still to be handed out.
    fn fill(&mut self) -> Result<()> {
        let failed = |source| Error::io("the file", source);
        self.buffer.copy_within(self.from..self.end, 0);
        self.end -= self.from;
        self.from = 0;
        match self.wide.take() {
            None => {
                if self.buffer.len() < self.end + self.piece_bytes {
                    self.buffer.resize(self.end + self.piece_bytes, 0);
                }
                let mut buffer = std::mem::take(&mut self.buffer);
                let room = self.end..self.end + self.piece_bytes;
                let read = self.read_into(&mut buffer[room]);
                self.buffer = buffer;
                let read = read.map_err(failed)?;
                self.end += read;
                self.at_end = read < self.piece_bytes;
            }
            Some(mut wide) => {
                let read = self.read_into(&mut wide.raw[wide.carried..]).map_err(failed)?;
                let known = wide.carried + read;
                self.at_end = known < wide.raw.len();
                self.buffer.truncate(self.end);
                wide.carried = decode_wide(&mut wide, known, self.at_end, &mut self.buffer);
                self.end = self.buffer.len();
                self.wide = Some(wide);
            }
        }
        if self.at_end {
            // An old end-of-file mark, sometimes the last byte.
            let kept = self.buffer[..self.end].iter().rposition(|byte| *byte != 0x1A);
            self.end = kept.map_or(0, |at| at + 1);
        }
        Ok(())
    }

    /// Fills the room as far as the source goes.
    fn read_into(&mut self, room: &mut [u8]) -> std::io::Result<usize> {
        let most = usize::try_from(self.left).unwrap_or(usize::MAX).min(room.len());
        let mut known = 0;
        while known < most {
            match self.source.read(&mut room[known..most]) {
                Ok(0) => {
                    self.left = 0;
                    return Ok(known);
                }
                Ok(read) => {
                    known += read;
                    self.left -= read as u64;
                }
                Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
        Ok(known)
    }
}

/// Appends what is decoded; the number of bytes that need what follows, moved to the front.
fn decode_wide(wide: &mut Wide, known: usize, at_end: bool, text: &mut Vec<u8>) -> usize {
    let (pairs, _) = wide.raw[..known].as_chunks::<2>();
    let units = pairs.iter().map(|pair| (wide.join)(*pair));
    // The first half of a character beyond the common plane.
    let is_first_half = |unit: u16| (0xD800..0xDC00).contains(&unit);
    let waits = !at_end && pairs.last().is_some_and(|pair| is_first_half((wide.join)(*pair)));
    let taken = pairs.len() - usize::from(waits);
    for unit in char::decode_utf16(units.take(taken)) {
        let character = unit.unwrap_or(char::REPLACEMENT_CHARACTER);
        text.extend_from_slice(character.encode_utf8(&mut [0; 4]).as_bytes());
    }
    wide.raw.copy_within(2 * taken..known, 0);
    known - 2 * taken
}

/// The first line without its end, and what follows.
#[inline]
pub(super) fn next_line(text: &[u8]) -> (&[u8], &[u8]) {
    match memchr::memchr2(b'\n', b'\r', text) {
        None => (text, &[]),
        Some(at) => {
            let pair = text[at] == b'\r' && text.get(at + 1) == Some(&b'\n');
            (&text[..at], &text[at + 1 + usize::from(pair)..])
        }
    }
}

/// Bytes up to the last end of a line.
pub(super) fn whole_lines(text: &[u8]) -> usize {
    if let Some(at) = memchr::memrchr(b'\n', text) {
        return at + 1;
    }
    // Lines of old machines end in a carriage return alone; the last byte may be half an end.
    let before_last = &text[..text.len().saturating_sub(1)];
    memchr::memrchr(b'\r', before_last).map_or(0, |at| at + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A source that gives a few bytes at a time, as a slow disk or a pipe may.
    struct Slow<'b>(&'b [u8], usize);

    impl Read for Slow<'_> {
        fn read(&mut self, room: &mut [u8]) -> std::io::Result<usize> {
            let most = self.1.min(room.len()).min(self.0.len());
            room[..most].copy_from_slice(&self.0[..most]);
            self.0 = &self.0[most..];
            Ok(most)
        }
    }

    fn all(bytes: &[u8], at_a_time: usize, piece_bytes: usize) -> String {
        let mut reader =
            LineReader::new(Slow(bytes, at_a_time), bytes.len() as u64, piece_bytes).unwrap();
        let mut text = Vec::new();
        while let Some(piece) = reader.next_piece().unwrap() {
            text.extend_from_slice(piece);
        }
        assert_eq!(reader.left_bytes(), 0);
        String::from_utf8(text).unwrap()
    }

    #[test]
    fn exact_marks_and_wide_characters_are_read_in_any_portions() {
        let text = "t (µs);I\r\n1,5;2\r\n𝄞;3\r\n";
        let wide: Vec<u16> = text.encode_utf16().collect();
        let low: Vec<u8> = [0xFEFF].iter().chain(&wide).flat_map(|u| u.to_le_bytes()).collect();
        let high: Vec<u8> = [0xFEFF].iter().chain(&wide).flat_map(|u| u.to_be_bytes()).collect();
        let marked = [b"\xEF\xBB\xBF", text.as_bytes(), b"\x1a\x1a"].concat();
        for at_a_time in [1, 2, 3, 7, 1000] {
            for bytes in [&low, &high, &marked] {
                for piece_bytes in [1, 17, 1 << 20] {
                    let got = all(bytes, at_a_time, piece_bytes);
                    assert_eq!(got, text, "{at_a_time} bytes at a time, pieces of {piece_bytes}");
                }
            }
        }
        assert_eq!(all(b"", 1, 100), "");
        assert_eq!(all(b"\xFF\xFE", 1, 100), "");
    }

    /// Every place of a character of two units at the edge of a piece.
    #[test]
    fn exact_a_wide_character_may_stand_across_pieces() {
        for before in 0..40 {
            let text = format!("{}𝄞𝄞𝄞\n1\n", "x".repeat(before));
            let units = [0xFEFF].into_iter().chain(text.encode_utf16());
            let bytes: Vec<u8> = units.flat_map(u16::to_le_bytes).collect();
            assert_eq!(all(&bytes, 5, 20), text);
        }
    }

    #[test]
    fn exact_lines_end_in_three_ways() {
        assert_eq!(next_line(b"a\r\nb"), (&b"a"[..], &b"b"[..]));
        assert_eq!(next_line(b"a\rb\n"), (&b"a"[..], &b"b\n"[..]));
        assert_eq!(next_line(b"\nb"), (&b""[..], &b"b"[..]));
        assert_eq!(next_line(b"a"), (&b"a"[..], &b""[..]));
        assert_eq!(whole_lines(b"1\n2"), 2);
        assert_eq!(whole_lines(b"1\r2\r"), 2, "a line feed may follow");
        assert_eq!(whole_lines(b"12"), 0);
    }
}
