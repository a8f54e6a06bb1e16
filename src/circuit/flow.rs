use crate::error::{Error, ErrorKind, Result};

use super::taylor::Series;
use super::{BranchId, Circuit, PendingFiring, Section, SenseLaw, StepPlan, Trajectory};

mod events;
mod firing;
mod sensing;
mod switching;

/// A network in motion: from a section to any later time, event by event.
///
/// Carries, when asked, the derivative of everything by the start values, the pending firings and
/// the common firing delay; an event's own shift in time is accounted for, so that the derivative
/// of a run that switches is exact.
///
/// # Formula
/// At an event with time t_e the derivative X of the state jumps by (ẋ⁻ − ẋ⁺) ∂t_e/∂z, with
/// ∂t_e/∂z = −(∇g X)/ġ for an event g = 0.
///
/// # Validity
/// Two zero crossings of one quantity within a 64th of a period are missed as a pair. Devices have
/// no forward drop and turn off exactly at zero current.
///
/// # Source
/// Derivatives across events: M. A. Aizerman and F. R. Gantmakher, Quart. J. Mech. Appl. Math. 11
/// (1958) 351 (from memory; the formula is derived in one line from x⁻(t_e) = x⁺(t_e)).
#[derive(Clone, Debug)]
pub struct Flow<'a> {
    circuit: &'a Circuit,
    plan: StepPlan,
    series: Series,
    period_s: f64,
    time_s: f64,
    on: u32,
    state: Vec<f64>,
    derivatives: Vec<f64>,
    columns: usize,
    delay_rad: Option<f64>,
    pending: Vec<Pending>,
    /// Rows of firings that are past, to be used again.
    spare_rows: Vec<Vec<f64>>,
    /// Next supply zero crossing (counted from t = 0) after which each switch is to be fired.
    supply_next: Vec<i64>,
    switch_side: Vec<f64>,
    watched_side: Vec<f64>,
    pieces: Vec<i32>,
    sense: Option<Sense>,
    scale: Vec<f64>,
    steps: usize,
    events: usize,
    // Workspaces: nothing is allocated while time runs.
    polynomial: Vec<f64>,
    weights: Vec<f64>,
    inputs: Vec<f64>,
    input_scale: Vec<f64>,
    rate_before: Vec<f64>,
    event_row: Vec<f64>,
    column_row: Vec<f64>,
    scratch: Vec<f64>,
}

#[derive(Clone, Debug)]
struct Pending {
    switch: usize,
    time_s: f64,
    row: Vec<f64>,
}

#[derive(Clone, Debug)]
struct Sense {
    branch: BranchId,
    law: SenseLaw,
    side: f64,
    sum: f64,
    row: Vec<f64>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Event {
    Switch(usize),
    Watched(usize),
    Sense,
    Piece(usize, i32),
}

impl<'a> Flow<'a> {
    /// Longest step, as a part of the period: quantities are watched four times within it.
    const LONGEST_STEP: f64 = 1.0 / 16.0;
    /// Firings that can wait at the same time.
    const PENDING: usize = 16;
    /// Steps within one period beyond which the network is taken to be too stiff.
    const STEPS_PER_PERIOD: usize = 400_000;
    /// Events within one period beyond which switches are taken to chatter.
    const EVENTS_PER_PERIOD: usize = 20_000;

    /// A flow at rest at t = 0.
    ///
    /// # Errors
    /// `OutOfRange` for an order outside [`StepPlan::ORDER`].
    pub fn new(circuit: &'a Circuit, plan: StepPlan) -> Result<Self> {
        StepPlan::ORDER.check(plan.order as f64)?;
        let period_s = 1.0 / circuit.network().frequency_hz();
        let n = circuit.state_count();
        let terms = plan.order + 1;
        Ok(Self {
            circuit,
            plan,
            series: Series::new(circuit, plan.order, period_s * Self::LONGEST_STEP),
            period_s,
            time_s: 0.0,
            on: 0,
            state: vec![0.0; n],
            derivatives: Vec::new(),
            columns: 0,
            delay_rad: None,
            pending: Vec::with_capacity(Self::PENDING),
            spare_rows: Vec::with_capacity(Self::PENDING),
            supply_next: vec![0; circuit.switches.len()],
            switch_side: vec![0.0; circuit.switches.len()],
            watched_side: vec![0.0; circuit.watched.len()],
            pieces: vec![0; circuit.cores.len()],
            sense: None,
            scale: vec![0.0; n],
            steps: 0,
            events: 0,
            polynomial: vec![0.0; terms],
            weights: vec![0.0; terms],
            inputs: vec![0.0; circuit.width()],
            input_scale: vec![0.0; circuit.width()],
            rate_before: vec![0.0; n],
            event_row: Vec::new(),
            column_row: Vec::new(),
            scratch: vec![0.0; n],
        })
    }

    /// Sets one firing delay for every gate instead of each gate's own.
    pub fn set_delay_rad(&mut self, delay_rad: Option<f64>) {
        self.delay_rad = delay_rad;
    }

