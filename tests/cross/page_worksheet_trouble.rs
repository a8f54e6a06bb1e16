//! The worksheet of the page when something goes wrong: no entry is lost, none lands elsewhere, each says why it waits.

use serde_json::json;

use crate::support::browser::Browser;
use crate::support::served::Served;
use crate::support::worksheet::{Visit, go_on, post};

const IS_CLEAR: &str = "document.querySelector('#worksheet-line:not(.waiting)')";

#[test]
fn cross_an_entry_that_waits_is_written_into_its_own_visit_only() {
    let Some(mut visit) = Visit::begun() else { return };
    // Another logbook has a visit of the same number, somebody else's on another regulator.
    let other =
        Served::start(&[&visit.path("bench.toml"), "--logbook", &visit.path("other.sqlite")]);
    let opening =
        json!({ "by": "B. Person", "regulator": "R-99", "meter": "precision-true-rms-clamp" });
    assert_eq!(post(&other, "/api/v1/visits", "opening-other", &opening).status, 200);
    drop(other);
    visit.settled();
    let before = visit.entries().len();
    visit.end();
    visit.click("#answer-yes");
    visit.browser.wait_until("document.querySelector('#worksheet-waits .problem')");
    // Why it waits, and what to do: the same port, for the browser keeps it by the address.
    let said = visit.browser.text("#worksheet-waits");
    assert!(said.contains(&format!("--port {}", visit.served.port)), "{said}");
    visit.begin_again(Some("other.sqlite"));
    visit.browser.wait_until(
        "document.querySelector('#worksheet-waits')?.textContent.includes('opening_hash')",
    );
    let entries = visit.served.get("/api/v1/visits/1").json()["entries"].clone();
    assert_eq!(entries.as_array().unwrap().len(), 1, "{entries}");
    assert_eq!(visit.queued(), 1);
    visit.browser.wait_until("document.body.innerText.includes('Another logbook')");
    // With its own logbook it is written, once the person says so.
    visit.begin_again(Some("visits.sqlite"));
    visit.click("[data-again]");
    visit.browser.wait_until(IS_CLEAR);
    assert_eq!(visit.entries().len(), before + 1);
    assert_eq!(visit.queued(), 0);
}

#[test]
fn cross_a_refused_entry_stays_until_the_person_has_decided() {
    let Some(mut visit) = Visit::begun() else { return };
    visit.to_the_first_reading();
    let before = visit.entries().len();
    // The program ends, a doubtful number is entered, and the page stands at another desk when the doubt comes back.
    visit.end();
    visit.browser.keys("#reading", "52");
    visit.click(".item button[type=submit]");
    visit.browser.wait_until("document.querySelector('#worksheet-waits .problem')");
    visit.browser.script("location.hash = '#meters'");
    visit.browser.wait_until("!document.querySelector('#queue-line').hidden");
    visit.begin_again(Some("visits.sqlite"));
    visit
        .browser
        .wait_until("document.querySelector('#queue-line').textContent.includes('not written')");
    assert_eq!((visit.entries().len(), visit.queued()), (before, 1));
    visit.browser.script("location.hash = '#worksheet?visit=1'");
    visit.browser.wait_until("document.querySelector('#reading')");
    visit.browser.wait_until("document.querySelector('#reading-keep')");
    // Another number typed meanwhile is not what "keep it" keeps.
    visit.retype("#reading", "0.3");
    assert!(visit.browser.text("#reading-keep").contains("52 A"));
    visit.click("#reading-keep");
    visit.browser.wait_until(IS_CLEAR);
    let entries = visit.entries();
    assert_eq!(entries.len(), before + 1);
    assert_eq!(entries.last().unwrap()["entry"]["typed"], "52");

    // A wrong reading that is no longer the last is corrected on the page, and says so in the list.
    visit.settled();
    let wrong = entries.last().unwrap()["number"].clone();
    visit.click("#worksheet-list details summary");
    visit.browser.script(
        "for (const one of document.querySelectorAll('#worksheet details')) one.open = true;\
         document.getElementById('remark').value = 'wet floor';\
         [...document.querySelectorAll('#worksheet-list button')].find(one => one.textContent.startsWith('Write')).click();",
    );
    visit.browser.wait_until(
        "document.getElementById('worksheet-advice')?.textContent.includes('wet floor')",
    );
    visit.settled();
    visit.browser.script("document.getElementById('worksheet-entries').open = true");
    visit.click(&format!("[data-correct=\"{wrong}\"]"));
    visit.browser.keys(&format!("#correct-{wrong}"), "5.2");
    visit.browser.script(&format!(
        "document.getElementById('correct-{wrong}').closest('form').requestSubmit()"
    ));
    visit.browser.wait_until(IS_CLEAR);
    visit.settled();
    let entries = visit.entries();
    let last = entries.last().unwrap();
    assert_eq!((&last["replaces"], &last["entry"]["typed"]), (&wrong, &json!("5.2")), "{last}");
    let listed = visit.browser.text("#worksheet-entries");
    assert!(listed.contains("typed 52 (counts no more: corrected by entry"), "{listed}");
}

