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
/// JCGM 100:2008, Guide to the expression of uncertainty in measurement (GUM).
pub(crate) const GUM: &str = "JCGM 100:2008, annex G and examples H.1 and H.2";

/// JCGM 102:2011, Supplement 2 to the GUM: example of a complex quantity in polar form near zero.
pub(crate) const GUM_S2: &str = "JCGM 102:2011, supplement 2 to the GUM, polar form near zero";

/// JCGM 106:2012, The role of measurement uncertainty in conformity assessment.
pub(crate) const JCGM_106: &str = "JCGM 106:2012, conformity assessment, 9.5.4 and examples";

/// EA-4/02, Evaluation of the uncertainty of measurement in calibration, supplement S9: not read; its
/// inputs are from memory.
pub(crate) const EA_S9: &str = "EA-4/02, supplement S9, inputs from memory, not verified";

/// Draft of NCSL recommended practice RP-19: a table of false accepts, as quoted elsewhere.
pub(crate) const RP_19: &str = "NCSL RP-19, draft, table of false accepts (quoted elsewhere)";

/// M. Dobbert, A guard-band strategy for managing false-accept risk, 2008.
pub(crate) const DOBBERT: &str = "M. Dobbert, guard-band strategy, 2008";

/// ILAC-G8:09/2019, Guidelines on decision rules and statements of conformity, 4.2.
pub(crate) const ILAC_G8: &str = "ILAC-G8:09/2019, 4.2.1 and 4.2.2";

/// IEC 61869-2, limits of error of current transformers for measurement, classes 0.5, 1 and 3; as
/// quoted elsewhere, the standard itself was not read.
pub(crate) const IEC_61869_2: &str = "IEC 61869-2, classes 0.5, 1 and 3 (as quoted elsewhere)";
