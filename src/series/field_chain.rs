use std::f64::consts::{FRAC_PI_2, TAU};

use crate::circuit::{BranchId, Element, Network, NodeId, Source, Tone};

use super::lit_class::LitClass;
use super::occupancy::Occupancy;
use super::open_class::OpenClass;
use super::rectifier_class::RectifierClass;
use super::{Field, FixtureKind};

/// Name of the resistance whose current is that of the rectifier fixtures.
const PATHS: &str = "rectifier paths";

/// Things in series, one after the other: their order does not matter to the current.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Chain {
    /// Cable and windings.
    pub(super) resistance_ohm: f64,
    /// Cable and leakage.
    inductance_h: f64,
    pub(super) lit: Vec<LitClass>,
    pub(super) open: Vec<OpenClass>,
    pub(super) rectifiers: Option<RectifierClass>,
    suffix: &'static str,
}

impl Chain {
    pub(super) fn new(
        field: &Field,
        occupancy: &[Occupancy],
        cable_ratio: f64,
        suffix: &'static str,
    ) -> Self {
        let inductance_h = field.cable.iter().filter_map(|run| run.inductance_h()).sum::<f64>();
        let mut chain = Self {
            resistance_ohm: cable_ratio * field.cable_ohm(),
            inductance_h: cable_ratio * inductance_h,
            lit: Vec::new(),
            open: Vec::new(),
            rectifiers: None,
            suffix,
        };
        for (at, (group, counted)) in field.groups.iter().zip(occupancy).enumerate() {
            let transformer = &group.transformer;
            chain.resistance_ohm += counted.total() * transformer.winding_ohm;
            chain.inductance_h += counted.total() * transformer.leakage_h;
            if counted.lit > 0.0 {
                match group.kind {
                    FixtureKind::Rectifier(fixture) => {
                        let turns = transformer.turns_ratio();
                        let loads = counted.lit * f64::from(group.lamps_per_fixture);
                        let all = chain.rectifiers.get_or_insert_default();
                        all.groups.push(at);
                        all.dc_v += loads * turns * fixture.dc_v;
                        all.path_ohm += loads * turns * turns * fixture.path_ohm;
                        all.core_loss_ohm += counted.lit * transformer.core_loss_ohm;
                    }
                    FixtureKind::Lamp(_)
                    | FixtureKind::ConstantPower(_)
                    | FixtureKind::Apparent(_) => {
                        chain.lit.push(LitClass::new(at, group, counted.lit, suffix));
                    }
                }
            }
            if counted.open > 0.0
                && !chain.open.iter_mut().any(|known| known.join(at, group, counted.open))
            {
                chain.open.push(OpenClass::new(at, group, counted.open, suffix));
            }
        }
        chain
    }

    /// Everything but the open fixtures as one resistance, roughly.
    pub(super) fn load_ohm(&self, loop_rms_a: f64) -> f64 {
        let lit = self.lit.iter().map(|class| {
            let (lamp_ohm, core_ohm) = (class.resistance_ohm(), class.core_loss_ohm());
            lamp_ohm * core_ohm / (lamp_ohm + core_ohm)
        });
        let rectifiers =
            self.rectifiers.as_ref().map_or(0.0, |all| all.dc_v / loop_rms_a + all.path_ohm);
        self.resistance_ohm + lit.sum::<f64>() + rectifiers
    }

