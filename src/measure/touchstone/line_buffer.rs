//! From bytes to lines that end with LF, CR or CR LF.

use super::error::{TouchstoneCause, TouchstoneError};

/// The lines of `bytes`, without their ends.
///
/// LF, CR and CR LF each end a line. Bytes after the last end make one more line, if there are any.
///
/// ```
/// use ohmwright::measure::touchstone::lines;
///
/// let mut found = lines(b"one\r\ntwo\n\nthree\rfour");
/// assert_eq!(found.next(), Some(&b"one"[..]));
/// assert_eq!(found.next(), Some(&b"two"[..]));
/// assert_eq!(found.next(), Some(&b""[..]));
/// assert_eq!(found.next(), Some(&b"three"[..]));
/// assert_eq!(found.next(), Some(&b"four"[..]));
/// assert_eq!(found.next(), None);
/// ```
#[must_use]
pub const fn lines(bytes: &[u8]) -> Lines<'_> {
    Lines { rest: bytes }
}

/// Iterator over the lines of a slice, made by [`lines`].
#[derive(Clone, Debug)]
pub struct Lines<'a> {
    rest: &'a [u8],
}

#[cfg(feature = "defmt")]
impl defmt::Format for Lines<'_> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "lines of a slice");
    }
}

impl<'a> Iterator for Lines<'a> {
    type Item = &'a [u8];

    fn next(&mut self) -> Option<Self::Item> {
        if self.rest.is_empty() {
            return None;
        }
        let end = self.rest.iter().position(|byte| matches!(byte, b'\r' | b'\n'));
        let (line, tail) = end
            .and_then(|end| self.rest.split_at_checked(end))
            .unwrap_or((self.rest, &[]));
        self.rest = match tail {
            [b'\r', b'\n', rest @ ..] | [_, rest @ ..] => rest,
            [] => &[],
        };
        Some(line)
    }
}

impl core::iter::FusedIterator for Lines<'_> {}

/// Collects the bytes of a stream into lines of at most `N` bytes.
///
/// Line ends may be anywhere, also between two chunks. A longer line gives one error, at the first byte that does not
/// fit, and its other bytes are dropped. A line with data needs some 80 bytes; comments may be longer.
///
/// ```
/// use ohmwright::measure::touchstone::{LineBuffer, Reader};
///
/// let mut reader = Reader::new();
/// let mut buffer = LineBuffer::<128>::new();
/// let chunks: [&[u8]; 3] = [b"# MHz S RI R 50\r", b"\n144 0.25", b" 0.5\r\n145 0 0"];
/// for mut chunk in chunks {
///     while let Some(line) = buffer.feed(&mut chunk)? {
///         reader.line(line)?;
///     }
/// }
/// if let Some(line) = buffer.end() {
///     reader.line(line)?;
/// }
/// assert_eq!(reader.finish()?.records, 2);
/// # Ok::<(), ohmwright::measure::touchstone::TouchstoneError>(())
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LineBuffer<const N: usize> {
    bytes: [u8; N],
    length: usize,
    /// The line in the buffer was returned; the next byte begins a new one.
    complete: bool,
    /// The line was too long; its error was returned.
    dropping: bool,
    /// The last byte was a CR, so a LF now belongs to it.
    after_return: bool,
    lines: u32,
}

#[cfg(feature = "defmt")]
impl<const N: usize> defmt::Format for LineBuffer<N> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "line of at most {=usize} bytes", N);
    }
}

/// The result of one byte.
enum Step {
    More,
    Line,
    TooLong,
}

impl<const N: usize> LineBuffer<N> {
    /// An empty buffer.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            bytes: [0; N],
            length: 0,
            complete: false,
            dropping: false,
            after_return: false,
            lines: 0,
        }
    }

    /// Takes one byte. Returns a line if the byte ends it.
    ///
    /// # Errors
    /// [`TouchstoneCause::LineTooLong`] at the first byte that does not fit. A caller that goes on should call
    /// [`Reader::skip_line`](super::Reader::skip_line).
    pub fn push(&mut self, byte: u8) -> Result<Option<&[u8]>, TouchstoneError> {
        match self.step(byte) {
            Step::More => Ok(None),
            Step::Line => Ok(self.bytes.get(..self.length)),
            Step::TooLong => Err(self.too_long()),
        }
    }

    /// Takes bytes from the front of the chunk up to the end of a line. Call it until `None`: the chunk is used up.
    ///
    /// # Errors
    /// As [`push`](Self::push). The chunk then begins after the byte that did not fit.
    pub fn feed(&mut self, chunk: &mut &[u8]) -> Result<Option<&[u8]>, TouchstoneError> {
        while let Some((&byte, rest)) = chunk.split_first() {
            *chunk = rest;
            match self.step(byte) {
                Step::More => {}
                Step::Line => return Ok(self.bytes.get(..self.length)),
                Step::TooLong => return Err(self.too_long()),
            }
        }
        Ok(None)
    }

    /// Ends the stream. Returns an unfinished last line, if any. The buffer is then ready for another stream.
    pub fn end(&mut self) -> Option<&[u8]> {
        let open = !self.complete && !self.dropping && self.length > 0;
        self.complete = true;
        self.dropping = false;
        self.after_return = false;
        self.lines = 0;
        if open { self.bytes.get(..self.length) } else { None }
    }

    fn step(&mut self, byte: u8) -> Step {
        if self.complete {
            self.complete = false;
            self.length = 0;
        }
        let after_return = core::mem::replace(&mut self.after_return, byte == b'\r');
        match byte {
            b'\n' if after_return => Step::More,
            b'\r' | b'\n' => {
                self.complete = true;
                if core::mem::take(&mut self.dropping) {
                    return Step::More;
                }
                self.lines = self.lines.saturating_add(1);
                Step::Line
            }
            _ if self.dropping => Step::More,
            _ => match self.bytes.get_mut(self.length) {
                Some(slot) => {
                    *slot = byte;
                    self.length = self.length.saturating_add(1);
                    Step::More
                }
                None => {
                    self.dropping = true;
                    self.lines = self.lines.saturating_add(1);
                    Step::TooLong
                }
            },
        }
    }

    const fn too_long(&self) -> TouchstoneError {
        TouchstoneError {
            line: self.lines,
            cause: TouchstoneCause::LineTooLong { limit: N },
        }
    }
}

impl<const N: usize> Default for LineBuffer<N> {
    fn default() -> Self {
        Self::new()
    }
}
