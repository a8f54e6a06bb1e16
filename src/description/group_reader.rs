use crate::error::{Bounds, Error, Note, Result};
use crate::series::{
    ApparentFixture, ConstantPowerFixture, FilamentLamp, FixtureGroup, FixtureKind,
    IsolatingTransformer, RectifierFixture, TransformerLoss,
};

use super::complaint::misspelt;
use super::group_entry::GroupEntry;

/// Sizes of isolating transformers.
///
/// # Source
/// IEC 61823:2002, as quoted elsewhere: 30 to 300 W; 500 W from memory.
const TRANSFORMER_SIZES_W: [f64; 8] = [30.0, 45.0, 65.0, 100.0, 150.0, 200.0, 300.0, 500.0];
/// Secondary current where neither lamp nor transformer names one.
const USUAL_SECONDARY_A: f64 = 6.6;
/// Two rated currents nearer than this are the same.
const SAME_CURRENT_RATIO: f64 = 0.01;
/// Open and shorted secondaries.
const OUT: Bounds = Bounds::new("open or shorted fixtures", "", 0.0, 10_000.0);

/// The kind whose power factor is not known.
const APPARENT: &str = "apparent";
const KINDS: [&str; 4] = ["lamp", "constant-power", APPARENT, "rectifier"];

/// What a fixture group is read against.
#[derive(Clone, Copy, Debug)]
pub(super) struct LoopRating {
    pub(super) current_rms_a: f64,
    pub(super) frequency_hz: f64,
}

/// A group with what the load calculation needs to know besides.
pub(super) struct ReadGroup {
    pub(super) group: FixtureGroup,
    pub(super) loss: TransformerLoss,
    pub(super) notes: Vec<Note>,
}

/// Checks one group, wherever it was entered.
pub(super) fn read_group(
    entry: &GroupEntry,
    number: usize,
    rating: LoopRating,
) -> Result<ReadGroup> {
    let name = entry.text("name").map_or_else(|| format!("group {number}"), str::to_owned);
    let count = entry.required("count", FixtureGroup::COUNT)? as u32;
    let lamps = entry.bounded("lamps-per-fixture", FixtureGroup::LAMPS_PER_FIXTURE)?;
    let lamps_per_fixture = lamps.unwrap_or(1.0) as u32;
    // Volt-amperes of an unknown power factor are as many watts at most.
    let power_w = match entry.text("kind") {
        Some(APPARENT) => entry.required("apparent-power", ApparentFixture::APPARENT_VA)?,
        _ => entry.required("power", FilamentLamp::POWER_W)?,
    };
    let fixture_w = f64::from(lamps_per_fixture) * power_w;
    let mut notes = Vec::new();
    let transformer = transformer(entry, &name, fixture_w, rating, &mut notes)?;
    let group = FixtureGroup {
        kind: kind(entry, power_w, transformer.secondary_rms_a)?,
        open: entry.bounded("open", OUT)?.unwrap_or(0.0) as u32,
        shorted: entry.bounded("shorted", OUT)?.unwrap_or(0.0) as u32,
        name,
        count,
        lamps_per_fixture,
        transformer,
    };
    if let FixtureKind::Apparent(fixture) = group.kind {
        notes.push(Note::new(
            "power-factor-unknown",
            format!(
                "{}: the power factor of {} VA is not known; the load calculation counts the \
                 volt-amperes, the solved circuit takes them as a resistance, the most active power \
                 there can be",
                group.name, fixture.apparent_va
            ),
        ));
    }
    let blamed = if group.open > 0 { "open" } else { "shorted" };
    group.check().map_err(|error| entry.at(blamed, error))?;
    let loss = match entry.bounded("loss", TransformerLoss::SHARE)? {
        Some(share) => TransformerLoss::entered_share(share, "the description")?,
        None => TransformerLoss::usual(fixture_w),
    };
    Ok(ReadGroup { group, loss, notes })
}

