use axum::extract::Query;
use axum::http::Uri;

use crate::description::{Description, misspelt};
use crate::situation::Situation;

use super::problem::Problem;

/// Key and value of every pair in the query, each key once.
pub(super) fn pairs(uri: &Uri) -> Result<Vec<(String, String)>, Problem> {
    let Query(pairs) = Query::<Vec<(String, String)>>::try_from_uri(uri)
        .map_err(|rejection| Problem::new("bad-request", rejection.body_text()))?;
    for (place, (key, _)) in pairs.iter().enumerate() {
        if pairs.iter().take(place).any(|(earlier, _)| earlier == key) {
            return Err(Problem::new("bad-request", format!("{key} is given twice"))
                .with_field(key.clone()));
        }
    }
    Ok(pairs)
}

/// The choices a query makes, held against the description.
pub(super) fn situation(
    pairs: &[(String, String)],
    description: &Description,
) -> Result<Situation, Problem> {
    let mut situation = Situation::default();
    for (key, value) in pairs {
        situation.set(key, value).map_err(|error| Problem::from(error).with_field(key.clone()))?;
    }
    let named = |key: &'static str| move |error| Problem::from(error).with_field(key);
    situation.step_of(description).map_err(named("step"))?;
    situation.meters_of(description).map_err(named("meter"))?;
    situation.check(description)?;
    Ok(situation)
}

/// The value of a key among those an endpoint knows.
#[derive(Debug)]
pub(super) struct Keys {
    pairs: Vec<(String, String)>,
}

impl Keys {
    /// The pairs of a query that knows these keys and no others.
    pub(super) fn of(uri: &Uri, known: &[&'static str]) -> Result<Self, Problem> {
        let pairs = pairs(uri)?;
        if let Some((key, _)) = pairs.iter().find(|(key, _)| !known.contains(&key.as_str())) {
            let expected = if known.is_empty() {
                "no key at all".to_owned()
            } else {
                format!("one of {}", known.join(", "))
            };
            let error = misspelt(expected, key, known.iter().copied());
            return Err(Problem::from(error).with_field(key.clone()));
        }
        Ok(Self { pairs })
    }

    /// The text of a key.
    pub(super) fn text(&self, key: &str) -> Option<&str> {
        self.pairs.iter().find(|(known, _)| known == key).map(|(_, value)| value.as_str())
    }

    /// The value of a key, read by a function of the library.
    pub(super) fn read<T>(
        &self,
        key: &str,
        read: impl FnOnce(&str) -> crate::error::Result<T>,
    ) -> Result<Option<T>, Problem> {
        let value = self.text(key).map(read).transpose();
        value.map_err(|error| Problem::from(error).with_field(key))
    }
}
