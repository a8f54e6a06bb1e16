//! The calibration as data: what a procedure file may say, and what comes next in a visit.

use loopcrest::description::{Description, sheet_text};
use loopcrest::meter::Certificate;
use loopcrest::procedure::entry::{
    CertificateCard, Closing, Confirmation, MeterCard, Moment, Opening, Output, ProtectionKind,
    ProtectionProof, ReadingTaken,
};
use loopcrest::procedure::plan::{Item, ItemKind, Next, Procedure};
use loopcrest::procedure::{
    Candidate, Entry, Journal, MemoryJournal, ProtectionTerms, Run, Visit, VisitState,
};

use crate::support::visits;

#[test]
fn law_the_embedded_procedure_is_read_and_shorts_the_output_before_anything_rises() {
    let procedure = Procedure::embedded();
    let keys: Vec<&str> = procedure.items().map(|(_, item)| item.key.as_str()).collect();
    let at = |key: &str| keys.iter().position(|known| *known == key).unwrap();
    // Common practice, no source: the order of the job.
    let order = [
        "meter-certificate",
        "qualified",
        "released",
        "control-local",
        "switched-off",
        "isolated",
        "locked-out",
        "proved-dead",
        "output-shorted",
        "clamp-fitted",
        "steps-shorted",
        "still-shorted",
        "overcurrent",
        "off-again",
        "field-restored",
        "steps-field",
        "close",
    ];
    assert!(order.windows(2).all(|pair| at(pair[0]) < at(pair[1])), "{keys:?}");
    let overcurrent = procedure.item("overcurrent").unwrap();
    assert!(overcurrent.after.contains(&"output-shorted".to_owned()));
    assert!(overcurrent.cautions.iter().any(|caution| caution.contains("stays shorted")));
    let still = procedure.item("still-shorted").unwrap().why.clone().unwrap();
    assert!(still.contains("rises above the top step"), "{still}");
    assert!(procedure.is_needed("proved-dead") && !procedure.is_needed("close"));
    for (_, item) in procedure.items() {
        let ItemKind::Prove { source, .. } = &item.kind else { continue };
        // Said once, in the description: 105 % of 6.6 A, 3 to 5 s by default.
        assert_eq!(*source, None);
        let terms = ProtectionTerms::of(&item.kind, &Description::embedded()).unwrap();
        assert!((terms.set_rms_a.unwrap() - 6.93).abs() < 1e-9, "{terms:?}");
        assert_eq!((terms.shortest_s, terms.longest_s), (Some(3.0), Some(5.0)));
        assert!(terms.source.unwrap().contains("from memory"));
    }
}

/// The set-point is that of the description; a procedure that gives numbers of its own comes first.
#[test]
fn law_a_protection_is_tried_at_what_the_description_says() {
    let text = Description::EMBEDDED_TEXT.replace(
        "# [regulator.protection]\n",
        "[[regulator.protection.overcurrent]]\npickup = \"108 %\"\ndelay = \"1 s\"\n\
         tried-at = \"110 %\"\nlongest = \"2 s\"\nsource = \"invented plate\"\n",
    );
    assert_ne!(text, Description::EMBEDDED_TEXT);
    let description = Description::parse(&text, std::path::Path::new("")).unwrap();
    let embedded = Procedure::embedded();
    let item = &embedded.item("overcurrent").unwrap().kind;
    let terms = ProtectionTerms::of(item, &description).unwrap();
    // Closed form: 1.10 of 6.6 A.
    assert!((terms.set_rms_a.unwrap() - 7.26).abs() < 1e-9, "{terms:?}");
    assert_eq!((terms.shortest_s, terms.longest_s), (None, Some(2.0)));
    assert!(terms.source.unwrap().contains("invented plate"));
    let own = Procedure::EMBEDDED_TEXT.replace(
        "protection = \"overcurrent\"\noutput = \"shorted\"\n",
        "protection = \"overcurrent\"\noutput = \"shorted\"\nset-point = \"120 %\"\n\
         source = \"house rule\"\n",
    );
    let own = Procedure::parse(&own).unwrap();
    let terms = ProtectionTerms::of(&own.item("overcurrent").unwrap().kind, &description).unwrap();
    assert!((terms.set_rms_a.unwrap() - 7.92).abs() < 1e-9, "{terms:?}");
    assert_eq!((terms.longest_s, terms.source.as_deref()), (None, Some("house rule")));
}

