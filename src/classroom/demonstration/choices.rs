use crate::description::Description;
use crate::error::Result;
use crate::meter::Archetype;
use crate::situation::{Output, Situation};

/// What can be turned in a demonstration.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Choice {
    /// The brightness step.
    Step,
    /// What is connected to the output.
    Load,
    /// The share of the lamps that are out.
    LampsOut,
    /// The meter.
    Meter,
}

/// Which way it is turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    /// To the next: brighter, more load, more lamps out, the next meter. At the end it stays.
    Up,
    /// To the one before.
    Down,
}

/// The choices of a demonstration, each at one of its positions.
#[derive(Clone, Debug)]
pub struct Choices {
    steps: Dial<u32>,
    loads: Dial<Output>,
    lamps_out: Dial<f64>,
    meters: Dial<String>,
    fixed: Situation,
}

#[derive(Clone, Debug)]
struct Dial<T> {
    positions: Vec<T>,
    at: usize,
}

/// Loads in percent of the rated one.
const LOADS: [f64; 11] = [0.02, 0.10, 0.20, 0.30, 0.40, 0.50, 0.60, 0.70, 0.80, 0.90, 1.0];
/// Shares of lamps out.
const LAMPS_OUT: [f64; 9] = [0.0, 0.025, 0.05, 0.10, 0.15, 0.20, 0.25, 0.30, 0.40];

impl Choices {
    /// The choices a description gives, beginning at a situation.
    ///
    /// What the situation names and the list does not have is put in.
    ///
    /// # Errors
    /// As [`Situation::check`].
    pub fn new(description: &Description, begin: &Situation) -> Result<Self> {
        begin.check(description)?;
        let mut numbers: Vec<u32> =
            description.steps.steps().iter().map(|step| step.number).collect();
        numbers.sort_unstable();
        let step = begin.step_of(description)?.number;

        let as_set = description.regulator.as_ref().map_or(LOADS[0], |setup| setup.load_ratio);
        let mut ratios = LOADS.to_vec();
        put_in(&mut ratios, as_set);
        if let Output::Load(ratio) = begin.output {
            put_in(&mut ratios, ratio);
        }
        let mut loads: Vec<Output> = ratios.into_iter().map(Output::Load).collect();
        if description.field.is_some() {
            loads.push(Output::Field);
        }
        let load = match begin.output {
            Output::AsSet => Output::Load(as_set),
            other => other,
        };
        let mut lamps_out = LAMPS_OUT.to_vec();
        let lamp_ratio = begin.lamps_out_ratio.unwrap_or(0.0);
        put_in(&mut lamps_out, lamp_ratio);

        let mut meters: Vec<String> =
            description.meters.iter().map(|meter| meter.name.clone()).collect();
        meters.extend(Archetype::ALL.map(|kind| kind.key().to_owned()));
        let meter = begin.meters.first().or(meters.first()).cloned().unwrap_or_default();
        if !meters.contains(&meter) {
            meters.push(meter.clone());
        }
        Ok(Self {
            steps: Dial::at(numbers, |number| *number == step),
            loads: Dial::at(loads, |output| is_same(output, &load)),
            lamps_out: Dial::at(lamps_out, |ratio| near(*ratio, lamp_ratio)),
            meters: Dial::at(meters, |name| *name == meter),
            fixed: begin.clone(),
        })
    }

    /// Turns one of them; at its end it stays where it is, meters begin again.
    pub fn turn(&mut self, choice: Choice, turn: Turn) {
        match choice {
            Choice::Step => self.steps.turn(turn),
            Choice::Load => self.loads.turn(turn),
            Choice::LampsOut => self.lamps_out.turn(turn),
            Choice::Meter => self.meters.turn_around(turn),
        }
    }

    /// Goes to a step by its number, if there is one with it.
    pub fn go_to_step(&mut self, number: u32) {
        if let Some(at) = self.steps.positions.iter().position(|known| *known == number) {
            self.steps.at = at;
        }
    }

    /// Whether lamps can be out of what is connected: a shorted output has none.
    #[must_use]
    pub fn has_lamps(&self) -> bool {
        match self.loads.now() {
            Output::Load(ratio) => *ratio >= Situation::LEAST_LAMP_LOAD_RATIO,
            Output::AsSet | Output::Field => true,
        }
    }

    /// The situation chosen. No lamps out leaves the field as it is described, and lamps out of a
    /// shorted output wait until there are lamps.
    #[must_use]
    pub fn situation(&self) -> Situation {
        let ratio = *self.lamps_out.now();
        Situation {
            step: Some(*self.steps.now()),
            output: *self.loads.now(),
            lamps_out_ratio: (ratio > 0.0 && self.has_lamps()).then_some(ratio),
            meters: vec![self.meters.now().clone()],
            ..self.fixed.clone()
        }
    }
}

impl<T> Dial<T> {
    fn at(positions: Vec<T>, is_now: impl Fn(&T) -> bool) -> Self {
        let at = positions.iter().position(is_now).unwrap_or(0);
        Self { positions, at }
    }

    fn now(&self) -> &T {
        &self.positions[self.at]
    }

    fn turn(&mut self, turn: Turn) {
        self.at = match turn {
            Turn::Up => (self.at + 1).min(self.positions.len() - 1),
            Turn::Down => self.at.saturating_sub(1),
        };
    }

    fn turn_around(&mut self, turn: Turn) {
        let count = self.positions.len();
        self.at = match turn {
            Turn::Up => (self.at + 1) % count,
            Turn::Down => (self.at + count - 1) % count,
        };
    }
}

fn near(one: f64, other: f64) -> bool {
    (one - other).abs() < 1e-9
}

fn is_same(one: &Output, other: &Output) -> bool {
    match (one, other) {
        (Output::Load(one), Output::Load(other)) => near(*one, *other),
        _ => one == other,
    }
}

/// A ratio put into a rising list, unless it is there.
fn put_in(list: &mut Vec<f64>, ratio: f64) {
    if !list.iter().any(|known| near(*known, ratio)) {
        list.push(ratio);
        list.sort_by(f64::total_cmp);
    }
}
