//! A setup to try the meter with. **Invented:** no real diode, coupler or transmitter is behind these figures. With a table
//! of somebody else's diodes the power and the SWR are wrong: make your own (README.md says how).

use crate::setup::{Levels, Setup};

/// A coupler of 30 dB for a telemetry transmitter of the invented scenario, with a converter of twelve bits.
pub const DEMO: Setup = Setup {
    full_scale: 4_095,
    reference_milliohms: 50_000,
    coupling_hundredths: 3_000,
    directivity_hundredths: 2_500,
    weakest_microvolts: 40_000,
    limit_thousandths: 2_000,
    judged_from_milliwatts: 250,
    alarm_hold_ms: 1_000,
    peak_hold_ms: 1_500,
    stuck_after: 500,
    forward: DEMO_LEVELS,
    reverse: DEMO_LEVELS,
};

/// A diode that gives little below 50 mV and becomes straight above half a volt. Invented.
const DEMO_LEVELS: Levels = Levels::of([
    (12, 20_000),
    (20, 30_000),
    (33, 42_000),
    (52, 57_000),
    (80, 78_000),
    (124, 108_000),
    (190, 150_000),
    (285, 208_000),
    (420, 288_000),
    (610, 400_000),
    (1_050, 654_000),
    (2_000, 1_195_000),
    (4_000, 2_330_000),
]);