/// A small procedure with a hole for one line.
fn with(line: &str) -> String {
    format!(
        "format = 1\ntitle = \"t\"\n[[stage]]\nkey = \"s\"\ntitle = \"s\"\n\
         [[stage.item]]\nkey = \"short\"\nkind = \"confirm\"\nconnects = \"shorted\"\ntext = \"x\"\n\
         [[stage.item]]\nkey = \"read\"\nkind = \"read\"\noutput = \"shorted\"\n\
         moments = [\"as-found\"]\ntext = \"x\"\nafter = [\"short\"]\n\
         [[stage.item]]\n{line}\ntext = \"x\"\n\
         [[stage.item]]\nkey = \"end\"\nkind = \"close\"\ntext = \"x\"\n"
    )
}

fn refused(text: &str) -> String {
    let error = Procedure::parse(text).expect_err("this must be refused");
    format!("{error} [{}]", error.hint().unwrap_or_default())
}

#[test]
fn law_a_wrong_procedure_is_told_with_line_and_field() {
    assert!(Procedure::parse(&with("key = \"a\"\nkind = \"confirm\"")).is_ok());
    let item = |fields: &str| refused(&with(fields));
    let cases = [
        (
            item("key = \"read\"\nkind = \"confirm\""),
            ["line 19", "two items have the key \"read\""],
        ),
        (item("key = \"a\"\nkind = \"conform\""), ["(kind)", "did you mean \"confirm\""]),
        (item("key = \"a\"\nkind = \"confirm\"\nwhi = \"y\""), ["whi", "did you mean \"why\""]),
        (
            item("key = \"a\"\nkind = \"confirm\"\nafter = [\"shrot\"]"),
            ["(after)", "did you mean \"short\""],
        ),
        (
            item("key = \"a\"\nkind = \"confirm\"\nafter = [\"end\"]"),
            ["does not come before it", "could never be reached"],
        ),
        (
            item("key = \"a\"\nkind = \"confirm\"\nafter = [\"a\"]"),
            ["precondition \"a\" of \"a\"", "could never be reached"],
        ),
        (item("key = \"A b\"\nkind = \"confirm\""), ["(key)", "small letters"]),
        (item("key = \"a\"\nkind = \"close\""), ["ends the visit", "(kind)"]),
        (
            item(
                "key = \"a\"\nkind = \"read\"\noutput = \"field\"\nmoments = [\"as-left\"]\n\
                 after = [\"short\"]",
            ),
            ["(output)", "connects it otherwise"],
        ),
        (
            item("key = \"a\"\nkind = \"read\"\noutput = \"shorted\"\nmoments = [\"as-left\"]"),
            ["(output)", "not among its preconditions"],
        ),
        (
            item(
                "key = \"a\"\nkind = \"read\"\noutput = \"shorted\"\nmoments = []\nafter = [\"short\"]",
            ),
            ["(moments)", "an empty list"],
        ),
        (
            item(
                "key = \"a\"\nkind = \"prove\"\nprotection = \"overcurrent\"\noutput = \"field\"\n\
                 after = [\"short\"]",
            ),
            ["tried with the output shorted", "lamps would be overrun"],
        ),
        (
            item(
                "key = \"a\"\nkind = \"prove\"\nprotection = \"overcurrent\"\noutput = \"shorted\"\n\
                 set-point = \"105 %\"\nafter = [\"short\"]",
            ),
            ["(set-point)", "from memory, not verified"],
        ),
        (
            item(
                "key = \"a\"\nkind = \"prove\"\nprotection = \"overcurrent\"\noutput = \"shorted\"\n\
                 shortest = \"5 s\"\nlongest = \"3 s\"\nsource = \"x\"\nafter = [\"short\"]",
            ),
            ["(longest)", "below the shortest"],
        ),
        (
            item("key = \"a\"\nkind = \"confirm\"\noptional = true"),
            ["(optional)", "says nothing to an item of kind \"confirm\""],
        ),
        (item("key = \"a\"\nkind = \"confirm\"\nuntil = \"short\""), ["(until)", "a later item"]),
        (refused("format = 2\ntitle = \"t\"\n"), ["(format)", "format 2"]),
        (refused("format = 1\ntitle = \"t\"\n"), ["[[stage]]", "none"]),
    ];
    for (message, parts) in cases {
        for part in parts {
            assert!(message.contains(part), "{part} is not in: {message}");
        }
    }
}

