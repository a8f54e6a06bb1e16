/// A date, a time of day, or both, as loggers write them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Moment {
    /// Whole seconds: since the epoch when there is a date, else since midnight.
    pub(super) whole_s: i64,
    /// The rest of the second; kept apart so that nanoseconds survive.
    pub(super) fraction_s: f64,
    pub(super) has_date: bool,
    pub(super) has_time: bool,
}

impl Moment {
    /// `2020-02-24 18:15:21.499998208`, `24.02.2020 18:15:21,5`, `18:15:21.5`, `2020/02/24`, with
    /// `T` or blanks between date and time and an optional zone, which is ignored: it is the same
    /// on every row.
    pub(super) fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        if !text.as_bytes().first()?.is_ascii_digit() {
            return None;
        }
        let (first, rest) = match text.find(['T', ' ', '_']) {
            Some(at) => (&text[..at], text[at + 1..].trim()),
            None => (text, ""),
        };
        if first.contains(':') {
            // A time of day; only AM or PM may follow.
            let (seconds, fraction_s) = time_of_day(text)?;
            return Some(Self { whole_s: seconds, fraction_s, has_date: false, has_time: true });
        }
        let day = date(first)?;
        if rest.is_empty() {
            let whole_s = day * 86_400;
            return Some(Self { whole_s, fraction_s: 0.0, has_date: true, has_time: false });
        }
        let (seconds, fraction_s) = time_of_day(rest)?;
        Some(Self { whole_s: day * 86_400 + seconds, fraction_s, has_date: true, has_time: true })
    }

    /// Seconds after the first moment of a record; a time of day without a date starts again at
    /// midnight.
    pub(super) fn seconds_after(&self, first: &Self) -> f64 {
        let since_s = self.since_s(first);
        if !self.has_date && since_s < -43_200.0 { since_s + 86_400.0 } else { since_s }
    }

    /// Seconds from another moment to this one.
    fn since_s(&self, other: &Self) -> f64 {
        (self.whole_s - other.whole_s) as f64 + (self.fraction_s - other.fraction_s)
    }
}

/// Seconds since midnight and the fraction of a second.
fn time_of_day(text: &str) -> Option<(i64, f64)> {
    let lower = text.to_ascii_lowercase();
    let (body, shift) = if let Some(body) = lower.strip_suffix("pm") {
        (body, Some(12))
    } else if let Some(body) = lower.strip_suffix("am") {
        (body, Some(0))
    } else {
        (lower.as_str(), None)
    };
    let body = body.trim().trim_end_matches('z');
    let body = body.split(['+', '-', ' ']).next()?;
    let mut parts = body.split(':');
    let mut hour: i64 = digits(parts.next()?)?;
    let minute: i64 = digits(parts.next()?)?;
    let seconds = parts.next().unwrap_or("0");
    if parts.next().is_some() || hour > 24 || minute > 59 {
        return None;
    }
    if let Some(shift) = shift {
        hour = hour % 12 + shift;
    }
    let (whole, fraction) = seconds.split_once(['.', ',']).unwrap_or((seconds, ""));
    let whole: i64 = digits(whole)?;
    if whole > 60 {
        return None;
    }
    let fraction_s = if fraction.is_empty() {
        0.0
    } else {
        digits(fraction)?;
        format!("0.{fraction}").parse().ok()?
    };
    Some((hour * 3600 + minute * 60 + whole, fraction_s))
}

/// Days since 1970-01-01.
fn date(text: &str) -> Option<i64> {
    let mark = text.chars().find(|c| matches!(c, '-' | '/' | '.'))?;
    let mut parts = text.split(mark);
    let (a, b, c) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() {
        return None;
    }
    let numbers = (digits(a)?, digits(b)?, digits(c)?);
    let (year, month, day) = match (a.len(), c.len(), mark) {
        (4, _, _) => numbers,
        // Day first with points and dashes; with slashes month first unless that cannot be.
        (_, 4, '/') if numbers.0 <= 12 => (numbers.2, numbers.0, numbers.1),
        (_, 4, _) => (numbers.2, numbers.1, numbers.0),
        _ => return None,
    };
    if !(1..=12).contains(&month) || !(1..=31).contains(&day) {
        return None;
    }
    // Days from the civil calendar with the year beginning in March, so that the leap day is last.
    let (year, month) = if month <= 2 { (year - 1, month + 9) } else { (year, month - 3) };
    let era_day = 365 * year + year / 4 - year / 100 + year / 400 + (153 * month + 2) / 5 + day - 1;
    Some(era_day - 719_468)
}

fn digits(text: &str) -> Option<i64> {
    let good = !text.is_empty() && text.len() <= 12 && text.bytes().all(|b| b.is_ascii_digit());
    good.then(|| text.parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Seconds since the epoch as printed by `date -u -d "2020-02-24 18:15:21" +%s`.
    #[test]
    fn cross_date_and_time_agree_with_the_system_calendar() {
        let moment = Moment::parse("2020-02-24 18:15:21.499998208").unwrap();
        assert_eq!(moment.whole_s, 1_582_568_121);
        assert!((moment.fraction_s - 0.499_998_208).abs() < 1e-12, "nine printed digits survive");
        for same in ["24.02.2020 18:15:21", "02/24/2020 06:15:21 PM", "2020-02-24T18:15:21Z"] {
            assert_eq!(Moment::parse(same).map(|m| m.whole_s), Some(1_582_568_121), "{same}");
        }
    }

    #[test]
    fn law_what_is_no_date_is_refused() {
        for text in
            ["", "CH1", "1.5", "12-", "2020-13-01", "1:2:3:4", "3-4-5", "99999999999999-1-1"]
        {
            assert_eq!(Moment::parse(text), None, "{text}");
        }
    }
}
