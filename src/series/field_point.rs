use crate::circuit::{BranchId, BranchTrace, Stability};
use crate::error::{Error, Note, Result};
use crate::regulator::OperatingPoint;
use crate::spectrum::Spectrum;

use super::field_chain::Chain;
use super::{FieldLoad, FieldPower, FixtureKind, GroupPoint};

/// A regulator holding a step on a field: current, voltage, power and every group.
#[derive(Clone, Debug)]
pub struct FieldPoint {
    /// The field with every resistance at its own current.
    pub load: FieldLoad,
    /// The regulator's operating point on it.
    pub operating: OperatingPoint,
    /// Voltage between the output terminals, on the grid of the output current.
    pub output_v: Vec<f64>,
    /// Voltage and power at the output terminals.
    pub power: FieldPower,
    /// The fixture groups in the order of the field.
    pub groups: Vec<GroupPoint>,
    /// Rated power of the regulator.
    pub rated_power_w: f64,
    /// Operating points that were needed until resistances and currents agreed.
    pub rounds: usize,
}

impl FieldPoint {
    /// Highest harmonic order in the total harmonic distortion.
    const THD_ORDER: usize = 59;
    /// Current over rated current of a lamp beyond which something is said: a tenth is far outside
    /// every band of a top step.
    const OVERCURRENT_RATIO: f64 = 1.1;

    pub(super) fn new(
        load: FieldLoad,
        operating: OperatingPoint,
        rated_power_w: f64,
        rounds: usize,
    ) -> Result<Self> {
        let network = operating.circuit.network();
        let samples = operating.output.samples_a().len();
        // In every source of the regulators' layer the output branch ends at the output terminal.
        let terminal = network.get(operating.output_branch).to;
        let path = network.path_to_ground(terminal);
        let mut chosen: Vec<BranchId> = path.iter().map(|(branch, _)| *branch).collect();
        let open = load.chains().flat_map(|chain| &chain.open).map(|class| class.name.clone());
        let bridges = load.chains().filter_map(Chain::bridge_name);
        for name in open.chain(bridges) {
            chosen.push(network.find(&name).ok_or_else(|| {
                Error::inconsistent(format!("the network has no branch called \"{name}\""))
            })?);
        }
        let traces = operating.solution.chosen_branches(&operating.circuit, &chosen, samples)?;
        let (to_ground, field) = traces.split_at(path.len());
        let mut output_v = vec![0.0; samples];
        for (trace, (_, sign)) in to_ground.iter().zip(&path) {
            output_v.iter_mut().zip(&trace.voltage_v).for_each(|(sum, v)| *sum += sign * v);
        }
        let periods = operating.output.periods();
        let power = FieldPower::of(&output_v, operating.output.samples_a(), periods)?;
        let groups = groups(&load, field);
        Ok(Self { load, operating, output_v, power, groups, rated_power_w, rounds })
    }

    /// Firing delay after the zero crossing of the watched voltage.
    #[must_use]
    pub fn delay_rad(&self) -> f64 {
        self.operating.delay_rad()
    }

    /// True RMS of the output current.
    #[must_use]
    pub fn output_rms_a(&self) -> f64 {
        self.operating.output_rms_a()
    }

    /// Peak over RMS of the output current; `None` for no current.
    #[must_use]
    pub fn crest_factor(&self) -> Option<f64> {
        self.operating.output.measures().dc.crest_factor()
    }

    /// RMS over rectified mean of the output current; `None` for no current.
    #[must_use]
    pub fn form_factor(&self) -> Option<f64> {
        self.operating.output.measures().dc.form_factor()
    }

    /// Error of an average-responding indication scaled to the RMS of a sine, as a ratio.
    #[must_use]
    pub fn average_responding_error_ratio(&self) -> f64 {
        self.operating.average_responding_error_ratio()
    }

    /// Total harmonic distortion of the output current; `None` when there is no fundamental.
    #[must_use]
    pub fn thd_ratio(&self) -> Option<f64> {
        Spectrum::of(&self.operating.output).thd_ratio(Self::THD_ORDER)
    }

    /// Whether the periodic state stays at a held firing delay.
    #[must_use]
    pub fn stability(&self) -> Stability {
        self.operating.solution.stability()
    }