/// Answers whatever comes next as a run without trouble would.
fn go_on(run: &mut Run<MemoryJournal>) {
    let next = run.next();
    let item: Item = next.item().unwrap().clone();
    match next {
        Next::Answer { .. } if matches!(item.kind, ItemKind::Ask { .. }) => {
            run.answer(&item.key, None, Some("ops desk, until 14:00".into())).unwrap();
        }
        Next::Answer { .. } => {
            run.answer(&item.key, Some(true), None).unwrap();
        }
        Next::Read { step, moment, output, .. } => {
            let verdict = run.bench().verdict(step, output).unwrap();
            let set_band = verdict.set_band.unwrap();
            let shown_a = set_band.high_a;
            let candidate = Candidate { step, moment, output, shown_a };
            let reading = run.weigh(candidate, &shown_a.to_string()).unwrap();
            assert!(reading.is_accepted(), "{reading:?}");
            run.read(reading).unwrap();
        }
        Next::Prove { .. } => {
            run.prove(proof(4.0)).unwrap();
        }
        Next::Close { .. } => {
            let person = "A. Person".to_owned();
            run.close(Closing { complete: true, person, next_due: None, remark: None }).unwrap();
        }
        Next::Finished => panic!("there is nothing to go on with"),
    }
}

fn proof(time_s: f64) -> ProtectionProof {
    ProtectionProof {
        protection: ProtectionKind::Overcurrent,
        output: Output::Shorted,
        set_rms_a: Some(6.93),
        set_within_ratio: Some(0.02),
        shown_a: Some(6.93),
        true_rms_a: None,
        acted: true,
        time_s: Some(time_s),
        shortest_s: Some(3.0),
        longest_s: Some(5.0),
        limits_source: None,
        remark: None,
    }
}

/// Leaving at any moment and resuming is the same as having stayed: what comes next is what the
/// entries add up to. (The whole embedded procedure, every entry.)
#[test]
fn law_a_visit_left_anywhere_resumes_at_the_next_unanswered_item() {
    let mut run = visits::run(visits::opening());
    let mut count = 0;
    while run.visit().state() == VisitState::Open {
        let written = Visit::from_entries(run.visit().entries().to_vec()).unwrap();
        let procedure = Procedure::parse(&written.opening().procedure).unwrap();
        assert_eq!(procedure.next(&written, run.bench().steps()), run.next());
        go_on(&mut run);
        count += 1;
    }
    // 27 questions and ends, ten readings shorted, five with the field, one trial.
    let procedure = Procedure::embedded();
    let single =
        procedure.items().filter(|(_, i)| !matches!(i.kind, ItemKind::Read { .. })).count();
    assert_eq!(count, single + 15);
    assert_eq!(run.visit().state(), VisitState::Complete);
    assert!(run.shortfalls().is_empty(), "{:?}", run.shortfalls());
    assert_eq!(run.next(), Next::Finished);
    let journal = run.into_journal();
    assert!(Run::resume(journal, 1).unwrap_err().to_string().contains("complete"));
}

#[test]
fn law_a_no_stops_what_needs_it_until_it_is_a_yes() {
    let mut run = visits::run(visits::sine_opening());
    while run.next().item().unwrap().key != "locked-out" {
        go_on(&mut run);
    }
    run.answer("locked-out", Some(false), Some("no lock here".into())).unwrap();
    for _ in 0..2 {
        let Next::Answer { item, refused, .. } = run.next() else { panic!("{:?}", run.next()) };
        assert_eq!(item.key, "locked-out");
        assert_eq!(refused.unwrap().text.as_deref(), Some("no lock here"));
        run.remark("fetching one".into()).unwrap();
    }
    run.answer("locked-out", Some(true), None).unwrap();
    assert_eq!(run.next().item().unwrap().key, "proved-dead");
    // Both answers stay in the history.
    let said = |holds| {
        let wanted = Confirmation { item: "locked-out".into(), holds: Some(holds), text: None };
        run.visit().counting().any(|logged| {
            matches!(&logged.entry, Entry::Confirmation(c) if c.item == wanted.item && c.holds == wanted.holds)
        })
    };
    assert!(said(false) && said(true));
}

/// A "no" that nothing needs is an answer like any other.
#[test]
fn law_a_no_that_nothing_needs_goes_on() {
    let procedure = with("key = \"a\"\nkind = \"confirm\"");
    let mut run = visits::run(Opening { procedure, ..visits::sine_opening() });
    run.answer("short", Some(true), None).unwrap();
    for step in (1..=5).rev() {
        run.leave_step("read", step, Moment::AsFound, None).unwrap();
    }
    assert_eq!(run.next().item().unwrap().key, "a");
    run.answer("a", Some(false), None).unwrap();
    assert!(matches!(run.next(), Next::Close { .. }), "{:?}", run.next());
}

