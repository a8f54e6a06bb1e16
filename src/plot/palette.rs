/// A colour: red, green, blue.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rgb(pub u8, pub u8, pub u8);

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
