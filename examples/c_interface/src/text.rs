//! Lines of text in buffers that C owns.

use core::ffi::c_char;

use ohmwright::show::text::TextError;

use crate::Status;

/// Fills all of a buffer but its last byte with the line, and that with the 0 that ends a string in C.
///
/// # Safety
/// `line` is null, or points to `size` bytes that the caller may write.
pub(crate) unsafe fn fill(
    line: *mut c_char,
    size: usize,
    write: impl FnOnce(&mut [u8]) -> Result<&str, TextError>,
) -> Status {
    if line.is_null() {
        return Status::NullPointer;
    }
    // SAFETY: the caller's promise; a `char` is a byte.
    let bytes = unsafe { core::slice::from_raw_parts_mut(line.cast::<u8>(), size) };
    let Some((end, text)) = bytes.split_last_mut() else {
        return Status::NoRoom;
    };
    // Also where there was no room, and the line is blank.
    *end = 0;
    match write(text) {
        Ok(_) => Status::Done,
        Err(_) => Status::NoRoom,
    }
}