fn read(run: &mut Run<MemoryJournal>, step: u32, moment: Moment, shown_a: f64) -> ReadingTaken {
    let candidate = Candidate { step, moment, output: Output::Shorted, shown_a };
    let reading = run.weigh(candidate, &shown_a.to_string()).unwrap();
    run.read(reading.clone()).unwrap();
    reading
}

#[test]
fn law_a_step_is_read_until_it_is_right_and_a_slip_stays_in_the_history() {
    let mut run = visits::run(visits::sine_opening());
    while run.next().item().unwrap().key != "steps-shorted" {
        go_on(&mut run);
    }
    let place = |run: &Run<MemoryJournal>| match run.next() {
        Next::Read { step, moment, .. } => (step, moment),
        other => panic!("{other:?}"),
    };
    assert_eq!(place(&run), (5, Moment::AsFound));
    read(&mut run, 5, Moment::AsFound, 6.30);
    assert_eq!(place(&run), (5, Moment::AsLeft));
    // Still too low: asked again.
    read(&mut run, 5, Moment::AsLeft, 6.40);
    assert_eq!(place(&run), (5, Moment::AsLeft));
    read(&mut run, 5, Moment::AsLeft, 6.55);
    assert_eq!(place(&run), (4, Moment::AsFound));
    // A slip taken back is asked for again, and stays in the history.
    let slip = read(&mut run, 4, Moment::AsFound, 5.02);
    let before = run.visit().entries().len();
    let old = run.take_back().unwrap().unwrap();
    assert_eq!(old.entry, Entry::Reading(Box::new(slip)));
    assert_eq!(place(&run), (4, Moment::AsFound));
    assert_eq!(run.visit().entries().len(), before + 1);
    // A correction stands in the place of what it replaces.
    read(&mut run, 4, Moment::AsFound, 5.02);
    let number = run.visit().entries().last().unwrap().number;
    let corrected = run.correct(number, "5.20", 5.20).unwrap();
    assert!(corrected.is_accepted());
    let counts = run.visit().reading(4, Moment::AsFound, Output::Shorted).unwrap();
    assert_eq!(counts.typed, "5.20");
    assert_eq!(run.visit().entries().last().unwrap().replaces, Some(number));
    assert!(run.correct(1, "5.20", 5.20).is_err(), "the opening is no reading");
    // Left as it is: the next step comes, and it is not good.
    run.leave_step("steps-shorted", 4, Moment::AsLeft, Some("adjuster seized".into())).unwrap();
    assert_eq!(place(&run), (3, Moment::AsFound));
    assert!(run.shortfalls().iter().any(|line| line.contains("4") && line.contains("not read")));
}

#[test]
fn law_a_protection_that_acts_too_late_or_not_at_all_is_not_good() {
    let mut run = visits::run(visits::sine_opening());
    let short = |run: &Run<MemoryJournal>| {
        run.shortfalls().into_iter().find(|line| line.contains("overcurrent")).unwrap_or_default()
    };
    assert!(short(&run).contains("not tried"));
    run.prove(ProtectionProof { acted: false, time_s: None, ..proof(0.0) }).unwrap();
    assert!(short(&run).contains("did not act"));
    run.prove(proof(7.0)).unwrap();
    assert!(short(&run).contains("later than 5 s"));
    run.prove(proof(2.0)).unwrap();
    assert!(short(&run).contains("sooner than 3 s"));
    run.prove(ProtectionProof { time_s: None, ..proof(0.0) }).unwrap();
    assert!(short(&run).contains("was not timed"));
    run.prove(proof(4.0)).unwrap();
    assert_eq!(short(&run), "");
}

