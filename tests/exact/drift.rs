//! Drift between settings, outlook and due day, in closed form.

use jiff::ToSpan;
use jiff::civil::{Date, date};
use loopcrest::procedure::entry::{MeterDoubt, Output};
use loopcrest::procedure::history::{AffectedReading, DueCause, DueDay, LastDone, StepHistory};
use loopcrest::procedure::{Entry, Visit, VisitState};
use loopcrest::uncertainty::decision::{Knowledge, Limits};
use loopcrest::uncertainty::{DriftLine, DriftReading};

use crate::support::invented_visits::InventedVisit;
use crate::support::{assert_absolute, assert_relative};

fn reading(time: f64, value: f64, begins_level: bool) -> DriftReading {
    DriftReading { time, value, standard_uncertainty: 0.01, begins_level }
}

/// Closed form: two stretches of two readings each, 0.02 and 0.04 up over one unit of time: the
/// slope is their mean, u² = 0.01²/Σ(t − t̄)² = 0.01²/(4 × 0.25), and χ² = 2 × 2 × 0.005²/0.01² = 1
/// with one degree of freedom, so that the stated uncertainty counts.
#[test]
fn exact_one_slope_through_two_levels() {
    let readings = [
        reading(0.0, 6.60, false),
        reading(1.0, 6.62, false),
        reading(1.0, 6.58, true),
        reading(2.0, 6.62, false),
    ];
    let line = DriftLine::through(&readings).unwrap().unwrap();
    assert_absolute(line.slope.value, 0.03, 1e-12, "closed form");
    assert_absolute(line.slope.standard_uncertainty, 0.01, 1e-12, "closed form");
    assert_eq!(line.degrees_of_freedom, 1);
    assert_absolute(line.scatter_ratio, 1.0, 1e-9, "closed form");
    // Centre of the last stretch: 6.60 at 1.5, u² = 0.01²/2; half a unit on, the slope adds
    // (0.5 × 0.01)², and what is common 0.03².
    let ahead = line.at(2.0, 0.03).unwrap();
    assert_absolute(ahead.value, 6.615, 1e-12, "closed form");
    let variance: f64 = 0.5e-4 + 0.25e-4 + 9e-4;
    assert_absolute(ahead.standard_uncertainty, variance.sqrt(), 1e-12, "closed form");
}

#[test]
fn exact_no_drift_is_known_from_levels_read_once() {
    let once = [reading(0.0, 6.6, false), reading(1.0, 6.5, true), reading(2.0, 6.6, true)];
    assert_eq!(DriftLine::through(&once).unwrap(), None);
    assert_eq!(DriftLine::through(&[]).unwrap(), None);
    assert!(DriftLine::through(&[reading(1.0, 6.6, false), reading(0.0, 6.6, false)]).is_err());
    let flat = DriftReading { standard_uncertainty: 0.0, ..reading(0.0, 6.6, false) };
    assert!(DriftLine::through(&[flat]).is_err());
}

/// A visit with a meter that shows the true current, u 0.01 A.
fn visit(
    number: u64,
    day: Date,
    meter: &'static str,
    found_a: f64,
    left_a: f64,
    is_complete: bool,
) -> Visit {
    let invented = InventedVisit { number, day, meter, standard_uncertainty_a: 0.01, is_complete };
    invented.read(found_a, left_a).unwrap()
}

/// Set to 6.60 A every year, found 0.04 A higher a year later each time.
fn drifting() -> Vec<Visit> {
    vec![
        visit(1, date(2023, 3, 1), "clamp A", 6.55, 6.60, true),
        visit(10, date(2024, 3, 1), "clamp A", 6.64, 6.60, true),
        visit(20, date(2025, 3, 1), "clamp B", 6.64, 6.60, true),
    ]
}

/// Closed form: +0.04 A in 366 and in 365 days; from 6.60 A, 0.1 A to the upper limit take
/// 0.1/0.04 years. The levels agree with the slope but for a day, so the stated scatter counts.
#[test]
fn exact_drift_and_the_day_it_leaves_the_band() {
    let history = StepHistory::of(&drifting(), 5, Output::Shorted).unwrap().unwrap();
    assert_eq!(history.points.len(), 6);
    let outlook = history.outlook(0.95).unwrap().unwrap();
    assert_relative(outlook.drift_a_per_year, 0.04, 2e-3, "years of 365 and 366 days");
    assert!(outlook.is_drifting());
    let leaves_on = outlook.leaves_on.unwrap();
    let years = f64::from((leaves_on - date(2025, 3, 1)).get_days()) / 365.25;
    assert_absolute(years, 2.5, 0.01, "days are whole, and the slope is the mean of two");
    assert!(outlook.doubtful_on.unwrap() < leaves_on, "doubt comes before the best estimate");
    assert!(!outlook.doubtful_already);
}

