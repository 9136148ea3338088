//! The bytes that a line may hold.

use super::error::TouchstoneCause;

/// Accepts printable ASCII, space and tab only (Version 2.0, general rule 2).
pub(super) fn check_characters(line: &[u8]) -> Result<(), TouchstoneCause> {
    match line.iter().find(|&&byte| !matches!(byte, b'\t' | b' '..=b'~')) {
        None => Ok(()),
        Some(&byte) if byte.is_ascii() => Err(TouchstoneCause::ControlCharacter(byte)),
        Some(&byte) => Err(TouchstoneCause::NotAscii(byte)),
    }
}
