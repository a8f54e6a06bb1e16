//! The `loopcrest` program: hands the arguments to the command line and returns its exit code.

fn main() -> std::process::ExitCode {
    loopcrest::cli::run(std::env::args_os())
}
