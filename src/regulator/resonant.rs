use crate::circuit::{
    BranchId, Crossing, Element, GateReference, GateRule, Magnet, Network, Source,
};
use crate::error::Result;

use super::{Load, ResonantValues, Supply};

/// The resonant constant-current source with its phase-fired reactor, as a network.
///
/// ```text
/// source--R_in--L_in--+--------+----------+---L_out--(output)-- load
///                     |        |          |
///                     C     L_ctl,R_ctl   iron
///                     |     + triac       |
///                    ---------return----------
/// ```
#[derive(Clone, Debug)]
pub struct ResonantRegulator {
    /// Its values.
    pub values: ResonantValues,
    /// What feeds it.
    pub supply: Supply,
}

/// A network with the branches a regulator's control looks at.
#[derive(Clone, Debug)]
pub struct RegulatedNetwork {
    /// The network.
    pub network: Network,
    /// The branch whose current is the output current.
    pub output: BranchId,
    /// The resonant capacitor.
    pub capacitor: BranchId,
    /// The triac of the control reactor.
    pub triac: BranchId,
}

impl ResonantRegulator {
    /// Name of the branch of its own iron.
    pub(super) const IRON: &str = "iron";

    /// The generic regulator on the rated supply.
    ///
    /// # Errors
    /// As [`ResonantValues::generic`].
    pub fn generic(power_w: f64, current_rms_a: f64, frequency_hz: f64) -> Result<Self> {
        let values = ResonantValues::generic(power_w, current_rms_a, frequency_hz)?;
        Ok(Self { values, supply: Supply::nominal() })
    }

    /// The same regulator on another supply.
    #[must_use]
    pub fn with_supply(mut self, supply: Supply) -> Self {
        self.supply = supply;
        self
    }

    /// The network with a load attached and the triac fired at a delay.
    ///
    /// # Errors
    /// Whatever the load finds wrong with itself.
    pub fn network(&self, load: &dyn Load, delay_rad: f64) -> Result<RegulatedNetwork> {
        let values = &self.values;
        let mut network = Network::new(values.rated_frequency_hz * self.supply.frequency_ratio);
        let ground = network.ground();
        let [source, inner, bus, fired, control, output] =
            ["source", "input", "bus", "control", "control inner", "output"]
                .map(|name| network.node(name));
        let source_v: Source = self.supply.source(values.source_rms_v);
        network.branch("source", source, ground, Element::VoltageSource(source_v));
        let input_ohm = Element::Resistor { resistance_ohm: values.input_resistance_ohm };
        network.branch("input winding", source, inner, input_ohm);
        let input_h = Element::Inductor { inductance_h: values.input_inductance_h };
        network.branch("input reactor", inner, bus, input_h);
        let capacitor = network.branch(
            "capacitor",
            bus,
            ground,
            Element::Capacitor { capacitance_f: values.capacitance_f },
        );
        let control_h = Element::Inductor { inductance_h: values.control_inductance_h };
        network.branch("control reactor", bus, fired, control_h);
        let control_ohm = Element::Resistor { resistance_ohm: values.control_resistance_ohm };
        network.branch("control winding", fired, control, control_ohm);
        let gate = GateRule {
            reference: GateReference::BranchVoltage(capacitor),
            crossing: Crossing::Either,
            delay_rad,
        };
        let triac = network.branch("triac", control, ground, Element::Triac(gate));
        let magnet = Magnet::OddPower {
            linear_a: values.iron_linear_a,
            power_a: values.iron_power_a,
            knee_wb: values.iron_knee_wb,
            exponent: values.iron_exponent,
        };
        let iron = Element::SaturatingInductor { magnet, core_loss_ohm: None };
        network.branch(Self::IRON, bus, ground, iron);
        let output_h = Element::Inductor { inductance_h: values.output_inductance_h };
        let reactor = network.branch("output reactor", bus, output, output_h);
        load.attach(&mut network, output, ground)?;
        Ok(RegulatedNetwork { network, output: reactor, capacitor, triac })
    }
}
