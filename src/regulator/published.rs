//! The published bands, as printed; deviations carry a remark.

use crate::cited::{Evidence, Source};

use super::{Band, BandSet, CircuitClass};

pub(super) struct PublishedBand {
    pub(super) band: Band,
    pub(super) remark: Option<&'static str>,
}

const fn plain(low_a: f64, high_a: f64) -> PublishedBand {
    PublishedBand { band: Band::known(low_a, high_a), remark: None }
}

const fn with(low_a: f64, high_a: f64, remark: &'static str) -> PublishedBand {
    PublishedBand { band: Band::known(low_a, high_a), remark: Some(remark) }
}

/// From step 1 upwards; `None` where nobody here has read or remembers the table.
pub(super) fn bands(class: CircuitClass, set: BandSet) -> Option<&'static [PublishedBand]> {
    use BandSet::{FaaMemory, Mil1998, Ufc2005};
    use CircuitClass::{FiveStep6A6, FiveStep20A, ThreeStep6A6};
    Some(match (class, set) {
        (ThreeStep6A6, Ufc2005) => {
            const { &[plain(4.66, 4.94), plain(5.33, 5.67), plain(6.40, 6.70)] }
        }
        (FiveStep6A6, Ufc2005) => {
            const {
                &[
                    plain(2.72, 2.88),
                    plain(3.30, 3.50),
                    plain(3.98, 4.22),
                    plain(5.04, 5.36),
                    plain(6.40, 6.70),
                ]
            }
        }
        (ThreeStep6A6, Mil1998) => {
            const {
                &[
                    with(
                        4.66,
                        4.94,
                        "the source prints 4.97 A as the upper edge, where the rule the other rows follow (derived: ±3 %) gives 4.94 A",
                    ),
                    plain(5.34, 5.67),
                    plain(6.40, 6.80),
                ]
            }
        }
        (FiveStep6A6, Mil1998) => {
            const {
                &[
                    plain(2.73, 2.87),
                    with(
                        3.32,
                        3.49,
                        "the source prints 3.22 A as the lower edge, where the rule the other rows follow (derived: ±2.5 %) gives 3.32 A",
                    ),
                    plain(4.00, 4.20),
                    plain(5.07, 5.33),
                    plain(6.47, 6.70),
                ]
            }
        }
        (FiveStep20A, Mil1998) => {
            const {
                &[
                    plain(8.29, 8.71),
                    plain(10.04, 10.56),
                    plain(12.09, 12.71),
                    plain(15.41, 16.20),
                    plain(19.50, 20.50),
                ]
            }
        }
        (ThreeStep6A6, FaaMemory) => {
            const { &[plain(4.70, 4.90), plain(5.40, 5.60), plain(6.50, 6.70)] }
        }
        (FiveStep6A6, FaaMemory) => {
            const {
                &[
                    plain(2.70, 2.90),
                    plain(3.30, 3.50),
                    plain(4.00, 4.20),
                    plain(5.10, 5.30),
                    plain(6.50, 6.70),
                ]
            }
        }
        (FiveStep20A, FaaMemory) => {
            const {
                &[
                    plain(8.20, 8.80),
                    plain(10.00, 10.60),
                    plain(12.10, 12.70),
                    plain(15.50, 16.10),
                    plain(19.70, 20.30),
                ]
            }
        }
        (FiveStep20A, Ufc2005) => return None,
    })
}

/// The source line of a band; one set right against the print says so.
pub(super) fn source(set: BandSet, corrected: bool) -> Source {
    match set {
        BandSet::Mil1998 if corrected => Source::known(
            "MIL-HDBK-1023/4 (30 November 1998, cancelled 15 December 2006)",
            "p. 52, short-circuit test, one edge taken for a misprint and set right by the rule the other rows follow",
            Evidence::Derived,
        ),
        BandSet::Ufc2005 => Source::known(
            "UFC 3-535-01 (17 November 2005)",
            "tables 15-2 and 15-3",
            Evidence::Printed,
        ),
        BandSet::Mil1998 => Source::known(
            "MIL-HDBK-1023/4 (30 November 1998, cancelled 15 December 2006)",
            "p. 52, short-circuit test",
            Evidence::Printed,
        ),
        BandSet::FaaMemory => Source::known("FAA AC 150/5345-10", "", Evidence::Memory),
    }
}
