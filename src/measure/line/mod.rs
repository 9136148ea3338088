//! What a sweep says of the line behind the instrument: how far away something reflects, and how long, how lossy and of
//! what impedance a cable is.
//!
//! **A cable on a transmitter is taken off it before it is measured**, and so is everything else that may send power
//! into it. A long cable or an antenna may hold a static charge: discharge it before it is connected.
//!
//! A reflection at the distance d gives Γ a part that turns by two turns for each wavelength of d. Summed over the
//! sweep with the turning taken out, that part adds up, and all others cancel:
//!
//! ```text
//! h(d) = Σ w(f)·Γ(f)·exp(+j·4π·f·d/v) / Σ w(f)        v = velocity factor · speed of light
//! ```
//!
//! It is the discrete Fourier transform of the sweep (frequency-domain reflectometry; general knowledge of the trade), at
//! chosen distances only. The [window](DistanceWindow) w keeps a strong reflection from covering weak ones beside it.
//!
//! - The **resolution** is v/(2·span): the width of the sweep decides it, not the number of points.
//! - The **unambiguous range** is v/(2·step): what lies beyond it appears again from 0 on.
//!
//! [`DistanceSweep`] takes a sweep point by point and holds one sum for each distance. [`CableSweep`] does the same for a
//! cable with a known kind of end. To take a known cable out of a sweep, see
//! [`Line::load_reflection`](crate::design::line::Line::load_reflection).

mod cable;
mod distance;
pub(crate) mod echoes;
mod span;

pub use cable::{CableEnd, CableReport, CableSettings, CableSweep};
pub use distance::{DistanceSettings, DistanceSweep, DistanceWindow, Fault};
pub use span::LineError;
