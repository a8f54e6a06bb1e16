use crate::circuit::{BranchId, Element, Network, NodeId};
use crate::error::{Bounds, Error, Note, Result};
use crate::regulator::{Load, ResistiveLoad, ResonantRegulator};

use super::field_chain::Chain;
use super::occupancy::{Occupancy, Split};
use super::{Field, FieldFault, FixtureGroup, FixtureKind, LampsOut};

/// A field as a load of the regulator: one element for every class of equal fixtures.
///
/// | fixtures | in the network |
/// |---|---|
/// | lit | resistance with the core loss in parallel; magnetising branch only where it counts |
/// | open | magnetising branch and core loss; one flux for all whose cores run alike |
/// | shorted | winding and leakage |
/// | rectifiers | two diodes, each behind a constant voltage; core loss in parallel, no magnetising branch |
///
/// Resistances of lamps and electronics belong to an RMS current of their own: [`FieldLoad::hold`]
/// finds both together. Cable, windings and leakage of all fixtures are one resistance and one
/// inductance; the reactance of electronics stands with them, on the loop's side of the cores.
///
/// # Validity
/// A magnetising branch of lit fixtures that takes less than [`Self::LEFT_OUT_RATIO`] of the
/// current's peak at the rated current is left out:
/// `law_a_magnetising_branch_left_out_moves_little` shows what that does.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldLoad {
    pub(super) field: Field,
    pub(super) carrying: Chain,
    /// What a partial short bypasses, and the resistance that does it.
    pub(super) bypassed: Option<(Chain, f64)>,
    pub(super) rated_rms_a: f64,
    /// Fixtures of every group as they are here, whatever the field counts.
    pub(super) occupancy: Vec<Occupancy>,
    shorted: bool,
    notes: Vec<Note>,
}

impl FieldLoad {
    /// Peak magnetising current over peak loop current below which lit fixtures go without it.
    pub const LEFT_OUT_RATIO: f64 = 0.02;
    /// Share of fixtures that are open.
    pub const OPEN_RATIO: Bounds = Bounds::new("share of lamps out", "", 0.0, 1.0);

    /// The load a field makes on a loop of a rated current and frequency.
    ///
    /// # Errors
    /// As [`Field::check`]; `OutOfRange` for a current or frequency no loop has.
    pub fn new(field: &Field, rated_rms_a: f64, frequency_hz: f64) -> Result<Self> {
        field.check()?;
        Self::build(field, Occupancy::of(field), rated_rms_a, frequency_hz, Self::LEFT_OUT_RATIO)
    }