#[test]
fn cross_an_entry_outlives_a_program_without_its_logbook() {
    let Some(mut visit) = Visit::begun() else { return };
    visit.settled();
    let before = visit.entries().len();
    visit.begin_again(None);
    visit.click("#answer-yes");
    // Asked again and again, it stays and says why.
    visit.browser.wait_until(
        "document.querySelector('#worksheet-waits')?.textContent.includes('keeps no logbook')",
    );
    std::thread::sleep(std::time::Duration::from_secs(3));
    assert_eq!(visit.queued(), 1);
    assert!(!visit.browser.text("#worksheet-line").contains("Everything"));
    visit.begin_again(Some("visits.sqlite"));
    visit.browser.wait_until(IS_CLEAR);
    assert_eq!(visit.entries().len(), before + 1);
    // Dropped only when the person says so.
    visit.settled();
    visit.begin_again(None);
    visit.click("#answer-yes");
    visit.browser.wait_until("document.querySelector('#worksheet-waits .problem')");
    visit.click("[data-drop]");
    visit.browser.wait_until(IS_CLEAR);
    assert_eq!(visit.queued(), 0);
}

#[test]
fn cross_what_is_taken_back_is_what_stands_there() {
    let Some(visit) = Visit::begun() else { return };
    visit.settled();
    visit.click("#answer-yes");
    visit.browser.wait_until("document.getElementById('worksheet-advice')");
    visit.settled();
    // Another window writes on.
    let last = visit.next()["last_entry"].clone();
    go_on(&visit.served, |next| next["last_entry"] != last);
    let before = visit.entries().len();
    assert!(visit.browser.text("#take-back").contains(&format!("entry {last}")));
    visit.click("#take-back");
    visit.browser.wait_until("document.querySelector('#worksheet-waits .problem')");
    assert_eq!(visit.entries().len(), before);
    // Now it names the other, and takes that back; the refused one made no room by itself.
    let last = visit.next()["last_entry"].clone();
    visit.browser.wait_until(&format!(
        "document.querySelector('#take-back').textContent.includes('entry {last}')"
    ));
    visit.click("[data-drop]");
    visit.click("#take-back");
    visit.browser.wait_until(IS_CLEAR);
    visit.settled();
    assert_eq!(visit.entries().last().unwrap()["replaces"], last);
}

#[test]
fn cross_another_window_of_the_browser_follows() {
    let Some(visit) = Visit::begun() else { return };
    visit.settled();
    // The other window's word, as it comes.
    go_on(&visit.served, |next| next["item"] == "meter-category");
    visit
        .browser
        .script("new BroadcastChannel('loopcrest').postMessage('/api/v1/visits/1/entries')");
    visit.settled();
}