    /// Integrates the current of a branch along the run; `None` to stop that.
    pub fn set_sense(&mut self, sense: Option<(BranchId, SenseLaw)>) {
        self.sense = sense.map(|(branch, law)| Sense {
            branch,
            law,
            side: 0.0,
            sum: 0.0,
            row: vec![0.0; self.columns],
        });
    }

    /// Begins a run at a section, without derivatives.
    ///
    /// # Errors
    /// `Inconsistent` when the section does not fit the circuit.
    pub fn start(&mut self, section: &Section) -> Result<()> {
        self.begin(section, 0)
    }

    /// Begins a run with one column of derivatives per state, per pending firing and, last, for the
    /// common delay.
    ///
    /// # Errors
    /// As [`Self::start`].
    pub fn start_with_derivatives(&mut self, section: &Section) -> Result<()> {
        self.begin(section, self.circuit.state_count() + section.pending.len() + 1)
    }

    fn begin(&mut self, section: &Section, columns: usize) -> Result<()> {
        let n = self.circuit.state_count();
        let switches = self.circuit.switches.len();
        let fits = section.state.len() == n
            && section.pending.iter().all(|firing| firing.switch < switches)
            && section.pending.len() <= Self::PENDING
            && u64::from(section.switches_on) < 1_u64 << switches;
        if !fits || section.state.iter().any(|x| !x.is_finite()) {
            return Err(Error::inconsistent("the start does not fit the circuit"));
        }
        if self.columns != columns || self.derivatives.len() != n * columns {
            self.columns = columns;
            self.derivatives = vec![0.0; n * columns];
            self.series.set_columns(columns);
            self.event_row = vec![0.0; columns];
            self.column_row = vec![0.0; columns];
            self.scratch = vec![0.0; (n * columns).max(n)];
        }
        self.spare_rows.extend(self.pending.drain(..).map(|pending| pending.row));
        self.time_s = section.time_s;
        self.on = section.switches_on;
        self.state.copy_from_slice(&section.state);
        self.scale.fill(0.0);
        self.input_scale.fill(0.0);
        for (at, (_, source)) in self.circuit.sources.iter().enumerate() {
            self.input_scale[n + self.circuit.cores.len() + at] = source.largest();
        }
        (self.steps, self.events) = (0, 0);
        self.switch_side.fill(0.0);
        self.watched_side.fill(0.0);
        self.derivatives.fill(0.0);
        for state in 0..n.min(columns) {
            self.derivatives[state * columns + state] = 1.0;
        }
        for (at, firing) in section.pending.iter().enumerate() {
            let mut row = self.spare_rows.pop().unwrap_or_default();
            row.clear();
            row.resize(columns, 0.0);
            if columns > 0 {
                row[n + at] = 1.0;
            }
            self.pending.push(Pending {
                switch: firing.switch,
                time_s: section.time_s + firing.in_s,
                row,
            });
        }
        for (at, core) in self.circuit.cores.iter().enumerate() {
            self.pieces[at] = core.magnet.segment_of(self.state[core.state]);
        }
        for at in 0..switches {
            self.supply_next[at] = self.first_supply_crossing(at);
        }
        if let Some(sense) = self.sense.as_mut() {
            (sense.side, sense.sum) = (0.0, 0.0);
            sense.row.clear();
            sense.row.resize(columns, 0.0);
        }
        self.fill_inputs();
        let settled = self.settle_diodes(self.on)?;
        self.enter(settled)
    }

    /// The present instant.
    #[must_use]
    pub fn time_s(&self) -> f64 {
        self.time_s
    }

    /// The present state.
    #[must_use]
    pub fn state(&self) -> &[f64] {
        &self.state
    }

    /// Steps made since the start.
    #[must_use]
    pub fn steps(&self) -> usize {
        self.steps
    }

    /// Largest magnitude each state has had since the start.
    #[must_use]
    pub fn scale(&self) -> &[f64] {
        &self.scale
    }

    /// Everything that decides the future, at the present instant.
    #[must_use]
    pub fn section(&self) -> Section {
        Section {
            time_s: self.time_s,
            state: self.state.clone(),
            switches_on: self.on,
            pending: self
                .pending
                .iter()
                .map(|p| PendingFiring { switch: p.switch, in_s: p.time_s - self.time_s })
                .collect(),
        }
    }

    /// Derivatives of the state, one row per state.
    #[must_use]
    pub fn derivatives(&self) -> &[f64] {
        &self.derivatives
    }

    /// Derivatives of the time of a pending firing.
    #[must_use]
    pub fn pending_derivatives(&self, at: usize) -> &[f64] {
        &self.pending[at].row
    }

    /// Integral over time of the sensed square or magnitude since the start, with its derivatives.
    #[must_use]
    pub fn sensed(&self) -> Option<(f64, &[f64])> {
        self.sense.as_ref().map(|sense| (sense.sum, sense.row.as_slice()))
    }

    /// Sets the sensed integral back to zero.
    pub fn reset_sensed(&mut self) {
        if let Some(sense) = self.sense.as_mut() {
            sense.sum = 0.0;
            sense.row.fill(0.0);
        }
    }