    /// The load a field makes on a regulator, at the frequency of its supply.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn for_regulator(field: &Field, regulator: &ResonantRegulator) -> Result<Self> {
        let (rated_rms_a, frequency_hz) = ratings(regulator);
        Self::new(field, rated_rms_a, frequency_hz)
    }

    /// The same with a magnetising branch for every class, however small: slower, for checking.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn with_every_core(field: &Field, rated_rms_a: f64, frequency_hz: f64) -> Result<Self> {
        field.check()?;
        Self::build(field, Occupancy::of(field), rated_rms_a, frequency_hz, 0.0)
    }

    /// The load with a share of the fixtures open, in place of those the field counts as open.
    ///
    /// Parts of fixtures are allowed: a share moves smoothly.
    ///
    /// # Errors
    /// As [`Self::new`]; `OutOfRange` for a share out of bounds; `Inconsistent` for a group that
    /// does not exist.
    pub fn with_open_ratio(
        field: &Field,
        regulator: &ResonantRegulator,
        open_ratio: f64,
        which: LampsOut,
    ) -> Result<Self> {
        let groups = field.groups.len();
        let mut open_ratios = vec![None; groups];
        match which {
            LampsOut::EveryGroup => open_ratios.fill(Some(open_ratio)),
            LampsOut::Group(at) => {
                *open_ratios.get_mut(at).ok_or_else(|| {
                    let number = at + 1;
                    Error::inconsistent(format!("group {number} is asked for, there are {groups}"))
                })? = Some(open_ratio);
            }
        }
        Self::with_open_ratios(field, regulator, &open_ratios)
    }

    /// The load with a share of its own open in each group that has one; the others stay as they are
    /// counted.
    ///
    /// # Errors
    /// As [`Self::new`]; `OutOfRange` for a share out of bounds; `Inconsistent` when there are not as
    /// many shares as groups.
    pub fn with_open_ratios(
        field: &Field,
        regulator: &ResonantRegulator,
        open_ratios: &[Option<f64>],
    ) -> Result<Self> {
        field.check()?;
        let mut occupancy = Occupancy::of(field);
        let (groups, shares) = (occupancy.len(), open_ratios.len());
        if groups != shares {
            return Err(Error::inconsistent(format!("{shares} shares for {groups} groups")));
        }
        for (group, open_ratio) in occupancy.iter_mut().zip(open_ratios) {
            if let Some(open_ratio) = open_ratio {
                *group = group.with_open_ratio(Self::OPEN_RATIO.check(*open_ratio)?);
            }
        }
        let (rated_rms_a, frequency_hz) = ratings(regulator);
        Self::build(field, occupancy, rated_rms_a, frequency_hz, Self::LEFT_OUT_RATIO)
    }

    fn build(
        field: &Field,
        occupancy: Vec<Occupancy>,
        rated_rms_a: f64,
        frequency_hz: f64,
        left_out_ratio: f64,
    ) -> Result<Self> {
        ResonantRegulator::TARGET_A.check(rated_rms_a)?;
        Network::FREQUENCY_HZ.check(frequency_hz)?;
        let split = Split::of(occupancy.clone(), field.fault.as_ref());
        let bypassed_ratio = split.cable_bypassed_ratio;
        let mut carrying = Chain::new(field, &split.carrying, 1.0 - bypassed_ratio, "");
        let mut bypassed = match &field.fault {
            Some(FieldFault::PartialShort { resistance_ohm, .. }) => {
                let chain = Chain::new(field, &split.bypassed, bypassed_ratio, ", bypassed");
                Some((chain, *resistance_ohm))
            }
            _ => None,
        };
        let chains = std::iter::once(&mut carrying).chain(bypassed.iter_mut().map(|(c, _)| c));
        for class in chains.flat_map(|chain| &mut chain.lit) {
            class.magnetised = class.magnetising_ratio(rated_rms_a, frequency_hz) >= left_out_ratio;
            class.secondary_rms_a = class.secondary_at(rated_rms_a);
        }
        let shorted = field.fault == Some(FieldFault::OutputShort);
        let rectifiers = [Some(&carrying), bypassed.as_ref().map(|(chain, _)| chain)];
        let rectifiers = rectifiers.into_iter().flatten().any(|chain| chain.rectifiers.is_some());
        let mut notes = Vec::new();
        if rectifiers && !shorted {
            let left_out_ratio = rectifier_magnetising_ratio(field, rated_rms_a, frequency_hz);
            notes.push(Note::new(
                "rectifier-cores",
                format!(
                    "all rectifier fixtures are taken as one, without magnetising current of their \
                     transformers: at the voltage behind the bridges it peaks at about {:.1} % of the \
                     rated current's peak",
                    100.0 * left_out_ratio
                ),
            ));
        }
        Ok(Self {
            field: field.clone(),
            carrying,
            bypassed,
            rated_rms_a,
            occupancy,
            shorted,
            notes,
        })
    }

    /// The field this load was made from. [`Self::with_open_ratio`] counts other fixtures as open than
    /// it does; [`GroupPoint`](super::GroupPoint) has the numbers that were solved with.
    #[must_use]
    pub fn field(&self) -> &Field {
        &self.field
    }

    /// What has to be said beside every result.
    #[must_use]
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }

    /// Whether half-wave symmetric solutions can be looked for: constant voltages have no mirror
    /// image in the network.
    #[must_use]
    pub fn is_half_wave_symmetric(&self) -> bool {
        self.shorted || self.chains().all(|chain| chain.rectifiers.is_none())
    }

    /// The chains that carry current, the whole loop's first.
    pub(super) fn chains(&self) -> impl Iterator<Item = &Chain> {
        let chains = std::iter::once(&self.carrying).chain(self.bypassed.iter().map(|(c, _)| c));
        chains.filter(|_| !self.shorted)
    }

    pub(super) fn chains_mut(&mut self) -> impl Iterator<Item = &mut Chain> {
        let shorted = self.shorted;
        let bypassed = self.bypassed.iter_mut().map(|(chain, _)| chain);
        std::iter::once(&mut self.carrying).chain(bypassed).filter(move |_| !shorted)
    }
}

/// Largest peak magnetising current of a rectifier fixture over the peak of the rated current.
///
/// # Formula
/// Φ = n V / (4 f): the bridge puts a square wave of the smoothing capacitor's voltage on the core, n
/// times the turns ratio; half a period of it swings the flux from −Φ to Φ
fn rectifier_magnetising_ratio(field: &Field, rated_rms_a: f64, frequency_hz: f64) -> f64 {
    let peak_a = std::f64::consts::SQRT_2 * rated_rms_a;
    let of_group = |group: &FixtureGroup| match group.kind {
        FixtureKind::Rectifier(fixture) => {
            let loads = f64::from(group.lamps_per_fixture);
            let voltage_v = group.transformer.turns_ratio() * loads * fixture.dc_v;
            group.transformer.magnet(1.0).current_a(voltage_v / (4.0 * frequency_hz)) / peak_a
        }
        _ => 0.0,
    };
    field.groups.iter().map(of_group).fold(0.0, f64::max)
}

/// Rated current and the frequency of the supply.
fn ratings(regulator: &ResonantRegulator) -> (f64, f64) {
    let values = &regulator.values;
    (values.rated_current_rms_a, values.rated_frequency_hz * regulator.supply.frequency_ratio)
}

impl Load for FieldLoad {
    fn attach(&self, network: &mut Network, from: NodeId, to: NodeId) -> Result<BranchId> {
        if self.shorted {
            let resistance_ohm = FieldFault::LEAD_OHM;
            return Ok(network.branch(
                "shorting lead",
                from,
                to,
                Element::Resistor { resistance_ohm },
            ));
        }
        let bypass = self.bypassed.as_ref().map(|(chain, resistance_ohm)| (chain, *resistance_ohm));
        Ok(self.carrying.attach(network, from, to, bypass))
    }

    fn resistance_ohm(&self) -> f64 {
        if self.shorted {
            return FieldFault::LEAD_OHM;
        }
        let beside_ohm = self.bypassed.as_ref().map_or(0.0, |(chain, short_ohm)| {
            let chain_ohm = chain.load_ohm(self.rated_rms_a);
            chain_ohm * short_ohm / (chain_ohm + short_ohm)
        });
        let load_ohm = self.carrying.load_ohm(self.rated_rms_a) + beside_ohm;
        load_ohm.max(ResistiveLoad::RESISTANCE_OHM.min)
    }
}
