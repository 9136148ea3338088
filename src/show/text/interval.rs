//! The lines of a reading whose error is known.

use super::super::number::Writer;
use super::{TextError, verdict};
use crate::arithmetic::Arithmetic;
use crate::measure::detector::SwrInterval;
use crate::measure::{Certainty, SweepReport, Target, Uncertainty};

/// `SWR     1.58 to 1.71`: the SWRs that a reading may stand for, from an
/// [`Uncertainty`] or a [scalar reading](crate::measure::detector::ScalarReading::swr_interval).
///
/// `SWR     1.58 or more` where all may be reflected; where both ends look alike it is one number, `SWR             1.64`.
/// Two decimals below 10, one below 100, none below 1000, `>999` above. Twenty columns hold every line.
///
/// # Errors
/// [`TextError::BufferTooShort`]; the line is then blank.
pub fn swr_interval<'a, A: Arithmetic>(
    line: &'a mut [u8],
    interval: &SwrInterval<A>,
) -> Result<&'a str, TextError> {
    // The longest is `99.9`.
    let (mut low, mut high) = ([b' '; 5], [b' '; 5]);
    let low = short(&mut low, interval.low);
    let mut text = Writer::new(line);
    match interval.high {
        None => text.words(" or more"),
        Some(end) => {
            let high = short(&mut high, end);
            if high != low {
                text.words(high);
                text.words(" to ");
            }
        }
    }
    text.words(low);
    text.label("SWR")
}

fn short<A: Arithmetic>(room: &mut [u8], swr: crate::quantity::Swr<A>) -> &str {
    let mut text = Writer::new(room);
    text.short_swr(swr);
    text.text().trim_ascii_start()
}

/// As [`verdict`], and with a mark where the error of the reading reaches over the limit: `pass ?      SWR 1.48`,
/// `fail ?      SWR 1.52`.
///
/// # Errors
/// [`TextError::BufferTooShort`]; the line is then blank.
pub fn verdict_within<'a, A: Arithmetic, const N: usize>(
    line: &'a mut [u8],
    report: &SweepReport<A, N>,
    uncertainty: &Uncertainty<A>,
) -> Result<&'a str, TextError> {
    if let Target::Reading(reading) = report.target()
        && uncertainty.judge(reading.reflection, report.swr_limit()) == Ok(Certainty::Undecided)
    {
        let mut text = Writer::new(line);
        text.swr(reading.reflection);
        text.words("SWR ");
        return text.label(if reading.pass { "pass ?" } else { "fail ?" });
    }
    verdict(line, report)
}
