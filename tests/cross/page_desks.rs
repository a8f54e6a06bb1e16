//! The other desks of the page in a real browser: the numbers they show are the program's.

use serde_json::{Value, json};

use crate::support::browser::Browser;
use crate::support::program;
use crate::support::served::Served;

const UNCHECKED: &str = "what the meter, circuit and capture desks of the page do in a browser";

fn of_program(folder: &std::path::Path, arguments: &[&str]) -> Value {
    let output = program::run(folder, arguments);
    assert!(matches!(output.status.code(), Some(0 | 1)), "{}", program::text(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// The text of every cell of a table, row by row.
fn cells(browser: &Browser, selector: &str) -> Vec<Vec<String>> {
    let script = format!(
        "return [...document.querySelectorAll({} + ' tbody tr')].map(row => [...row.children].map(cell => cell.textContent))",
        json!(selector)
    );
    serde_json::from_value(browser.script(&script)).unwrap()
}

#[test]
fn cross_the_meter_desk_shows_what_the_program_says() {
    let Some(browser) = Browser::open(UNCHECKED) else { return };
    let served = Served::start(&[]);
    let folder = tempfile::tempdir().unwrap();
    for meter in ["general-true-rms-clamp", "precision-true-rms-clamp", "average-responding-clamp"]
    {
        browser.open_page(&served.at(&format!("/#meters?meter={meter}&step=3")));
        browser.wait_until("document.querySelector('#meters-waterfall svg')");
        let want = of_program(folder.path(), &["fitness", "--meter", meter, "--json"]);
        let rows = cells(&browser, "#meters-table");
        let verdicts = want["verdicts"].as_array().unwrap();
        assert_eq!(rows.len(), verdicts.len());
        for (row, verdict) in rows.iter().zip(verdicts) {
            let words = verdict["verdict"].as_str().unwrap().replace('-', " ");
            assert!(row[2].ends_with(&words), "{row:?}: {verdict}");
            let band = match &verdict["set_band"] {
                Value::Null => "none".to_owned(),
                band => format!(
                    "{:.3} to {:.3} A",
                    band["low_a"].as_f64().unwrap(),
                    band["high_a"].as_f64().unwrap()
                ),
            };
            assert_eq!(row[3], band, "{verdict}");
        }
        let want =
            of_program(folder.path(), &["reading", "--meter", meter, "--step", "3", "--json"]);
        let told = browser.text("#meters-waterfall");
        let shown = format!("shows {:.3} A", want["shown_a"].as_f64().unwrap());
        assert!(told.contains(&shown), "{shown}: {told}");
        for cause in want["causes"].as_array().unwrap() {
            assert!(told.contains(cause["words"].as_str().unwrap()), "{cause}");
        }
    }
    browser.script("document.getElementById('meters-require').click()");
    browser.wait_until("document.querySelector('#meters-requirement li')");
    let want = of_program(folder.path(), &["requirement", "--json"]);
    for demand in want["demands"].as_array().unwrap() {
        assert!(browser.text("#meters-requirement").contains(demand.as_str().unwrap()), "{demand}");
    }
    // A sheet that was typed; it stands in the address.
    browser.script("document.getElementById('meters-own').open = true");
    browser.wait_until("document.getElementById('meters-sheet').value");
    browser.script("document.getElementById('meters-use-sheet').click()");
    browser.wait_until(
        "document.querySelector('#meters-table caption')?.textContent.includes('my clamp')",
    );
    assert!(browser.script("return location.hash").as_str().unwrap().contains("sheet="));
    assert_eq!(browser.console(), [""; 0]);
}

#[test]
fn cross_the_circuit_desk_shows_what_the_program_says() {
    let Some(browser) = Browser::open(UNCHECKED) else { return };
    let served = Served::start(&[]);
    let folder = tempfile::tempdir().unwrap();
    browser.open_page(&served.at("/#circuit"));
    browser.wait_until("document.querySelector('#circuit-table tbody tr')");
    let submit = "document.getElementById('circuit-form').requestSubmit()";
    browser.script(submit);
    browser.wait_until("document.getElementById('circuit-va')");
    let text = loopcrest::description::Description::EMBEDDED_TEXT;
    let load_of = |text: &str| {
        std::fs::write(folder.path().join("bench.toml"), text).unwrap();
        let want = of_program(folder.path(), &["field", "bench.toml", "--json"]);
        format!("{:.0} VA", want["load"]["apparent_va"].as_f64().unwrap())
    };
    assert_eq!(browser.text("#circuit-va"), load_of(text));
    // Another number of fixtures, typed into the table.
    browser.script("const one = document.querySelector('#circuit-table [aria-label^=\"Fixtures, group 1\"]'); one.value = '20'; one.dispatchEvent(new Event('input'))");
    browser.script(submit);
    let want = load_of(&text.replacen("count = 32", "count = 20", 1));
    browser.wait_until(&format!("document.getElementById('circuit-va').textContent === '{want}'"));
    // An estimate tells how far it is and can be stopped; another is gone through to its end.
    browser.script("document.getElementById('circuit-circuits').value = '20000'; document.getElementById('circuit-estimate').requestSubmit()");
    browser.wait_until(
        "document.getElementById('circuit-progress-words').textContent.includes(' of 20000')",
    );
    browser.script("document.getElementById('circuit-cancel').click()");
    browser
        .wait_until("document.getElementById('circuit-progress-words').textContent === 'Stopped'");
    browser.script("document.getElementById('circuit-circuits').value = '200'; document.getElementById('circuit-estimate').requestSubmit()");
    browser.wait_until("document.querySelector('#circuit-estimate-table tbody tr')");
    let want = of_program(
        folder.path(),
        &["estimate", "bench.toml", "--circuits", "200", "--pairs", "0", "--json"],
    );
    let rows = cells(&browser, "#circuit-estimate-table");
    let outputs: Vec<&Value> = want["steps"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|step| step["outputs"].as_array().unwrap())
        .collect();
    assert_eq!(rows.len(), outputs.len());
    for (row, output) in rows.iter().zip(outputs) {
        if output["output"] == "crest_factor" {
            assert_eq!(row[3], format!("{:.3}", output["median"].as_f64().unwrap()), "{output}");
        }
    }
    assert_eq!(browser.console(), [""; 0]);
}

#[test]
fn cross_the_capture_desk_shows_what_the_program_says() {
    let Some(browser) = Browser::open(UNCHECKED) else { return };
    let served = Served::start(&[]);
    let folder = tempfile::tempdir().unwrap();
    // A sine of 2.8 A RMS with some third harmonic, ours; written with decimal commas.
    let row = |at: u32| {
        let time_s = f64::from(at) / 30_000.0;
        let phase = std::f64::consts::TAU * 60.0 * time_s;
        let current_a = 3.96 * phase.sin() + 0.2 * (3.0 * phase).sin();
        format!("{time_s:.6};{current_a:.5}\n").replace('.', ",")
    };
    let text: String =
        std::iter::once("time (s);current (A)\n".to_owned()).chain((0..6000).map(row)).collect();
    std::fs::write(folder.path().join("scope.csv"), &text).unwrap();
    let want = of_program(folder.path(), &["capture", "scope.csv", "--json"]);
    browser.open_page(&served.at("/#capture"));
    browser.wait_until("document.querySelector('#description-title').textContent !== 'asking …'");
    browser.script(&format!(
        "const files = new DataTransfer(); files.items.add(new File([{}], 'scope.csv')); \
         const drop = new DragEvent('drop', {{ dataTransfer: files, bubbles: true, cancelable: true }}); \
         document.getElementById('capture-drop').dispatchEvent(drop)",
        json!(text)
    ));
    browser.wait_until("document.getElementById('capture-rms')");
    assert_eq!(
        browser.text("#capture-rms"),
        format!("{:.3} A", want["measures"]["rms_a"].as_f64().unwrap())
    );
    for found in want["understood"]["explained"].as_array().unwrap() {
        assert!(
            browser.text("#capture-seen").contains(found["found"].as_str().unwrap()),
            "{found}"
        );
    }
    // Corrected: every ampere through a clamp of 100 mV/A, read as volts.
    browser.script(
        "document.getElementById('capture-unit').value = 'V'; document.getElementById('capture-clamp').value = '100 mV/A'; \
         document.getElementById('capture-form').requestSubmit()",
    );
    let want = of_program(
        folder.path(),
        &["capture", "scope.csv", "--unit", "V", "--clamp", "100mV/A", "--json"],
    );
    let rms = format!("{:.3} A", want["measures"]["rms_a"].as_f64().unwrap());
    browser.wait_until(&format!("document.getElementById('capture-rms')?.textContent === '{rms}'"));
    // What cannot be read says so and leaves the form to correct it.
    browser.script(
        "const files = new DataTransfer(); files.items.add(new File(['not a recording'], 'x.csv')); \
         document.getElementById('capture-drop').dispatchEvent(new DragEvent('drop', { dataTransfer: files, bubbles: true, cancelable: true }))",
    );
    browser.wait_until("document.querySelector('#capture-problem .problem') && !document.getElementById('capture-rms')");
}
