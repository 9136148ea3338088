//! A line of text over several lines that are narrower, or without the blanks between.

/// The pieces of a text, each as many words as fit in a number of columns; a text that fits is one piece as it stands.
///
/// Blanks between label and value count as one where the text is divided. A word that is longer than a line is cut.
pub(super) struct Wrapped<'a> {
    rest: &'a str,
    columns: usize,
}

impl<'a> Wrapped<'a> {
    pub(super) fn new(text: &'a str, columns: usize) -> Self {
        Self {
            rest: text.trim_ascii_end(),
            columns,
        }
    }
}

impl<'a> Iterator for Wrapped<'a> {
    type Item = &'a str;

    fn next(&mut self) -> Option<&'a str> {
        let text = self.rest.trim_ascii_start();
        if text.is_empty() {
            return None;
        }
        // The longest beginning that ends before a blank and fits.
        let is_end = |end: &usize| {
            *end == text.len() || text.as_bytes().get(*end).is_some_and(u8::is_ascii_whitespace)
        };
        let end = (1..=text.len().min(self.columns))
            .rev()
            .find(is_end)
            .unwrap_or(self.columns.min(text.len()));
        let (line, rest) = text.split_at_checked(end).unwrap_or((text, ""));
        self.rest = rest;
        Some(line.trim_ascii_end())
    }
}

/// Copies words to a place in a line, one blank between each two, and returns where they end; what does not fit is left out.
pub(super) fn close_up(line: &mut [u8], mut at: usize, words: &str) -> usize {
    let mut is_first = true;
    for word in words.split_ascii_whitespace() {
        at = at.saturating_add(usize::from(!is_first));
        is_first = false;
        let end = at.saturating_add(word.len());
        if let Some(place) = line.get_mut(at..end) {
            place.copy_from_slice(word.as_bytes());
        }
        at = end;
    }
    at
}
