//! A straight line through readings: the worked example of the GUM.

use loopcrest::uncertainty::{DriftLine, DriftReading};

use crate::support::agrees_as_printed;

/// JCGM 100:2008, H.3, calibration of a thermometer: readings in table H.6 and results in H.3.3 and
/// H.3.4, quoted from memory; the digits below follow from the readings by numpy's `lstsq`.
#[test]
fn published_line_of_the_gum() {
    let readings = [
        (21.521, -0.171),
        (22.012, -0.169),
        (22.512, -0.166),
        (23.003, -0.159),
        (23.507, -0.164),
        (23.999, -0.165),
        (24.513, -0.156),
        (25.002, -0.157),
        (25.503, -0.159),
        (26.010, -0.161),
        (26.511, -0.160),
    ];
    // Far smaller than the scatter: the scatter is what counts, as in the example.
    let readings = readings.map(|(time, value)| DriftReading {
        time: time - 20.0,
        value,
        standard_uncertainty: 1e-6,
        begins_level: false,
    });
    let line = DriftLine::through(&readings).unwrap().unwrap();
    agrees_as_printed(line.slope.value, "0.00218");
    agrees_as_printed(line.slope.standard_uncertainty, "0.00067");
    assert_eq!(line.degrees_of_freedom, 9);
    agrees_as_printed(1e-6 * line.scatter_ratio, "0.0035");
    let intercept = line.at(0.0, 0.0).unwrap();
    agrees_as_printed(intercept.value, "-0.1712");
    agrees_as_printed(intercept.standard_uncertainty, "0.0029");
    let at_30_degc = line.at(10.0, 0.0).unwrap();
    agrees_as_printed(at_30_degc.value, "-0.1494");
    agrees_as_printed(at_30_degc.standard_uncertainty, "0.0041");
}
