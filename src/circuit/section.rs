/// Everything that decides the future of a network at one instant.
///
/// # Example
/// ```
/// use loopcrest::circuit::Section;
/// let rest = Section::at_rest(0.0, 3);
/// assert_eq!(rest.state, vec![0.0; 3]);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// The instant, counted in the time of the sources.
    pub time_s: f64,
    /// Capacitor voltages, inductor currents and flux linkages, in the order of the circuit.
    pub state: Vec<f64>,
    /// One bit per switch, in the order of the circuit: 1 is on.
    pub switches_on: u32,
    /// Firings that are already decided but still to come, earliest first.
    pub pending: Vec<PendingFiring>,
}

/// A firing that has been decided by a zero crossing in the past.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PendingFiring {
    /// Place of the device among the switches.
    pub switch: usize,
    /// Time from the section to the firing.
    pub in_s: f64,
}

impl Section {
    /// No current, no voltage, no flux, every switch open.
    #[must_use]
    pub fn at_rest(time_s: f64, state_count: usize) -> Self {
        Self { time_s, state: vec![0.0; state_count], switches_on: 0, pending: Vec::new() }
    }

    /// Whether two sections can belong to the same periodic solution: the same switches on, the
    /// same devices waiting to be fired.
    #[must_use]
    pub fn same_shape(&self, other: &Self) -> bool {
        self.switches_on == other.switches_on
            && self.pending.len() == other.pending.len()
            && self.pending.iter().zip(&other.pending).all(|(p, q)| p.switch == q.switch)
    }
}
