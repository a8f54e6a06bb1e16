//! The committed reference solutions as networks of ours, and our runs on the reference's own clock:
//! its time begins at a rising zero of the capacitor voltage, ours at a zero of the supply.

use std::f64::consts::TAU;
use std::path::{Path, PathBuf};

use loopcrest::circuit::{
    BranchId, Circuit, Element, Flow, Magnet, Network, NodeId, PendingFiring, PeriodicSolution,
    Section, ShootingOptions, StepPlan, Trajectory,
};
use loopcrest::error::Result;
use loopcrest::regulator::{Load, ResonantRegulator, Supply};
use serde_json::Value;

/// Names of the states in the reference files and of the branches that hold them here.
pub(crate) const STATES: [(&str, &str); 6] = [
    ("i_in_a", "input reactor"),
    ("v_c_v", "capacitor"),
    ("i_ctl_a", "control reactor"),
    ("i_o_a", "output reactor"),
    ("flux_wb", "iron"),
    ("open_flux_wb", "open fixtures"),
];

/// Step control at rounding and the tightest period defect that rounding allows to ask for: what is
/// left of a difference is then the reference's, or a mistake.
pub(crate) fn tight() -> ShootingOptions {
    ShootingOptions { plan: StepPlan::fine(), tolerance_ratio: 1e-12, ..Default::default() }
}

fn reference(path: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/reference").join(path)
}

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

pub(crate) fn json(path: &str) -> Value {
    serde_json::from_str(&text(&reference(path))).unwrap()
}

/// Rows of numbers below one line of headings.
pub(crate) fn numbers(path: &Path) -> Vec<Vec<f64>> {
    let cells = |line: &str| line.split(',').map(|cell| cell.parse().unwrap()).collect();
    text(path).lines().skip(1).map(cells).collect()
}

/// The same of a reference file.
pub(crate) fn table(path: &str) -> Vec<Vec<f64>> {
    numbers(&reference(path))
}

pub(crate) fn number(row: &Value, key: &str) -> f64 {
    row[key].as_f64().unwrap_or_else(|| panic!("{key} in {}", row["id"]))
}

/// Lamps as one resistance, in series with a class of equal open fixtures when there are any.
#[derive(Debug)]
pub(crate) struct Field {
    lamps_ohm: f64,
    open_fixtures: f64,
}

impl Load for Field {
    fn attach(&self, network: &mut Network, from: NodeId, to: NodeId) -> Result<BranchId> {
        let lamps = Element::Resistor { resistance_ohm: self.lamps_ohm };
        if self.open_fixtures == 0.0 {
            return Ok(network.branch("load", from, to, lamps));
        }
        let behind = network.node("behind the lamps");
        let branch = network.branch("load", from, behind, lamps);
        // Values of the design notes: knee at 60 V RMS and 60 Hz, core loss 150 ohm, of each.
        let magnet = Magnet::OddPower {
            linear_a: 0.15,
            power_a: 0.5,
            knee_wb: self.open_fixtures * 60.0 * 2_f64.sqrt() / (TAU * 60.0),
            exponent: 9,
        };
        let core_loss_ohm = Some(self.open_fixtures * 150.0);
        let core = Element::SaturatingInductor { magnet, core_loss_ohm };
        network.branch("open fixtures", behind, to, core);
        Ok(branch)
    }

    fn resistance_ohm(&self) -> f64 {
        self.lamps_ohm
    }
}

pub(crate) fn field(row: &Value) -> Field {
    Field { lamps_ohm: number(row, "load_ohm"), open_fixtures: number(row, "open_fixtures") }
}

