//! An analyser in bytes that C owns.

use ohmwright::arithmetic::{Arithmetic, Fixed32};
use ohmwright::measure::{SweepAnalyser, SweepSettings, SweepSurvey};

use crate::calls::usable;
use crate::{ROOM, Status};

/// How many words of 64 bits an analyser takes at most, in either family.
pub const WORDS: usize = 415;

/// Bytes of the storage of an analyser: those words, and one that says what they are.
pub const STORAGE_BYTES: usize = 8 * (WORDS + 1);

/// Room for an analyser; only the library looks inside. It may be copied as bytes, and moved.
#[repr(C)]
pub struct Storage {
    /// Says that the rest is an analyser, and of which family.
    started: u64,
    /// The analyser.
    words: [u64; WORDS],
}

/// A family that C may use, and the mark that its analysers bear.
pub(crate) trait Family: Arithmetic {
    const MARK: u64;
}

impl Family for Fixed32 {
    const MARK: u64 = 0x6f68_6d5f_6669_7865;
}

impl Family for f32 {
    const MARK: u64 = 0x6f68_6d5f_666c_6f61;
}

/// A sweep: what finds its figures, and what looks at it as a whole.
pub(crate) struct Sweep<A: Family> {
    pub(crate) analyser: SweepAnalyser<A, ROOM>,
    pub(crate) survey: SweepSurvey,
}

/// The analyser wants no stricter place than the words have, and fits.
const fn fits<A: Family>() {
    assert!(align_of::<Sweep<A>>() <= 8);
    assert!(
        size_of::<Sweep<A>>() <= 8 * WORDS,
        "an analyser needs more: raise WORDS"
    );
}

/// No word more is asked of the caller than the larger of the two takes.
const _: () = {
    let (fixed, float) = (size_of::<Sweep<Fixed32>>(), size_of::<Sweep<f32>>());
    let most = if fixed < float { float } else { fixed };
    assert!(8 * WORDS < most + 8, "no analyser needs so much: lower WORDS");
    assert!(size_of::<Storage>() == STORAGE_BYTES);
};

/// Writes an analyser into a caller's storage.
///
/// # Safety
/// `storage` is null, misaligned, or points to one that the caller may write.
pub(crate) unsafe fn start<A: Family>(storage: *mut Storage, settings: SweepSettings<A>) -> Status {
    const { fits::<A>() };
    if let Err(status) = usable(storage) {
        return status;
    }
    // Each part goes straight to its place: a whole sweep would need the stack of three.
    let Ok(analyser) = SweepAnalyser::new(settings) else {
        return Status::BadNumber;
    };
    // SAFETY: the caller's promise; the words are large enough and aligned, as was checked. Nothing is read of what may
    // never have been written.
    unsafe {
        let sweep = (&raw mut (*storage).words).cast::<Sweep<A>>();
        (&raw mut (*sweep).analyser).write(analyser);
        (&raw mut (*sweep).survey).write(SweepSurvey::new());
        (&raw mut (*storage).started).write(A::MARK);
    }
    Status::Done
}

/// The analyser in a caller's storage.
///
/// # Safety
/// `storage` is null, misaligned, or points to one that the caller may read, and that nobody else writes meanwhile.
pub(crate) unsafe fn at<'a, A: Family>(storage: *const Storage) -> Result<&'a Sweep<A>, Status> {
    usable(storage)?;
    // SAFETY: the caller's promise. `start` wrote an analyser of this family where the mark says so, and only this crate
    // changes it.
    unsafe {
        if (*storage).started != A::MARK {
            return Err(Status::NotStarted);
        }
        Ok(&*(&raw const (*storage).words).cast::<Sweep<A>>())
    }
}

/// The same, to be changed.
///
/// # Safety
/// `storage` is null, misaligned, or points to one that the caller may write, and that nobody else uses meanwhile.
pub(crate) unsafe fn at_mut<'a, A: Family>(storage: *mut Storage) -> Result<&'a mut Sweep<A>, Status> {
    usable(storage)?;
    // SAFETY: as in `at`; the reference given is the only one.
    unsafe {
        if (*storage).started != A::MARK {
            return Err(Status::NotStarted);
        }
        Ok(&mut *(&raw mut (*storage).words).cast::<Sweep<A>>())
    }
}
