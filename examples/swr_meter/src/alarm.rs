//! When the alarm line is on.

/// Why the alarm is on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AlarmCause {
    /// The SWR is above its limit.
    Swr,
    /// A detector sees more than its table or the converter can tell.
    TooMuch,
    /// There is power on the line, or may be, and it cannot be measured.
    NotMeasured,
}

/// Comes with its cause, at once, and stays for a time after it, so that a relay on the line does not chatter.
#[derive(Clone, Copy, Debug, Default)]
pub struct Alarm {
    cause: Option<AlarmCause>,
    left_ms: u32,
}

impl Alarm {
    /// Off.
    pub const fn new() -> Self {
        Self {
            cause: None,
            left_ms: 0,
        }
    }

    /// What there is to be alarmed about now; returns the cause for which the alarm is on.
    pub fn take(&mut self, cause: Option<AlarmCause>, elapsed_ms: u32, hold_ms: u32) -> Option<AlarmCause> {
        if cause.is_some() {
            *self = Self {
                cause,
                left_ms: hold_ms,
            };
        } else {
            self.left_ms = self.left_ms.saturating_sub(elapsed_ms);
            if self.left_ms == 0 {
                self.cause = None;
            }
        }
        self.cause
    }
}
