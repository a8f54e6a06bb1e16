use std::io::IsTerminal;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use clap::Args;
use ratatui::DefaultTerminal;
use ratatui::buffer::Buffer;
use ratatui::crossterm::event::{self, Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use ratatui::layout::Rect;

use crate::classroom::demonstration::{Choice, Choices, Turn, View};
use crate::description::Description;
use crate::error::{Error, Result};
use crate::situation::{Situation, SituationSolver};

use super::console::{cautions, print};
use super::demo_screen::{self, HEIGHT, WIDTH};
use super::outcome::Outcome;
use super::regulated;

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest demo --once --step 1 --load shorted\n  \
                        loopcrest demo bench.toml --once --step 3 --load 50% --lamps-out 10%\n  \
                        loopcrest demo --once --load field --meter general-true-rms-clamp\n\n\
                        Without --once it needs a terminal of 80 columns and 24 lines and is turned \
                        by keys, which it shows; q leaves. With NO_COLOR set it has no colour, and \
                        nothing is told by colour alone.")]
pub(super) struct DemoArgs {
    /// Description file; the invented example when left out
    description: Option<PathBuf>,
    /// Print one picture as plain text and end
    #[arg(long)]
    once: bool,
    /// Brightness step to begin with; the brightest when left out
    #[arg(long, value_name = "NUMBER")]
    step: Option<String>,
    /// What is connected: shorted, full, field, or a share of the rated load such as 50%
    #[arg(long)]
    load: Option<String>,
    /// Share of the lamps that are out
    #[arg(long, value_name = "SHARE")]
    lamps_out: Option<String>,
    /// Meter of the description, or a kind of meter (see `loopcrest meters`)
    #[arg(long, value_name = "METER")]
    meter: Option<String>,
}

/// Someone asked the program to end, from outside.
static ENDED: AtomicBool = AtomicBool::new(false);
/// How long a key is waited for before looking whether the program was asked to end.
const WAIT: Duration = Duration::from_millis(100);
/// Time to end in after being asked to.
const GRACE: Duration = Duration::from_secs(2);

/// What can be turned, and what is seen of it.
struct Demonstration {
    title: String,
    choices: Choices,
    solver: SituationSolver,
    begin: Choices,
}

impl Demonstration {
    fn new(args: &DemoArgs) -> Result<Self> {
        let description: Description = regulated::description(args.description.as_deref())?;
        let mut situation = Situation::default();
        let given = [
            ("step", &args.step),
            ("load", &args.load),
            ("lamps-out", &args.lamps_out),
            ("meter", &args.meter),
        ];
        for (key, text) in given {
            if let Some(text) = text {
                situation.set(key, text).map_err(|error| error.with_context("option"))?;
            }
        }
        let choices = Choices::new(&description, &situation)?;
        let title = description.title.clone();
        let solver = SituationSolver::new(description);
        Ok(Self { title, begin: choices.clone(), choices, solver })
    }

    fn view(&mut self) -> Result<View> {
        let seen = self.solver.seen(&self.choices.situation())?;
        Ok(View::of(&self.title, &seen, !self.choices.has_lamps()))
    }

    /// Turns what a key turns; whether the demonstration goes on.
    fn pressed(&mut self, key: KeyEvent) -> bool {
        let is_control = key.modifiers.contains(KeyModifiers::CONTROL);
        let (choice, turn) = match key.code {
            KeyCode::Char('c') if is_control => return false,
            KeyCode::Esc | KeyCode::Char('q' | 'Q') => return false,
            KeyCode::Up => (Choice::Step, Turn::Up),
            KeyCode::Down => (Choice::Step, Turn::Down),
            KeyCode::Right => (Choice::Load, Turn::Up),
            KeyCode::Left => (Choice::Load, Turn::Down),
            KeyCode::Char('l') => (Choice::LampsOut, Turn::Up),
            KeyCode::Char('L') => (Choice::LampsOut, Turn::Down),
            KeyCode::Char('m') => (Choice::Meter, Turn::Up),
            KeyCode::Char('M') => (Choice::Meter, Turn::Down),
            KeyCode::Char('r' | 'R') => {
                self.choices = self.begin.clone();
                return true;
            }
            KeyCode::Char(digit) => {
                if let Some(number) = digit.to_digit(10) {
                    self.choices.go_to_step(number);
                }
                return true;
            }
            _ => return true,
        };
        self.choices.turn(choice, turn);
        true
    }
}

/// The demonstration: live on a terminal, or one picture.
pub(super) fn run(args: &DemoArgs) -> Result<Outcome> {
    let mut demonstration = Demonstration::new(args)?;
    if args.once {
        let area = Rect::new(0, 0, WIDTH, HEIGHT);
        let mut buffer = Buffer::empty(area);
        demo_screen::draw(&demonstration.view()?, false, area, &mut buffer);
        print(&(demo_screen::plain(&buffer) + &cautions()))?;
        return Ok(Outcome::Done);
    }
    if !std::io::stdout().is_terminal() || !std::io::stdin().is_terminal() {
        return Err(Error::inconsistent("the demonstration needs a terminal, and there is none")
            .with_hint("--once prints one picture as plain text"));
    }
    ctrlc::set_handler(end).map_err(|error| Error::io("signals", std::io::Error::other(error)))?;
    let failed = |error| Error::io("the terminal", error);
    // From here on a panic gives the terminal back first.
    let mut terminal = ratatui::try_init().map_err(failed)?;
    let ended = live(&mut terminal, &mut demonstration);
    let restored = ratatui::try_restore().map_err(failed);
    ended.and_then(|outcome| restored.map(|()| outcome))
}

/// Asks for the end, and makes it where nothing answers: a terminal that is gone never does, and what
/// waits for its keys would wait for ever.
fn end() {
    ENDED.store(true, Ordering::SeqCst);
    std::thread::sleep(GRACE);
    let _ = ratatui::try_restore();
    std::process::exit(i32::from(Outcome::INTERRUPTED_CODE));
}

fn live(terminal: &mut DefaultTerminal, demonstration: &mut Demonstration) -> Result<Outcome> {
    let failed = |error| Error::io("the terminal", error);
    let colours = std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty());
    loop {
        let view = demonstration.view();
        terminal
            .draw(|frame| {
                let (area, buffer) = (frame.area(), frame.buffer_mut());
                match &view {
                    Ok(view) => demo_screen::draw(view, colours, area, buffer),
                    Err(error) => demo_screen::draw_error(error, area, buffer),
                }
            })
            .map_err(failed)?;
        let goes_on = loop {
            if ENDED.load(Ordering::SeqCst) {
                return Ok(Outcome::Interrupted);
            }
            if !event::poll(WAIT).map_err(failed)? {
                continue;
            }
            match event::read().map_err(failed)? {
                Event::Key(key) if key.kind != KeyEventKind::Release => {
                    break demonstration.pressed(key);
                }
                Event::Resize(..) => break true,
                _ => {}
            }
        };
        if !goes_on {
            return Ok(Outcome::Done);
        }
    }
}
