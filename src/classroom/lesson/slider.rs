use super::Words;

/// A figure that moves: one frame for every setting of its axes, each computed.
#[derive(Clone, Debug)]
pub struct Slider {
    /// Its name in the lesson.
    pub name: String,
    /// What it shows.
    pub title: Words,
    /// What can be moved, in the order of the frames: step, load, lamps out; the last of them moves fastest.
    pub axes: Vec<SliderAxis>,
    /// The meters, gone through within a frame.
    pub meters: Vec<String>,
    /// The frames.
    pub frames: Vec<SliderFrame>,
    /// Upper end of the current's scale.
    pub scale_a: f64,
    /// One mains period.
    pub period_s: f64,
    /// Where the numbers come from.
    pub origin: String,
    /// What has to be said about every frame, each once.
    pub notes: Vec<String>,
}

/// Something that can be moved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SliderAxis {
    /// Its key: `step`, `load` or `lamps-out`.
    pub key: &'static str,
    /// What it is.
    pub words: &'static str,
    /// Its settings in words.
    pub settings: Vec<String>,
}

/// One setting: everything as it is shown, and the current over one period.
#[derive(Clone, Debug)]
pub struct SliderFrame {
    /// The numbers of the circuit, as [`Slider::CIRCUIT`] names them.
    pub circuit: Vec<String>,
    /// The current at equal distances over the period, ends included.
    pub current_a: Vec<f64>,
    /// Its true RMS.
    pub true_rms_a: f64,
    /// Edges of the band over the nominal, less 1.
    pub band_ratio: (f64, f64),
    /// Why the nominal is not held; empty when it is.
    pub held_words: String,
    /// What has to be said about it and not about every frame.
    pub notes: Vec<String>,
    /// Each meter.
    pub meters: Vec<SliderReading>,
}

/// One meter in one frame.
#[derive(Clone, Debug, PartialEq)]
pub struct SliderReading {
    /// What is shown of it, as [`Slider::METER`] names it.
    pub shown: Vec<String>,
    /// Why.
    pub reason: String,
    /// The true current once the step is set by it, over the nominal, less 1.
    pub trimmed_ratio: Option<f64>,
}

impl SliderAxis {
    /// The one setting of an axis that is left as the description has it.
    pub const AS_DESCRIBED: &'static str = "as described";
}

impl Slider {
    /// Quantities of the circuit in a frame.
    pub const CIRCUIT: [&'static str; 6] =
        ["true-rms", "crest-factor", "thd", "delay", "voltage", "rating-used"];
    /// Quantities of a meter in a frame.
    pub const METER: [&'static str; 5] = ["shown", "error", "trimmed", "light", "verdict"];
    /// Most frames of one slider: beyond, a page grows too large for a phone.
    pub const MOST_FRAMES: usize = 400;
    /// Distances in which a period is drawn.
    pub const INTERVALS: usize = 120;

    /// The words of a frame's settings, meter excluded.
    #[must_use]
    pub fn settings(&self, mut frame: usize) -> Vec<&str> {
        let mut words = Vec::with_capacity(self.axes.len());
        for axis in self.axes.iter().rev() {
            words.push(axis.settings[frame % axis.settings.len()].as_str());
            frame /= axis.settings.len();
        }
        words.reverse();
        words
    }
}
