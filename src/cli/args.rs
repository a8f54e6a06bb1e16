use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};
use clap_complete::Shell;

use super::quantities::{HarmonicArg, angle, current, frequency, ratio, sharpness, time};

/// Which meter may set which brightness step of a series lighting circuit?
///
/// Without a command, judges the meters of an invented example: prints a table and writes plots and
/// numbers into a new folder.
#[derive(Debug, Parser)]
#[command(
    name = "loopcrest",
    version,
    after_help = "Examples:\n  loopcrest                          the invented example, start to finish\n  \
                  loopcrest starter bench.toml       a commented description to begin from\n  \
                  loopcrest judge bench.toml         the same job on your own description\n  \
                  loopcrest shape phase-cut 90deg    what each kind of meter shows on a shape\n  \
                  loopcrest capture scope.csv        a recorded current\n\n\
                  Exit codes: 0 done, 1 a verdict asked for is against, 2 wrong input, \
                  3 not converged, 4 files, 5 files of a folder skipped, 6 good but for a danger to people."
)]
pub(super) struct Arguments {
    #[command(subcommand)]
    pub(super) command: Option<Command>,
    /// Print every number as JSON instead of a table; refused where there are none
    #[arg(long, global = true)]
    pub(super) json: bool,
}

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Judge every meter of a description at every brightness step
    Judge(JudgeArgs),
    /// Show what each kind of meter reads on a shape
    Shape(ShapeArgs),
    /// Read a recorded current and show what each kind of meter reads on it
    Capture(CaptureArgs),
    /// Read a whole record, however long: every period, what happened, which step, every meter
    Record(super::record::RecordArgs),
    /// Read every record of a folder into one table
    Captures(super::captures::CapturesArgs),
    /// What is seen at the bench: a step, a load, lamps out, meters
    Situation(super::situation::SituationArgs),
    /// Solve one operating point of the regulator: a current held on a load
    Operate(OperateArgs),
    /// Solve every brightness step at several loads
    Loads(LoadsArgs),
    /// Calculate the load of the field and solve every step on it
    Field(super::field::FieldArgs),
    /// Solve every step as the share of lamps out grows; or tell that share from a measured shape
    LampsOut(super::lamps_out::LampsOutArgs),
    /// Run the regulator in time with its control closed: a step, a load change, a start
    Transient(TransientArgs),
    /// Try the protection of the output: set-points, what meters show there, times to trip
    Protection(super::protection::ProtectionArgs),
    /// Follow a periodic solution as load, supply or firing delay moves, past folds
    Follow(FollowArgs),
    /// Is it this regulator? Fit its values to captures at known loads
    Fit(super::fit::FitArgs),
    /// Set the resonant source beside a phase-cut source and a sine on the same load
    Contrast(ContrastArgs),
    /// Estimate crest factor, meter error and voltage with intervals over the tolerances
    Estimate(super::estimate::EstimateArgs),
    /// Solve many circuits into one table: a grid over parameters, or a random sample
    Sweep(super::sweep::SweepArgs),
    /// Show what one meter with its data sheet reads at a step, and why
    Reading(super::reading::ReadingArgs),
    /// Judge real meters by their data sheets: verdict per step, set-bands, reasons
    Fitness(super::fitness::FitnessArgs),
    /// Print the uncertainty budget of one reading
    Budget(super::budget::BudgetArgs),
    /// Write down what to buy: the least demanding meter that is fit at every step
    Requirement(super::requirement::RequirementArgs),
    /// Compare many meters at many steps of many circuits
    Compare(super::compare::CompareArgs),
    /// Say what currents found meant for light and lamp life over a year of burning
    Consequences(super::consequences::ConsequencesArgs),
    /// Lead through a calibration: a question at a time, or readings from a file
    Calibrate(Box<super::calibrate::CalibrateArgs>),
    /// The logbook: equipment, visits and readings, kept for good
    Logbook(super::logbook::LogbookCommandArgs),
    /// List kinds of meter with a data sheet to begin from
    Meters(super::meters::MetersArgs),
    /// Show live what step, load, lamps out and meter do to a reading
    Demo(super::demo::DemoArgs),
    /// Make exercise sheets with their key, or check answers
    Exercises(super::exercises::ExercisesArgs),
    /// List the step tables with the sources of their bands
    Steps(StepsArgs),
    /// Print a worksheet to fill in with a pencil: one for each regulator
    Worksheet(super::worksheet::WorksheetArgs),
    /// List, describe or build lessons: one page without network, slides, a handout
    Lesson(super::lesson::LessonArgs),
    /// Serve the page: the bench in a browser of this machine
    #[cfg(feature = "web")]
    Page(super::page::PageArgs),
    /// Write a commented description to begin from
    Starter(StarterArgs),
    /// Print the JSON schema of everything --json writes
    #[command(after_help = "Example:\n  loopcrest schema > loopcrest.schema.json")]
    Schema,
    /// Print completions for a shell
    Completions(CompletionsArgs),
    /// List or draw the figures for teaching
    Training(super::training::TrainingArgs),
    /// Write data for teaching: sounds, a table for a signal generator, pictures to leaf through
    TeachData(super::teach_data::TeachDataArgs),
}

