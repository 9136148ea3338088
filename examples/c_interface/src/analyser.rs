//! An analyser in bytes that C owns.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::SweepAnalyser;

use crate::{ROOM, Status};

/// How many words of 64 bits an analyser takes at most.
pub const WORDS: usize = 704;

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

impl Family for ohmwright::arithmetic::Fixed32 {
    const MARK: u64 = 0x6f68_6d5f_6669_7865;
}

impl Family for f32 {
    const MARK: u64 = 0x6f68_6d5f_666c_6f61;
}

type Analyser<A> = SweepAnalyser<A, ROOM>;

/// The analyser fits, wants no stricter place than the words have, and needs no farewell.
const fn fits<A: Family>() {
    assert!(size_of::<Analyser<A>>() <= 8 * WORDS);
    assert!(align_of::<Analyser<A>>() <= 8);
}

pub(crate) fn start<A: Family>(storage: Option<&mut Storage>, analyser: Analyser<A>) -> Status {
    const { fits::<A>() };
    let Some(storage) = storage else {
        return Status::NullPointer;
    };
    // SAFETY: the words are large enough and aligned, as was checked above, and belong to the caller alone.
    unsafe { storage.words.as_mut_ptr().cast::<Analyser<A>>().write(analyser) };
    storage.started = A::MARK;
    Status::Done
}

pub(crate) fn at<A: Family>(storage: Option<&Storage>) -> Result<&Analyser<A>, Status> {
    let storage = storage.ok_or(Status::NullPointer)?;
    if storage.started != A::MARK {
        return Err(Status::NotStarted);
    }
    // SAFETY: `start` wrote an analyser of this family there, and only this crate changes it.
    Ok(unsafe { &*storage.words.as_ptr().cast::<Analyser<A>>() })
}

pub(crate) fn at_mut<A: Family>(storage: Option<&mut Storage>) -> Result<&mut Analyser<A>, Status> {
    let storage = storage.ok_or(Status::NullPointer)?;
    if storage.started != A::MARK {
        return Err(Status::NotStarted);
    }
    // SAFETY: as in `at`; the reference given is the only one.
    Ok(unsafe { &mut *storage.words.as_mut_ptr().cast::<Analyser<A>>() })
}