    /// Adds the chain between two nodes; the first branch carries its whole current.
    pub(super) fn attach(
        &self,
        network: &mut Network,
        from: NodeId,
        to: NodeId,
        bypass: Option<(&Self, f64)>,
    ) -> BranchId {
        const SHORT_OHM: f64 = 1e-6;
        let omega = TAU * network.frequency_hz();
        let electronics =
            self.lit.iter().map(|class| class.reactance_ratio() * class.resistance_ohm() / omega);
        let inductance_h = self.inductance_h + electronics.sum::<f64>();
        let mut parts = Parts { network, at: from, number: 0, suffix: self.suffix };
        if inductance_h > 0.0 {
            let name = parts.named("load inductance");
            parts.next(&name, Element::Inductor { inductance_h });
        }
        for class in &self.lit {
            let (start, end) = parts.step();
            let core_loss_ohm = class.core_loss_ohm();
            let mut resistance_ohm = class.resistance_ohm();
            if class.magnetised {
                let core = Element::SaturatingInductor {
                    magnet: class.magnet(),
                    core_loss_ohm: Some(core_loss_ohm),
                };
                parts.network.branch(&format!("{}, cores", class.name), start, end, core);
            } else {
                resistance_ohm = resistance_ohm * core_loss_ohm / (resistance_ohm + core_loss_ohm);
            }
            parts.network.branch(&class.name, start, end, Element::Resistor { resistance_ohm });
        }
        for class in &self.open {
            let core = Element::SaturatingInductor {
                magnet: class.magnet(),
                core_loss_ohm: Some(class.core_loss_ohm()),
            };
            parts.next(&class.name, core);
        }
        if let Some(all) = &self.rectifiers {
            parts.rectifiers(all);
        }
        if let Some((chain, resistance_ohm)) = bypass {
            let (start, end) = parts.step();
            chain.attach(parts.network, start, end, None);
            parts.network.branch("bypass", start, end, Element::Resistor { resistance_ohm });
        }
        let last = parts.at;
        let resistance_ohm = self.resistance_ohm.max(SHORT_OHM);
        let name = parts.named(Self::WIRE);
        network.branch(&name, last, to, Element::Resistor { resistance_ohm })
    }

    /// Name of the resistance of cable and windings, whose current is that of the chain.
    const WIRE: &'static str = "cable and windings";

    /// Name of the branch with the current of the rectifier fixtures, when there are any.
    pub(super) fn bridge_name(&self) -> Option<String> {
        self.rectifiers.as_ref().map(|_| format!("{PATHS}{}", self.suffix))
    }

    /// The branch that carries the chain's whole current.
    pub(super) fn wire(&self, network: &Network) -> Option<BranchId> {
        network.find(&format!("{}{}", Self::WIRE, self.suffix))
    }
}

/// Elements put one behind the other.
struct Parts<'a> {
    network: &'a mut Network,
    at: NodeId,
    number: usize,
    suffix: &'static str,
}

impl Parts<'_> {
    fn named(&self, name: &str) -> String {
        format!("{name}{}", self.suffix)
    }

    /// The nodes of the next part.
    fn step(&mut self) -> (NodeId, NodeId) {
        let start = self.at;
        self.number += 1;
        let name = self.named(&format!("field {}", self.number));
        self.at = self.network.node(&name);
        (start, self.at)
    }

    fn next(&mut self, name: &str, element: Element) {
        let (start, end) = self.step();
        self.network.branch(name, start, end, element);
    }

    /// Two diodes back to back, each behind a constant voltage; the cores' loss beside them.
    fn rectifiers(&mut self, all: &RectifierClass) {
        let (start, end) = self.step();
        let constant =
            || Source::Tones(vec![Tone { order: 0, amplitude: all.dc_v, phase_rad: FRAC_PI_2 }]);
        let resistor = |resistance_ohm: f64| Element::Resistor { resistance_ohm };
        let [bridge, up, down] = ["bridge", "bridge up", "bridge down"]
            .map(|name| self.network.node(&format!("{name}{}", self.suffix)));
        let parts = [
            ("rectifier cores", start, end, resistor(all.core_loss_ohm)),
            (PATHS, start, bridge, resistor(all.path_ohm)),
            ("rectifier up", bridge, up, Element::Diode),
            ("smoothing up", up, end, Element::VoltageSource(constant())),
            ("rectifier down", down, bridge, Element::Diode),
            ("smoothing down", end, down, Element::VoltageSource(constant())),
        ];
        for (name, from, to, element) in parts {
            let name = self.named(name);
            self.network.branch(&name, from, to, element);
        }
    }
}
