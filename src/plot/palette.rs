/// A colour: red, green, blue.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rgb(pub u8, pub u8, pub u8);

impl Rgb {
    /// Contrast between two colours, from 1 to 21.
    ///
    /// # Formula
    /// (L_1 + 0.05) / (L_2 + 0.05), the lighter above; L = 0.2126 R + 0.7152 G + 0.0722 B of the
    /// linear parts.
    ///
    /// # Source
    /// WCAG 2.2, definitions of contrast ratio and relative luminance (from memory).
    #[must_use]
    pub fn contrast_ratio(self, other: Self) -> f64 {
        let (a, b) = (self.luminance(), other.luminance());
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    fn luminance(self) -> f64 {
        let linear = |part: u8| {
            let value = f64::from(part) / 255.0;
            if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        0.0722f64
            .mul_add(linear(self.2), 0.2126f64.mul_add(linear(self.0), 0.7152 * linear(self.1)))
    }
}

/// What a colour stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// The canvas.
    Background,
    /// Titles, labels, numbers.
    Text,
    /// Ticks, footnotes and whatever may stay in the back.
    Muted,
    /// Grid lines.
    Grid,
    /// The current itself.
    Current,
    /// True RMS, and the meters that show it.
    TrueRms,
    /// Average-responding meters.
    Average,
    /// Peak-responding meters.
    Peak,
    /// The room a band leaves.
    Room,
    /// The edge of that room.
    RoomEdge,
    /// A part of a panel that is out of the ordinary: magnified, or beyond the scale.
    Aside,
    /// Even harmonics: the lighter of the two kinds of bar.
    Lighter,
    /// What the supply feeds in.
    Input,
    /// The resonant capacitor.
    Capacitor,
    /// The fired reactor.
    Control,
    /// The saturating iron.
    Iron,
    /// One of several curves in an order, the first being 0; from the sixth on they begin again.
    Rank(u8),
    /// A degree of a magnitude, from 0 the lightest to 7 the darkest.
    Shade(u8),
}

/// The colours of a figure, each named by what it stands for.
///
/// Blue, vermilion, green and orange are told apart by every common kind of colour vision; their
/// lightness differs as far as readable lines on white allow, and no meaning hangs on hue alone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Palette {
    /// See [`Ink::Background`].
    pub background: Rgb,
    /// See [`Ink::Text`].
    pub text: Rgb,
    /// See [`Ink::Muted`].
    pub muted: Rgb,
    /// See [`Ink::Grid`].
    pub grid: Rgb,
    /// See [`Ink::Current`].
    pub current: Rgb,
    /// See [`Ink::TrueRms`].
    pub true_rms: Rgb,
    /// See [`Ink::Average`].
    pub average: Rgb,
    /// See [`Ink::Peak`].
    pub peak: Rgb,
    /// See [`Ink::Room`].
    pub room: Rgb,
    /// See [`Ink::RoomEdge`].
    pub room_edge: Rgb,
    /// See [`Ink::Aside`].
    pub aside: Rgb,
    /// See [`Ink::Lighter`].
    pub lighter: Rgb,
    /// See [`Ink::Input`].
    pub input: Rgb,
    /// See [`Ink::Capacitor`].
    pub capacitor: Rgb,
    /// See [`Ink::Control`].
    pub control: Rgb,
    /// See [`Ink::Iron`].
    pub iron: Rgb,
    /// See [`Ink::Rank`]: from dark to light.
    pub ranks: [Rgb; 5],
    /// See [`Ink::Shade`]: one hue, each darker than the one before, in grey as well.
    pub shades: [Rgb; 8],
}

