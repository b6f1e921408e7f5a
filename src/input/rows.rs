//! CSV tables read row by row, in bounded memory whatever their length.

use super::InputError;
use super::columns::{Column, Header, unreadable};
use super::table::no_rows;
use std::io::{self, Read};

/// A row for which more than this must be read has lost its end: a missing line end or quote.
const LONGEST_ROW_BYTES: usize = 1 << 20;

/// A CSV table of which one row is held at a time.
#[derive(Debug)]
pub struct Rows<R> {
    place: String,
    reader: csv::Reader<Fenced<R>>,
    header: Header,
    record: csv::StringRecord,
    line: usize,
    any: bool,
}

impl<R: Read> Rows<R> {
    /// Reads the header; lines that begin with `#` are comments.
    ///
    /// # Errors
    /// [`InputError`]: no header, an unknown or doubled column, text that is not UTF-8 CSV.
    pub fn new(place: &str, source: R, accepted: &[&str]) -> Result<Self, InputError> {
        // Cells are trimmed where they are looked at: trimming a record copies it.
        let mut reader = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .trim(csv::Trim::Headers)
            .buffer_capacity(1 << 16)
            .from_reader(Fenced { source, left: LONGEST_ROW_BYTES });
        let header = Header::read(place, &mut reader, accepted)?;
        let record = csv::StringRecord::new();
        Ok(Self { place: place.to_owned(), reader, header, record, line: 1, any: false })
    }

    /// The header.
    pub fn header(&self) -> &Header {
        &self.header
    }

    /// Goes on to the next row; `false` after the last one.
    ///
    /// # Errors
    /// [`InputError`]: no row at all, a row of another length than the header or without an end,
    /// text that is not UTF-8 CSV, a file that cannot be read on.
    pub fn advance(&mut self) -> Result<bool, InputError> {
        self.reader.get_mut().left = LONGEST_ROW_BYTES;
        let begins = self.reader.position().line();
        let more = self.reader.read_record(&mut self.record).map_err(|error| {
            let refused = unreadable(&self.place, &error);
            let begins = usize::try_from(begins).unwrap_or(0);
            if refused.line.is_none() { refused.at_line(begins) } else { refused }
        })?;
        if !more && !self.any {
            return Err(no_rows(&self.place));
        }
        self.any = true;
        let line = self.record.position().map_or(begins, csv::Position::line);
        self.line = usize::try_from(line).unwrap_or(0);
        Ok(more)
    }

    /// A cell of the row.
    pub fn cell(&self, column: Column) -> &str {
        self.record.get(column.0).unwrap_or("").trim()
    }

    /// The line of the row, from 1.
    pub fn line(&self) -> usize {
        self.line
    }

    /// An error at a cell of the row.
    pub fn refused(&self, column: Column, found: &str, accepted: &str) -> InputError {
        self.header.refused(self.line, column, found, accepted)
    }

    /// A number in a cell of the row, read by `parse`, which says what is accepted.
    ///
    /// # Errors
    /// [`InputError`] at the cell.
    pub fn number(
        &self,
        column: Column,
        parse: impl Fn(&str) -> Result<f64, String>,
    ) -> Result<f64, InputError> {
        let cell = self.cell(column);
        parse(cell).map_err(|accepted| self.refused(column, cell, &accepted))
    }
}

/// A source that gives no more than a row's worth before somebody sees a row.
#[derive(Debug)]
struct Fenced<R> {
    source: R,
    left: usize,
}

impl<R: Read> Read for Fenced<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.left == 0 {
            let found = format!("more than {LONGEST_ROW_BYTES} bytes without the end of a row");
            return Err(io::Error::other(found));
        }
        let most = buffer.len().min(self.left);
        let read = self.source.read(&mut buffer[..most])?;
        self.left -= read;
        Ok(read)
    }
}
