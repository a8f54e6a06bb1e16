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

#[test]
fn cross_an_estimate_can_always_be_stopped() {
    let Some(browser) = Browser::open(UNCHECKED) else { return };
    let mut served = Served::start(&[]);
    browser.open_page(&served.at("/#circuit"));
    browser.wait_until("document.querySelector('#circuit-table tbody tr')");
    let words = "document.getElementById('circuit-progress-words').textContent";
    let begin = "document.getElementById('circuit-circuits').value = '20000'; document.getElementById('circuit-estimate').requestSubmit()";
    browser.script(begin);
    browser.wait_until(&format!("{words}.includes(' of 20000')"));
    // Begun again while it runs: the end of the first is not taken for that of the second.
    browser.script(begin);
    browser.wait_until(&format!("{words}.includes(' of 20000')"));
    std::thread::sleep(std::time::Duration::from_secs(2));
    assert_eq!(browser.script("return document.getElementById('circuit-cancel').hidden"), false);
    browser.script("document.getElementById('circuit-cancel').click()");
    browser.wait_until(&format!("{words} === 'Stopped'"));
    // The program is begun anew meanwhile: that is said, and not waited for.
    browser.script(begin);
    browser.wait_until(&format!("{words}.includes(' of 20000')"));
    let port = served.port;
    served.end();
    let _served = Served::start_at(port, &[]);
    browser.wait_until(&format!("{words}.startsWith('Lost')"));
    assert_eq!(browser.script("return document.getElementById('circuit-cancel').hidden"), true);
    // Too many, by this server's own bound, said beside the button.
    browser.script("document.getElementById('circuit-circuits').value = '100'; document.getElementById('circuit-estimate').requestSubmit()");
    browser.wait_until("document.querySelector('#circuit-estimate-problem .problem')");
    assert!(browser.text("#circuit-estimate-problem").contains("200 to 20000"));
}

#[test]
fn cross_an_edited_circuit_stands_in_the_address() {
    let Some(browser) = Browser::open(UNCHECKED) else { return };
    let served = Served::start(&[]);
    browser.open_page(&served.at("/#circuit"));
    browser.wait_until("document.querySelector('#circuit-table tbody tr')");
    let count = "document.querySelector('#circuit-table [aria-label^=\"Fixtures, group 1\"]')";
    browser.script(&format!(
        "const one = {count}; one.value = '20'; one.dispatchEvent(new Event('input'))"
    ));
    browser.wait_until("location.hash.includes('edited=')");
    browser.script("location.reload()");
    browser.wait_until(&format!("{count}?.value === '20'"));
    assert!(browser.text("#circuit-edited").contains("Edited here"));
    // By way of another desk and back it is there too.
    browser.script("location.hash = '#capture'");
    browser.wait_until("!document.getElementById('capture').hidden");
    browser.script("location.hash = '#circuit'");
    browser.wait_until("location.hash.includes('edited=')");
    assert_eq!(browser.script(&format!("return {count}.value")), "20");
    // What is wrong is said by its row, and the old answer is no longer passed off as one.
    browser.script("document.getElementById('circuit-form').requestSubmit()");
    browser.wait_until("document.getElementById('circuit-va')");
    browser.script(&format!("const one = {count}; one.value = 'many'; one.dispatchEvent(new Event('input')); document.getElementById('circuit-form').requestSubmit()"));
    browser.wait_until("document.querySelector('#circuit-problem .problem')");
    assert!(
        browser.text("#circuit-problem").contains("row 1"),
        "{}",
        browser.text("#circuit-problem")
    );
    browser.wait_until("document.querySelector('#circuit-load.stale')");
    browser.script("document.getElementById('circuit-back').click()");
    browser.wait_until(&format!("{count}?.value === '32'"));
    assert_eq!(browser.text("#circuit-edited"), "");
}

#[test]
fn cross_the_capture_desk_reads_the_two_files_of_a_record() {
    let Some(browser) = Browser::open(UNCHECKED) else { return };
    let served = Served::start(&[]);
    let folder = tempfile::tempdir().unwrap();
    // A sine of 2.8 A RMS, ours: 0.001 A for each count.
    let (rate, samples) = (3000_u32, 1200_u32);
    let configuration = format!(
        "vault 3,1,1999\r\n1,1A,0D\r\n1,loop,,,A,0.001,0,0,-32767,32767,1,1,P\r\n60\r\n1\r\n{rate},{samples}\r\n\
         25/11/2026,09:00:00.000000\r\n25/11/2026,09:00:00.000000\r\nASCII\r\n1\r\n"
    );
    let row = |at: u32| {
        let time_s = f64::from(at) / f64::from(rate);
        let counts = (3960.0 * (std::f64::consts::TAU * 60.0 * time_s).sin()).round();
        format!("{},{:.0},{counts:.0}\r\n", at + 1, 1e6 * time_s)
    };
    let data: String = (0..samples).map(row).collect();
    std::fs::write(folder.path().join("r.cfg"), &configuration).unwrap();
    std::fs::write(folder.path().join("r.dat"), &data).unwrap();
    let want = of_program(folder.path(), &["capture", "r.cfg", "--json"]);
    browser.open_page(&served.at("/#capture"));
    browser.wait_until("document.querySelector('#description-title').textContent !== 'asking …'");
    let drop = |files: &[(&str, &str)]| {
        let added: String = files
            .iter()
            .map(|(name, text)| {
                format!("files.items.add(new File([{}], {}));", json!(text), json!(name))
            })
            .collect();
        browser.script(&format!(
            "const files = new DataTransfer(); {added} document.getElementById('capture-drop').dispatchEvent(\
             new DragEvent('drop', {{ dataTransfer: files, bubbles: true, cancelable: true }}))"
        ));
    };
    // One alone is not passed off as a record.
    drop(&[("r.cfg", &configuration)]);
    browser.wait_until(
        "document.querySelector('#capture-problem')?.textContent.includes('half of a record')",
    );
    drop(&[("r.dat", &data)]);
    browser.wait_until(
        "document.getElementById('capture')?.textContent.includes('Half of a record?')",
    );
    drop(&[("r.dat", &data), ("other.cfg", &configuration)]);
    browser.wait_until(
        "document.querySelector('#capture-problem')?.textContent.includes('not of one record')",
    );
    drop(&[("r.dat", &data), ("r.cfg", &configuration)]);
    browser.wait_until("document.getElementById('capture-rms')");
    let rms = format!("{:.3} A", want["measures"]["rms_a"].as_f64().unwrap());
    assert_eq!(browser.text("#capture-rms"), rms);
    // A step is judged in words that make a sentence.
    let judged = browser.text("#capture-judged");
    let words = match (want["step"]["placement"].as_str(), want["step"]["no_verdict"].as_str()) {
        (Some("low"), _) => "the true RMS is below the band.".to_owned(),
        (Some("high"), _) => "the true RMS is above the band.".to_owned(),
        (Some(_), _) => "the true RMS is inside the band.".to_owned(),
        (None, why) => format!("not judged, {}.", why.unwrap()),
    };
    assert!(judged.ends_with(&words), "{judged}");
}
