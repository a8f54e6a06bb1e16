//! A network with its periodic state as a netlist for general-purpose circuit simulators.

use std::fmt::Write;

use crate::error::{Error, Result};

use super::{BranchId, Circuit, Element, Magnet, PeriodicSolution, Source};

/// What a netlist asks of the program that runs it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NetlistOptions {
    /// Periods of the solution to run.
    pub periods: usize,
    /// Printed steps in a period.
    pub steps_per_period: usize,
    /// Relative tolerance of the program's own steps.
    pub tolerance_ratio: f64,
    /// Where the run begins.
    pub start: NetlistStart,
}

/// Where a netlist's run begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NetlistStart {
    /// In the periodic state: the run must stay on the solution.
    PeriodicState,
    /// Without current, voltage and flux: the run approaches the solution, slowly.
    Rest,
}

impl Default for NetlistOptions {
    fn default() -> Self {
        Self {
            periods: 3,
            steps_per_period: 4000,
            tolerance_ratio: 1e-6,
            start: NetlistStart::PeriodicState,
        }
    }
}

/// The network and its periodic state as a SPICE netlist.
///
/// For checking a solution with another program: run over a few periods from the periodic state,
/// it must stay on the waveform. Names are numbers of branches and nodes; the
/// names of this network stand in comments.
///
/// What has no counterpart is modelled: flux linkage is the voltage of a 1 F capacitor that is
/// charged by the branch voltage; a fired device is a nearly ideal diode for each firing in the
/// period, behind a switch that closes at that firing's instant in the solution and opens a
/// sixteenth of a period before the next one, so that the turn-off is the diode's; off, it leaks
/// through 1 Mohm.
///
/// # Errors
/// `Inconsistent` for a table-driven source or magnetising table, and for a section in which a
/// switch is already on; otherwise as [`PeriodicSolution::trajectory`].
pub fn netlist_text(
    circuit: &Circuit,
    solution: &PeriodicSolution,
    options: &NetlistOptions,
) -> Result<String> {
    if solution.section.switches_on != 0 {
        return Err(Error::inconsistent("a switch is on where the solution begins")
            .with_hint("solve from a section where every switch is off"));
    }
    let start = options.start;
    let mut deck = Deck { circuit, solution, start, text: String::new(), outputs: Vec::new() };
    deck.line("* network and periodic state; voltages in V, currents in A, times in s");
    for id in circuit.network().branch_ids() {
        deck.branch(id)?;
    }
    for (number, &(first, second, ratio)) in circuit.network().couplings().iter().enumerate() {
        deck.line(&format!("K{number} L{} L{} {ratio:e}", first.0, second.0));
    }
    let step_s = solution.period_s / options.steps_per_period as f64;
    let end_s = options.periods as f64 * solution.period_s;
    deck.line(".model ideal D(IS=1e-9 N=0.005 RS=1e-4)");
    deck.line(".model gate SW(VT=0.5 RON=1e-4 ROFF=1e9)");
    let reltol = options.tolerance_ratio;
    deck.line(&format!(".options reltol={reltol:e} abstol=1e-9 vntol=1e-6 method=trap"));
    deck.line(&format!(".tran {step_s:e} {end_s:e} 0 {step_s:e} uic"));
    let outputs = deck.outputs.join(" ");
    deck.line(&format!(".print tran {outputs}"));
    deck.line(".end");
    Ok(deck.text)
}

struct Deck<'a> {
    circuit: &'a Circuit,
    solution: &'a PeriodicSolution,
    start: NetlistStart,
    text: String,
    outputs: Vec<String>,
}

