//! A sweep, one point at a time: its figures, also between points, and its check against a mask.

mod analyser;
mod cell;
mod choice;
mod curve;
mod echo;
mod find;
mod fit;
mod mask;
mod noise;
mod quality;
mod report;
mod scale;
mod sieve;
mod survey;
mod three_point;
mod tolerance;
mod window;

pub use analyser::{SweepAnalyser, SweepError, SweepSettings};
pub(crate) use cell::quotient;
pub use choice::Method;
pub(crate) use echo::Echo;
pub use mask::{MaskCheck, MaskReport, MaskSegment, MaskVerdict, WorstPoint};
pub use quality::{Ripple, SweepQuality};
pub use report::{Dip, Resonance, SweepBand, SweepReport, Target, TargetReading, Unresolved};
pub use survey::SweepSurvey;
pub use three_point::ThreePointAnalyser;