impl Command {
    /// Whether the command prints numbers, as a table or as JSON.
    pub(super) fn has_json(&self) -> bool {
        #[cfg(feature = "web")]
        if matches!(self, Self::Page(_)) {
            return false;
        }
        !matches!(self, Self::Demo(_) | Self::Starter(_) | Self::Schema | Self::Completions(_))
    }
}

impl Default for Command {
    fn default() -> Self {
        Self::Judge(JudgeArgs::default())
    }
}

#[derive(Debug, Default, Args)]
#[command(after_help = "Examples:\n  loopcrest judge bench.toml\n  \
                        loopcrest judge bench.toml --out results --replace\n  \
                        loopcrest judge bench.toml --require \"true-RMS clamp\" --no-folder")]
pub(super) struct JudgeArgs {
    /// Description file; the invented example when left out
    pub(super) description: Option<PathBuf>,
    /// Folder for plots and numbers [default: a new loopcrest-run-NNN]
    #[arg(long, value_name = "FOLDER", conflicts_with = "no_folder")]
    pub(super) out: Option<PathBuf>,
    /// Replace the folder named with --out if it exists
    #[arg(long, requires = "out")]
    pub(super) replace: bool,
    /// Print only, write no folder
    #[arg(long)]
    pub(super) no_folder: bool,
    /// End with exit code 1 unless this meter is fit at every step (may be given several times)
    #[arg(long, value_name = "METER")]
    pub(super) require: Vec<String>,
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest shape sine\n  \
                        loopcrest shape harmonics 3:20%:180deg 5:3%:0deg --rms 6.6A\n  \
                        loopcrest shape pulse 25% --json\n\n\
                        A bare number is in amperes, hertz or degrees.")]
pub(super) struct ShapeArgs {
    #[command(subcommand)]
    pub(super) shape: ShapeCommand,
    /// True RMS of the finished current (mean included) [default: 6.6 A]
    #[arg(long, global = true, value_parser = current, conflicts_with = "peak")]
    pub(super) rms: Option<f64>,
    /// Peak of the finished current instead of its RMS
    #[arg(long, global = true, value_parser = current)]
    pub(super) peak: Option<f64>,
    /// Mains frequency
    #[arg(long, global = true, value_parser = frequency, default_value = "60 Hz")]
    pub(super) frequency: f64,
    /// Mean to add, as a share of the shape's RMS
    #[arg(long, global = true, value_parser = ratio, default_value = "0", allow_hyphen_values = true)]
    pub(super) offset: f64,
    /// White noise to add, RMS as a share of the shape's RMS
    #[arg(long, global = true, value_parser = ratio, default_value = "0")]
    pub(super) noise: f64,
    /// Seed of the noise
    #[arg(long, global = true, default_value_t = 1)]
    pub(super) seed: u64,
    /// Leave out every harmonic above this order
    #[arg(long, global = true, value_name = "ORDER")]
    pub(super) highest_order: Option<usize>,
}

#[derive(Debug, Subcommand)]
pub(super) enum ShapeCommand {
    /// A pure sine
    Sine,
    /// A sine with harmonics, each as ORDER:RATIO:PHASE
    #[command(after_help = "Example:\n  loopcrest shape harmonics 3:20%:180deg")]
    Harmonics {
        /// Such as 3:20%:180deg; the phase counts from the zero crossing of the fundamental
        #[arg(required = true, value_name = "ORDER:RATIO:PHASE")]
        list: Vec<HarmonicArg>,
    },
    /// A sine with its top cut off
    #[command(after_help = "Example:\n  loopcrest shape clipped-sine 80% --sharpness hard")]
    ClippedSine {
        /// Height of the knee as a share of the sine's peak
        #[arg(value_parser = ratio)]
        level: f64,
        /// Knee from 1 (soft) upwards, or "hard"
        #[arg(long, value_parser = sharpness, default_value = "8")]
        sharpness: f64,
    },
    /// A sine switched on late in each half period
    #[command(after_help = "Example:\n  loopcrest shape phase-cut 90deg")]
    PhaseCut {
        /// Delay after each zero crossing
        #[arg(value_parser = angle)]
        delay: f64,
    },
    /// Pulses of alternating sign
    #[command(after_help = "Example:\n  loopcrest shape pulse 25%")]
    Pulse {
        /// Share of each half period that conducts
        #[arg(value_parser = ratio)]
        duty: f64,
    },
    /// A triangle
    Triangle,
    /// A square wave
    Square,
    /// A trapezoid with equal ramps
    #[command(after_help = "Example:\n  loopcrest shape trapezoid 60%")]
    Trapezoid {
        /// Share of each half period at the flat top
        #[arg(value_parser = ratio)]
        flat: f64,
    },
    /// Blocks of 120 degrees of alternating sign
    #[command(name = "block-120")]
    Block120,
    /// The positive halves of a sine
    HalfWave,
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest capture scope.csv\n  \
                        loopcrest capture scope.csv --column CH2 --clamp 100mV/A --step 5\n  \
                        loopcrest capture logger.txt --sample-rate 2kHz --unit mA\n\n\
                        A bare number is in hertz, seconds or volts per ampere.")]
pub(super) struct CaptureArgs {
    /// The file an oscilloscope or logger wrote
    pub(super) file: PathBuf,
    #[command(flatten)]
    pub(super) channel: super::channel_args::ChannelArgs,
    /// Say how the file was understood, and which option changes what
    #[arg(long)]
    pub(super) explain: bool,
    /// Use the record from this time on, in seconds after the first sample
    #[arg(long, value_parser = time, allow_hyphen_values = true)]
    pub(super) from: Option<f64>,
    /// Use the record up to this time, in seconds after the first sample
    #[arg(long, value_parser = time, allow_hyphen_values = true)]
    pub(super) to: Option<f64>,
    /// Judge the true RMS against this brightness step; exit code 1 when it is outside the band
    #[arg(long)]
    pub(super) step: Option<u32>,
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest operate --step 3 --load 50%\n  \
                        loopcrest operate bench.toml --rms 4.1A --others 12\n  \
                        loopcrest operate --step 3 --out step3")]
pub(super) struct OperateArgs {
    /// Description file with a [regulator]; the invented example when left out
    pub(super) description: Option<PathBuf>,
    /// Brightness step to hold; the brightest when left out
    #[arg(long, conflicts_with = "rms")]
    pub(super) step: Option<u32>,
    /// Current to hold instead of a step's nominal
    #[arg(long, value_parser = current)]
    pub(super) rms: Option<f64>,
    /// Load as a share of the rated load resistance; the description's when left out
    #[arg(long, value_parser = ratio)]
    pub(super) load: Option<f64>,
    /// Let the control sense the average instead of what the description says
    #[arg(long, value_enum)]
    pub(super) sense: Option<SenseArg>,
    /// Look for other periodic solutions at the same firing delay, from so many starts
    #[arg(long, value_name = "STARTS", default_value_t = 0)]
    pub(super) others: usize,
    /// Folder for plots and numbers; none is written when left out
    #[arg(long, value_name = "FOLDER")]
    pub(super) out: Option<PathBuf>,
    /// Replace the folder named with --out if it exists
    #[arg(long, requires = "out")]
    pub(super) replace: bool,
}

/// What a control senses.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
pub(super) enum SenseArg {
    /// The true RMS.
    TrueRms,
    /// The rectified mean, scaled as for a sine.
    Average,
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest loads\n  \
                        loopcrest loads bench.toml --load 2% --load 60% --sense average\n  \
                        loopcrest loads --out loads --json")]
pub(super) struct LoadsArgs {
    /// Description file with a [regulator]; the invented example when left out
    pub(super) description: Option<PathBuf>,
    /// Load as a share of the rated load resistance (may be given several times)
    /// [default: 2, 10, 25, 50, 75 and 100 %]
    #[arg(long, value_parser = ratio)]
    pub(super) load: Vec<f64>,
    /// Let the control sense this instead of what the description says
    #[arg(long, value_enum)]
    pub(super) sense: Option<SenseArg>,
    /// Folder for plots and numbers; none is written when left out
    #[arg(long, value_name = "FOLDER")]
    pub(super) out: Option<PathBuf>,
    /// Replace the folder named with --out if it exists
    #[arg(long, requires = "out")]
    pub(super) replace: bool,
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest transient --step 3 --then-step 5 --load 50%\n  \
                        loopcrest transient --step 5 --load 60% --then-load 2% --out short\n  \
                        loopcrest transient --step 1 --load 50% --start-up")]
pub(super) struct TransientArgs {
    /// Description file with a [regulator]; the invented example when left out
    pub(super) description: Option<PathBuf>,
    /// Brightness step at the beginning; the brightest when left out
    #[arg(long)]
    pub(super) step: Option<u32>,
    /// Load at the beginning, as a share of the rated load resistance
    #[arg(long, value_parser = ratio)]
    pub(super) load: Option<f64>,
    /// Choose this brightness step during the run
    #[arg(long)]
    pub(super) then_step: Option<u32>,
    /// Change to this load during the run
    #[arg(long, value_parser = ratio)]
    pub(super) then_load: Option<f64>,
    /// Change to this supply voltage during the run, as a share of the rated voltage
    #[arg(long, value_parser = ratio)]
    pub(super) then_voltage: Option<f64>,
    /// Begin at rest instead of at the operating point
    #[arg(long)]
    pub(super) start_up: bool,
    /// When the change comes
    #[arg(long, value_parser = time, default_value = "0.1 s")]
    pub(super) at: f64,
    /// Length of the run
    #[arg(long = "for", value_name = "TIME", value_parser = time, default_value = "2 s")]
    pub(super) duration: f64,
    /// Let the control sense this instead of what the description says
    #[arg(long, value_enum)]
    pub(super) sense: Option<SenseArg>,
    /// Folder for the numbers; none is written when left out
    #[arg(long, value_name = "FOLDER")]
    pub(super) out: Option<PathBuf>,
    /// Replace the folder named with --out if it exists
    #[arg(long, requires = "out")]
    pub(super) replace: bool,
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest follow --step 3 --along load --to 100%\n  \
                        loopcrest follow --step 1 --load 50% --along delay --to 140deg --others 8")]
pub(super) struct FollowArgs {
    /// Description file with a [regulator]; the invented example when left out
    pub(super) description: Option<PathBuf>,
    /// Brightness step held at the beginning; the brightest when left out
    #[arg(long)]
    pub(super) step: Option<u32>,
    /// Load at the beginning, as a share of the rated load resistance
    #[arg(long, value_parser = ratio)]
    pub(super) load: Option<f64>,
    /// What moves; the firing delay is held unless it is that
    #[arg(long, value_enum)]
    pub(super) along: AlongArg,
    /// Where to: a share of the rated load or voltage, or a delay in degrees
    #[arg(long)]
    pub(super) to: String,
    /// Look for other solutions at the beginning from so many starts, and follow them too
    #[arg(long, value_name = "STARTS", default_value_t = 0)]
    pub(super) others: usize,
}

/// What moves while a solution is followed.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
pub(super) enum AlongArg {
    /// The load.
    Load,
    /// The supply voltage.
    Voltage,
    /// The firing delay.
    Delay,
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest contrast\n  loopcrest contrast --step 3 --load 50%")]
pub(super) struct ContrastArgs {
    /// Description file with a [regulator]; the invented example when left out
    pub(super) description: Option<PathBuf>,
    /// Brightness step; the brightest when left out
    #[arg(long)]
    pub(super) step: Option<u32>,
    /// Load as a share of the rated load resistance
    #[arg(long, value_parser = ratio, default_value = "50%")]
    pub(super) load: f64,
    /// Folder for plots and numbers; none is written when left out
    #[arg(long, value_name = "FOLDER")]
    pub(super) out: Option<PathBuf>,
    /// Replace the folder named with --out if it exists
    #[arg(long, requires = "out")]
    pub(super) replace: bool,
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  loopcrest steps\n  loopcrest steps 20A-5-step --json")]
pub(super) struct StepsArgs {
    /// Only this circuit
    pub(super) circuit: Option<String>,
}

#[derive(Debug, Args)]
#[command(
    after_help = "Examples:\n  loopcrest starter bench.toml\n  loopcrest starter > bench.toml\n  \
                        loopcrest starter --procedure procedure.toml"
)]
pub(super) struct StarterArgs {
    /// File to write; standard output when left out
    pub(super) file: Option<PathBuf>,
    /// A procedure for `calibrate` instead of a description
    #[arg(long)]
    pub(super) procedure: bool,
    /// A lesson for `lesson` instead of a description
    #[arg(long, conflicts_with = "procedure")]
    pub(super) lesson: bool,
    /// Write over the file if it exists
    #[arg(long, requires = "file")]
    pub(super) replace: bool,
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
                        loopcrest completions bash > ~/.local/share/bash-completion/completions/loopcrest\n  \
                        loopcrest completions fish > ~/.config/fish/completions/loopcrest.fish")]
pub(super) struct CompletionsArgs {
    /// The shell
    pub(super) shell: Shell,
}
