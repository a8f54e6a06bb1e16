//! Who can use the page: every desk by axe-core's rules, at every width, in light and dark.

use std::path::PathBuf;

use crate::support::browser::Browser;
use crate::support::served::Served;

const DESKS: [&str; 5] = ["bench", "meters", "circuit", "capture", "worksheet"];
const READY: [&str; 5] = [
    "document.querySelector('#seen-rms-0')",
    "document.querySelector('#meters-waterfall svg')",
    "document.querySelector('#circuit-cautions li')",
    "!document.querySelector('#capture').hidden && document.querySelector('#description-title').textContent !== 'asking …'",
    "document.querySelector('#worksheet-now').children.length",
];

/// The script of axe-core: the file named by `LOOPCREST_AXE`, or `None` with a line that says what was not checked.
fn axe() -> Option<String> {
    let file = std::env::var_os("LOOPCREST_AXE").map(PathBuf::from).filter(|file| file.is_file());
    let Some(file) = file else {
        eprintln!(
            "SKIPPED: no axe-core (LOOPCREST_AXE names its axe.min.js); not checked: the page against WCAG 2.2 A and AA"
        );
        return None;
    };
    Some(std::fs::read_to_string(file).unwrap())
}

fn served() -> (tempfile::TempDir, Served) {
    let folder = tempfile::tempdir().unwrap();
    let (bench, logbook) = (folder.path().join("bench.toml"), folder.path().join("visits.db"));
    std::fs::write(&bench, loopcrest::description::Description::EMBEDDED_TEXT).unwrap();
    let served = Served::start(&[bench.to_str().unwrap(), "--logbook", logbook.to_str().unwrap()]);
    (folder, served)
}

#[test]
fn cross_every_desk_passes_axe() {
    let Some(axe) = axe() else { return };
    let Some(browser) = Browser::open("the page against WCAG 2.2 A and AA") else { return };
    let (_folder, served) = served();
    for scheme in ["light", "dark"] {
        browser.scheme(scheme);
        let side_by_side = ("bench?step=1&a=step%3D5", "document.querySelector('#seen-rms-1')");
        for (desk, ready) in DESKS.into_iter().zip(READY).chain([side_by_side]) {
            browser.open_page(&served.at(&format!("/#{desk}")));
            browser.wait_until(ready);
            browser
                .script("for (const one of document.querySelectorAll('details')) one.open = true;");
            std::thread::sleep(std::time::Duration::from_millis(300));
            browser.script(&axe);
            let found = browser.script_later(
                "const done = arguments[arguments.length - 1];\
                 axe.run({ runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] })\
                 .then(found => done({ passes: found.passes.length, violations: found.violations.map(one => \
                 [one.id, one.nodes.map(node => node.html.slice(0, 200) + ' ' + node.failureSummary)]) }), \
                 error => done(String(error)));",
            );
            assert_eq!(found["violations"], serde_json::json!([]), "{desk}, {scheme}: {found:#}");
            assert!(found["passes"].as_u64().unwrap() > 20, "{desk}: {found}");
        }
    }
}

#[test]
fn cross_no_desk_is_wider_than_its_window() {
    let Some(browser) = Browser::open("the page from a telephone to a projector") else { return };
    let (_folder, served) = served();
    for (width, height) in [(360, 740), (768, 1024), (1280, 900), (2560, 1440), (3840, 2160)] {
        browser.size(width, height);
        // Dark only where pictures are kept: it changes no width.
        let is_kept = std::env::var_os("LOOPCREST_PICTURES").is_some();
        for scheme in if is_kept { &["light", "dark"][..] } else { &["light"] } {
            browser.scheme(scheme);
            for (desk, ready) in DESKS.iter().zip(READY) {
                browser.open_page(&served.at(&format!("/#{desk}")));
                browser.wait_until(ready);
                let wide = browser.script("return document.documentElement.scrollWidth - document.documentElement.clientWidth");
                assert_eq!(wide, 0, "{desk} at {width}");
                browser.picture(&format!("{desk}-{width}-{scheme}"));
            }
        }
    }
    assert_eq!(browser.console(), [""; 0]);
}
