//! The worksheet of the page in a real browser: every entry is written once, whatever happens to the page.

use serde_json::json;

use crate::support::worksheet::Visit;

#[test]
fn cross_the_worksheet_writes_each_entry_once() {
    let Some(visit) = Visit::begun() else { return };
    let browser = &visit.browser;
    assert!(browser.text("#worksheet-now").contains("Qualified persons only"));
    // Two taps on one button.
    visit.settled();
    let before = visit.entries().len();
    browser.script(
        "const yes = document.getElementById('answer-yes'); yes.click(); yes.click(); yes.click();",
    );
    visit.browser.wait_until("document.getElementById('worksheet-advice')");
    visit.settled();
    assert_eq!(visit.entries().len(), before + 1);
    visit.to_the_first_reading();
    // Everything to touch is large enough for a glove.
    let small = browser.script(
        "for (const one of document.querySelectorAll('#worksheet details')) one.open = true;\
         return [...document.querySelectorAll('#worksheet button, #worksheet input, #worksheet summary')]\
         .filter(one => one.offsetParent).map(one => [one.textContent || one.id, one.getBoundingClientRect()])\
         .filter(([, box]) => box.height < 48 || box.width < 48).map(([name, box]) => `${name} ${box.width} x ${box.height}`)",
    );
    assert_eq!(small, json!([]));
    browser.picture("worksheet-reading");

    // What was typed outlives a reload; a decimal comma is a point.
    let step = visit.next()["step"].clone();
    let nominal = visit.served.get("/api/v1/choices").json()["steps"]
        .as_array()
        .unwrap()
        .iter()
        .find(|one| one["number"] == step)
        .unwrap()["nominal_rms_a"]
        .as_f64()
        .unwrap();
    let typed = format!("{nominal:.2}").replace('.', ",");
    browser.keys("#reading", &typed);
    browser.script("location.reload()");
    std::thread::sleep(std::time::Duration::from_millis(500));
    browser.wait_until("document.getElementById('reading')");
    visit.settled();
    assert_eq!(browser.script("return document.getElementById('reading').value"), json!(typed));

    // Without a connection the entry waits, also over a reload of the page's store, and is then written once.
    let before = visit.entries().len();
    let offline = |is_offline: bool| {
        browser.command("Network.enable", json!({}));
        browser.command(
            "Network.emulateNetworkConditions",
            json!({"offline": is_offline, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1}),
        );
    };
    offline(true);
    visit.click(".item button[type=submit]");
    browser.wait_until("document.querySelector('#worksheet-line.waiting')");
    visit.click(".item button[type=submit]");
    assert_eq!(
        browser.script("return JSON.parse(localStorage.getItem('loopcrest.queue')).length"),
        json!(1)
    );
    assert_eq!(visit.entries().len(), before);
    browser.picture("worksheet-waiting");
    offline(false);
    browser.wait_until("document.querySelector('#worksheet-line:not(.waiting)')");
    browser.wait_until("document.getElementById('worksheet-advice')");
    visit.settled();
    let entries = visit.entries();
    assert_eq!(entries.len(), before + 1);
    let reading = entries.last().unwrap();
    // As it was typed, with a point.
    assert_eq!(reading["entry"]["typed"], json!(format!("{nominal:.2}")), "{reading}");
    // What the page shows of it is what the program says.
    let far = visit.served.get("/api/v1/visits/1/calibration").json();
    let first = &far["readings"][0];
    let shown = browser.text("#worksheet-list table");
    let true_rms = format!("{:.3} A", first["true_rms_a"].as_f64().unwrap());
    assert!(shown.contains(&true_rms), "{true_rms} in {shown}");

    // The answer to an entry gets lost: it is sent again under its name.
    visit.settled();
    let before = visit.entries().len();
    browser.script(
        "const plain = window.fetch; let lost = false; window.fetch = async (...all) => { const answer = await plain(...all); \
         if (!lost && all[1]?.method === 'POST') { lost = true; throw new TypeError('lost'); } return answer; };\
         for (const one of document.querySelectorAll('#worksheet details')) one.open = true;\
         document.getElementById('remark').value = 'wet floor';\
         [...document.querySelectorAll('#worksheet-list button')].find(one => one.textContent.startsWith('Write')).click();",
    );
    browser.wait_until("document.querySelector('#worksheet-line.waiting')");
    browser.wait_until("document.querySelector('#worksheet-line:not(.waiting)')");
    assert_eq!(visit.entries().len(), before + 1);
    // Back and forward change nothing.
    browser.script("history.back()");
    std::thread::sleep(std::time::Duration::from_millis(500));
    browser.script("history.forward()");
    browser.wait_until("document.getElementById('worksheet-item')");
    assert_eq!(visit.entries().len(), before + 1);
}

#[test]
fn cross_the_worksheet_asks_before_it_keeps_a_doubtful_number() {
    let Some(visit) = Visit::begun() else { return };
    let browser = &visit.browser;
    visit.to_the_first_reading();
    let before = visit.entries().len();
    // Ten times too much: a slip of the point.
    browser.keys("#reading", "66.0");
    visit.click(".item button[type=submit]");
    browser.wait_until("document.querySelector('#worksheet-waits .problem')");
    assert_eq!(visit.entries().len(), before);
    browser.wait_until("document.querySelector('#reading-keep')");
    browser.picture("worksheet-doubt");
    // What cannot be read is not lost either: it stands there to be mended.
    assert_eq!(browser.script("return document.getElementById('reading').value"), json!("66.0"));
    browser.script("document.getElementById('reading').value = ''");
    browser.keys("#reading", "sixty");
    visit.click(".item button[type=submit]");
    browser.wait_until(
        "document.querySelector('#worksheet-waits .problem')?.textContent.includes('typed')",
    );
    assert_eq!(visit.entries().len(), before);
    // It took the place of the doubtful one, and goes when the person says so.
    assert_eq!(
        browser.script("return document.querySelectorAll('#worksheet-waits .problem').length"),
        1
    );
    visit.click("[data-drop]");
    browser.wait_until("document.querySelector('#worksheet-line:not(.waiting)')");
    // Taken back: the last answer is asked for again.
    let item = visit.next()["item"].clone();
    browser.script(
        "for (const one of document.querySelectorAll('#worksheet details')) one.open = true;",
    );
    visit.click("#take-back");
    browser.wait_until("document.getElementById('worksheet-advice')");
    assert_ne!(visit.next()["item"], item);
}
