//! The integral of a branch current's square or magnitude along the run.

use crate::circuit::SenseLaw;
use crate::circuit::taylor::combine;
use crate::error::Result;
use crate::numeric::series;

use super::Flow;

impl Flow<'_> {
    pub(super) fn sum_sensed(&mut self, tau: f64) {
        let Some(sense) = self.sense.as_mut() else { return };
        let Ok(topology) = self.circuit.topology(self.on) else { return };
        let row = &topology.current[sense.branch.0];
        self.series.combination(row, &mut self.polynomial);
        let unit_s = self.series.unit_s;
        let (c, weights) = (&self.polynomial, &mut self.weights);
        let factor = match sense.law {
            SenseLaw::TrueRms => {
                // ∫ i τ^l dτ for every l, so that both ∫ i² and ∫ 2 i ∂i are sums over orders.
                for (l, weight) in weights.iter_mut().enumerate() {
                    let mut power = tau.powi(l as i32 + 1);
                    *weight = 0.0;
                    for (j, c) in c.iter().enumerate() {
                        *weight += c * power / (j + l + 1) as f64;
                        power *= tau;
                    }
                }
                2.0
            }
            SenseLaw::RectifiedMean => {
                let side = if sense.side == 0.0 {
                    series::value(c, 0.5 * tau).signum()
                } else {
                    sense.side
                };
                let mut power = tau;
                for (l, weight) in weights.iter_mut().enumerate() {
                    *weight = side * power / (l + 1) as f64;
                    power *= tau;
                }
                1.0
            }
        };
        sense.sum += unit_s * c.iter().zip(weights.iter()).map(|(c, w)| c * w).sum::<f64>();
        if self.columns > 0 {
            self.series.weighted_derivative(row, weights, &mut self.column_row);
            let parts = sense.row.iter_mut().zip(&self.column_row);
            parts.for_each(|(sum, part)| *sum += unit_s * factor * part);
        }
    }

    /// The sensed square or magnitude at the present inputs.
    pub(super) fn sensed_rate(&self, on: u32) -> Result<f64> {
        let Some(sense) = &self.sense else { return Ok(0.0) };
        let i_a = combine(&self.circuit.topology(on)?.current[sense.branch.0], &self.inputs);
        Ok(match sense.law {
            SenseLaw::TrueRms => i_a * i_a,
            SenseLaw::RectifiedMean => i_a.abs(),
        })
    }
}
