use super::{Blank, Cell, Fact, Picture, Table};

/// One piece of a text.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// The title of a part.
    Title(String),
    /// The head of a section.
    Heading(String),
    /// The head of a part of a section.
    Subheading(String),
    /// A paragraph.
    Paragraph(String),
    /// A paragraph that stands out.
    Strong(String),
    /// A paragraph in small type.
    Small(String),
    /// A list.
    Items(Vec<String>),
    /// Boxes to tick with a pencil, each with what it says.
    Checks(Vec<String>),
    /// What must not be overlooked: a frame with a head and sentences.
    Caution {
        /// Its head.
        head: String,
        /// Its sentences.
        sentences: Vec<String>,
    },
    /// The same where room is scarce: the sentences one after the other, the first words of each in
    /// bold.
    CautionInBrief {
        /// Its head.
        head: String,
        /// Its sentences.
        sentences: Vec<String>,
    },
    /// Names with what belongs to them.
    Facts(Vec<Fact>),
    /// A table.
    Table(Table),
    /// A figure.
    Figure(Picture),
    /// Lines to sign on, each with who signs.
    Signatures(Vec<String>),
    /// Empty lines for remarks in pencil.
    Lines {
        /// What they are for.
        head: String,
        /// How many.
        count: usize,
    },
    /// A line to fill in: words, gaps and boxes to tick.
    FillIn(Vec<Blank>),
    /// Blocks that stay on one sheet wherever one sheet can hold them.
    Together(Vec<Block>),
    /// Blocks in two lanes side by side, read down the left one first.
    Lanes(Vec<Block>),
}

impl Block {
    /// Every text in it, except those of figures.
    #[must_use]
    pub fn words(&self) -> Vec<&str> {
        match self {
            Self::Title(text)
            | Self::Heading(text)
            | Self::Subheading(text)
            | Self::Paragraph(text)
            | Self::Strong(text)
            | Self::Small(text)
            | Self::Lines { head: text, .. } => vec![text],
            Self::Items(texts) | Self::Checks(texts) | Self::Signatures(texts) => {
                texts.iter().map(String::as_str).collect()
            }
            Self::Caution { head, sentences } | Self::CautionInBrief { head, sentences } => {
                [head].into_iter().chain(sentences).map(String::as_str).collect()
            }
            Self::Facts(facts) => {
                facts.iter().flat_map(|fact| [fact.name.as_str(), fact.value.words()]).collect()
            }
            Self::Table(table) => {
                let heads = table.columns.iter().map(|column| column.head.as_str());
                let cells = table.rows.iter().flatten().map(Cell::words);
                [table.caption.as_str()].into_iter().chain(heads).chain(cells).collect()
            }
            Self::Figure(_) => Vec::new(),
            Self::FillIn(blanks) => blanks.iter().map(Blank::words).collect(),
            Self::Together(blocks) | Self::Lanes(blocks) => {
                blocks.iter().flat_map(Self::words).collect()
            }
        }
    }
}
