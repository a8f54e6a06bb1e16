use crate::uncertainty::Stream;

/// The dice of one problem: a stream of its own, so that a problem does not depend on how many others
/// were made before it, nor on which thread.
#[derive(Debug)]
pub(super) struct Draw<'a> {
    stream: &'a Stream,
    problem: u32,
    thrown: u64,
}

impl<'a> Draw<'a> {
    pub(super) fn new(stream: &'a Stream, problem: u32) -> Self {
        Self { stream, problem, thrown: 0 }
    }

    /// A number in (0, 1).
    fn unit(&mut self) -> f64 {
        self.thrown += 1;
        self.stream.uniform(self.thrown, self.problem)
    }

    /// A number between two others.
    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// A whole number from 0 to one below the count, which is above 0.
    pub(super) fn index(&mut self, count: usize) -> usize {
        ((self.unit() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// A whole number from the lowest to the highest, both included.
    pub(super) fn whole(&mut self, lowest: u32, highest: u32) -> u32 {
        lowest + self.index((highest - lowest + 1) as usize) as u32
    }

    /// One of a list that is not empty.
    pub(super) fn pick<'l, T>(&mut self, list: &'l [T]) -> &'l T {
        &list[self.index(list.len())]
    }

    /// A list in another order.
    pub(super) fn shuffle<T>(&mut self, list: &mut [T]) {
        for last in (1..list.len()).rev() {
            list.swap(last, self.index(last + 1));
        }
    }

    /// An invented place with one of its circuits.
    pub(super) fn site(&mut self) -> String {
        const PLACES: [&str; 12] = [
            "Kestrel Moor",
            "Saltmere Flats",
            "Harrow Fen",
            "Brindle Cross",
            "Otterholm",
            "Wether Down",
            "Quillstone",
            "Marlow Sound",
            "Thornvale",
            "Pellmarsh",
            "Greywether",
            "Larkfold",
        ];
        const CIRCUITS: [&str; 6] = [
            "runway edge circuit",
            "taxiway edge circuit",
            "approach circuit",
            "threshold circuit",
            "taxiway centre line circuit",
            "runway centre line circuit",
        ];
        let (place, circuit) = (*self.pick(&PLACES), *self.pick(&CIRCUITS));
        format!("{place} aerodrome, {circuit} {}", self.whole(1, 4))
    }
}
