/// Where a number or a rule of a lesson comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LessonSource {
    /// The publication and the place in it.
    pub text: String,
    /// How well it is known.
    pub known: SourceKnown,
}

/// How well a source is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SourceKnown {
    /// Read as printed.
    Printed,
    /// Read where another quotes it.
    Quoted,
    /// From memory.
    Memory,
    /// Derived here.
    Derived,
}

impl SourceKnown {
    /// Every kind.
    pub const ALL: [Self; 4] = [Self::Printed, Self::Quoted, Self::Memory, Self::Derived];

    /// Its word in files.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Printed => "printed",
            Self::Quoted => "quoted",
            Self::Memory => "memory",
            Self::Derived => "derived",
        }
    }

    /// As it is said to a reader.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Printed => "read as printed",
            Self::Quoted => "read where another quotes it",
            Self::Memory => "from memory, not verified",
            Self::Derived => "derived here",
        }
    }
}
