/// How a sound file was understood.
#[derive(Clone, Debug, PartialEq)]
pub struct SoundLayout {
    /// Bits of a sample.
    pub bits: usize,
    /// Whether samples are floating-point numbers instead of whole ones.
    pub floating: bool,
    /// Channels.
    pub channels: usize,
    /// Samples per second, as the header says.
    pub sample_rate_hz: f64,
    /// Samples of each channel the header promises; `None` when it gives no length.
    pub promised_samples: Option<usize>,
}
