//! The page of a lesson in a real browser: what its sliders show is what the engine says, asked here again.

use std::sync::Arc;

use loopcrest::classroom::lesson::{Lesson, Quantity, Slider};
use loopcrest::description::Description;
use loopcrest::situation::{Situation, SituationSolver};

use crate::support::browser::{Browser, ENTER, HOME, LEFT, RIGHT, SPACE, TAB};

const UNCHECKED: &str = "what the page of a lesson does in a browser";

/// The page of a lesson in a file of its own.
fn page(name: &str) -> (tempfile::TempDir, std::path::PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join(format!("{name}.html"));
    let built = Lesson::included(name).unwrap().build(&|_, _| {}).unwrap();
    std::fs::write(&file, built.page()).unwrap();
    (folder, file)
}

/// What the engine says of a setting, asked for cold.
fn expected(settings: &[(&str, &str)]) -> (Vec<String>, Vec<String>) {
    let mut situation = Situation::default();
    for (key, text) in settings {
        situation.set(key, text).unwrap();
    }
    let seen = SituationSolver::new(Arc::new(Description::embedded())).seen(&situation).unwrap();
    let shown = |name: &&str| {
        Quantity::named(name).unwrap().try_shown(&seen, 0, None).unwrap_or_else(|| "-".into())
    };
    (Slider::CIRCUIT.iter().map(shown).collect(), Slider::METER.iter().map(shown).collect())
}

fn shown(browser: &Browser, slider: &str) -> (Vec<String>, Vec<String>) {
    let read = |data: &str, count: usize| {
        let read = |at: usize| browser.text(&format!("#slider-{slider} [data-{data}='{at}']"));
        (0..count).map(read).collect()
    };
    (read("circuit", Slider::CIRCUIT.len()), read("meter", Slider::METER.len()))
}

#[test]
fn cross_sliders_moved_by_keys_show_what_the_engine_says() {
    let Some(browser) = Browser::open(UNCHECKED) else { return };
    let (_folder, file) = page("technician");
    browser.open_file(&file);

    let loads = ["shorted", "30 %", "60 %", "full"];
    let meters = [
        "average-responding-clamp",
        "general-true-rms-clamp",
        "precision-true-rms-clamp",
        "wide-range-clamp",
    ];
    // Keys pressed at one slider of the bench after another, and where all stand then.
    let moves: [(&str, &str, [usize; 3]); 7] = [
        ("step", "", [0, 0, 0]),
        ("step", &format!("{RIGHT}{RIGHT}"), [2, 0, 0]),
        ("load", RIGHT, [2, 1, 0]),
        ("meter", &format!("{RIGHT}{RIGHT}{RIGHT}"), [2, 1, 3]),
        ("load", &format!("{RIGHT}{RIGHT}{RIGHT}"), [2, 3, 3]),
        ("meter", &format!("{LEFT}{LEFT}"), [2, 3, 1]),
        ("step", HOME, [0, 3, 1]),
    ];
    for (axis, keys, [step, load, meter]) in moves {
        browser.keys(&format!("#slider-bench-{axis}"), keys);
        let step = (5 - step).to_string();
        let want = expected(&[("step", &step), ("load", loads[load]), ("meter", meters[meter])]);
        assert_eq!(
            shown(&browser, "bench"),
            want,
            "step {step}, {}, {}",
            loads[load],
            meters[meter]
        );
        let said = browser.script(&format!(
            "return document.getElementById('slider-bench-{axis}').getAttribute('aria-valuetext')"
        ));
        let said = said.as_str().unwrap();
        assert!(said.contains(&want.0[0]) && said.contains(&want.1[0]), "{said}: {want:?}");
    }

    let lamps_out = ["0 %", "5 %", "10 %", "15 %", "20 %", "25 %", "30 %"];
    for (at, share) in lamps_out.iter().enumerate() {
        let keys = if at == 0 { "" } else { RIGHT };
        browser.keys("#slider-service-lamps-out", keys);
        let want = expected(&[
            ("step", "5"),
            ("load", "field"),
            ("lamps-out", share),
            ("meter", "average clamp"),
        ]);
        assert_eq!(shown(&browser, "service"), want, "{share} of the lamps out");
    }

    assert_eq!(browser.console(), [""; 0]);
    let asked = browser.requests();
    assert!(
        !asked.is_empty() && asked.iter().all(|url| url.starts_with("file://") || url == "data:,"),
        "{asked:?}"
    );
    let resources = browser.script("return performance.getEntriesByType('resource').length");
    assert_eq!(resources, 0);
}

