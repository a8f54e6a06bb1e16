use crate::circuit::BranchId;
use crate::error::{Error, Note, Result};
use crate::regulator::OperatingPoint;
use crate::spectrum::Spectrum;

use super::{FieldLoad, FieldPower, GroupPoint};

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
    /// Operating points that were needed until resistances and currents agreed.
    pub rounds: usize,
}

impl FieldPoint {
    /// Highest harmonic order in the total harmonic distortion.
    const THD_ORDER: usize = 59;

    pub(super) fn new(load: FieldLoad, operating: OperatingPoint, rounds: usize) -> Result<Self> {
        let network = operating.circuit.network();
        let samples = operating.output.samples_a().len();
        // In every source of the regulators' layer the output branch ends at the output terminal.
        let terminal = network.get(operating.output_branch).to;
        let path = network.path_to_ground(terminal);
        let mut chosen: Vec<BranchId> = path.iter().map(|(branch, _)| *branch).collect();
        for class in load.chains().flat_map(|chain| &chain.open) {
            let name = &class.name;
            chosen.push(network.find(name).ok_or_else(|| {
                Error::inconsistent(format!("the network has no branch called \"{name}\""))
            })?);
        }
        let traces = operating.solution.chosen_branches(&operating.circuit, &chosen, samples)?;
        let (to_ground, open) = traces.split_at(path.len());
        let mut output_v = vec![0.0; samples];
        for (trace, (_, sign)) in to_ground.iter().zip(&path) {
            output_v.iter_mut().zip(&trace.voltage_v).for_each(|(sum, v)| *sum += sign * v);
        }
        let periods = operating.output.periods();
        let power = FieldPower::of(&output_v, operating.output.samples_a(), periods)?;
        let open: Vec<(f64, f64)> = open.iter().map(|trace| size(&trace.voltage_v)).collect();
        let groups = groups(&load, &open);
        Ok(Self { load, operating, output_v, power, groups, rounds })
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
        notes
    }
}

/// RMS and largest magnitude.
fn size(values: &[f64]) -> (f64, f64) {
    let square: f64 = values.iter().map(|x| x * x).sum();
    let peak = values.iter().fold(0.0_f64, |top, x| top.max(x.abs()));
    ((square / values.len().max(1) as f64).sqrt(), peak)
}

/// Every group from the classes it has a part in; of an open secondary the worst of both chains.
fn groups(load: &FieldLoad, open: &[(f64, f64)]) -> Vec<GroupPoint> {
    let described = &load.field().groups;
    let mut groups: Vec<GroupPoint> = described
        .iter()
        .map(|group| GroupPoint {
            name: group.name.clone(),
            secondary_rms_a: None,
            fixture_w: None,
            open_secondary_rms_v: None,
            open_secondary_peak_v: None,
        })
        .collect();
    for class in load.chains().flat_map(|chain| &chain.lit) {
        let group = &mut groups[class.group];
        let current_a = class.secondary_rms_a;
        group.secondary_rms_a.get_or_insert(current_a);
        let ohm = described[class.group].secondary_ohm(current_a);
        group.fixture_w.get_or_insert(ohm * current_a * current_a);
    }
    let classes = load.chains().flat_map(|chain| &chain.open);
    for (class, (rms_v, peak_v)) in classes.zip(open) {
        for (at, _) in &class.members {
            let ratio = class.secondary_ratio(&described[*at].transformer);
            let largest = |known: Option<f64>, v: f64| Some(known.map_or(v, |known| known.max(v)));
            let group = &mut groups[*at];
            group.open_secondary_rms_v = largest(group.open_secondary_rms_v, ratio * rms_v);
            group.open_secondary_peak_v = largest(group.open_secondary_peak_v, ratio * peak_v);
        }
    }
    groups
}
