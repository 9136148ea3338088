//! A line of text of the display's width.

use core::fmt::{self, Write};

/// Columns of six pixels on 128.
pub(crate) const COLUMNS: usize = 21;

/// ASCII, cut at the end of the line.
pub(crate) struct Line {
    bytes: [u8; COLUMNS],
    used: usize,
}

impl Line {
    pub(crate) fn of(what: fmt::Arguments<'_>) -> Self {
        let mut line = Self {
            bytes: [b' '; COLUMNS],
            used: 0,
        };
        // It takes everything; a text that ends with an error of its own stands as far as it came.
        let _ = line.write_fmt(what);
        line
    }

    pub(crate) fn text(&self) -> &str {
        core::str::from_utf8(self.bytes.get(..self.used).unwrap_or(&[])).unwrap_or("?")
    }
}

impl Write for Line {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        let room = self.bytes.iter_mut().skip(self.used);
        self.used += room
            .zip(text.bytes().map(|byte| if byte.is_ascii() { byte } else { b'?' }))
            .map(|(to, from)| *to = from)
            .count();
        Ok(())
    }
}
