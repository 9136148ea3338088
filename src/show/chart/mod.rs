//! Smith chart, SWR or return-loss curve, or both, drawn during the sweep, and |Γ| against distance after it (feature
//! `embedded-graphics`).
//!
//! Everything is drawn directly on a [`DrawTarget`](embedded_graphics::draw_target::DrawTarget), point by point: there
//! is no frame buffer, and only the last pixel of the trace is stored. Coordinates are integers; each pixel of a grid
//! line lies within half a pixel of its curve.
//!
//! A [`Palette`] gives the colours. No information is in colour alone: the trace is a solid line, the grid is pale or
//! dotted, a limit is dashed, a dip or a fault is a ring and the target a cross.

mod curve;
mod distance;
mod frame;
mod layout;
mod palette;
mod raster;
mod screen;
mod smith;
mod trace;
mod wrap;

pub use curve::{CurveChart, CurveScale};
pub use distance::DistanceChart;
pub use layout::Rooms;
pub use palette::Palette;
pub use screen::{Doubled, Screen, ScreenError};
pub use smith::SmithChart;

/// What a mark stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Mark {
    /// A dip: a ring.
    Dip,
    /// The target: an upright cross.
    Target,
}
