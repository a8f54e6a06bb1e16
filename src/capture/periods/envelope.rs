/// Smallest and largest value in each of at most a few thousand stretches of time: a record of any
/// length for drawing, with no peak lost.
///
/// Stretches begin one key long; whenever the record outgrows them, neighbours are joined in pairs.
///
/// # Example
/// ```
/// use loopcrest::capture::Envelope;
/// let mut envelope = Envelope::new(4);
/// (0..16).for_each(|k| envelope.push(k, if k == 6 { 9.0 } else { 1.0 }));
/// assert_eq!(envelope.width(), 4);
/// assert_eq!(envelope.buckets().nth(1).map(|(_, bucket)| bucket.most), Some(9.0));
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct Envelope {
    most_buckets: u64,
    width: u64,
    buckets: Vec<Option<Bucket>>,
}

/// What one stretch holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bucket {
    /// Smallest value.
    pub least: f64,
    /// Largest value.
    pub most: f64,
    /// Sum of the values.
    pub sum: f64,
    /// Number of values.
    pub count: u64,
}

impl Envelope {
    /// An empty one of at most so many stretches, at least two.
    #[must_use]
    pub fn new(most_buckets: usize) -> Self {
        Self { most_buckets: most_buckets.max(2) as u64, width: 1, buckets: Vec::new() }
    }

    /// Takes the value at a key, such as a sample's number; a NaN leaves its place empty.
    pub fn push(&mut self, key: u64, value: f64) {
        if value.is_nan() {
            return;
        }
        while key / self.width >= self.most_buckets {
            self.join_pairs();
        }
        let at = (key / self.width) as usize;
        if at >= self.buckets.len() {
            self.buckets.resize(at + 1, None);
        }
        let one = Bucket { least: value, most: value, sum: value, count: 1 };
        self.buckets[at] = Some(self.buckets[at].map_or(one, |bucket| bucket.with(&one)));
    }

    /// Keys in one stretch.
    #[must_use]
    pub fn width(&self) -> u64 {
        self.width
    }

    /// The stretches that hold something, with the first key of each.
    pub fn buckets(&self) -> impl Iterator<Item = (u64, Bucket)> {
        let first = |(at, bucket): (usize, &Option<Bucket>)| {
            bucket.map(|bucket| (at as u64 * self.width, bucket))
        };
        self.buckets.iter().enumerate().filter_map(first)
    }

    fn join_pairs(&mut self) {
        self.width *= 2;
        let joined = self.buckets.chunks(2).map(|pair| match pair {
            [Some(a), Some(b)] => Some(a.with(b)),
            [a, b] => a.or(*b),
            [a] => *a,
            _ => None,
        });
        self.buckets = joined.collect();
    }
}

impl Bucket {
    /// Mean of the values.
    #[must_use]
    pub fn mean(&self) -> f64 {
        self.sum / self.count as f64
    }

    /// Both together.
    #[must_use]
    pub fn with(&self, other: &Self) -> Self {
        Self {
            least: self.least.min(other.least),
            most: self.most.max(other.most),
            sum: self.sum + other.sum,
            count: self.count + other.count,
        }
    }
}
