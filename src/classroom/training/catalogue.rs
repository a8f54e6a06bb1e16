use super::{Parameter, TrainingFigure};

/// A training figure as lists show it.
#[derive(Clone, Debug, PartialEq)]
pub struct TrainingEntry {
    /// T01 to T13.
    pub code: String,
    /// Its name in files.
    pub slug: &'static str,
    /// For whom it is meant.
    pub level: &'static str,
    /// What it is about.
    pub title: &'static str,
    /// Its lesson.
    pub lesson: &'static str,
    /// What may be chosen about it.
    pub parameters: Vec<TrainingParameter>,
}

/// A parameter of a training figure as lists show it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TrainingParameter {
    /// Its name in files and on the command line.
    pub key: &'static str,
    /// What it is.
    pub words: &'static str,
    /// What is taken where nothing is chosen.
    pub default: String,
    /// What is allowed.
    pub allowed: String,
}

impl TrainingEntry {
    /// The entry of a figure.
    #[must_use]
    pub fn of(figure: TrainingFigure) -> Self {
        let own = figure.defaults();
        let parameter = |parameter: Parameter| {
            Some(TrainingParameter {
                key: parameter.key(),
                words: parameter.words(),
                default: own.written(parameter)?,
                allowed: parameter.allowed(),
            })
        };
        Self {
            code: figure.code(),
            slug: figure.slug(),
            level: figure.level().key(),
            title: figure.title(),
            lesson: figure.lesson(),
            parameters: Parameter::ALL.into_iter().filter_map(parameter).collect(),
        }
    }
}