/// The same days as looking at every single one of twenty years, for drifts upwards, downwards, across the
/// whole band, hardly any, and a last reading that stands outside or in doubt already.
#[test]
fn exact_the_days_of_an_outlook_are_the_first_ones() {
    let mut told = [0; 3];
    for (drift_a, left_a) in [
        (0.04, 6.60),
        (-0.05, 6.60),
        (0.06, 6.42),
        (-0.03, 6.69),
        (0.015, 6.55),
        (-0.004, 6.50),
        (0.04, 6.72),
        (-0.04, 6.695),
    ] {
        let years = [date(2023, 3, 1), date(2024, 3, 1), date(2025, 3, 1), date(2026, 3, 1)];
        let visits: Vec<Visit> = (1_u64..)
            .zip(years)
            .map(|(number, day)| visit(number, day, "clamp A", left_a + drift_a, left_a, true))
            .collect();
        let history = StepHistory::of(&visits, 5, Output::Shorted).unwrap().unwrap();
        let outlook = history.outlook(0.95).unwrap().unwrap();
        let band = Limits::between(history.band_a.0, history.band_a.1).unwrap();
        let (mut leaves_on, mut doubtful_on) = (None, None);
        let mut day = years[3];
        while day <= years[3].checked_add(20.years()).unwrap() {
            let known = history.expected(day).unwrap().unwrap();
            if leaves_on.is_none() && !band.contain(known.value) {
                leaves_on = Some(day);
            }
            let inside = Knowledge::from_estimate(&known).conformance_probability(&band);
            if doubtful_on.is_none() && inside < 0.95 {
                doubtful_on = Some(day);
            }
            day = day.tomorrow().unwrap();
        }
        assert_eq!(
            (outlook.leaves_on, outlook.doubtful_on),
            (leaves_on, doubtful_on),
            "{drift_a} A a year from {left_a} A"
        );
        told[0] += usize::from(leaves_on.is_some_and(|day| day > years[3]));
        told[1] += usize::from(outlook.doubtful_already);
        told[2] += usize::from(doubtful_on < leaves_on);
    }
    assert!(told[0] >= 5 && told[1] >= 2 && told[2] >= 5, "{told:?}");
}

#[test]
fn exact_due_day_by_interval_by_drift_and_at_once() {
    let visits = drifting();
    let history = StepHistory::of(&visits, 5, Output::Shorted).unwrap().unwrap();
    let due = |visits: &[Visit], histories: &[StepHistory], months: i64| {
        let last_done = LastDone::of(visits, &[]).unwrap();
        DueDay::of(last_done.as_ref(), histories, months.months(), 0.95).unwrap()
    };
    let yearly = due(&visits, std::slice::from_ref(&history), 12);
    assert_eq!(yearly.day, Some(date(2026, 3, 1)));
    assert_eq!(yearly.cause, DueCause::Interval);
    assert!(yearly.is_due(date(2026, 3, 1)) && !yearly.is_due(date(2026, 2, 28)));
    let late = due(&visits, std::slice::from_ref(&history), 60);
    let doubtful_on = history.outlook(0.95).unwrap().unwrap().doubtful_on;
    assert_eq!(late.day, doubtful_on);
    assert_eq!(late.cause, DueCause::Drift { step: 5, output: Output::Shorted });
    // A month is a month of the calendar.
    let leap = vec![visit(1, date(2024, 1, 31), "clamp A", 6.6, 6.6, true)];
    assert_eq!(due(&leap, &[], 1).day, Some(date(2024, 2, 29)));
    // Left at the very edge of the band.
    let mut edge = drifting();
    edge.push(visit(30, date(2026, 3, 1), "clamp A", 6.64, 6.70, true));
    let history = StepHistory::of(&edge, 5, Output::Shorted).unwrap().unwrap();
    let at_once = due(&edge, &[history], 12);
    assert_eq!(at_once.day, None);
    assert_eq!(at_once.cause, DueCause::LeftDoubtful { step: 5, output: Output::Shorted });
    // Never gone through to its end.
    let open = vec![visit(1, date(2024, 1, 31), "clamp A", 6.6, 6.6, false)];
    assert_eq!(open[0].state(), VisitState::Open);
    assert_eq!(due(&open, &[], 12).cause, DueCause::NeverDone);
}

/// The visit with entries changed before its end.
fn with_closing(visit: Visit, next_due: Option<Date>) -> Visit {
    let mut entries = visit.entries().to_vec();
    for logged in &mut entries {
        if let Entry::Closing(closing) = &mut logged.entry {
            closing.next_due = next_due;
        }
    }
    Visit::from_entries(entries).unwrap()
}

