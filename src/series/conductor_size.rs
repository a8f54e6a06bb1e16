/// The nominal size of a conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ConductorSize {
    /// 8 AWG, 8.37 mm².
    Awg8,
    /// 6 AWG, 13.3 mm².
    Awg6,
    /// 6 mm².
    Mm6,
    /// 10 mm².
    Mm10,
}

impl ConductorSize {
    /// Every size.
    pub const ALL: [Self; 4] = [Self::Awg8, Self::Awg6, Self::Mm6, Self::Mm10];

    /// The size in the trade's words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Awg8 => "8 AWG",
            Self::Awg6 => "6 AWG",
            Self::Mm6 => "6 mm2",
            Self::Mm10 => "10 mm2",
        }
    }

    /// Nominal cross-section.
    ///
    /// # Formula
    /// American wire gauge n: d = 0.127 mm · 92^((36 − n)/39)
    #[must_use]
    pub fn area_m2(self) -> f64 {
        let gauge = |n: f64| {
            let diameter_m = 0.127e-3 * 92.0_f64.powf((36.0 - n) / 39.0);
            0.25 * std::f64::consts::PI * diameter_m * diameter_m
        };
        match self {
            Self::Awg8 => gauge(8.0),
            Self::Awg6 => gauge(6.0),
            Self::Mm6 => 6e-6,
            Self::Mm10 => 10e-6,
        }
    }

    /// The size a person may have meant, from the digits and the unit in what was typed.
    pub(super) fn in_text(text: &str) -> Option<Self> {
        let plain: String =
            text.to_lowercase().replace('²', "2").chars().filter(|c| c.is_alphanumeric()).collect();
        let has = |words: &[&str]| words.iter().any(|word| plain.contains(word));
        if has(&["10mm", "10sq"]) {
            Some(Self::Mm10)
        } else if has(&["6mm", "6sq"]) {
            Some(Self::Mm6)
        } else if has(&["8awg", "awg8"]) {
            Some(Self::Awg8)
        } else if has(&["6awg", "awg6"]) {
            Some(Self::Awg6)
        } else {
            None
        }
    }
}