fn kind(entry: &GroupEntry, power_w: f64, secondary_a: f64) -> Result<FixtureKind> {
    let word = entry.text("kind").unwrap_or(KINDS[0]);
    let refused = |field: &str, of: &str| -> Result<()> {
        match entry.bounded(field, Bounds::new("value", "", f64::MIN, f64::MAX))? {
            Some(_) => {
                let error = Error::inconsistent(format!("`{field}` says nothing about a {of}"));
                Err(entry.at(field, error.with_hint("leave it out, or set `kind`")))
            }
            None => Ok(()),
        }
    };
    match word {
        "lamp" => {
            for field in ["power-factor", "dc-voltage", "path-resistance", "apparent-power"] {
                refused(field, "filament lamp")?;
            }
            let lamp_a = entry.bounded("current", FilamentLamp::CURRENT_A)?;
            let lamp_a = lamp_a.unwrap_or(secondary_a);
            if (lamp_a / secondary_a - 1.0).abs() > SAME_CURRENT_RATIO {
                let error = Error::inconsistent(format!(
                    "lamps of {lamp_a} A on transformers with a secondary of {secondary_a} A"
                ));
                let hint = "the lamp's rated current is that of the secondary it hangs on";
                return Err(entry.at("current", error.with_hint(hint)));
            }
            let lamp = FilamentLamp::new(power_w, lamp_a);
            Ok(FixtureKind::Lamp(lamp.map_err(|error| entry.at("power", error))?))
        }
        "constant-power" => {
            for field in ["dc-voltage", "path-resistance", "current", "apparent-power"] {
                refused(field, "constant-power fixture")?;
            }
            let bounds = ConstantPowerFixture::DISPLACEMENT_FACTOR;
            let factor = entry.bounded("power-factor", bounds)?.unwrap_or(1.0);
            let fixture = ConstantPowerFixture::new(power_w, factor);
            Ok(FixtureKind::ConstantPower(fixture.map_err(|error| entry.at("power", error))?))
        }
        APPARENT => {
            for field in ["power", "power-factor", "dc-voltage", "path-resistance", "current"] {
                refused(field, "fixture of which only the volt-amperes are known")?;
            }
            let fixture = ApparentFixture::new(power_w);
            Ok(FixtureKind::Apparent(fixture.map_err(|error| entry.at("apparent-power", error))?))
        }
        "rectifier" => {
            for field in ["power-factor", "current", "apparent-power"] {
                refused(field, "rectifier fixture")?;
            }
            let mut fixture = RectifierFixture::taking(power_w, secondary_a);
            if let Some(dc_v) = entry.bounded("dc-voltage", RectifierFixture::DC_V)? {
                fixture.dc_v = dc_v;
            }
            let path = entry.bounded("path-resistance", RectifierFixture::PATH_OHM)?;
            fixture.path_ohm = path.unwrap_or(fixture.path_ohm);
            fixture.check().map_err(|error| entry.at("power", error))?;
            Ok(FixtureKind::Rectifier(fixture))
        }
        other => {
            let expected = format!("one of {}", KINDS.join(", "));
            Err(entry.at("kind", misspelt(expected, other, KINDS)))
        }
    }
}

/// The generic transformer of the group's rating with the values that are known better.
fn transformer(
    entry: &GroupEntry,
    name: &str,
    fixture_w: f64,
    rating: LoopRating,
    notes: &mut Vec<Note>,
) -> Result<IsolatingTransformer> {
    type T = IsolatingTransformer;
    let primary_a = entry.bounded("primary", T::CURRENT_A)?.unwrap_or(rating.current_rms_a);
    let lamp_a = entry.bounded("current", FilamentLamp::CURRENT_A)?;
    let secondary_a = entry.bounded("secondary", T::CURRENT_A)?;
    let secondary_a = secondary_a.or(lamp_a).unwrap_or(USUAL_SECONDARY_A);
    let power_w = match entry.bounded("rating", T::POWER_W)? {
        Some(power_w) => power_w,
        None => {
            let size = TRANSFORMER_SIZES_W.into_iter().find(|size_w| fixture_w <= *size_w);
            let power_w = size.unwrap_or(fixture_w);
            notes.push(Note::new(
                "transformer-chosen",
                format!("{name}: no transformer rating is given; {power_w} W is taken"),
            ));
            power_w
        }
    };
    if fixture_w > power_w {
        notes.push(Note::new(
            "transformer-overloaded",
            format!("{name}: {fixture_w} W on an isolating transformer rated {power_w} W"),
        ));
    }
    if (primary_a / rating.current_rms_a - 1.0).abs() > SAME_CURRENT_RATIO {
        let shown_a = rating.current_rms_a * secondary_a / primary_a;
        notes.push(Note::new(
            "transformer-ratio",
            format!(
                "{name}: transformers {primary_a} A to {secondary_a} A in a loop of {} A put about \
                 {shown_a:.2} A on the secondary",
                rating.current_rms_a
            ),
        ));
    }
    let mut made = T::generic(power_w, primary_a, secondary_a, rating.frequency_hz)
        .map_err(|error| entry.at("rating", error))?;
    let set = |slot: &mut f64, field: &str, bounds: Bounds| -> Result<()> {
        if let Some(value) = entry.bounded(field, bounds)? {
            *slot = value;
        }
        Ok(())
    };
    const IRON_A: Bounds = Bounds::new("magnetising current", "A", 0.0, 100.0);
    set(&mut made.knee_rms_v, "knee", T::KNEE_RMS_V)?;
    set(&mut made.linear_a, "iron-linear", IRON_A)?;
    set(&mut made.power_a, "iron-power", IRON_A)?;
    set(&mut made.core_loss_ohm, "core-loss", T::CORE_LOSS_OHM)?;
    set(&mut made.winding_ohm, "winding-resistance", T::WINDING_OHM)?;
    let omega = std::f64::consts::TAU * rating.frequency_hz;
    let leakage = Bounds::new("leakage reactance", "ohm", 0.0, 1e3);
    if let Some(leakage_ohm) = entry.bounded("leakage-reactance", leakage)? {
        made.leakage_h = leakage_ohm / omega;
    }
    let exponent = Bounds::new("exponent of the magnetising curve", "", 3.0, 31.0);
    if let Some(exponent) = entry.bounded("iron-exponent", exponent)? {
        made.exponent = exponent as u32;
    }
    made.check().map_err(|error| entry.at("iron-exponent", error))?;
    Ok(made)
}
