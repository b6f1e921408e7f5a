//! The temperatures over time as CSV, row by row, thinned so that no peak is hidden.

use crate::assessment::long_history::{Clock, Moment};
use crate::cli::Failure;
use crate::cli::output::OpenFile;
use crate::input::columns::Zero;
use crate::report::trajectory_row::{COLUMNS, write_row};

/// A file of temperatures over time.
pub(super) struct Trajectory {
    file: OpenFile,
    every_min: Option<f64>,
    clock: bool,
    /// The span of [`Self::every_min`] that is being gone through, and its hottest moment.
    hottest: Option<(f64, Moment)>,
    row: String,
}

impl Trajectory {
    /// Begins with the header.
    pub(super) fn new(
        mut file: OpenFile,
        every_min: Option<f64>,
        clock: bool,
    ) -> Result<Self, Failure> {
        let time = if clock { "time" } else { "minute" };
        let header = format!("{time},{COLUMNS}\n");
        file.write(header.as_bytes())?;
        Ok(Self { file, every_min, clock, hottest: None, row: String::new() })
    }

    /// Takes the next moment.
    pub(super) fn add(&mut self, moment: Moment, zero: Zero) -> Result<(), Failure> {
        let Some(every_min) = self.every_min else {
            return self.write(&moment, zero);
        };
        let span = (moment.minute / every_min).floor();
        match &mut self.hottest {
            Some((of, hottest)) if of.total_cmp(&span).is_eq() => {
                if moment.hot_spot_c > hottest.hot_spot_c {
                    *hottest = moment;
                }
                Ok(())
            }
            _ => {
                let done = self.hottest.replace((span, moment));
                done.map_or(Ok(()), |(_, hottest)| self.write(&hottest, zero))
            }
        }
    }

    /// Writes the last span and puts the file in its place.
    pub(super) fn keep(mut self, zero: Zero) -> Result<(), Failure> {
        if let Some((_, hottest)) = self.hottest.take() {
            self.write(&hottest, zero)?;
        }
        self.file.keep()
    }

    fn write(&mut self, moment: &Moment, zero: Zero) -> Result<(), Failure> {
        let time = Clock(zero.0.filter(|_| self.clock)).at(moment.minute);
        write_row(&mut self.row, moment, time);
        self.file.write(self.row.as_bytes())
    }
}
