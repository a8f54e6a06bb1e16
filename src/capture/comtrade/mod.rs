//! Records of the IEEE C37.111 exchange format (COMTRADE) of 1991, 1999 and 2013: reading and writing.
//!
//! Knows: the configuration line by line, data as text, as 16- and 32-bit whole numbers and as
//! floating-point numbers, both files in one (`.cff`), factors and offsets, sides of the instrument
//! transformers, several sample rates, time stamps where there is no rate, and what marks a missing
//! value. Refuses to know: status channels, whose places are read past; headers and information
//! sections, which are for people and other programs.
//!
//! Conventions: channels are counted from 1 in the order of the configuration, status channels apart;
//! a channel whose factors are no numbers is left out and named. What a configuration promises is
//! compared with the data and never believed. The details rest on files of several writers and on
//! memory of the standards' texts, not on the texts themselves.

mod analog;
mod ascii;
mod assemble;
mod binary;
mod configuration;
mod data_kind;
mod export;
mod files;
mod layout;
mod lines;
mod long_record;
mod places;
mod revision;
mod rows;
mod sections;
mod single;

pub use data_kind::DataKind;
pub use export::{TransientChannel, TransientFile};
pub use files::read_two_parts;
pub(super) use files::{configuration_beside, data_beside, is_configuration, read_two};
pub use layout::TransientLayout;
pub(super) use long_record::{LongRecord, SomeRows};
pub use revision::Revision;
pub(super) use single::read_single;
