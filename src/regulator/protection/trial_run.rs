use super::super::{HalfCycle, Load, ResistiveLoad};
use super::{LimitPlacement, OvercurrentStage, TimeLimit, Trial, TrialBench, Trip, TripCause};

/// What a trial showed.
#[derive(Clone, Debug, PartialEq)]
pub struct TrialRun {
    /// What was done.
    pub trial: Trial,
    /// The load before, as a share of the rated resistance.
    pub load_ratio: f64,
    /// When it was done.
    pub event_s: f64,
    /// What the time to the trip counts from: the same, or, where the fault drifts, the beginning of
    /// the first half cycle at or above the lowest pick-up.
    pub from_s: f64,
    /// The trip; `None` when the protection did not act while it was watched.
    pub trip: Option<Trip>,
    /// How long it was watched after what happened.
    pub watched_s: f64,
    /// True RMS of the last full cycle, over rated current.
    pub reached_ratio: f64,
    /// Highest true RMS of any half cycle after what happened, over rated current.
    pub highest_half_cycle_ratio: f64,
    /// Largest magnitude of the current after what happened.
    pub highest_peak_a: f64,
    /// How long half cycles lay at or above the lowest pick-up.
    pub above_pickup_s: f64,
    /// Peak of the output voltage, where the loop opened, once [`Self::SPIKE_HALF_CYCLES`] are over:
    /// the first spike is the output reactor's, as high as the resistance assumed for the gap.
    pub output_peak_v: Option<f64>,
    /// Half cycle by half cycle.
    pub half_cycles: Vec<HalfCycle>,
    limit: Option<TimeLimit>,
}

/// What a run did, apart from its half cycles.
#[derive(Debug)]
pub(super) struct TrialCourse {
    pub(super) event_s: f64,
    /// Whether the control failed little by little.
    pub(super) is_drift: bool,
    pub(super) trip: Option<Trip>,
    /// What stands for an open loop.
    pub(super) opened: Option<ResistiveLoad>,
}

/// A time to trip against its limit.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitVerdict {
    /// The limit.
    pub limit: TimeLimit,
    /// Where the time lies.
    pub placement: LimitPlacement,
}

impl TrialRun {
    /// Half cycles after the loop opened that are left out of its voltage. Ours, no source.
    pub const SPIKE_HALF_CYCLES: f64 = 6.0;
    /// How near the current has to come to count as a multiple. Ours, no source.
    pub const NEAR_RATIO: f64 = 0.02;

    pub(super) fn new(
        bench: &TrialBench<'_>,
        trial: Trial,
        course: TrialCourse,
        half_cycles: Vec<HalfCycle>,
    ) -> Self {
        let TrialCourse { event_s, is_drift, trip, opened } = course;
        let rated_a = bench.regulator.values.rated_current_rms_a;
        let after = || half_cycles.iter().filter(|half| half.time_s > event_s * (1.0 + 1e-9));
        let most = |pick: fn(&HalfCycle) -> f64| after().map(pick).fold(0.0, f64::max);
        let pickup_a = bench
            .protection
            .stages
            .first()
            .map_or(f64::INFINITY, |stage| stage.pickup_ratio * rated_a);
        let frequency_hz =
            bench.regulator.values.rated_frequency_hz * bench.regulator.supply.frequency_ratio;
        let spike_s = Self::SPIKE_HALF_CYCLES * 0.5 / frequency_hz;
        let settled = after().filter(|half| half.time_s > event_s + spike_s);
        let open_peak_a = settled.map(|half| half.peak_a).fold(0.0, f64::max);
        let above = after().filter(|half| half.half_cycle_rms_a >= pickup_a).count();
        let first = after().find(|half| half.half_cycle_rms_a >= pickup_a);
        let from_s = match first.filter(|_| is_drift) {
            Some(half) => half.time_s - 0.5 / frequency_hz,
            None => event_s,
        };
        let last = half_cycles.last();
        Self {
            trial,
            load_ratio: bench.load_ratio,
            event_s,
            from_s,
            trip,
            watched_s: last.map_or(0.0, |half| half.time_s - event_s),
            reached_ratio: last.and_then(|half| half.cycle_rms_a).unwrap_or(0.0) / rated_a,
            highest_half_cycle_ratio: most(|half| half.half_cycle_rms_a) / rated_a,
            highest_peak_a: most(|half| half.peak_a),
            above_pickup_s: above as f64 * 0.5 / frequency_hz,
            output_peak_v: opened.as_ref().map(|load| load.resistance_ohm() * open_peak_a),
            limit: limit_of(bench, trial),
            half_cycles,
        }
    }

    /// From [`Self::from_s`] to the trip; `None` when the protection did not act.
    #[must_use]
    pub fn time_to_trip_s(&self) -> Option<f64> {
        self.trip.map(|trip| trip.time_s - self.from_s)
    }

    /// Whether the current had come to the multiple it was meant to be driven to; true where none was.
    #[must_use]
    pub fn is_there(&self) -> bool {
        let near = |aimed: f64| (self.reached_ratio / aimed - 1.0).abs() <= Self::NEAR_RATIO;
        self.trial.to_ratio().is_none_or(near)
    }

    /// The time against the limit that goes with this trial, where there is one and the current had
    /// come to the multiple at which the times are asked for.
    #[must_use]
    pub fn verdict(&self) -> Option<LimitVerdict> {
        let limit = self.limit.clone().filter(|_| self.is_there())?;
        // The watch for an open loop may not stand in for an overcurrent stage, nor the reverse.
        let is_open = self.trial == Trial::CircuitOpened;
        let acted = self.trip.filter(|trip| (trip.cause == TripCause::OpenCircuit) == is_open);
        let placement = limit.place(acted.map(|trip| trip.time_s - self.from_s));
        Some(LimitVerdict { limit, placement })
    }
}

fn limit_of(bench: &TrialBench<'_>, trial: Trial) -> Option<TimeLimit> {
    match trial {
        Trial::ControlFault { to_ratio } | Trial::TargetRaised { to_ratio } => {
            let is_here = |stage: &&OvercurrentStage| {
                let tried = stage.tried.as_ref();
                tried.is_some_and(|(ratio, _)| (ratio - to_ratio).abs() < 1e-9)
            };
            let stage = bench.protection.stages.iter().find(is_here)?;
            stage.tried.as_ref().map(|(_, limit)| limit.clone())
        }
        Trial::CircuitOpened => bench.protection.open_circuit.as_ref()?.limit.clone(),
        Trial::SupplyJump { .. } | Trial::LoadThrownOff { .. } => None,
    }
}