impl Palette {
    /// Dark lines on white: for paper and projector.
    ///
    /// # Source
    /// Blue and vermilion of Okabe and Ito's colour-blind-safe set (from memory), darkened a little
    /// for thin lines; the rest is our own.
    pub const LIGHT: Self = Self {
        background: Rgb(255, 255, 255),
        text: Rgb(28, 32, 38),
        muted: Rgb(92, 99, 110),
        grid: Rgb(224, 228, 233),
        current: Rgb(52, 62, 78),
        true_rms: Rgb(0, 0, 0),
        average: Rgb(200, 82, 0),
        peak: Rgb(0, 98, 160),
        room: Rgb(206, 232, 218),
        room_edge: Rgb(0, 122, 88),
        aside: Rgb(241, 243, 246),
        lighter: Rgb(150, 190, 222),
        input: Rgb(0, 98, 160),
        capacitor: Rgb(0, 122, 88),
        control: Rgb(200, 82, 0),
        iron: Rgb(140, 62, 122),
        ranks: [
            Rgb(24, 28, 66),
            Rgb(120, 40, 110),
            Rgb(0, 98, 160),
            Rgb(0, 132, 96),
            Rgb(206, 104, 0),
        ],
        shades: [
            Rgb(240, 244, 249),
            Rgb(216, 226, 238),
            Rgb(185, 203, 224),
            Rgb(147, 175, 206),
            Rgb(112, 147, 186),
            Rgb(70, 109, 155),
            Rgb(42, 77, 124),
            Rgb(20, 43, 86),
        ],
    };

    /// Light lines on a dark ground: for a dark room. Ranks and shades run from what stands out most
    /// against the ground to what stands out least, as they do on white.
    ///
    /// # Source
    /// Our own; contrasts are held to WCAG 2.2 AA by a test.
    pub const DARK: Self = Self {
        background: Rgb(16, 20, 26),
        text: Rgb(236, 239, 243),
        muted: Rgb(168, 176, 188),
        grid: Rgb(48, 54, 64),
        current: Rgb(204, 214, 230),
        true_rms: Rgb(255, 255, 255),
        average: Rgb(255, 158, 84),
        peak: Rgb(104, 182, 255),
        room: Rgb(20, 62, 48),
        room_edge: Rgb(86, 206, 158),
        aside: Rgb(32, 37, 46),
        lighter: Rgb(84, 128, 172),
        input: Rgb(104, 182, 255),
        capacitor: Rgb(86, 206, 158),
        control: Rgb(255, 158, 84),
        iron: Rgb(224, 150, 212),
        ranks: [
            Rgb(246, 240, 206),
            Rgb(228, 156, 224),
            Rgb(104, 182, 255),
            Rgb(86, 206, 158),
            Rgb(255, 158, 84),
        ],
        shades: [
            Rgb(26, 32, 42),
            Rgb(32, 44, 62),
            Rgb(37, 56, 84),
            Rgb(42, 68, 106),
            Rgb(48, 82, 130),
            Rgb(110, 160, 212),
            Rgb(152, 192, 232),
            Rgb(200, 224, 248),
        ],
    };

    /// The colour of an ink.
    #[must_use]
    pub fn colour(&self, ink: Ink) -> Rgb {
        match ink {
            Ink::Background => self.background,
            Ink::Text => self.text,
            Ink::Muted => self.muted,
            Ink::Grid => self.grid,
            Ink::Current => self.current,
            Ink::TrueRms => self.true_rms,
            Ink::Average => self.average,
            Ink::Peak => self.peak,
            Ink::Room => self.room,
            Ink::RoomEdge => self.room_edge,
            Ink::Aside => self.aside,
            Ink::Lighter => self.lighter,
            Ink::Input => self.input,
            Ink::Capacitor => self.capacitor,
            Ink::Control => self.control,
            Ink::Iron => self.iron,
            Ink::Rank(rank) => self.ranks[usize::from(rank) % self.ranks.len()],
            Ink::Shade(degree) => self.shades[usize::from(degree).min(self.shades.len() - 1)],
        }
    }
}

impl Default for Palette {
    fn default() -> Self {
        Self::LIGHT
    }
}

impl Ink {
    /// What it stands for, in words.
    #[must_use]
    pub fn words(self) -> String {
        let words = match self {
            Self::Background => "ground",
            Self::Text => "text",
            Self::Muted => "guide",
            Self::Grid => "grid",
            Self::Current => "current",
            Self::TrueRms => "true RMS",
            Self::Average => "average-responding",
            Self::Peak => "peak-responding",
            Self::Room => "room",
            Self::RoomEdge => "edge of the room",
            Self::Aside => "set apart",
            Self::Lighter => "second kind",
            Self::Input => "input",
            Self::Capacitor => "capacitor",
            Self::Control => "control",
            Self::Iron => "iron",
            Self::Rank(rank) => return format!("curve {}", u32::from(rank) + 1),
            Self::Shade(degree) => return format!("degree {degree}"),
        };
        words.to_owned()
    }
}
