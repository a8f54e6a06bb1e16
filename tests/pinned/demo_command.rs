//! The demonstration through the real program: one picture as text, and live on a pseudo-terminal.

use std::path::Path;
use std::process::{Command, Output, Stdio};

use crate::support::program::text;

fn program(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_loopcrest"));
    command.args(arguments).current_dir(folder).env("NO_COLOR", "1").env("TERM", "xterm");
    command
}

fn run(arguments: &[&str]) -> Output {
    let folder = tempfile::tempdir().unwrap();
    program(folder.path(), arguments).stdin(Stdio::null()).output().unwrap()
}

fn json(arguments: &[&str]) -> serde_json::Value {
    let output = run(arguments);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

fn once(arguments: &[&str]) -> String {
    let output = run(&[&["demo", "--once"], arguments].concat());
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    text(&output.stdout)
}

/// The picture of step 1, output shorted, average clamp: 24 lines of at most 80 characters.
#[test]
fn pinned_one_picture_of_the_demonstration() {
    let shown = once(&["--step", "1", "--load", "shorted", "--meter", "average clamp"]);
    let picture: Vec<&str> = shown.lines().take(24).collect();
    assert!(picture.iter().all(|line| line.chars().count() <= 80), "{shown}");
    let picture = picture.join("\n") + "\n";
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/pinned/printed/demo.txt");
    if std::env::var_os("LOOPCREST_STORE").is_some() {
        std::fs::write(&file, &picture).unwrap();
    }
    assert_eq!(picture, std::fs::read_to_string(&file).unwrap_or_default());
    assert!(!shown.contains('\u{1b}'), "{shown:?}");
    assert!(shown.contains("Qualified persons only. Local codes"), "{shown}");
}

/// The numbers on the screen are those of `operate` and `judge` for the same description.
#[test]
fn pinned_the_demonstration_shows_the_numbers_of_operate_and_judge() {
    let operate = json(&["operate", "--step", "3", "--load", "50%", "--json"]);
    let shown = once(&["--step", "3", "--load", "50%", "--meter", "average clamp"]);
    let number = |value: &serde_json::Value| value.as_f64().unwrap();
    let crest = number(&operate["measures"]["crest_factor"]);
    let average = operate["readings"]
        .as_array()
        .unwrap()
        .iter()
        .find(|reading| reading["detector"] == "average")
        .unwrap();
    for (name, value) in [
        ("crest factor", format!("{crest:.3}")),
        ("firing delay", format!("{:.1}°", number(&operate["delay_deg"]))),
        ("shows", format!("{:.3} A", number(&average["shown_a"]))),
        ("true RMS", format!("{:.3} A", number(&operate["measures"]["rms_a"]))),
    ] {
        let line = shown.lines().find(|line| line.contains(name) && line.contains(&value));
        assert!(line.is_some(), "{name} {value} is not in\n{shown}");
    }

    // The description sets its steps at 2 %: the same verdicts, errors and landings as `judge`.
    let judge = json(&["judge", "--no-folder", "--json"]);
    for step in judge["steps"].as_array().unwrap() {
        let step_number = step["number"].to_string();
        for meter in step["meters"].as_array().unwrap() {
            let name = meter["name"].as_str().unwrap();
            let shown = once(&["--step", &step_number, "--meter", name]);
            for value in [
                format!("{:.3} A", number(&meter["shown_a"])),
                format!("{:.3} A true", number(&meter["trimmed_true_rms_a"])),
                format!("{}:", meter["fitness"].as_str().unwrap().replace('-', " ").to_uppercase()),
            ] {
                assert!(shown.contains(&value), "{value} is not in\n{shown}");
            }
        }
    }
}

#[test]
fn pinned_what_the_demonstration_refuses() {
    for (arguments, part) in [
        (&["demo"][..], "needs a terminal"),
        (&["demo", "--once", "--step", "9"], "a step of the description: 5, 4, 3, 2, 1"),
        (&["demo", "--once", "--load", "half"], "as-set, shorted, full, field"),
        (&["demo", "--once", "--load", "300%"], "allowed is"),
        (&["demo", "--once", "--load", "shorted", "--lamps-out", "10%"], "no lamp is lit"),
        (&["demo", "--once", "--meter", "avarage clamp"], "did you mean \"average clamp\"?"),
        (&["demo", "--once", "--json"], "--json"),
    ] {
        let output = run(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let told = text(&output.stderr);
        assert!(told.contains(part), "{part} is not in {told}");
        assert!(output.stdout.is_empty(), "{arguments:?}");
    }
}

/// A screen of 80 by 24 on a pseudo-terminal: what the program writes, put at its places.
#[cfg(unix)]
struct Screen {
    session: rexpect::session::PtySession,
    cells: Vec<Vec<char>>,
    at: (usize, usize),
    modes: Vec<String>,
}

#[cfg(unix)]
impl Screen {
    fn begin(folder: &Path, size: (u16, u16)) -> Self {
        let mut command = Command::new("sh");
        let line = format!("stty cols {} rows {} && exec \"$LOOPCREST\" demo", size.0, size.1);
        command
            .args(["-c", &line])
            .current_dir(folder)
            .env("LOOPCREST", env!("CARGO_BIN_EXE_loopcrest"))
            .env("NO_COLOR", "1")
            .env("TERM", "xterm");
        Self {
            session: rexpect::session::spawn_command(command, Some(60_000)).unwrap(),
            cells: vec![vec![' '; 200]; 60],
            at: (0, 0),
            modes: Vec::new(),
        }
    }

    fn text(&self) -> String {
        let rows = self.cells.iter().map(|row| row.iter().collect::<String>());
        rows.map(|row| format!("{}\n", row.trim_end())).collect()
    }

    /// Reads until the screen shows a text.
    fn wait_for(&mut self, wanted: &str) {
        let begun = std::time::Instant::now();
        while !self.text().contains(wanted) {
            assert!(begun.elapsed().as_secs() < 60, "no {wanted:?} on\n{}", self.text());
            let mut read = false;
            while self.step() {
                read = true;
            }
            if !read {
                std::thread::sleep(std::time::Duration::from_millis(20));
            }
        }
    }

    /// Takes in one character or one sequence, if there is one.
    fn step(&mut self) -> bool {
        let Some(first) = self.session.try_read() else { return false };
        match first {
            '\u{1b}' => self.sequence(),
            '\r' => self.at.1 = 0,
            '\n' => self.at.0 += 1,
            other => {
                let (row, column) = self.at;
                if let Some(cell) = self.cells.get_mut(row).and_then(|row| row.get_mut(column)) {
                    *cell = other;
                }
                self.at.1 += 1;
            }
        }
        true
    }

    /// The rest of a sequence: a place to go to, a screen to clear, a mode.
    fn sequence(&mut self) {
        let mut next = || loop {
            if let Some(character) = self.session.try_read() {
                return character;
            }
            std::thread::sleep(std::time::Duration::from_millis(5));
        };
        if next() != '[' {
            return;
        }
        let mut told = String::new();
        let end = loop {
            let character = next();
            if character.is_ascii_alphabetic() {
                break character;
            }
            told.push(character);
        };
        match end {
            'H' => {
                let mut numbers = told.split(';').map(|number| number.parse().unwrap_or(1));
                let mut place = || numbers.next().unwrap_or(1_usize).max(1) - 1;
                self.at = (place(), place());
            }
            'J' => self.cells = vec![vec![' '; 200]; 60],
            'h' | 'l' => self.modes.push(format!("{told}{end}")),
            _ => {}
        }
    }

    fn press(&mut self, keys: &str) {
        self.session.send(keys).unwrap();
        self.session.flush().unwrap();
    }

    /// Waits for the end; the main screen and the cursor must have been given back.
    fn ends_with(mut self, code: i32) {
        let rest = self.session.exp_eof().unwrap();
        for given_back in ["\u{1b}[?1049l", "\u{1b}[?25h"] {
            assert!(rest.contains(given_back), "{given_back:?} is not in {rest:?}");
        }
        match self.session.process().wait() {
            Ok(rexpect::process::WaitStatus::Exited(_, found)) => assert_eq!(found, code),
            other => panic!("{other:?}"),
        }
    }
}

/// Keys turn the choices, every number follows, q gives the terminal back. The numbers are those of
/// the stored picture and of the default run.
#[cfg(unix)]
#[test]
fn pinned_the_demonstration_is_turned_by_keys() {
    let folder = tempfile::tempdir().unwrap();
    let mut screen = Screen::begin(folder.path(), (80, 24));
    screen.wait_for("true RMS     6.600 A in band");
    assert!(screen.modes.iter().any(|mode| mode == "?1049h"), "{:?}", screen.modes);
    screen.press("1");
    screen.wait_for("true RMS     2.800 A in band");
    screen.press("m");
    screen.wait_for("shows        2.722 A");
    screen.wait_for("TIGHT:");
    screen.press("mM");
    // Up a step and down again, more load, lamps out.
    screen.press("\u{1b}[A");
    screen.wait_for("step 2 (3.40 A)");
    screen.press("\u{1b}[B");
    screen.wait_for("step 1 (2.80 A)");
    screen.press("\u{1b}[C\u{1b}[C\u{1b}[C");
    screen.wait_for("load 30 % of rated");
    screen.press("ll");
    screen.wait_for("lamps out 5 %");
    screen.wait_for("40 equal fixtures of our own");
    screen.press("r");
    screen.wait_for("step 5 (6.60 A)   load shorted");
    screen.press("q");
    screen.ends_with(0);
}

#[cfg(unix)]
#[test]
fn pinned_the_demonstration_gives_the_terminal_back_however_it_ends() {
    for (leave, code) in [("\u{1b}", 0), ("\u{3}", 0), ("", 130)] {
        let folder = tempfile::tempdir().unwrap();
        let mut screen = Screen::begin(folder.path(), (80, 24));
        screen.wait_for("6.600 A");
        if leave.is_empty() {
            screen.session.process_mut().signal(rexpect::process::Signal::SIGTERM).unwrap();
        } else {
            screen.press(leave);
        }
        screen.ends_with(code);
    }
}

#[cfg(unix)]
#[test]
fn pinned_a_small_window_is_told_what_is_needed() {
    let folder = tempfile::tempdir().unwrap();
    let mut screen = Screen::begin(folder.path(), (70, 20));
    screen.wait_for("70 columns and 20 lines");
    screen.press("q");
    screen.ends_with(0);
}
