use crate::circuit::{BranchId, Circuit, Element, Flow, Section, SenseLaw, StepPlan, Trajectory};
use crate::error::{Error, Result};

use super::scenario::LoopStart;
use super::{
    ControlLoop, HalfCycle, Load, LoopEvent, LoopScenario, Regulated, ResonantRegulator,
    SolveOptions,
};

/// The course of a run with the control closed.
#[derive(Clone, Debug)]
pub struct LoopRun {
    /// Times of the samples.
    pub times_s: Vec<f64>,
    /// Output current at those times.
    pub current_a: Vec<f64>,
    /// What the control saw and did, half cycle by half cycle.
    pub half_cycles: Vec<HalfCycle>,
}

impl LoopRun {
    /// First instant from which the cycle's RMS stays within a part of the target until `to_s`;
    /// `None` when it has not settled by then.
    #[must_use]
    pub fn settled_s(&self, from_s: f64, to_s: f64, part: f64) -> Option<f64> {
        let mut settled = None;
        let between = |half: &&HalfCycle| half.time_s >= from_s && half.time_s <= to_s;
        for half in self.half_cycles.iter().filter(between) {
            let inside =
                half.cycle_rms_a.is_some_and(|rms_a| (rms_a / half.target_a - 1.0).abs() <= part);
            settled = if inside { settled.or(Some(half.time_s)) } else { None };
        }
        settled
    }

    /// Largest RMS over any full cycle that ends between two instants.
    #[must_use]
    pub fn highest_cycle_rms_a(&self, from_s: f64, to_s: f64) -> Option<f64> {
        self.half_cycles
            .iter()
            .filter(|half| half.time_s >= from_s && half.time_s <= to_s)
            .filter_map(|half| half.cycle_rms_a)
            .max_by(f64::total_cmp)
    }
}

/// Runs a regulator with its control closed through a scenario.
///
/// # Validity
/// A load change keeps capacitor voltage, currents and fluxes of the branches that stay; what is
/// new begins at zero. The control acts on the half cycles of the supply.
///
/// # Errors
/// `OutOfRange` for a scenario out of bounds; `Inconsistent` when the events are not in order or a
/// start at the operating point is out of reach; otherwise as [`Flow::advance_to`].
pub fn run_closed_loop(
    regulator: &ResonantRegulator,
    control: &ControlLoop,
    scenario: LoopScenario,
) -> Result<LoopRun> {
    run_closed_loop_until(regulator, control, scenario, |_| false)
}

/// The same until something is seen: the run ends with the half cycle at which `stop` says so.
///
/// # Errors
/// As [`run_closed_loop`].
pub(super) fn run_closed_loop_until(
    regulator: &ResonantRegulator,
    control: &ControlLoop,
    scenario: LoopScenario,
    mut stop: impl FnMut(&HalfCycle) -> bool,
) -> Result<LoopRun> {
    control.check()?;
    LoopScenario::DURATION_S.check(scenario.duration_s)?;
    LoopScenario::SAMPLES.check(scenario.samples_per_half_cycle as f64)?;
    if scenario.events.windows(2).any(|pair| pair[1].0 < pair[0].0) {
        return Err(Error::inconsistent("the events of a run are not in order of time"));
    }
    let mut plant = Plant::new(regulator.clone(), control, &scenario)?;
    let mut run = LoopRun { times_s: Vec::new(), current_a: Vec::new(), half_cycles: Vec::new() };
    let mut target_a = scenario.target_a;
    let mut is_stuck = false;
    let mut events = scenario.events.into_iter().peekable();
    let mut history = History::default();
    while plant.elapsed_s() < scenario.duration_s {
        while let Some((_, event)) = events.next_if(|(at_s, _)| *at_s <= plant.elapsed_s() + 1e-9) {
            match event {
                LoopEvent::Target { target_a: wanted_a } => target_a = wanted_a,
                LoopEvent::Load(load) => plant.change(Some(load.as_ref()), None)?,
                LoopEvent::SupplyVoltage { voltage_ratio } => {
                    plant.change(None, Some(voltage_ratio))?;
                }
                LoopEvent::ControlStuck { delay_rad } => {
                    plant.delay_rad = ResonantRegulator::DELAY_RAD.check(delay_rad)?;
                    is_stuck = true;
                }
            }
        }
        let half = plant.half_cycle(control.sense, scenario.samples_per_half_cycle, &mut run)?;
        let sensed = history.take(half, control.sense);
        if let Some(sensed_a) = sensed.sensed_a.filter(|_| !is_stuck) {
            let rated_a = plant.regulator.values.rated_current_rms_a;
            let error = (target_a - sensed_a) / rated_a;
            let before = history.error.replace(error).unwrap_or(error);
            plant.delay_rad = (plant.delay_rad
                + control.integral_rad * error
                + control.proportional_rad * (error - before))
                .clamp(control.delay_min_rad, control.delay_max_rad);
        }
        let seen = HalfCycle {
            time_s: plant.elapsed_s(),
            half_cycle_rms_a: half.mean_square_a2.sqrt(),
            half_cycle_arv_a: half.arv_a,
            cycle_rms_a: sensed.cycle_rms_a,
            sensed_a: sensed.sensed_a,
            peak_a: half.peak_a,
            target_a,
            delay_rad: plant.delay_rad,
        };
        run.half_cycles.push(seen);
        if stop(&seen) {
            break;
        }
    }
    Ok(run)
}

/// Means over one half cycle.
#[derive(Clone, Copy, Debug)]
struct Half {
    mean_square_a2: f64,
    arv_a: f64,
    sensed_mean: f64,
    peak_a: f64,
}