/// The regulator of a row: generic but for what the row changes.
pub(crate) fn regulator(row: &Value) -> ResonantRegulator {
    let mut regulator = ResonantRegulator::generic(10_000.0, 6.6, 60.0).unwrap();
    if let Some(capacitance_f) = row["capacitor_f"].as_f64() {
        regulator.values.capacitance_f = capacitance_f;
    }
    let mut supply = Supply::nominal()
        .with_voltage_ratio(number(row, "supply_v_rms") / 1748.0)
        .unwrap()
        .with_frequency_ratio(number(row, "supply_hz") / 60.0)
        .unwrap();
    for tone in row["supply_harmonics"].as_array().unwrap() {
        let order = u32::try_from(tone["order"].as_u64().unwrap()).unwrap();
        let phase_rad = number(tone, "phase_deg").to_radians();
        supply = supply.with_harmonic(order, number(tone, "ratio"), phase_rad).unwrap();
    }
    regulator.with_supply(supply)
}

/// Place of a reference state in ours, and how many of the reference's make one of ours.
pub(crate) fn place(circuit: &Circuit, branch: &str, row: &Value) -> Option<(usize, f64)> {
    let at = circuit.state_of(circuit.network().find(branch)?)?;
    // The class of open fixtures is one element: its flux is that of all together.
    Some((at, if branch == "open fixtures" { number(row, "open_fixtures") } else { 1.0 }))
}

/// A reference's initial state as a start of ours: the triac still carries the half cycle before,
/// and the firing that the zero at the start decides is waiting.
pub(crate) fn section(circuit: &Circuit, row: &Value, initial: &Value, phase_rad: f64) -> Section {
    let omega = circuit.network().omega_rad_per_s();
    let mut section = Section::at_rest(phase_rad / omega, circuit.state_count());
    for (key, branch) in STATES {
        if let Some((at, count)) = place(circuit, branch, row) {
            section.state[at] = count * initial[key].as_f64().unwrap();
        }
    }
    section.switches_on = 1;
    section.pending = vec![PendingFiring { switch: 0, in_s: number(row, "delay_rad") / omega }];
    section
}

/// A run of ours, with the instant the reference calls zero.
pub(crate) struct Course {
    pub(crate) circuit: Circuit,
    pub(crate) zero_s: f64,
    pub(crate) trajectory: Trajectory,
}

impl Course {
    /// From a periodic solution on: first to where the source has the reference's phase, then over
    /// `periods` of the mains. Nothing is wrapped round, so an unstable run would show.
    pub(crate) fn of(
        circuit: &Circuit,
        solution: &PeriodicSolution,
        phase_rad: f64,
        periods: f64,
    ) -> Self {
        let omega = circuit.network().omega_rad_per_s();
        let period_s = TAU / omega;
        let behind_s = (phase_rad / omega - solution.section.time_s).rem_euclid(period_s);
        let zero_s = solution.section.time_s + behind_s;
        let mut flow = Flow::new(circuit, StepPlan::fine()).unwrap();
        flow.set_delay_rad(solution.delay_rad);
        flow.start(&solution.section).unwrap();
        flow.advance_to(zero_s, None).unwrap();
        let mut trajectory = Trajectory::default();
        flow.advance_to(zero_s + periods * period_s, Some(&mut trajectory)).unwrap();
        Self { circuit: circuit.clone(), zero_s, trajectory }
    }

    /// One state at times after the reference's zero, which must rise; as one fixture has it.
    pub(crate) fn state(&self, branch: &str, row: &Value, times_s: &[f64]) -> Option<Vec<f64>> {
        let (at, count) = place(&self.circuit, branch, row)?;
        let ours_s: Vec<f64> = times_s.iter().map(|t| self.zero_s + t).collect();
        let mut states = self.trajectory.states(&self.circuit, &ours_s);
        Some(states.swap_remove(at).into_iter().map(|x| x / count).collect())
    }
}

/// Largest difference of two columns over the largest magnitude of the second.
pub(crate) fn gap_of_peak(ours: &[f64], theirs: &[f64]) -> f64 {
    assert_eq!(ours.len(), theirs.len());
    let peak = theirs.iter().fold(0.0_f64, |m, x| m.max(x.abs()));
    ours.iter().zip(theirs).fold(0.0_f64, |m, (a, b)| m.max((a - b).abs())) / peak
}
