//! The publications behind the expected values of the tests in this folder.

/// Unified Facilities Criteria 3-535-01, Visual Air Navigation Facilities, 17 November 2005: tables
/// 15-2 and 15-3 (bands of the steps).
pub(crate) const UFC_2005: &str = "UFC 3-535-01 (17 November 2005), tables 15-2 and 15-3";

/// MIL-HDBK-1023/4, 30 November 1998, cancelled 15 December 2006: p. 52, short-circuit test.
pub(crate) const MIL_1998: &str =
    "MIL-HDBK-1023/4 (30 November 1998, cancelled 15 December 2006), p. 52";

/// NFPA 70, chapter 9, table 8: conductor properties, as quoted elsewhere (resistance at 75 °C and
/// the note on temperature).
pub(crate) const NEC_TABLE_8: &str = "NEC chapter 9, table 8";

/// IEC 60228, conductors of insulated cables: greatest resistance at 20 °C, as quoted elsewhere.
pub(crate) const IEC_60228: &str = "IEC 60228";

/// Unified Facilities Criteria 3-535-01, 17 November 2005, figure 15-4: load calculation and
/// measured cases.
pub(crate) const UFC_LOAD: &str = "UFC 3-535-01 (17 November 2005), figure 15-4";

/// Lamp tolerances to count with, as quoted elsewhere.
pub(crate) const LAMP_TOLERANCES: &str = "Transport Canada, lamp tolerances";
