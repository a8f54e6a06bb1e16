use crate::error::{Error, ErrorKind, Result};
use crate::numeric::series;

use super::gate::Crossing;
use super::taylor::{Series, combine};
use super::topology::Row;
use super::{
    BranchId, Circuit, Element, GateReference, PendingFiring, Section, SenseLaw, StepPlan,
    Trajectory,
};

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
            self.pending = Vec::with_capacity(Self::PENDING);
            self.scratch = vec![0.0; (n * columns).max(n)];
        }
        self.pending.clear();
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
            let mut row = vec![0.0; columns];
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
            if self.steps > step_limit || self.state.iter().any(|x| !(x.abs() < 1e12)) {
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

    // --- steps ---------------------------------------------------------------------------------

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

    fn sum_sensed(&mut self, tau: f64) {
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

    // --- events --------------------------------------------------------------------------------

    fn gate(&self, switch: usize) -> Option<&super::GateRule> {
        self.circuit.network().get(self.circuit.switches[switch]).element.gate()
    }

    fn delay_of(&self, switch: usize) -> f64 {
        let own = self.gate(switch).map_or(0.0, |rule| rule.delay_rad);
        self.delay_rad.unwrap_or(own)
    }

    /// The supply crosses zero at k π/ω, rising for even k.
    fn first_supply_crossing(&self, switch: usize) -> i64 {
        let omega = self.circuit.network().omega_rad_per_s();
        let phase = omega * self.time_s - self.delay_of(switch);
        (phase / std::f64::consts::PI - 1e-9).ceil() as i64
    }

    fn supply_firing_s(&self, switch: usize) -> Option<f64> {
        let rule = self.gate(switch)?;
        if rule.reference != GateReference::Supply {
            return None;
        }
        let first = self.supply_next[switch];
        let skip = match rule.crossing {
            Crossing::Either => 0,
            Crossing::Rising => first.rem_euclid(2),
            Crossing::Falling => 1 - first.rem_euclid(2),
        };
        let phase = (first + skip) as f64 * std::f64::consts::PI + self.delay_of(switch);
        Some(phase / self.circuit.network().omega_rad_per_s())
    }

    /// Fires every device whose time has come.
    fn fire_due(&mut self, slack_s: f64) -> Result<()> {
        while let Some(at) = self.pending.iter().position(|p| p.time_s <= self.time_s + slack_s) {
            let pending = self.pending.remove(at);
            self.event_row.copy_from_slice(&pending.row);
            self.fire(pending.switch)?;
        }
        for switch in 0..self.supply_next.len() {
            while let Some(time_s) = self.supply_firing_s(switch)
                && time_s <= self.time_s + slack_s
            {
                let omega = self.circuit.network().omega_rad_per_s();
                let crossing = (time_s * omega - self.delay_of(switch)) / std::f64::consts::PI;
                self.supply_next[switch] = crossing.round() as i64 + 1;
                self.event_row.fill(0.0);
                if let Some(last) = self.event_row.last_mut() {
                    *last = 1.0 / omega;
                }
                self.fire(switch)?;
            }
        }
        Ok(())
    }

    fn fire(&mut self, switch: usize) -> Result<()> {
        if self.on >> switch & 1 == 1 {
            return Ok(());
        }
        self.fill_inputs();
        let branch = self.circuit.switches[switch];
        let voltage = &self.circuit.topology(self.on)?.voltage[branch.0];
        let forward = combine(voltage, &self.inputs) > 0.0;
        let thyristor = matches!(self.circuit.network().get(branch).element, Element::Thyristor(_));
        if thyristor && !forward {
            return Ok(());
        }
        self.switch_to(self.on | 1 << switch)
    }

    /// What is watched in the present switch state: (event, side it is on, row or flux limit).
    fn first_event(&mut self, tau: &mut f64) -> Option<Event> {
        let circuit = self.circuit;
        let topology = circuit.topology(self.on).ok()?;
        let mut first = None;
        // Closed switches first: where one opens at the very instant another could close, it must
        // open before, or the two short-circuit the supply.
        let closed_first = (0..circuit.switches.len()).map(|switch| (switch, true));
        let then_open = (0..circuit.switches.len()).map(|switch| (switch, false));
        for (switch, closed) in closed_first.chain(then_open) {
            if (self.on >> switch & 1 == 1) != closed {
                continue;
            }
            let branch = circuit.switches[switch];
            let diode = circuit.network().get(branch).element == Element::Diode;
            let (row, side) = match (closed, diode) {
                (true, true) => (&topology.current[branch.0], Some(1.0)),
                (true, false) => (&topology.current[branch.0], None),
                (false, true) => (&topology.voltage[branch.0], Some(-1.0)),
                (false, false) => continue,
            };
            self.series.combination(row, &mut self.polynomial);
            let side = side.unwrap_or_else(|| {
                if self.switch_side[switch] == 0.0 {
                    self.switch_side[switch] = self.side(*tau);
                }
                self.switch_side[switch]
            });
            self.earlier((side, self.noise(row)), Event::Switch(switch), tau, &mut first);
        }
        for at in 0..circuit.watched.len() {
            self.series.combination(&topology.voltage[circuit.watched[at].0], &mut self.polynomial);
            if self.watched_side[at] == 0.0 {
                self.watched_side[at] = self.side(*tau);
            }
            self.earlier((self.watched_side[at], 0.0), Event::Watched(at), tau, &mut first);
        }
        if let Some(sense) = &self.sense
            && sense.law == SenseLaw::RectifiedMean
        {
            self.series.combination(&topology.current[sense.branch.0], &mut self.polynomial);
            let mut side = sense.side;
            if side == 0.0 {
                side = self.side(*tau);
            }
            if let Some(sense) = self.sense.as_mut() {
                sense.side = side;
            }
            self.earlier((side, 0.0), Event::Sense, tau, &mut first);
        }
        for at in 0..circuit.cores.len() {
            let core = &circuit.cores[at];
            let line = core.magnet.segment(self.pieces[at]);
            if line.slope_a_per_wb == 0.0 {
                continue;
            }
            for (limit_wb, side, by) in [(line.high_wb, -1.0, 1), (line.low_wb, 1.0, -1)] {
                if limit_wb.is_finite() {
                    for k in 0..self.polynomial.len() {
                        self.polynomial[k] = self.series.state_coefficient(k, core.state);
                    }
                    self.polynomial[0] -= limit_wb;
                    self.earlier((side, 0.0), Event::Piece(at, by), tau, &mut first);
                }
            }
        }
        first
    }

    /// The side of zero a quantity is on, or leaves to when it starts at zero.
    fn side(&self, tau: f64) -> f64 {
        let c = &self.polynomial;
        let size = c.iter().rev().fold(0.0, |sum, c| sum * tau + c.abs());
        let value = if c[0].abs() > 1e-9 * size { c[0] } else { series::value(c, tau / 16.0) };
        if value == 0.0 { 0.0 } else { value.signum() }
    }

    /// Rounding in a combination of inputs as large as they have been.
    fn noise(&self, row: &Row) -> f64 {
        1e-13 * row.iter().map(|(c, a)| (a * self.input_scale[*c]).abs()).sum::<f64>()
    }

    /// Takes the event when the quantity leaves its side before `tau`.
    ///
    /// Values within `noise` of zero count as zero: a diode that has just opened may be left with
    /// a forward voltage of rounding, which is no reason to close it again.
    fn earlier(
        &self,
        (side, noise): (f64, f64),
        event: Event,
        tau: &mut f64,
        first: &mut Option<Event>,
    ) {
        if side == 0.0 {
            return;
        }
        let c = &self.polynomial;
        for quarter in 1..=4 {
            let at = *tau * f64::from(quarter) / 4.0;
            if series::value(c, at) * side < -noise {
                let before = *tau * f64::from(quarter - 1) / 4.0;
                *tau = series::crossing(c, side, before, at);
                *first = Some(event);
                return;
            }
        }
    }

    fn take_event(&mut self, event: Event, tau: f64) -> Result<()> {
        let circuit = self.circuit;
        let topology = circuit.topology(self.on)?;
        match event {
            Event::Switch(switch) => {
                let branch = circuit.switches[switch];
                let closed = self.on >> switch & 1 == 1;
                let row =
                    if closed { &topology.current[branch.0] } else { &topology.voltage[branch.0] };
                self.time_of_event(row, tau);
                self.switch_to(self.on ^ (1 << switch))?;
            }
            Event::Watched(at) => {
                let watched = circuit.watched[at];
                self.time_of_event(&topology.voltage[watched.0], tau);
                let rising = self.watched_side[at] < 0.0;
                self.watched_side[at] = -self.watched_side[at];
                self.schedule(watched, rising)?;
            }
            Event::Sense => {
                if let Some(sense) = self.sense.as_mut() {
                    sense.side = -sense.side;
                }
            }
            // The curve is continuous where its pieces meet: nothing jumps.
            Event::Piece(at, by) => self.pieces[at] += by,
        }
        Ok(())
    }

    fn schedule(&mut self, watched: BranchId, rising: bool) -> Result<()> {
        let omega = self.circuit.network().omega_rad_per_s();
        for switch in 0..self.circuit.switches.len() {
            let Some(rule) = self.gate(switch) else { continue };
            let watches = rule.reference == GateReference::BranchVoltage(watched);
            if !watches || !rule.wants(rising) {
                continue;
            }
            if self.pending.len() == Self::PENDING {
                return Err(self.stuck("too many firings wait"));
            }
            let mut row = self.event_row.clone();
            if let Some(last) = row.last_mut() {
                *last += 1.0 / omega;
            }
            let time_s = self.time_s + self.delay_of(switch) / omega;
            let at = self.pending.iter().take_while(|p| p.time_s <= time_s).count();
            self.pending.insert(at, Pending { switch, time_s, row });
        }
        Ok(())
    }

    /// ∂t_e/∂z into the event row, for g = row · (x, f, e) at the end of the step.
    fn time_of_event(&mut self, row: &Row, tau: f64) {
        if self.columns == 0 {
            return;
        }
        self.series.combination(row, &mut self.polynomial);
        let (_, slope) = series::value_and_slope(&self.polynomial, tau);
        let rate = slope / self.series.unit_s;
        let mut power = 1.0;
        for weight in &mut self.weights {
            *weight = power;
            power *= tau;
        }
        self.series.weighted_derivative(row, &self.weights, &mut self.event_row);
        let factor = if rate == 0.0 { 0.0 } else { -1.0 / rate };
        self.event_row.iter_mut().for_each(|v| *v *= factor);
    }

    /// The inputs of all matrices at the present instant.
    fn fill_inputs(&mut self) {
        let n = self.state.len();
        let circuit = self.circuit;
        let omega = circuit.network().omega_rad_per_s();
        self.inputs[..n].copy_from_slice(&self.state);
        for (at, core) in circuit.cores.iter().enumerate() {
            self.inputs[n + at] = core.magnet.current_a(self.state[core.state]);
        }
        for (at, (_, source)) in circuit.sources.iter().enumerate() {
            self.inputs[n + circuit.cores.len() + at] = source.value(omega, self.time_s);
        }
        for (scale, input) in self.input_scale.iter_mut().zip(&self.inputs) {
            *scale = scale.max(input.abs());
        }
        for (scale, peak) in self.input_scale.iter_mut().zip(&self.scale) {
            *scale = scale.max(*peak);
        }
    }

    fn switch_to(&mut self, wanted: u32) -> Result<()> {
        let circuit = self.circuit;
        let (before, jump) = (self.on, self.columns > 0);
        let sensed_before = self.sensed_rate(before)?;
        for (rate, row) in self.rate_before.iter_mut().zip(&circuit.topology(before)?.derivative) {
            *rate = combine(row, &self.inputs);
        }
        let settled = self.settle_diodes(wanted)?;
        if jump {
            let p = self.columns;
            for (state, row) in circuit.topology(settled)?.derivative.iter().enumerate() {
                let step = self.rate_before[state] - combine(row, &self.inputs);
                if step != 0.0 {
                    let x = &mut self.derivatives[state * p..(state + 1) * p];
                    x.iter_mut().zip(&self.event_row).for_each(|(x, t)| *x += step * t);
                }
            }
            let step = sensed_before - self.sensed_rate(settled)?;
            if let Some(sense) = self.sense.as_mut() {
                sense.row.iter_mut().zip(&self.event_row).for_each(|(s, t)| *s += step * t);
            }
        }
        self.enter(settled)
    }

    /// The sensed square or magnitude at the present inputs.
    fn sensed_rate(&self, on: u32) -> Result<f64> {
        let Some(sense) = &self.sense else { return Ok(0.0) };
        let i_a = combine(&self.circuit.topology(on)?.current[sense.branch.0], &self.inputs);
        Ok(match sense.law {
            SenseLaw::TrueRms => i_a * i_a,
            SenseLaw::RectifiedMean => i_a.abs(),
        })
    }

    /// Enters a combination of switches: constraints hold exactly from here on.
    fn enter(&mut self, on: u32) -> Result<()> {
        let changed = self.on ^ on;
        for switch in 0..self.switch_side.len() {
            if changed >> switch & 1 == 1 {
                self.switch_side[switch] = 0.0;
                // A thyristor conducts one way only.
                let branch = self.circuit.switches[switch];
                if matches!(self.circuit.network().get(branch).element, Element::Thyristor(_)) {
                    self.switch_side[switch] = 1.0;
                }
            }
        }
        self.on = on;
        let Some(projection) = &self.circuit.topology(on)?.projection else { return Ok(()) };
        let (n, p) = (self.state.len(), self.columns);
        for row in 0..n {
            let line = &projection[row * n..(row + 1) * n];
            self.scratch[row] = line.iter().zip(&self.state).map(|(a, x)| a * x).sum();
        }
        self.state.copy_from_slice(&self.scratch[..n]);
        if p > 0 {
            self.scratch.fill(0.0);
            for row in 0..n {
                for (column, a) in projection[row * n..(row + 1) * n].iter().enumerate() {
                    let from = &self.derivatives[column * p..(column + 1) * p];
                    let to = &mut self.scratch[row * p..(row + 1) * p];
                    to.iter_mut().zip(from).for_each(|(to, from)| *to += a * from);
                }
            }
            self.derivatives.copy_from_slice(&self.scratch);
        }
        Ok(())
    }

    /// Turns diodes on and off until none is forward biased while off or backward while on.
    fn settle_diodes(&self, wanted: u32) -> Result<u32> {
        let circuit = self.circuit;
        let is_diode = |branch: &BranchId| circuit.network().get(*branch).element == Element::Diode;
        let mut on = wanted;
        if self.on & !wanted != 0 {
            // What has opened may have been the only path of other diodes: they open with it.
            let topology = circuit.topology(wanted)?;
            for (switch, branch) in circuit.switches.iter().enumerate() {
                if is_diode(branch) && topology.current[branch.0].is_empty() {
                    on &= !(1 << switch);
                }
            }
        }
        for _ in 0..4 * Circuit::SWITCHES {
            let topology = circuit.topology(on)?;
            let wrong = circuit.switches.iter().enumerate().find(|(switch, branch)| {
                if !is_diode(branch) {
                    return false;
                }
                let closed = on >> switch & 1 == 1;
                let row =
                    if closed { &topology.current[branch.0] } else { &topology.voltage[branch.0] };
                let value = combine(row, &self.inputs);
                let size: f64 = row.iter().map(|(c, a)| (a * self.input_scale[*c]).abs()).sum();
                if closed { value < -1e-9 * size } else { value > 1e-9 * size }
            });
            match wrong {
                Some((switch, _)) => on ^= 1 << switch,
                None => return Ok(on),
            }
        }
        Err(self.stuck("diodes find no consistent state"))
    }
}