    /// Highest voltage across an open secondary; `None` when none is open.
    #[must_use]
    pub fn open_secondary_peak_v(&self) -> Option<f64> {
        self.groups.iter().filter_map(|group| group.open_secondary_peak_v).reduce(f64::max)
    }

    /// What has to be said beside the result.
    #[must_use]
    pub fn notes(&self) -> Vec<Note> {
        let mut notes = self.operating.notes();
        notes.extend_from_slice(self.load.notes());
        let (asked_va, rated_w) = (self.power.apparent_va, self.rated_power_w);
        if asked_va > rated_w {
            notes.push(Note::new(
                "beyond-rating",
                format!("the field takes {asked_va:.0} VA, the regulator is rated {rated_w:.0} W"),
            ));
        }
        for (group, described) in self.groups.iter().zip(&self.load.field().groups) {
            let FixtureKind::Lamp(lamp) = described.kind else { continue };
            let Some(current_a) = group.secondary_rms_a else { continue };
            if current_a > Self::OVERCURRENT_RATIO * lamp.rated_rms_a {
                notes.push(Note::new(
                    "lamp-overcurrent",
                    format!(
                        "lamps of \"{}\" carry {current_a:.2} A and are rated {:.2} A: is the \
                         transformer ratio right?",
                        group.name, lamp.rated_rms_a
                    ),
                ));
            }
        }
        notes
    }
}

/// RMS, rectified mean and largest magnitude.
fn size(values: &[f64]) -> (f64, f64, f64) {
    let n = values.len().max(1) as f64;
    let square: f64 = values.iter().map(|x| x * x).sum();
    let sum: f64 = values.iter().map(|x| x.abs()).sum();
    let peak = values.iter().fold(0.0_f64, |top, x| top.max(x.abs()));
    ((square / n).sqrt(), sum / n, peak)
}

/// Every group from the classes it has a part in; of an open secondary the worst of both chains.
/// The traces are those of the open classes, then those of the bridges.
fn groups(load: &FieldLoad, traces: &[BranchTrace]) -> Vec<GroupPoint> {
    let described = &load.field().groups;
    let counted = described.iter().zip(&load.occupancy);
    let unknown = counted.map(|(group, counted)| GroupPoint {
        name: group.name.clone(),
        lit: counted.lit,
        open: counted.open,
        shorted: counted.shorted,
        secondary_rms_a: None,
        fixture_w: None,
        open_secondary_rms_v: None,
        open_secondary_peak_v: None,
    });
    let mut groups: Vec<GroupPoint> = unknown.collect();
    for class in load.chains().flat_map(|chain| &chain.lit) {
        let group = &mut groups[class.group];
        let current_a = class.secondary_rms_a;
        group.secondary_rms_a.get_or_insert(current_a);
        let ohm = described[class.group].secondary_ohm(current_a);
        group.fixture_w.get_or_insert(ohm * current_a * current_a);
    }
    let mut traces = traces.iter();
    for class in load.chains().flat_map(|chain| &chain.open) {
        let (rms_v, _, peak_v) = traces.next().map_or((0.0, 0.0, 0.0), |t| size(&t.voltage_v));
        for (at, _) in &class.members {
            let ratio = class.secondary_ratio(&described[*at].transformer);
            let largest = |known: Option<f64>, v: f64| Some(known.map_or(v, |known| known.max(v)));
            let group = &mut groups[*at];
            group.open_secondary_rms_v = largest(group.open_secondary_rms_v, ratio * rms_v);
            group.open_secondary_peak_v = largest(group.open_secondary_peak_v, ratio * peak_v);
        }
    }
    for chain in load.chains().filter(|chain| chain.rectifiers.is_some()) {
        let (rms_a, mean_a, _) = traces.next().map_or((0.0, 0.0, 0.0), |t| size(&t.current_a));
        for &at in chain.rectifiers.iter().flat_map(|all| &all.groups) {
            let FixtureKind::Rectifier(fixture) = described[at].kind else { continue };
            let turns = described[at].transformer.turns_ratio();
            let secondary_rms_a = turns * rms_a;
            let load_w = fixture.dc_v * turns * mean_a
                + fixture.path_ohm * secondary_rms_a * secondary_rms_a;
            let group = &mut groups[at];
            group.secondary_rms_a.get_or_insert(secondary_rms_a);
            group.fixture_w.get_or_insert(f64::from(described[at].lamps_per_fixture) * load_w);
        }
    }
    groups
}