#[derive(Clone, Copy, Debug)]
struct Sensed {
    cycle_rms_a: Option<f64>,
    sensed_a: Option<f64>,
}

#[derive(Clone, Copy, Debug, Default)]
struct History {
    before: Option<Half>,
    error: Option<f64>,
}

impl History {
    fn take(&mut self, half: Half, law: SenseLaw) -> Sensed {
        let before = self.before.replace(half);
        let cycle = |pick: fn(&Half) -> f64| before.map(|b| 0.5 * (pick(&b) + pick(&half)));
        Sensed {
            cycle_rms_a: cycle(|h| h.mean_square_a2).map(f64::sqrt),
            sensed_a: cycle(|h| h.sensed_mean).map(|mean| match law {
                SenseLaw::TrueRms => mean.sqrt(),
                SenseLaw::RectifiedMean => SenseLaw::SINE_FORM_FACTOR * mean,
            }),
        }
    }
}

/// The regulator and its load between two moments of control.
struct Plant {
    regulator: ResonantRegulator,
    circuit: Circuit,
    output: BranchId,
    section: Section,
    start_s: f64,
    half_cycles: usize,
    delay_rad: f64,
}

impl Plant {
    fn new(
        regulator: ResonantRegulator,
        control: &ControlLoop,
        scenario: &LoopScenario,
    ) -> Result<Self> {
        let branches = regulator.network(scenario.load.as_ref(), control.delay_max_rad)?;
        let circuit = Circuit::new(&branches.network)?;
        let (section, delay_rad) = match scenario.begin {
            LoopStart::AtRest { delay_rad } => {
                ResonantRegulator::DELAY_RAD.check(delay_rad)?;
                (Section::at_rest(0.0, circuit.state_count()), delay_rad)
            }
            LoopStart::AtOperatingPoint => {
                let options = SolveOptions { sense: control.sense, ..SolveOptions::default() };
                let load = scenario.load.as_ref();
                match regulator.hold(load, scenario.target_a, None, &options)? {
                    Regulated::Held(point) => (point.solution.section.clone(), point.delay_rad()),
                    Regulated::OutOfReach(reach) => {
                        return Err(Error::inconsistent(format!(
                            "the run cannot begin at {} A: the nearest current in reach is {:.3} A",
                            scenario.target_a, reach.limit_a
                        )));
                    }
                }
            }
        };
        Ok(Self {
            regulator,
            output: branches.output,
            start_s: section.time_s,
            circuit,
            section,
            half_cycles: 0,
            delay_rad,
        })
    }

    fn elapsed_s(&self) -> f64 {
        self.section.time_s - self.start_s
    }

    /// Another load or supply from here on; states go over by the names of their branches.
    fn change(&mut self, load: Option<&dyn Load>, voltage_ratio: Option<f64>) -> Result<()> {
        let mut network = match &load {
            Some(load) => self.regulator.network(*load, self.delay_rad)?.network,
            None => self.circuit.network().clone(),
        };
        if let Some(ratio) = voltage_ratio {
            self.regulator.supply = self.regulator.supply.clone().with_voltage_ratio(ratio)?;
        }
        let source = self.regulator.supply.source(self.regulator.values.source_rms_v);
        if let Some(branch) = network.find("source") {
            network.replace(branch, Element::VoltageSource(source));
        }
        let circuit = Circuit::new(&network)?;
        let state = (0..circuit.state_count())
            .map(|at| {
                let name = &circuit.network().get(circuit.state_branch(at)).name;
                let before = self.circuit.network().find(name);
                let before = before.and_then(|branch| self.circuit.state_of(branch));
                before.map_or(0.0, |before| self.section.state[before])
            })
            .collect();
        self.section.state = state;
        self.output = circuit.network().find("output reactor").unwrap_or(self.output);
        self.circuit = circuit;
        Ok(())
    }

    fn half_cycle(&mut self, law: SenseLaw, samples: usize, run: &mut LoopRun) -> Result<Half> {
        let half_s = 0.5 / self.circuit.network().frequency_hz();
        let mut flow = Flow::new(&self.circuit, StepPlan::default())?;
        flow.set_delay_rad(Some(self.delay_rad));
        flow.set_sense(Some((self.output, law)));
        flow.start(&self.section)?;
        let mut course = Trajectory::default();
        self.half_cycles += 1;
        // Counted from the start, so that rounding does not drift over a long run.
        let end_s = self.start_s + self.half_cycles as f64 * half_s;
        let begin_s = self.section.time_s;
        flow.advance_to(end_s, Some(&mut course))?;
        let sensed_mean = flow.sensed().map_or(0.0, |(sum, _)| sum / half_s);
        self.section = flow.section();
        let cell_s = (end_s - begin_s) / samples as f64;
        let times_s: Vec<f64> = (0..samples).map(|k| begin_s + (k as f64 + 0.5) * cell_s).collect();
        let current_a = course.current_a(&self.circuit, self.output, &times_s);
        let mean_square_a2 = match law {
            SenseLaw::TrueRms => sensed_mean,
            SenseLaw::RectifiedMean => {
                current_a.iter().map(|i_a| i_a * i_a).sum::<f64>() / samples as f64
            }
        };
        let arv_a = match law {
            SenseLaw::TrueRms => {
                current_a.iter().map(|i_a| i_a.abs()).sum::<f64>() / samples as f64
            }
            SenseLaw::RectifiedMean => sensed_mean,
        };
        let peak_a = current_a.iter().fold(0.0, |m: f64, i_a| m.max(i_a.abs()));
        run.times_s.extend(times_s.iter().map(|t| t - self.start_s));
        run.current_a.extend(current_a);
        Ok(Half { mean_square_a2, arv_a, sensed_mean, peak_a })
    }
}