#[test]
fn cross_a_page_lets_nothing_in_from_outside() {
    let Some(browser) = Browser::open(UNCHECKED) else { return };
    let (_folder, file) = page("trainee");
    browser.open_file(&file);
    let refused = browser.script_later(
        "const done = arguments[arguments.length - 1]; const seen = [];\
         document.addEventListener('securitypolicyviolation', e => seen.push(e.effectiveDirective));\
         const image = new Image(); image.src = 'http://127.0.0.1:9/x.png';\
         const script = document.createElement('script'); script.textContent = 'window.strange = 1';\
         document.body.append(script);\
         fetch('http://127.0.0.1:9/').catch(() => {}).finally(() => setTimeout(() => \
         done([seen.sort(), window.strange === undefined]), 200));",
    );
    let expected = serde_json::json!([["connect-src", "img-src", "script-src-elem"], true]);
    assert_eq!(refused, expected);
}

#[test]
fn cross_a_page_is_used_by_keys_alone() {
    let Some(browser) = Browser::open(UNCHECKED) else { return };
    let (_folder, file) = page("trainee");
    browser.open_file(&file);
    let focus = "const e = document.activeElement; \
                 return e.id || (e.closest('[id]') || {id: ''}).id + ' ' + e.tagName";
    let mut reached: Vec<String> = Vec::new();
    for _ in 0..60 {
        browser.keys_at_focus(TAB);
        let at = browser.script(focus).as_str().unwrap().to_owned();
        if at == "question-which INPUT" && !reached.contains(&at) {
            // Radio buttons are gone through by arrows: the first is reached, the second is right.
            browser.keys_at_focus(&format!("{SPACE}{RIGHT}{TAB}{ENTER}"));
            assert_eq!(browser.text("#question-which output"), "✓ Right.");
        }
        if at == "question-error INPUT" && !reached.contains(&at) {
            let (_, meter) = expected(&[("step", "1"), ("load", "shorted"), ("meter", "average")]);
            let answer = meter[1].trim_end_matches(" %").to_owned();
            browser.keys_at_focus("5");
            browser.keys_at_focus(ENTER);
            assert!(browser.text("#question-error output").starts_with('✗'));
            browser.keys_at_focus("\u{e003}");
            browser.keys_at_focus(&answer);
            browser.keys_at_focus(ENTER);
            assert_eq!(browser.text("#question-error output"), "✓ Right.");
        }
        reached.push(at);
    }
    for wanted in [
        "slider-steps-and-loads-step",
        "slider-steps-and-loads-load",
        "slider-steps-and-loads-meter",
        "question-which INPUT",
        "question-error INPUT",
        "question-error BUTTON",
        "question-error SUMMARY",
        "question-safe INPUT",
        "question-safe BUTTON",
    ] {
        assert!(reached.iter().any(|at| at == wanted), "{wanted} is not reached: {reached:?}");
    }
    assert_eq!(browser.console(), [""; 0]);
}

#[test]
fn cross_a_page_fits_a_phone_a_desk_and_the_dark() {
    let Some(browser) = Browser::open(UNCHECKED) else { return };
    for name in ["trainee", "technician", "engineer"] {
        let (_folder, file) = page(name);
        for (width_px, scheme) in [(360, "light"), (360, "dark"), (1280, "light"), (1280, "dark")] {
            browser.size(width_px, 800);
            browser.scheme(scheme);
            browser.open_file(&file);
            let widths = browser.script(
                "return [document.documentElement.scrollWidth, document.documentElement.clientWidth]",
            );
            assert!(widths[0].as_u64() <= widths[1].as_u64(), "{name} at {width_px} px: {widths}");
            let paper = browser.script("return getComputedStyle(document.body).backgroundColor");
            let want = if scheme == "dark" { "rgb(20, 23, 27)" } else { "rgb(255, 255, 255)" };
            assert_eq!(paper, want);
            browser.picture(&format!("{name}-{width_px}-{scheme}"));
        }
    }
    assert_eq!(browser.console(), [""; 0]);
}