    /// Runs to a later time; keeps the course when given a trajectory that was begun.
    ///
    /// # Errors
    /// `Inconsistent` when switches short-circuit a source; `NotConverged` when the network is too
    /// stiff for the step, its switches chatter, or its state grows beyond all bounds.
    pub fn advance_to(&mut self, end_s: f64, mut keep: Option<&mut Trajectory>) -> Result<()> {
        if let Some(trajectory) = keep.as_deref_mut()
            && trajectory.steps() == 0
        {
            trajectory.clear(self.plan.order, self.series.unit_s);
        }
        let circuit = self.circuit;
        let periods = ((end_s - self.time_s) / self.period_s).ceil().max(1.0) as usize;
        let (step_limit, event_limit) = (
            self.steps + periods * Self::STEPS_PER_PERIOD,
            self.events + periods * Self::EVENTS_PER_PERIOD,
        );
        let slack_s = 1e-12 * self.period_s;
        while self.time_s < end_s - slack_s {
            self.fire_due(slack_s)?;
            let topology = circuit.topology(self.on)?;
            self.series.fill(circuit, topology, self.time_s, &self.state, &self.pieces);
            let horizon_s = self.horizon_s(end_s, slack_s);
            let room = (horizon_s - self.time_s) / self.series.unit_s;
            let longest = self.step_tau();
            let mut tau = longest.min(room);
            let event = self.first_event(&mut tau);
            let start_s = self.time_s;
            if self.columns > 0 {
                self.series.fill_derivatives(circuit, topology, &self.derivatives);
            }
            self.sum_sensed(tau);
            self.series.state_at(tau, &mut self.state);
            if self.columns > 0 {
                self.series.derivatives_at(tau, &mut self.derivatives);
            }
            let reaches_horizon = event.is_none() && tau >= room;
            self.time_s =
                if reaches_horizon { horizon_s } else { start_s + tau * self.series.unit_s };
            self.steps += 1;
            if self.steps > step_limit || self.state.iter().any(|x| x.is_nan() || x.abs() >= 1e12) {
                return Err(self.stuck("too many steps: the network is too stiff, or it diverges"));
            }
            if let Some(trajectory) = keep.as_deref_mut() {
                let (series, n) = (&self.series, self.state.len());
                trajectory.keep(
                    start_s,
                    self.time_s,
                    self.on,
                    (0..=series.order)
                        .flat_map(|k| (0..n).map(move |state| series.state_coefficient(k, state))),
                );
            }
            if let Some(event) = event {
                self.events += 1;
                if self.events > event_limit {
                    return Err(self.stuck("too many events: switches chatter"));
                }
                self.fill_inputs();
                self.take_event(event, tau)?;
            }
        }
        self.time_s = end_s;
        Ok(())
    }

    fn stuck(&self, why: &str) -> Error {
        let worst = (0..self.state.len())
            .max_by(|a, b| self.state[*a].abs().total_cmp(&self.state[*b].abs()))
            .map_or_else(|| "no state".to_owned(), |state| self.circuit.state_name(state));
        Error::new(ErrorKind::NotConverged {
            stage: format!("running the network ({why} at {:.6} s)", self.time_s),
            iterations: self.steps,
            residual: self.state.iter().fold(0.0, |m: f64, x| m.max(x.abs())),
            worst,
        })
        .with_hint("look for a time constant far below the mains period, such as a small capacitor behind a small resistance")
    }

    fn step_tau(&mut self) -> f64 {
        let n = self.state.len();
        for state in 0..n {
            let size = self.series.state_coefficient(0, state).abs();
            let slope = self.series.state_coefficient(1, state).abs();
            self.scale[state] = self.scale[state].max(size).max(slope);
        }
        if let Some(steps) = self.plan.fixed_per_period {
            return 1.0 / (Self::LONGEST_STEP * steps.max(1) as f64);
        }
        let order = self.plan.order;
        (order - 1..=order).fold(1.0, |tau: f64, k| {
            let size = self.series.size(k, &self.scale);
            let allowed = (self.plan.tolerance_ratio / size).powf(1.0 / k as f64);
            // A size of zero allows any step; a NaN ends in `stuck` after the step.
            if allowed < tau { allowed } else { tau }
        })
    }

    fn horizon_s(&self, end_s: f64, slack_s: f64) -> f64 {
        let mut horizon_s = end_s;
        for pending in &self.pending {
            horizon_s = horizon_s.min(pending.time_s.max(self.time_s));
        }
        for at in 0..self.supply_next.len() {
            if let Some(time_s) = self.supply_firing_s(at) {
                horizon_s = horizon_s.min(time_s.max(self.time_s));
            }
        }
        let omega = self.circuit.network().omega_rad_per_s();
        for (_, source) in &self.circuit.sources {
            if let Some(corner_s) = source.next_corner_s(omega, self.time_s) {
                horizon_s = horizon_s.min(self.time_s + corner_s);
            }
        }
        // A firing within rounding of the end belongs to the next run.
        if horizon_s > end_s - slack_s { end_s } else { horizon_s }
    }
}