/// What was shown is held against the set-point as this meter shows it; what was not read or not timed
/// proves nothing, and the trial is asked for until nothing is left to be wished, or it is left.
#[test]
fn law_a_protection_counts_at_its_set_point_and_timed() {
    let mut run = visits::run(visits::opening());
    while run.next().item().unwrap().key != "overcurrent" {
        go_on(&mut run);
    }
    let item = run.procedure().item("overcurrent").unwrap().clone();
    let terms = run.protection_terms(&item);
    assert!(terms.set_within_source.contains("our own choice"), "{terms:?}");
    // Our own 2 % of 6.93 A.
    let (low_a, high_a) = terms.set_span_a().unwrap();
    assert!((low_a - 0.98 * 6.93).abs() < 1e-9 && (high_a - 1.02 * 6.93).abs() < 1e-9);
    let shown_a = |true_a: f64| run.bench().shown_at_top_a(Output::Shorted, true_a);
    let (at, just, far) = (shown_a(6.93), shown_a(1.019 * 6.93), shown_a(0.975 * 6.93));
    let cases = [
        (at, Some(4.0), ""),
        (just, Some(3.0), ""),
        (far, Some(4.0), "more than 2.0 % from the set-point 6.930 A"),
        (Some(6.10), Some(4.0), "acted at 6.10 A shown"),
        (Some(7.90), Some(4.0), "acted at 7.90 A shown"),
        (None, Some(4.0), "was not read"),
        (at, None, "was not timed"),
        (at, Some(2.9), "sooner than 3 s"),
        (at, Some(5.1), "later than 5 s"),
    ];
    for (shown_a, time_s, part) in cases {
        let proof = run.proof(&item, true, shown_a, time_s).unwrap();
        run.prove(proof).unwrap();
        let said: Vec<String> =
            run.shortfalls().into_iter().filter(|line| line.contains("overcurrent")).collect();
        assert_eq!(said.is_empty(), part.is_empty(), "{shown_a:?}, {time_s:?}: {said:?}");
        assert!(said.concat().contains(part), "{part} is not in {said:?}");
        let stays = matches!(run.next(), Next::Prove { .. });
        assert_eq!(stays, !part.is_empty(), "{part}");
    }
    // Left with a reason it goes on, and is told all the same.
    run.answer("overcurrent", None, Some("relay on order".into())).unwrap();
    assert_eq!(run.next().item().unwrap().key, "off-again");
    assert!(run.shortfalls().iter().any(|line| line.contains("later than 5 s")));
}

/// How far from the set-point it may act is edited beside the times; what makes no sense is refused.
#[test]
fn law_the_tolerance_of_a_set_point_is_edited_where_the_set_point_is() {
    let stage = |within: &str| {
        Description::EMBEDDED_TEXT.replace(
            "# [regulator.protection]\n",
            &format!(
                "[[regulator.protection.overcurrent]]\npickup = \"108 %\"\ndelay = \"1 s\"\n\
                 tried-at = \"110 %\"\n{within}longest = \"2 s\"\nsource = \"invented plate\"\n"
            ),
        )
    };
    let parse = |text: &str| Description::parse(text, std::path::Path::new(""));
    let embedded = Procedure::embedded();
    let item = &embedded.item("overcurrent").unwrap().kind;
    let terms = |within: &str| ProtectionTerms::of(item, &parse(&stage(within)).unwrap()).unwrap();
    let described = terms("tried-within = \"1 %\"\n");
    assert_eq!(described.set_within_ratio, Some(0.01));
    assert_eq!(described.set_within_source, "as the description says");
    assert_eq!(terms("").set_within_ratio, Some(0.02));
    let error = parse(&stage("tried-within = \"50 %\"\n")).unwrap_err().to_string();
    assert!(error.contains("tried-within"), "{error}");
    let own = Procedure::EMBEDDED_TEXT.replace(
        "protection = \"overcurrent\"\noutput = \"shorted\"\n",
        "protection = \"overcurrent\"\noutput = \"shorted\"\nset-within = \"3 %\"\n",
    );
    let own = Procedure::parse(&own).unwrap();
    let terms =
        ProtectionTerms::of(&own.item("overcurrent").unwrap().kind, &Description::embedded());
    let terms = terms.unwrap();
    assert_eq!(terms.set_within_ratio, Some(0.03));
    assert_eq!(terms.set_within_source, "as the procedure says");
    assert!((terms.set_rms_a.unwrap() - 6.93).abs() < 1e-9);
}

