use std::io::IsTerminal;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// How far a file is read, with the time left, on standard error and only on a terminal.
pub(super) struct Progress {
    bar: ProgressBar,
}

impl Progress {
    pub(super) fn begin(name: &str, size_bytes: u64) -> Self {
        let bar = ProgressBar::new(size_bytes);
        let shown = std::io::stderr().is_terminal();
        bar.set_draw_target(if shown {
            ProgressDrawTarget::stderr()
        } else {
            ProgressDrawTarget::hidden()
        });
        let style =
            ProgressStyle::with_template("{msg} [{bar:30}] {bytes} of {total_bytes}, {eta} left");
        bar.set_style(style.expect("the template is fixed and a test draws it"));
        bar.set_message(name.to_owned());
        Self { bar }
    }

    pub(super) fn at(&self, done_bytes: u64) {
        self.bar.set_position(done_bytes);
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_template_holds_and_the_bar_moves() {
        let progress = Progress::begin("record.csv", 100);
        progress.at(40);
        assert_eq!(progress.bar.position(), 40);
        assert_eq!(progress.bar.length(), Some(100));
    }
}
