use toml::Spanned;

use crate::error::{Error, Note, Result};
use crate::series::{
    CableRun, Conductor, Field, FieldFault, LampTolerance, LoadMargin, RegulatorSizes,
};

use super::complaint::place;
use super::field_raw::{RawCable, RawFault, RawField, RawGroup, RawLampTolerance, RawTransformer};
use super::group_entry::GroupEntry;
use super::group_file::groups_of;
use super::group_reader::{LoopRating, read_group};
use super::reader::Reader;
use super::{FieldSetup, RegulatorSetup};

/// Temperature of cable in the ground where none is given. Ours, the published example's.
const USUAL_CABLE_DEGC: f64 = 25.0;

impl Reader<'_> {
    pub(super) fn field(
        &self,
        raw: &Spanned<RawField>,
        frequency_hz: f64,
        top_step_a: f64,
        regulator: Option<&RegulatorSetup>,
    ) -> Result<FieldSetup> {
        let field = raw.get_ref();
        let rated_a = |setup: &RegulatorSetup| setup.regulator.values.rated_current_rms_a;
        let current_rms_a = regulator.map_or(top_step_a, rated_a);
        let rating = LoopRating { current_rms_a, frequency_hz };
        let mut notes: Vec<Note> = Vec::new();
        let (mut groups, mut losses) = (Vec::new(), Vec::new());
        for (at, entry) in self.group_entries(field)?.iter().enumerate() {
            let read = read_group(entry, at + 1, rating)?;
            groups.push(read.group);
            losses.push(read.loss);
            notes.extend(read.notes);
        }
        let cable = field.cable.iter().enumerate();
        let cable = cable.map(|(at, run)| self.cable_run(run, at + 1)).collect::<Result<_>>()?;
        let fault = field.fault.as_ref().map(|fault| self.fault(fault)).transpose()?;
        let made = Field { groups, cable, fault };
        made.check().map_err(|error| self.at(raw, error))?;
        let mut setup = FieldSetup {
            field: made,
            losses,
            current_rms_a,
            tap_ratio: match &field.tap {
                Some(tap) => self.bounded(tap, |r| r.0, LoadMargin::TAP_RATIO)?,
                None => 1.0,
            },
            sizes: self.sizes(field)?,
            lamp_tolerance: match field.lamp_tolerance.as_ref().map(Spanned::get_ref) {
                None | Some(RawLampTolerance::Nominal) => LampTolerance::Nominal,
                Some(RawLampTolerance::Most) => LampTolerance::Most,
            },
            notes,
        };
        let findings = setup.findings(regulator).map_err(|error| self.at(raw, error))?;
        setup.notes.extend(findings);
        Ok(setup)
    }

    fn sizes(&self, field: &RawField) -> Result<RegulatorSizes> {
        let Some(sizes) = &field.sizes else { return Ok(RegulatorSizes::default()) };
        let sizes_w = sizes.get_ref().iter().map(|size| size.0).collect();
        RegulatorSizes::entered(sizes_w).map_err(|error| self.at(sizes, error))
    }

    /// The groups of the description, then those of its file, each completed from what holds for
    /// all of them.
    fn group_entries(&self, field: &RawField) -> Result<Vec<GroupEntry>> {
        let mut common = GroupEntry::new(place(self.text, 0..0), None);
        self.put_transformer(&mut common, &field.transformer);
        let mut entries: Vec<GroupEntry> =
            field.group.iter().map(|group| self.group_entry(group)).collect();
        if let Some(file) = &field.groups_from {
            let name = self.filled(file, "the name of a file with fixture groups")?;
            entries.extend(groups_of(&self.file(file, name)?)?);
        }
        Ok(entries.into_iter().map(|entry| entry.filled_from(&common)).collect())
    }

    fn group_entry(&self, group: &Spanned<RawGroup>) -> GroupEntry {
        let raw = group.get_ref();
        let mut entry = GroupEntry::new(place(self.text, group.span()), None);
        self.put_text(&mut entry, "name", &raw.name);
        self.put_text(&mut entry, "kind", &raw.kind);
        for (field, whole) in [
            ("count", &raw.count),
            ("lamps-per-fixture", &raw.lamps_per_fixture),
            ("open", &raw.open),
            ("shorted", &raw.shorted),
        ] {
            self.put(&mut entry, field, whole, |number| *number as f64);
        }
        self.put(&mut entry, "power", &raw.power, |w| w.0);
        self.put(&mut entry, "apparent-power", &raw.apparent_power, |va| va.0);
        self.put(&mut entry, "current", &raw.current, |a| a.0);
        self.put(&mut entry, "power-factor", &raw.power_factor, |r| r.0);
        self.put(&mut entry, "dc-voltage", &raw.dc_voltage, |v| v.0);
        self.put(&mut entry, "path-resistance", &raw.path_resistance, |ohm| ohm.0);
        self.put(&mut entry, "loss", &raw.loss, |r| r.0);
        self.put_transformer(&mut entry, &raw.transformer);
        entry
    }

    fn put_transformer(&self, entry: &mut GroupEntry, raw: &RawTransformer) {
        self.put(entry, "rating", &raw.rating, |w| w.0);
        self.put(entry, "primary", &raw.primary, |a| a.0);
        self.put(entry, "secondary", &raw.secondary, |a| a.0);
        self.put(entry, "knee", &raw.knee, |v| v.0);
        self.put(entry, "iron-linear", &raw.iron_linear, |a| a.0);
        self.put(entry, "iron-power", &raw.iron_power, |a| a.0);
        self.put(entry, "iron-exponent", &raw.iron_exponent, |number| *number as f64);
        self.put(entry, "core-loss", &raw.core_loss, |ohm| ohm.0);
        self.put(entry, "winding-resistance", &raw.winding_resistance, |ohm| ohm.0);
        self.put(entry, "leakage-reactance", &raw.leakage_reactance, |ohm| ohm.0);
    }

    fn put<T>(
        &self,
        entry: &mut GroupEntry,
        field: &'static str,
        raw: &Option<Spanned<T>>,
        value: impl Fn(&T) -> f64,
    ) {
        if let Some(raw) = raw {
            entry.put_number(field, value(raw.get_ref()), place(self.text, raw.span()));
        }
    }

    fn put_text(&self, entry: &mut GroupEntry, field: &'static str, raw: &Option<Spanned<String>>) {
        if let Some(raw) = raw {
            entry.put_text(field, raw.get_ref().clone(), place(self.text, raw.span()));
        }
    }

    fn cable_run(&self, raw: &Spanned<RawCable>, number: usize) -> Result<CableRun> {
        let cable = raw.get_ref();
        let length_m = self.bounded(&cable.length, |m| m.0, CableRun::LENGTH_M)?;
        let temperature_degc = match &cable.temperature {
            Some(temperature) => self.bounded(temperature, |t| t.0, Conductor::TEMPERATURE_DEGC)?,
            None => USUAL_CABLE_DEGC,
        };
        let name = match &cable.name {
            Some(name) => self.filled(name, "a name for the cable")?.to_owned(),
            None => format!("cable {number}"),
        };
        let mut run = match (&cable.conductor, &cable.resistance) {
            (Some(key), None) => {
                let conductor = Conductor::named(key.get_ref());
                let conductor = conductor.map_err(|error| self.at(key, error))?;
                conductor.run(name, length_m, temperature_degc)
            }
            (None, Some(resistance)) => {
                let reference_degc = match &cable.reference_temperature {
                    Some(at) => self.bounded(at, |t| t.0, Conductor::TEMPERATURE_DEGC)?,
                    None => temperature_degc,
                };
                CableRun {
                    name,
                    resistance_ohm_per_m: resistance.get_ref().0,
                    reference_degc,
                    temperature_coefficient_per_k: Conductor::copper_per_k(reference_degc),
                    length_m,
                    temperature_degc,
                    inductance_h_per_m: None,
                }
            }
            (Some(_), Some(resistance)) => {
                let error = Error::inconsistent("both a conductor and a resistance are given");
                return Err(self.at(resistance, error.with_hint("keep the one that is known")));
            }
            (None, None) => {
                let error = Error::malformed("`conductor` or `resistance` of the cable", "neither");
                return Err(
                    self.at(raw, error.with_hint("for instance conductor = \"6mm2-class2\""))
                );
            }
        };
        if let Some(inductance) = &cable.inductance {
            let per_m = self.bounded(inductance, |l| l.0, CableRun::INDUCTANCE_H_PER_M)?;
            run.inductance_h_per_m = Some(per_m);
        }
        run.check().map_err(|error| self.at(raw, error))?;
        Ok(run)
    }

    fn fault(&self, raw: &Spanned<RawFault>) -> Result<FieldFault> {
        let fault = match raw.get_ref() {
            RawFault::OutputShort => FieldFault::OutputShort,
            RawFault::PartialShort { from, to, resistance } => FieldFault::PartialShort {
                from_ratio: from.0,
                to_ratio: to.0,
                resistance_ohm: resistance.0,
            },
        };
        fault.check().map_err(|error| self.at(raw, error))?;
        Ok(fault)
    }
}
