//! The words of a next step, the same in both families. 32 bits wide, whatever the compiler makes of an enumeration.

/// What to do.
#[repr(u32)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum StepKind {
    /// Leave it as it is.
    #[default]
    Leave = 0,
    /// Move the element: multiply it by the factor.
    Move = 1,
    /// Wind other turns: in place of the winding that was named, or else a further transformer, primary towards the source.
    Turns = 2,
    /// Add the part at the plane of the measurement, on the source's side of everything that is there.
    Part = 3,
    /// Wind other turns and add the part on the source's side of them.
    TurnsAndPart = 4,
    /// Sweep wider, as far as `until_hz`.
    SweepWider = 5,
    /// Nothing: there is no dip to move.
    NoDip = 6,
    /// Measure again, after what the reason says.
    MeasureAgain = 7,
    /// Take the cable out of the reading, then ask again.
    TakeOutLine = 8,
    /// What this interface has no word for yet; the line of text has one.
    Other = 9,
}

/// Why.
#[repr(u32)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum StepReason {
    /// The SWR at the target is within the limit.
    #[default]
    Matched = 0,
    /// Nothing that can be changed leaves distinctly less.
    NothingGains = 1,
    /// The dip stands below the target.
    DipBelow = 2,
    /// The dip stands above the target.
    DipAbove = 3,
    /// The ratio is wrong.
    Ratio = 4,
    /// Reactance is left.
    Reactance = 5,
    /// Both are wrong.
    RatioAndReactance = 6,
    /// The sweep does not reach the target, and has no dip to move.
    TargetNotSwept = 7,
    /// The sweep has no dip inside that could be moved to the target.
    DipOutside = 8,
    /// Nothing is connected: an open at all frequencies.
    Open = 9,
    /// A short at all frequencies.
    Short = 10,
    /// The load is the same at all frequencies.
    FlatLoad = 11,
    /// A cable with an open or short end.
    CableEnd = 12,
    /// Samples at what matters fit none of their neighbours.
    Spoilt = 13,
    /// The reflection coefficient is above 1 in size by more than the noise.
    BeyondRim = 14,
    /// The noise is too large for an answer.
    Noise = 15,
    /// The steps of the sweep are too coarse for an answer.
    TooCoarse = 16,
    /// The readings look as if they had not been corrected.
    Uncorrected = 17,
    /// A line is between the instrument and the load.
    Line = 18,
    /// The load has no resistance that power could go into.
    NoResistance = 19,
    /// No point has been measured yet.
    NoSweep = 20,
    /// What this interface has no word for yet.
    Other = 21,
}

/// The part that can be adjusted.
#[repr(u32)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Element {
    /// The inductance that resonates.
    #[default]
    Inductance = 0,
    /// The capacitance that resonates.
    Capacitance = 1,
    /// The turns of a coil of fixed length and diameter.
    Turns = 2,
    /// The length of a wire antenna.
    Length = 3,
}

/// Which way to move the element.
#[repr(u32)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum StepDirection {
    /// Not at all.
    #[default]
    Keep = 0,
    /// Less of it; shorter.
    Less = 1,
    /// More of it; longer.
    More = 2,
}

/// Where a part is added.
#[repr(u32)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PartPlace {
    /// No part is added.
    #[default]
    None = 0,
    /// In series.
    Series = 1,
    /// Across.
    Across = 2,
}

/// What part is added.
#[repr(u32)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PartKind {
    /// None.
    #[default]
    None = 0,
    /// A coil.
    Inductor = 1,
    /// A capacitor.
    Capacitor = 2,
}

/// Where to look for a dip that the sweep does not show.
#[repr(u32)]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SweepToward {
    /// Nowhere.
    #[default]
    Nowhere = 0,
    /// Below the sweep.
    Lower = 1,
    /// Above the sweep.
    Higher = 2,
    /// On both sides.
    Both = 3,
}

/// A library's word as C has it.
macro_rules! words {
    ($($library:ident => $word:ident { $($name:ident),* } else $other:ident;)*) => { $(
        impl From<ohmwright::measure::$library> for $word {
            fn from(word: ohmwright::measure::$library) -> Self {
                use ohmwright::measure::$library as Library;
                #[allow(unreachable_patterns, reason = "only some of them may grow")]
                match word {
                    $(Library::$name => Self::$name,)*
                    _ => Self::$other,
                }
            }
        }
    )* };
}

words! {
    Reason => StepReason {
        Matched, NothingGains, DipBelow, DipAbove, Ratio, Reactance, RatioAndReactance, TargetNotSwept, DipOutside, Open,
        Short, FlatLoad, CableEnd, Spoilt, BeyondRim, Noise, TooCoarse, Uncorrected, Line, NoResistance, NoSweep
    } else Other;
    Direction => StepDirection { Keep, Less, More } else Keep;
    Placement => PartPlace { Series, Across } else None;
    Toward => SweepToward { Lower, Higher, Both } else Nowhere;
}
