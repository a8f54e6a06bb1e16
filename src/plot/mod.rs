//! Figures: data first, then SVG and PNG.
//!
//! Knows: how a figure of this trade is put together (the current of a step, the errors of the
//! meters, harmonics, the ladder of shapes; a solved regulator from inside, over load and against
//! other sources) and how it becomes a picture that looks the same on a
//! machine without fonts. Refuses to know: how the numbers came about, files, screens.
//!
//! Conventions: a [`Figure`] is plain data in the units its axes name; a [`Scene`] is the same
//! figure laid out on a canvas of [`Figure::WIDTH_PX`] by [`Figure::HEIGHT_PX`], x to the right and
//! y down; a [`Drawing`] is the finished SVG and gives the PNG made from that same SVG. Colours are
//! named by what they stand for ([`Ink`]) and looked up in one [`Palette`]; whatever a colour says,
//! a marker or a dash says too. A character that the embedded fonts lack is an error, because it
//! would vanish from the picture without a word.

mod anchor;
mod axis;
mod branches;
mod callout;
mod canvas;
mod comparison;
mod contrast;
mod crest_map;
#[cfg(feature = "study")]
mod convergence;
mod current;
mod curve;
mod cycle;
mod drawing;
#[cfg(feature = "files")]
mod drift;
mod element;
mod error_column;
mod error_scale;
mod errors;
mod figure;
mod fit;
mod font;
mod harmonics;
#[cfg(feature = "study")]
mod intervals;
mod item;
mod key;
mod ladder;
mod lamps_out_voltage;
mod layout;
mod layout_panel;
mod load_bar;
mod load_curves;
mod look;
mod marker;
mod named_point;
mod numbers;
#[cfg(feature = "files")]
mod output_waveforms;
mod palette;
mod panel;
mod paragraph;
mod phase_portrait;
mod protection_times;
mod raster;
#[cfg(feature = "files")]
mod record;
mod reading_distribution;
mod rect;
mod scene;
#[cfg(feature = "study")]
mod sensitivity;
mod spread;
mod svg;
mod table;
mod teaching;
mod ticks;
#[cfg(feature = "files")]
mod visit_readings;
mod waterfall;

pub use anchor::Anchor;
pub use axis::{Axis, AxisShows, Tick};
pub use branches::branches_figure;
pub use callout::Callout;
pub use canvas::Canvas;
pub use comparison::comparison_figure;
pub use contrast::contrast_figure;
#[cfg(feature = "study")]
pub use convergence::convergence_figure;
pub use crest_map::crest_map_figure;
pub use current::current_figure;
pub use drawing::Drawing;
#[cfg(feature = "files")]
pub use drift::drift_figure;
pub use element::{Element, TextRun};
pub use errors::error_figure;
pub use figure::{Figure, Zoom};
pub use fit::fit_figure;
pub use font::{Weight, drawable, font_file, glyphs, is_drawable, text_width_px};
pub use harmonics::harmonics_figure;
#[cfg(feature = "study")]
pub use intervals::intervals_figure;
pub use item::Item;
pub use key::KeyEntry;
pub use ladder::ladder_figure;
pub use lamps_out_voltage::lamps_out_voltage_figure;
pub use load_bar::load_bar_figure;
pub use load_curves::load_curves_figure;
pub use look::{Dash, Stroke, TextLook};
pub use marker::{Face, Marker};
pub use named_point::NamedPoint;
#[cfg(feature = "files")]
pub use output_waveforms::output_waveforms_figure;
pub use palette::{Ink, Palette, Rgb};
pub use panel::Panel;
pub use phase_portrait::phase_portrait_figure;
pub use protection_times::{ProtectionTimes, protection_times_figure};
pub use reading_distribution::reading_distribution_figure;
#[cfg(feature = "files")]
pub use record::{averaged_period_figure, line_spectrum_figure, record_figure, rms_figure};
pub use rect::Rect;
pub use scene::Scene;
#[cfg(feature = "study")]
pub use sensitivity::sensitivity_figure;
pub use teaching::{
    BandwidthCurve, CrestPoint, GridCell, GridRow, RangeBottomStep, SameThdCase, SetByMeter,
    bandwidth_figure, crest_limit_figure, frame_figure, lamp_power_figure, light_and_life_figure,
    range_bottom_figure, same_thd_figure, sign_change_figure, steps_and_loads_figure,
};
#[cfg(feature = "files")]
pub use visit_readings::visit_readings_figure;
pub use waterfall::waterfall_figure;
