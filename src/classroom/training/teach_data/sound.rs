use std::f64::consts::PI;
use std::io::Cursor;

use crate::error::{Bounds, Error, Result};
use crate::waveform::Waveform;

/// A current as a sound: mono, 16 bits, at the pitch of its mains frequency, with its highest sample at
/// a level that is safe for ears and loudspeakers and with faded ends.
#[derive(Clone, Debug)]
pub struct Sound {
    /// The samples over full scale.
    samples: Vec<f64>,
    /// Amperes that full scale stands for.
    pub amperes_at_full_scale: f64,
}

impl Sound {
    /// Samples each second.
    pub const SAMPLE_RATE_HZ: u32 = 48_000;
    /// Highest sample over full scale, in decibels: a quarter. Our own choice.
    pub const PEAK_DBFS: f64 = -12.0;
    /// Length of the rise at the beginning and of the fall at the end, in seconds.
    pub const FADE_S: f64 = 0.1;
    /// Length of a sound.
    pub const LENGTH_S: Bounds = Bounds::new("length of a sound", "s", 0.5, 60.0);

    /// The sound of a current, its first period over and over; a mean is left out, for it moves a
    /// loudspeaker and is not heard.
    ///
    /// # Formula
    /// sample k = p · fade(k) · i(f k / f_s) / max |i|, p = 10^(−12/20), i between the grid's points on a
    /// straight line
    ///
    /// # Errors
    /// `OutOfRange` for a length out of [`Self::LENGTH_S`]; `Inconsistent` for a current that is zero.
    pub fn of(current: &Waveform, length_s: f64) -> Result<Self> {
        Self::LENGTH_S.check(length_s)?;
        let period = current.averaged_period();
        let held = period.samples_a();
        let mean_a = period.mean_a();
        let peak_a = held.iter().map(|i_a| (i_a - mean_a).abs()).fold(0.0, f64::max);
        if peak_a <= 0.0 {
            return Err(Error::inconsistent("a current of zero makes no sound"));
        }
        let full = 10.0_f64.powf(Self::PEAK_DBFS / 20.0);
        let rate_hz = f64::from(Self::SAMPLE_RATE_HZ);
        let count = (length_s * rate_hz).round() as usize;
        let samples = (0..count).map(|k| {
            let time_s = k as f64 / rate_hz;
            let place = (time_s * period.frequency_hz()).fract() * held.len() as f64;
            let (at, part) = (place as usize % held.len(), place.fract());
            let next = held[(at + 1) % held.len()];
            let i_a = part.mul_add(next - held[at], held[at]) - mean_a;
            let edge_s = time_s.min((count - 1 - k) as f64 / rate_hz);
            let rise = (edge_s / Self::FADE_S).min(1.0);
            full * 0.5 * (1.0 - (PI * rise).cos()) * i_a / peak_a
        });
        Ok(Self { samples: samples.collect(), amperes_at_full_scale: peak_a / full })
    }

    /// The samples over full scale.
    #[must_use]
    pub fn samples(&self) -> &[f64] {
        &self.samples
    }

    /// The sound as a WAV file.
    ///
    /// # Errors
    /// `Io` when it cannot be put together in memory, which does not happen.
    pub fn wav(&self) -> Result<Vec<u8>> {
        let spec = hound::WavSpec {
            channels: 1,
            sample_rate: Self::SAMPLE_RATE_HZ,
            bits_per_sample: 16,
            sample_format: hound::SampleFormat::Int,
        };
        let failed = |error: hound::Error| Error::io("sound", std::io::Error::other(error));
        let mut file = Cursor::new(Vec::new());
        {
            let mut writer = hound::WavWriter::new(&mut file, spec).map_err(failed)?;
            for sample in &self.samples {
                let step = (sample * f64::from(i16::MAX)).round() as i16;
                writer.write_sample(step).map_err(failed)?;
            }
            writer.finalize().map_err(failed)?;
        }
        Ok(file.into_inner())
    }
}
