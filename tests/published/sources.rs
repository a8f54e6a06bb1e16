//! The publications behind the expected values of the tests in this folder.

/// Unified Facilities Criteria 3-535-01, Visual Air Navigation Facilities, 17 November 2005: tables
/// 15-2 and 15-3 (bands of the steps).
pub(crate) const UFC_2005: &str = "UFC 3-535-01 (17 November 2005), tables 15-2 and 15-3";

/// MIL-HDBK-1023/4, 30 November 1998, cancelled 15 December 2006: p. 52, short-circuit test.
pub(crate) const MIL_1998: &str =
    "MIL-HDBK-1023/4 (30 November 1998, cancelled 15 December 2006), p. 52";

/// NIST Statistical Reference Datasets, nonlinear regression, dataset Misra1a: data, starts and
/// certified values as printed there (written down from memory; the digits confirm each other).
pub(crate) const NIST_STRD: &str = "NIST StRD, nonlinear regression, Misra1a";
