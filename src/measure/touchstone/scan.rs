//! Bytes of one line: line end, comment, tokens.

/// A byte order mark in UTF-8, which some editors put before the first line.
const BYTE_ORDER_MARK: &[u8] = b"\xEF\xBB\xBF";

/// The line without a byte order mark, and whether it had one.
pub(super) fn without_byte_order_mark(line: &[u8]) -> (&[u8], bool) {
    line.strip_prefix(BYTE_ORDER_MARK)
        .map_or((line, false), |rest| (rest, true))
}

/// The line without its LF, CR or CR LF.
pub(super) fn without_line_end(line: &[u8]) -> &[u8] {
    let line = line.strip_suffix(b"\n").unwrap_or(line);
    line.strip_suffix(b"\r").unwrap_or(line)
}

/// The text before a `!`, without blanks at either end.
pub(super) fn without_comment(line: &[u8]) -> &[u8] {
    trim(line.split(|&byte| byte == b'!').next().unwrap_or_default())
}

/// The text without spaces and tabs at either end.
pub(super) fn trim(mut text: &[u8]) -> &[u8] {
    while let [b' ' | b'\t', rest @ ..] | [rest @ .., b' ' | b'\t'] = text {
        text = rest;
    }
    text
}

/// The parts between spaces and tabs.
pub(super) fn tokens(text: &[u8]) -> impl Iterator<Item = &[u8]> {
    text.split(|byte| matches!(byte, b' ' | b'\t'))
        .filter(|token| !token.is_empty())
}