#[test]
fn cross_a_browser_asks_who_writes_before_it_writes() {
    let Some(visit) = Visit::begun() else { return };
    visit.settled();
    assert_eq!(visit.browser.text("#worksheet-writer"), "A. Person");
    let Some(other) = Browser::open("who writes in a second browser") else { return };
    other.open_page(&visit.served.at("/#worksheet?visit=1"));
    other.wait_until("document.getElementById('worksheet-who')");
    assert_eq!(other.script("return document.getElementById('answer-yes')"), json!(null));
    other.keys("#who-name", "B. Person");
    other.script("document.getElementById('who-name').closest('form').requestSubmit()");
    other.wait_until("document.getElementById('answer-yes')");
    assert_eq!(other.text("#worksheet-writer"), "B. Person");
    other.script("document.getElementById('answer-yes').click()");
    other.wait_until("document.getElementById('worksheet-advice')");
    assert_eq!(visit.entries().last().unwrap()["by"], "B. Person");
    // And within the visit somebody else can take over.
    other.script("document.getElementById('worksheet-other').click()");
    other.wait_until("document.querySelector('[data-name=\"A. Person\"]')");
    other.script("document.querySelector('[data-name=\"A. Person\"]').click()");
    other.wait_until("document.getElementById('worksheet-writer')?.textContent === 'A. Person'");
}

#[test]
fn cross_a_danger_stands_first_where_the_meter_is_asked_about() {
    let Some(visit) = Visit::begun() else { return };
    for item in ["meter-category", "meter-verdict", "field-restored"] {
        let next = go_on(&visit.served, |next| next["item"] == item);
        assert!(!next["dangers"].as_array().unwrap().is_empty(), "{next}");
        visit.browser.open_page(&visit.served.at("/#worksheet?visit=1"));
        visit.settled();
        let boxes = visit.browser.text(".item .danger");
        assert!(boxes.starts_with("DANGER"), "{boxes}");
        for danger in next["dangers"].as_array().unwrap() {
            assert!(boxes.contains(danger.as_str().unwrap()), "{boxes}");
        }
        visit.browser.picture(&format!("worksheet-danger-{item}"));
    }
}

#[test]
fn cross_a_finished_visit_shows_what_it_came_to() {
    let Some(visit) = Visit::begun() else { return };
    go_on(&visit.served, |next| next["kind"] == "finished");
    visit.browser.open_page(&visit.served.at("/#worksheet?visit=1"));
    visit.browser.wait_until("document.getElementById('worksheet-over')");
    let far = visit.served.get("/api/v1/visits/1/calibration").json();
    assert_eq!(far["state"], "complete");
    let readings = far["readings"].as_array().unwrap();
    let rows = visit.browser.script(
        "return [...document.querySelectorAll('#worksheet-list table tbody tr')].map(row => row.textContent)",
    );
    let rows = rows.as_array().unwrap();
    assert_eq!(rows.len(), readings.len());
    for (row, reading) in rows.iter().zip(readings) {
        let word = if reading["is_accepted"] == true { "✓ accepted" } else { "✗ not accepted" };
        assert!(row.as_str().unwrap().contains(word), "{row}: {reading}");
    }
    let shown = visit.browser.text("#worksheet-now");
    for said in [&far["dangers"], &far["shortfalls"]] {
        for text in said.as_array().unwrap() {
            assert!(shown.contains(text.as_str().unwrap()), "{text}: {shown}");
        }
    }
    assert!(!far["dangers"].as_array().unwrap().is_empty());
    assert!(shown.contains("loopcrest logbook record 1 --logbook"), "{shown}");
    let wide = "return document.documentElement.scrollWidth - document.documentElement.clientWidth";
    assert_eq!(visit.browser.script(wide), 0);
    visit.browser.picture("worksheet-over");
}
