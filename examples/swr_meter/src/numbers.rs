//! From the whole numbers of a setup to the quantities of a family, and back to what a display shows.

use ohmwright::arithmetic::{Arithmetic, Fixed32};
use ohmwright::fixed::types::{I16F16, I20F12, U16F16};
use ohmwright::quantity::{Component, Decibels, Ohms, Swr, Volts, Watts};

/// A family that the meter can compute in. A setup is kept in whole numbers, so that one written by a meter in fixed point
/// is read by one in `f32`.
pub trait Numbers: Arithmetic {
    /// Volts, at most 400.
    fn volts(microvolts: u32) -> Volts<Self>;
    /// Decibels, at most 200.
    fn decibels(hundredths: u16) -> Decibels<Self>;
    /// Ohms, at most 1000.
    fn ohms(milliohms: u32) -> Ohms<Self>;
    /// Watts, at most 400 000.
    fn watts(milliwatts: u32) -> Watts<Self>;
    /// An SWR, at most 65.
    fn swr(thousandths: u32) -> Swr<Self>;
    /// An SWR in hundredths, rounded down; saturates at `u32::MAX`.
    fn hundredths(swr: Swr<Self>) -> u32;
    /// A magnitude in thousandths, rounded down, from 0 to 2000.
    fn thousandths(magnitude: Component<Self>) -> u32;
}

/// `value` / `parts`, in units of 2⁻¹², to the nearest; the largest word beyond it.
fn twelve_bits(value: u32, parts: u32) -> I20F12 {
    let bits = (u64::from(value) * 4096 + u64::from(parts / 2)) / u64::from(parts);
    I20F12::from_bits(i32::try_from(bits).unwrap_or(i32::MAX))
}

impl Numbers for Fixed32 {
    fn volts(microvolts: u32) -> Volts<Self> {
        Volts::new(twelve_bits(microvolts, 1_000_000))
    }

    fn decibels(hundredths: u16) -> Decibels<Self> {
        let bits = (u64::from(hundredths) * 65_536 + 50) / 100;
        Decibels::new(I16F16::from_bits(i32::try_from(bits).unwrap_or(i32::MAX)))
    }

    fn ohms(milliohms: u32) -> Ohms<Self> {
        Ohms::new(twelve_bits(milliohms, 1000))
    }

    fn watts(milliwatts: u32) -> Watts<Self> {
        Watts::new(twelve_bits(milliwatts, 1000))
    }

    fn swr(thousandths: u32) -> Swr<Self> {
        let bits = (u64::from(thousandths) * 65_536 + 500) / 1000;
        Swr::new(U16F16::from_bits(u32::try_from(bits).unwrap_or(u32::MAX)))
    }

    fn hundredths(swr: Swr<Self>) -> u32 {
        let bits = u64::from(swr.get().to_bits());
        u32::try_from((bits * 100) >> 16).unwrap_or(u32::MAX)
    }

    fn thousandths(magnitude: Component<Self>) -> u32 {
        let bits = u64::try_from(magnitude.get().to_bits()).unwrap_or(0);
        u32::try_from((bits * 1000) >> 30).unwrap_or(2000)
    }
}

// A conversion from a float saturates, and that of what is no number is 0.
impl Numbers for f32 {
    fn volts(microvolts: u32) -> Volts<Self> {
        Volts::new(microvolts as f32 / 1e6)
    }

    fn decibels(hundredths: u16) -> Decibels<Self> {
        Decibels::new(f32::from(hundredths) / 100.0)
    }

    fn ohms(milliohms: u32) -> Ohms<Self> {
        Ohms::new(milliohms as f32 / 1000.0)
    }

    fn watts(milliwatts: u32) -> Watts<Self> {
        Watts::new(milliwatts as f32 / 1000.0)
    }

    fn swr(thousandths: u32) -> Swr<Self> {
        Swr::new(thousandths as f32 / 1000.0)
    }

    fn hundredths(swr: Swr<Self>) -> u32 {
        (swr.get() * 100.0) as u32
    }

    fn thousandths(magnitude: Component<Self>) -> u32 {
        ((magnitude.get() * 1000.0) as u32).min(2000)
    }
}
