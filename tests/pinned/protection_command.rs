//! The command `protection` as a user meets it.

use crate::support::program::{run, text};

#[test]
fn pinned_protection_shows_set_points_trials_and_why_the_output_is_shorted() {
    let place = tempfile::tempdir().unwrap();
    let output = run(place.path(), &["protection", "--meter", "general-true-rms-clamp"]);
    let shown = text(&output.stdout);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    for part in [
        "SHORT THE OUTPUT",
        "6.798 A (103 %)",
        "from memory, not verified",
        "control fault to 105 %",
        "loop opens",
        "Qualified persons only",
    ] {
        assert!(shown.contains(part), "{part}: {shown}");
    }
    assert!(shown.lines().all(|line| line.chars().count() <= 80), "{shown}");
    let output = run(place.path(), &["protection", "--json", "--out", "tried"]);
    let json: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(json["kind"], "protection");
    let trial = &json["trials"][0];
    assert_eq!(trial["verdict"], "inside");
    assert!(place.path().join("tried/protection-times.svg").is_file());
    let again = run(place.path(), &["protection", "--json", "--out", "again"]);
    assert!(again.stdout == output.stdout, "the same bytes on every run");
}