impl Deck<'_> {
    fn line(&mut self, line: &str) {
        writeln!(self.text, "{line}").expect("writing to a string does not fail");
    }

    fn state(&self, id: BranchId) -> f64 {
        if self.start == NetlistStart::Rest {
            return 0.0;
        }
        let state = self.circuit.state_of(id).map(|at| self.solution.section.state[at]);
        state.unwrap_or(0.0)
    }

    fn branch(&mut self, id: BranchId) -> Result<()> {
        let branch = self.circuit.network().get(id).clone();
        let (k, p, q) = (id.0, branch.from.0, branch.to.0);
        self.line(&format!("* {k}: {} \"{}\"", branch.element.words(), branch.name));
        let initial = self.state(id);
        match &branch.element {
            Element::Resistor { resistance_ohm } => {
                self.line(&format!("R{k} {p} {q} {resistance_ohm:e}"));
            }
            Element::Inductor { inductance_h } => {
                self.line(&format!("L{k} {p} {q} {inductance_h:e} IC={initial:e}"));
                self.outputs.push(format!("i(L{k})"));
            }
            Element::Capacitor { capacitance_f } => {
                self.line(&format!("C{k} {p} {q} {capacitance_f:e} IC={initial:e}"));
                self.outputs.push(format!("v({p},{q})"));
            }
            Element::SaturatingInductor { magnet, core_loss_ohm } => {
                self.core(id, magnet, *core_loss_ohm)?;
            }
            Element::IdealPrimary { turns_ratio } => {
                let other = self
                    .circuit
                    .network()
                    .branches()
                    .iter()
                    .find(|other| other.element == Element::IdealSecondary { primary: id });
                let other = other.expect("checked: a primary has its secondary");
                let (s, t) = (other.from.0, other.to.0);
                self.line(&format!("E{k} {p} m{k} {s} {t} {turns_ratio:e}"));
                self.line(&format!("V{k} m{k} {q} 0"));
                self.line(&format!("F{k} {t} {s} V{k} {turns_ratio:e}"));
            }
            Element::IdealSecondary { .. } => {}
            Element::VoltageSource(source) => {
                let course = self.course(source)?;
                self.line(&format!("B{k} {p} {q} V={course}"));
            }
            Element::CurrentSource(source) => {
                let course = self.course(source)?;
                self.line(&format!("B{k} {p} {q} I={course}"));
            }
            Element::Diode => self.line(&format!("D{k} {p} {q} ideal")),
            Element::Thyristor(_) | Element::Triac(_) => self.fired(id)?,
        }
        Ok(())
    }

    fn course(&self, source: &Source) -> Result<String> {
        let Source::Tones(tones) = source else {
            return Err(Error::inconsistent("a table-driven source has no netlist form here"));
        };
        let omega = self.circuit.network().omega_rad_per_s();
        let start_s = self.solution.section.time_s;
        let parts: Vec<String> = tones
            .iter()
            .map(|tone| {
                let rate = f64::from(tone.order) * omega;
                let phase = rate * start_s + tone.phase_rad;
                format!("({:e})*sin({rate:e}*time+({phase:e}))", tone.amplitude)
            })
            .collect();
        Ok(if parts.is_empty() { "0".to_owned() } else { parts.join("+") })
    }

    fn core(&mut self, id: BranchId, magnet: &Magnet, core_loss_ohm: Option<f64>) -> Result<()> {
        let branch = self.circuit.network().get(id);
        let (k, p, q) = (id.0, branch.from.0, branch.to.0);
        let Magnet::OddPower { linear_a, power_a, knee_wb, exponent } = magnet else {
            return Err(Error::inconsistent("a magnetising table has no netlist form here"));
        };
        self.line(&format!("G{k} 0 flux{k} {p} {q} 1"));
        self.line(&format!("C{k} flux{k} 0 1 IC={:e}", self.state(id)));
        let u = format!("(v(flux{k})/{knee_wb:e})");
        // An even power of a negative number is safe where an odd one may not be.
        let even = vec![format!("{u}*{u}"); (*exponent as usize - 1) / 2].join("*");
        self.line(&format!("B{k} {p} {q} I={linear_a:e}*{u}+{power_a:e}*{u}*{even}"));
        if let Some(resistance_ohm) = core_loss_ohm {
            self.line(&format!("R{k} {p} {q} {resistance_ohm:e}"));
        }
        self.outputs.push(format!("v(flux{k})"));
        Ok(())
    }

    /// One diode per firing, behind a switch that follows the firings of the solution.
    fn fired(&mut self, id: BranchId) -> Result<()> {
        const LEAK_OHM: f64 = 1e6;
        let branch = self.circuit.network().get(id);
        let (k, from, to) = (id.0, branch.from.0, branch.to.0);
        let switch = self.circuit.switch_of(id).expect("a fired device is a switch");
        let course = self.solution.trajectory(self.circuit)?;
        let period_s = self.solution.period_s;
        let start_s = self.solution.section.time_s;
        let mut before = 0;
        let mut firings_s = Vec::new();
        for (time_s, on) in course.switchings() {
            if on >> switch & 1 == 1 && before >> switch & 1 == 0 {
                firings_s.push(time_s - start_s);
            }
            before = on;
        }
        // A hundredth of a period after it the current tells which diode it flows through.
        let later_s: Vec<f64> =
            firings_s.iter().map(|at_s| start_s + at_s + 0.01 * period_s).collect();
        let current_a = course.current_a(self.circuit, id, &later_s);
        let edge_s = 1e-7 * period_s;
        let open_s = period_s / firings_s.len().max(1) as f64 - period_s / 16.0;
        for (number, (firing_s, i_a)) in firings_s.iter().zip(&current_a).enumerate() {
            let (p, q) = if *i_a < 0.0 { (to, from) } else { (from, to) };
            let name = format!("{k}x{number}");
            self.line(&format!(
                "V{name} g{name} 0 PULSE(0 1 {firing_s:e} {edge_s:e} {edge_s:e} {open_s:e} {period_s:e})"
            ));
            self.line(&format!("S{name} {p} m{name} g{name} 0 gate"));
            self.line(&format!("D{name} m{name} {q} ideal"));
        }
        // Off, the device leaks: a node between an inductor and an open switch needs a potential.
        self.line(&format!("R{k} {from} {to} {LEAK_OHM:e}"));
        Ok(())
    }
}
