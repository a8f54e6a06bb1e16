/// What a wrong current does to a lamp.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LampEffect {
    /// Light against the reference; `None` where the current is too far from it for the law to say
    /// more than the direction.
    pub light_ratio: Option<f64>,
    /// Whether the current is near enough to the reference for the light law to be credible.
    pub light_credible: bool,
    /// Life against the reference.
    pub life: LifeChange,
}

/// How lamp life changes, as far as the law can say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LifeChange {
    /// Life against the reference.
    Ratio(f64),
    /// Longer, by more than the law can say.
    MuchLonger,
    /// Shorter, by more than the law can say.
    MuchShorter,
    /// Both currents lie far below the lamp's rating, where the filament's life is long anyway and
    /// the law does not hold.
    NotGoverning,
}
