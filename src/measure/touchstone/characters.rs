//! Which bytes a line may hold.

use super::error::Cause;

/// Lets pass printable ASCII, space and tab only (Version 2.0, general rule 2).
pub(super) fn check_characters(line: &[u8]) -> Result<(), Cause> {
    match line.iter().find(|&&byte| !matches!(byte, b'\t' | b' '..=b'~')) {
        None => Ok(()),
        Some(&byte) if byte.is_ascii() => Err(Cause::ControlCharacter(byte)),
        Some(&byte) => Err(Cause::NotAscii(byte)),
    }
}
