use toml::Spanned;

use crate::description::{misspelt, place};
use crate::error::{Bounds, Error, Result};
use crate::procedure::entry::{Moment, Output, ProtectionKind};
use crate::regulator::protection::OvercurrentStage;
use crate::units::{self, Dimension};

use super::raw::{RawItem, RawProcedure, RawStage};
use super::{FindingKind, Item, ItemKind, Procedure, Stage};

/// Set-point of a protection against the nominal of the top step.
const SET_RATIO: Bounds = Bounds::new("set-point of a protection", "of the top step", 1.0, 2.0);
/// Time in which a protection acts.
const TIME_S: Bounds = Bounds::new("time of a protection", "s", 0.0, 60.0);
/// Longest key: entries and worksheets name items by it.
const MAX_KEY_CHARACTERS: usize = 40;

const KINDS: [&str; 5] = ["confirm", "ask", "read", "prove", "close"];

/// Checks one procedure file; keeps its text to name places.
pub(super) struct Reader<'a> {
    pub(super) text: &'a str,
}

impl Reader<'_> {
    fn at<T>(&self, spanned: &Spanned<T>, error: Error) -> Error {
        error.at(place(self.text, spanned.span()))
    }

    fn filled(&self, text: &Spanned<String>, what: &str) -> Result<String> {
        match text.get_ref().trim() {
            "" => Err(self.at(text, Error::malformed(what, "an empty text"))),
            words => Ok(words.split_whitespace().collect::<Vec<_>>().join(" ")),
        }
    }

    fn filled_if(&self, text: Option<&Spanned<String>>, what: &str) -> Result<Option<String>> {
        text.map(|text| self.filled(text, what)).transpose()
    }

    pub(super) fn procedure(&self, raw: &RawProcedure) -> Result<Procedure> {
        let format = *raw.format.get_ref();
        if format != Procedure::FORMAT {
            let (want, found) =
                (format!("format {}", Procedure::FORMAT), format!("format {format}"));
            let error = Error::malformed(want, found);
            return Err(
                self.at(&raw.format, error.with_hint("a newer program may have written this file"))
            );
        }
        let title = self.filled(&raw.title, "a title")?;
        let mut stages: Vec<Stage> = Vec::with_capacity(raw.stage.len());
        for raw_stage in &raw.stage {
            let stage = self.stage(raw_stage, &stages)?;
            stages.push(stage);
        }
        let items: Vec<_> = raw.stage.iter().flat_map(|stage| &stage.get_ref().item).collect();
        let Some(last) = items.last() else {
            return Err(Error::malformed("at least one [[stage]] with a [[stage.item]]", "none")
                .with_hint("`loopcrest starter --procedure` writes a complete file"));
        };
        let closes = |item: &&&Spanned<RawItem>| item.get_ref().kind.get_ref() == "close";
        if let Some(early) = items[..items.len() - 1].iter().find(closes) {
            let error = Error::inconsistent(
                "an item of kind \"close\" ends the visit: no item can \
                                             come after it",
            );
            return Err(self.at(&early.get_ref().kind, error));
        }
        if !closes(&last) {
            let error = Error::malformed("kind \"close\" for the last item", "another kind");
            return Err(self.at(&last.get_ref().kind, error));
        }
        self.check_until(&items)?;
        Ok(Procedure { title, stages, text: self.text.to_owned() })
    }

    /// What an item holds until is a later question.
    fn check_until(&self, items: &[&Spanned<RawItem>]) -> Result<()> {
        for (place, item) in items.iter().enumerate() {
            let Some(until) = &item.get_ref().until else { continue };
            let later: Vec<&str> = items
                .iter()
                .skip(place + 1)
                .map(|later| later.get_ref())
                .filter(|later| later.kind.get_ref() == "confirm" || later.kind.get_ref() == "ask")
                .map(|later| later.key.get_ref().as_str())
                .collect();
            if !later.contains(&until.get_ref().as_str()) {
                let expected = "`until` as the key of a later item of kind \"confirm\" or \"ask\"";
                let error = misspelt(expected, until.get_ref(), later.iter().copied());
                return Err(self.at(until, error));
            }
        }
        Ok(())
    }

    fn stage(&self, raw: &Spanned<RawStage>, before: &[Stage]) -> Result<Stage> {
        let raw_stage = raw.get_ref();
        let key = self.key(&raw_stage.key)?;
        if before.iter().any(|stage| stage.key == key) {
            let error = Error::inconsistent(format!("two stages have the key \"{key}\""));
            return Err(self.at(&raw_stage.key, error));
        }
        let mut items: Vec<Item> = Vec::with_capacity(raw_stage.item.len());
        for raw_item in &raw_stage.item {
            let earlier: Vec<&Item> =
                before.iter().flat_map(|stage| &stage.items).chain(&items).collect();
            let item = self.item(raw_item, &earlier)?;
            items.push(item);
        }
        if items.is_empty() {
            return Err(self.at(raw, Error::malformed("at least one [[stage.item]]", "none")));
        }
        Ok(Stage {
            key,
            title: self.filled(&raw_stage.title, "a title")?,
            why: self.filled_if(raw_stage.why.as_ref(), "the reason")?,
            items,
        })
    }

    fn item(&self, raw: &Spanned<RawItem>, earlier: &[&Item]) -> Result<Item> {
        let whole = raw;
        let raw = raw.get_ref();
        let key = self.key(&raw.key)?;
        if earlier.iter().any(|item| item.key == key) {
            let error = Error::inconsistent(format!("two items have the key \"{key}\""))
                .with_hint("entries name an item by its key: it must be its own");
            return Err(self.at(&raw.key, error));
        }
        let mut after: Vec<String> = Vec::with_capacity(raw.after.len());
        for needed in &raw.after {
            let name = needed.get_ref();
            if !earlier.iter().any(|item| item.key == *name) {
                return Err(self.at(needed, self.never_comes(name, &key, earlier)));
            }
            if !after.contains(name) {
                after.push(name.clone());
            }
        }
        let kind = self.kind(whole)?;
        self.refuse_strays(raw, &kind)?;
        let item = Item {
            key,
            text: self.filled(&raw.text, "what is asked or to be done")?,
            short: self.filled_if(raw.short.as_ref(), "the same in a line")?,
            why: self.filled_if(raw.why.as_ref(), "the reason")?,
            cautions: raw
                .cautions
                .iter()
                .map(|caution| self.filled(caution, "a caution"))
                .collect::<Result<_>>()?,
            after,
            until: raw.until.as_ref().map(|key| key.get_ref().clone()),
            kind,
        };
        self.check_connected(&item, whole, earlier)?;
        Ok(item)
    }

    /// A precondition that is no earlier item.
    fn never_comes(&self, name: &str, key: &str, earlier: &[&Item]) -> Error {
        let is_later = name == key
            || self.text.lines().any(|line| {
                line.split_once('=').is_some_and(|(field, value)| {
                    field.trim() == "key" && value.trim().trim_matches('"') == name
                })
            });
        if is_later {
            return Error::inconsistent(format!(
                "the precondition \"{name}\" of \"{key}\" does not come before it, so \"{key}\" could \
                 never be reached"
            ))
            .with_hint("move it up, or take it out of `after`");
        }
        let known = earlier.iter().map(|item| item.key.as_str());
        misspelt("the key of an earlier item", name, known)
    }

    fn key(&self, raw: &Spanned<String>) -> Result<String> {
        let key = raw.get_ref();
        let is_good = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        let length = key.chars().count();
        if length == 0 || length > MAX_KEY_CHARACTERS || !key.chars().all(is_good) {
            let expected = format!(
                "a key of small letters, digits and hyphens, at most {MAX_KEY_CHARACTERS} of them"
            );
            return Err(self.at(raw, Error::malformed(expected, format!("\"{key}\""))));
        }
        Ok(key.clone())
    }

    fn kind(&self, whole: &Spanned<RawItem>) -> Result<ItemKind> {
        let raw = whole.get_ref();
        let output = || match &raw.output {
            Some(word) => self.output(word),
            None => Err(self.at(
                whole,
                Error::malformed("`output` as \"shorted\" or \"field\" for this item", "none"),
            )),
        };
        match raw.kind.get_ref().as_str() {
            "confirm" => Ok(ItemKind::Confirm {
                shows: raw.shows.as_ref().map(|word| self.finding(word)).transpose()?,
                connects: raw.connects.as_ref().map(|word| self.output(word)).transpose()?,
            }),
            "ask" => Ok(ItemKind::Ask {
                optional: raw.optional.as_ref().is_some_and(|optional| *optional.get_ref()),
                shows: raw.shows.as_ref().map(|word| self.finding(word)).transpose()?,
            }),
            "read" => Ok(ItemKind::Read { output: output()?, moments: self.moments(whole)? }),
            "prove" => self.prove(whole, output()?),
            "close" => Ok(ItemKind::Close),
            word => {
                let expected = format!("one of {}", KINDS.join(", "));
                Err(self.at(&raw.kind, misspelt(expected, word, KINDS)))
            }
        }
    }

    fn prove(&self, whole: &Spanned<RawItem>, output: Output) -> Result<ItemKind> {
        let raw = whole.get_ref();
        let kinds = [ProtectionKind::Overcurrent, ProtectionKind::OpenCircuit];
        let protection = match &raw.protection {
            None => {
                let expected = "`protection` as \"overcurrent\" or \"open-circuit\" for this item";
                return Err(self.at(whole, Error::malformed(expected, "none")));
            }
            Some(word) => {
                let known = kinds.into_iter().find(|kind| kind.key() == word.get_ref());
                known.ok_or_else(|| self.unknown(word, &kinds.map(ProtectionKind::key)))?
            }
        };
        if protection == ProtectionKind::Overcurrent && output != Output::Shorted {
            let error = Error::inconsistent(
                "an overcurrent protection is tried with the output shorted: while it is set the \
                 output rises above the top step, and lamps would be overrun",
            );
            return Err(self.at(raw.output.as_ref().unwrap_or(&raw.kind), error));
        }
        let quantity = |field: &Option<Spanned<String>>, dimension, bounds: Bounds| {
            let Some(field) = field else { return Ok(None) };
            units::parse(field.get_ref(), dimension)
                .and_then(|value| bounds.check(value))
                .map(Some)
                .map_err(|error| self.at(field, error))
        };
        let shortest_s = quantity(&raw.shortest, Dimension::Time, TIME_S)?;
        let longest_s = quantity(&raw.longest, Dimension::Time, TIME_S)?;
        if let (Some(shortest_s), Some(longest_s), Some(place)) =
            (shortest_s, longest_s, &raw.longest)
            && longest_s < shortest_s
        {
            let error = Error::inconsistent(format!(
                "the longest time {longest_s} s is below the shortest {shortest_s} s"
            ));
            return Err(self.at(place, error));
        }
        let source = self.filled_if(raw.source.as_ref(), "the source of set-point and times")?;
        let first =
            [&raw.set_point, &raw.shortest, &raw.longest].into_iter().find_map(Option::as_ref);
        if let (Some(number), None) = (first, &source) {
            let error = Error::malformed("`source` beside set-point and times", "none")
                .with_hint("say where they come from, if only \"from memory, not verified\"");
            return Err(self.at(number, error));
        }
        Ok(ItemKind::Prove {
            protection,
            output,
            set_ratio: quantity(&raw.set_point, Dimension::Ratio, SET_RATIO)?,
            within_ratio: quantity(
                &raw.set_within,
                Dimension::Ratio,
                OvercurrentStage::WITHIN_RATIO,
            )?,
            shortest_s,
            longest_s,
            source,
        })
    }

    fn moments(&self, whole: &Spanned<RawItem>) -> Result<Vec<Moment>> {
        let expected = "`moments` as a list of \"as-found\" and \"as-left\" for this item";
        let Some(list) = &whole.get_ref().moments else {
            return Err(self.at(whole, Error::malformed(expected, "none")));
        };
        let both = [Moment::AsFound, Moment::AsLeft];
        let mut moments = Vec::with_capacity(2);
        for word in list.get_ref() {
            let known = both.into_iter().find(|moment| moment.key() == word.get_ref());
            let moment = known.ok_or_else(|| self.unknown(word, &both.map(Moment::key)))?;
            if moments.last().is_some_and(|last| *last >= moment) {
                let error = Error::inconsistent("each moment once, as-found before as-left");
                return Err(self.at(word, error));
            }
            moments.push(moment);
        }
        if moments.is_empty() {
            return Err(self.at(list, Error::malformed(expected, "an empty list")));
        }
        Ok(moments)
    }

    fn output(&self, word: &Spanned<String>) -> Result<Output> {
        let both = [Output::Shorted, Output::Field];
        let known = both.into_iter().find(|output| output.key() == word.get_ref());
        known.ok_or_else(|| self.unknown(word, &both.map(Output::key)))
    }

    fn finding(&self, word: &Spanned<String>) -> Result<FindingKind> {
        FindingKind::from_key(word.get_ref())
            .ok_or_else(|| self.unknown(word, &FindingKind::ALL.map(FindingKind::key)))
    }

    fn unknown(&self, word: &Spanned<String>, known: &[&str]) -> Error {
        let expected = format!("one of {}", known.join(", "));
        self.at(word, misspelt(expected, word.get_ref(), known.iter().copied()))
    }

    /// Fields that say nothing to this kind of item.
    fn refuse_strays(&self, raw: &RawItem, kind: &ItemKind) -> Result<()> {
        let (confirm, ask, read, prove) = (
            matches!(kind, ItemKind::Confirm { .. }),
            matches!(kind, ItemKind::Ask { .. }),
            matches!(kind, ItemKind::Read { .. }),
            matches!(kind, ItemKind::Prove { .. }),
        );
        let span = |field: &Option<Spanned<String>>| field.as_ref().map(Spanned::span);
        let fields = [
            ("until", span(&raw.until), confirm || ask),
            ("shows", span(&raw.shows), confirm || ask),
            ("connects", span(&raw.connects), confirm),
            ("optional", raw.optional.as_ref().map(Spanned::span), ask),
            ("output", span(&raw.output), read || prove),
            ("moments", raw.moments.as_ref().map(Spanned::span), read),
            ("protection", span(&raw.protection), prove),
            ("set-point", span(&raw.set_point), prove),
            ("set-within", span(&raw.set_within), prove),
            ("shortest", span(&raw.shortest), prove),
            ("longest", span(&raw.longest), prove),
            ("source", span(&raw.source), prove),
        ];
        for (name, span, is_known) in fields {
            if let (Some(span), false) = (span, is_known) {
                let error = Error::inconsistent(format!(
                    "`{name}` says nothing to an item of kind \"{}\"",
                    kind.key()
                ));
                return Err(error.at(place(self.text, span)));
            }
        }
        Ok(())
    }

    /// What is read or tried on an output comes only after the item that connects it so.
    fn check_connected(
        &self,
        item: &Item,
        whole: &Spanned<RawItem>,
        earlier: &[&Item],
    ) -> Result<()> {
        let output = match item.kind {
            ItemKind::Read { output, .. } => output,
            // An open circuit is neither of the two.
            ItemKind::Prove { output, protection: ProtectionKind::Overcurrent, .. } => output,
            _ => return Ok(()),
        };
        let connects =
            |item: &&&Item| matches!(item.kind, ItemKind::Confirm { connects: Some(_), .. });
        let last = earlier.iter().rev().find(connects);
        let holds = last.is_some_and(|last| {
            matches!(last.kind, ItemKind::Confirm { connects: Some(other), .. } if other == output)
                && item.after.contains(&last.key)
        });
        if holds {
            return Ok(());
        }
        let error = Error::inconsistent(format!(
            "\"{}\" needs {}, but the last item before it that connects the output is {}",
            item.key,
            output.words(),
            match last {
                None => "not there".to_owned(),
                Some(last) if !item.after.contains(&last.key) =>
                    format!("\"{}\", which is not among its preconditions", last.key),
                Some(last) => format!("\"{}\", which connects it otherwise", last.key),
            }
        ));
        Err(self.at(
            whole.get_ref().output.as_ref().unwrap_or(&whole.get_ref().kind),
            error.with_hint(format!(
                "an item of kind \"confirm\" with connects = \"{}\" comes before it and stands in \
                 its `after`",
                output.key()
            )),
        ))
    }
}