/// What must still be so when a visit goes on follows the connection of the output: the short as long as
/// it is on, then the field; who released it until the tower is told.
#[test]
fn law_what_must_still_be_so_follows_the_visit() {
    let mut run = visits::run(visits::opening());
    let keys = |run: &Run<MemoryJournal>| -> Vec<String> {
        run.must_still_hold().iter().map(|(item, _)| item.key.clone()).collect()
    };
    assert!(keys(&run).is_empty());
    let mut last: Vec<String> = Vec::new();
    let mut reached = |run: &mut Run<MemoryJournal>, key: &str| {
        while run.next().item().unwrap().key != key {
            go_on(run);
        }
        last = keys(run);
        last.clone()
    };
    let shorted = reached(&mut run, "steps-shorted");
    for key in [
        "released",
        "two-people",
        "locked-out",
        "proved-dead",
        "output-shorted",
        "clamp-fitted",
        "energised-shorted",
    ] {
        assert!(shorted.contains(&key.to_owned()), "{key}: {shorted:?}");
    }
    let field = reached(&mut run, "steps-field");
    for key in ["released", "two-people", "off-again", "field-restored", "field-voltage"] {
        assert!(field.contains(&key.to_owned()), "{key}: {field:?}");
    }
    for key in ["locked-out", "output-shorted", "clamp-fitted", "still-shorted"] {
        assert!(!field.contains(&key.to_owned()), "{key}: {field:?}");
    }
    assert_eq!(reached(&mut run, "close"), Vec::<String>::new());
    go_on(&mut run);
    assert!(keys(&run).is_empty(), "a closed visit asks nothing");
}

/// Answering again is a new entry like any other: the order goes on where it was, a "no" stops, and a
/// procedure of before, which says `until` nowhere, asks what the next item needs.
#[test]
fn law_answers_given_again_do_not_break_the_order() {
    let before: String = Procedure::EMBEDDED_TEXT
        .lines()
        .filter(|line| !line.starts_with("until = "))
        .map(|line| format!("{line}\n"))
        .collect();
    for procedure in [Procedure::EMBEDDED_TEXT.to_owned(), before] {
        let mut run = visits::run(Opening { procedure, ..visits::sine_opening() });
        while run.next().item().unwrap().key != "steps-shorted" {
            go_on(&mut run);
        }
        let next = format!("{:?}", run.next());
        let again: Vec<(String, u64)> = run
            .must_still_hold()
            .iter()
            .map(|(item, logged)| (item.key.clone(), logged.number))
            .collect();
        assert!(again.iter().any(|(key, _)| key == "output-shorted"), "{again:?}");
        for (key, number) in again {
            let before = run.last_answer_to(&key);
            assert_eq!(before, Some(number));
            run.answer(&key, Some(true), Some("so again".into())).unwrap();
            assert!(run.last_answer_to(&key) > before);
        }
        assert_eq!(format!("{:?}", run.next()), next);
        run.answer("proved-dead", Some(false), None).unwrap();
        assert!(matches!(run.next(), Next::Answer { item, refused: Some(_), .. }
            if item.key == "proved-dead"));
    }
}

#[test]
fn law_a_journal_in_memory_writes_nothing_that_does_not_add_up() {
    let mut run = visits::run(visits::sine_opening());
    run.remark("x".into()).unwrap();
    let mut journal = run.into_journal();
    let remark = || Entry::Remark { text: "y".into() };
    assert!(journal.append(None, None, remark()).is_err());
    assert!(journal.append(Some(7), None, remark()).is_err());
    assert!(journal.append(Some(1), Some(9), remark()).is_err());
    assert_eq!(journal.entries().len(), 2);
    assert!(journal.visit_entries(2).is_err());
}

/// A meter of the logbook is judged with the newest of its own certificates that is not dated after
/// the day.
#[test]
fn law_a_meter_card_takes_the_newest_certificate_of_its_day() {
    let day = |text: &str| Certificate::day(text).unwrap();
    let certificate = |meter: &str, number: &str, date: &str| CertificateCard {
        meter: meter.into(),
        number: number.into(),
        date: day(date),
        due: None,
        expanded_ratio: 0.003,
        coverage_factor: 2.0,
    };
    let card = MeterCard {
        name: "clamp 2".into(),
        serial: None,
        sheet: sheet_text("another name", &visits::good_sheet()),
        remark: None,
    };
    let all = [
        certificate("clamp 2", "next", "2027-03-01"),
        certificate("clamp 2", "this", "2026-06-01"),
        certificate("clamp 3", "other", "2026-07-01"),
        certificate("clamp 2", "old", "2025-03-01"),
    ];
    let number = |on: &str, all: &[CertificateCard]| {
        let meter = card.meter_on(all, day(on), 60.0).unwrap();
        assert_eq!(meter.name, "clamp 2");
        meter.sheet.unwrap().certificate.unwrap().number
    };
    assert_eq!(number("2026-11-25", &all), "this");
    assert_eq!(number("2027-11-25", &all), "next");
    // The sheet's own of March 2026 is newer than the old one.
    assert_eq!(number("2026-05-01", &all), "KM-2026-014");
    assert_eq!(number("2026-11-25", &[]), "KM-2026-014");
}