/// A step that stands outside its band is due at once although no level was read twice and no drift is
/// known; the history says "outside now". One left inside, but not where it is proved, is doubtful.
#[test]
fn exact_a_step_left_outside_its_band_is_due_at_once() {
    let due = |visits: &[Visit]| {
        let last = LastDone::of(visits, &[]).unwrap();
        DueDay::of(last.as_ref(), &[], 12.months(), 0.95).unwrap()
    };
    let place = (5, Output::Shorted);
    let outside = [visit(1, date(2026, 3, 1), "clamp A", 6.76, 6.74, true)];
    let history = StepHistory::of(&outside, 5, Output::Shorted).unwrap().unwrap();
    // 6.74 A lies above 6.70 A.
    assert!(history.is_outside_now() && history.is_doubtful_now(0.95).unwrap());
    let at_once = due(&outside);
    assert_eq!((at_once.day, at_once.last_done), (None, Some(date(2026, 3, 1))));
    let cause =
        DueCause::LeftOutside { step: place.0, output: place.1, shown: "6.74 A".to_owned() };
    assert_eq!(at_once.cause, cause);
    assert!(at_once.is_due(date(2026, 3, 1)));
    // 6.695 A: inside by 0.5 u, which proves it with 69 % only.
    let edge = [visit(1, date(2026, 3, 1), "clamp A", 6.6, 6.695, true)];
    let history = StepHistory::of(&edge, 5, Output::Shorted).unwrap().unwrap();
    assert!(!history.is_outside_now() && history.is_doubtful_now(0.95).unwrap());
    assert!(!history.is_doubtful_now(0.65).unwrap());
    assert_eq!(due(&edge).cause, DueCause::LeftDoubtful { step: place.0, output: place.1 });
    // Found outside and left inside is as it should be; put right at a later visit too.
    assert_eq!(
        due(&[visit(1, date(2026, 3, 1), "clamp A", 6.76, 6.6, true)]).cause,
        DueCause::Interval
    );
    let later = visit(9, date(2026, 4, 1), "clamp A", 6.74, 6.6, true);
    assert_eq!(due(&[outside[0].clone(), later]).cause, DueCause::Interval);
}

/// The day entered at the end of a visit counts where it comes before the interval's.
#[test]
fn exact_the_day_entered_counts_when_it_comes_first() {
    let due = |entered: Option<Date>| {
        let visit = with_closing(visit(1, date(2026, 3, 1), "clamp A", 6.6, 6.6, true), entered);
        let last = LastDone::of(&[visit], &[]).unwrap();
        DueDay::of(last.as_ref(), &[], 12.months(), 0.95).unwrap()
    };
    let entered = due(Some(date(2026, 12, 20)));
    assert_eq!(entered.day, Some(date(2026, 12, 20)));
    assert_eq!(entered.cause, DueCause::Entered { visit: 1 });
    for later in [None, Some(date(2027, 3, 1)), Some(date(2028, 1, 1))] {
        let by_interval = due(later);
        assert_eq!(by_interval.day, Some(date(2027, 3, 1)));
        assert_eq!(by_interval.cause, DueCause::Interval);
    }
}

/// A doubt about the meter of the last visit is told; where a reading that stands was wrongly accepted,
/// the regulator is due at once. Closed form: 6.60/1.02 A = 6.471 A is inside, 6.60/1.04 A = 6.346 A not.
#[test]
fn exact_a_doubted_meter_makes_due() {
    let due = |error_ratio: f64| {
        let doubt = MeterDoubt {
            meter: "clamp A".into(),
            from: date(2026, 1, 1),
            until: date(2026, 12, 31),
            error_ratio,
            reason: "found high at its calibration".into(),
        };
        let visit = visit(1, date(2026, 3, 1), "clamp A", 6.6, 6.6, true);
        let last = LastDone::of(&[visit], &[doubt]).unwrap();
        DueDay::of(last.as_ref(), &[], 12.months(), 0.95).unwrap()
    };
    let harmless = due(0.02);
    assert_eq!(harmless.cause, DueCause::Interval);
    assert_eq!(harmless.doubted_meters, ["clamp A"]);
    let wrong = due(0.04);
    assert_eq!(
        (wrong.day, &wrong.cause),
        (None, &DueCause::MeterWrong { meter: "clamp A".into() })
    );
}

/// Closed form: a meter 2 % high had 6.60 A shown where 6.60/1.02 flowed.
#[test]
fn exact_records_of_a_meter_found_wrong() {
    let doubt = MeterDoubt {
        meter: "clamp A".into(),
        from: date(2024, 1, 1),
        until: date(2025, 12, 31),
        error_ratio: 0.02,
        reason: "found 2 % high at its calibration".into(),
    };
    let affected = AffectedReading::all(&drifting(), &doubt).unwrap();
    assert_eq!(affected.len(), 2, "the visit of 2023 is before, that of 2025 has another meter");
    assert!(affected.iter().all(|reading| reading.visit == 10));
    assert_absolute(affected[1].was_a, 6.60 / 1.02, 1e-12, "closed form");
    assert_eq!(affected[1].was_wrongly_accepted(), Some(false), "6.471 A is above 6.40 A");
    let worse = MeterDoubt { error_ratio: 0.04, ..doubt.clone() };
    let affected = AffectedReading::all(&drifting(), &worse).unwrap();
    assert_eq!(affected[1].was_wrongly_accepted(), Some(true), "6.346 A is below 6.40 A");
    let nonsense = MeterDoubt { error_ratio: -1.0, ..doubt };
    assert!(AffectedReading::all(&drifting(), &nonsense).is_err());
}
