//! What the fuzz targets do with their bytes, and what must hold afterwards. Shared with `tests/house/fuzz_corpus.rs`.

#![allow(dead_code)] // Each target uses its own part.

include!("../../common/every_readout.rs");

pub mod readings;
pub mod readouts;
pub mod stored;
pub mod sweep;
pub mod touchstone;

use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::fixed::types::{I2F14, I2F30};
use ohmwright::quantity::{Component, Decibels, Reference, Reflection, Swr};

/// Bytes as numbers; zeros where they have come to an end.
pub struct Bytes<'a>(&'a [u8]);

impl<'a> Bytes<'a> {
    pub fn new(data: &'a [u8]) -> Self {
        Self(data)
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub fn take<const N: usize>(&mut self) -> [u8; N] {
        let mut taken = [0; N];
        for byte in &mut taken {
            let Some((first, rest)) = self.0.split_first() else {
                break;
            };
            (*byte, self.0) = (*first, rest);
        }
        taken
    }

    pub fn byte(&mut self) -> u8 {
        let [byte] = self.take();
        byte
    }

    pub fn short(&mut self) -> u16 {
        u16::from_le_bytes(self.take())
    }

    pub fn word(&mut self) -> u32 {
        u32::from_le_bytes(self.take())
    }

    pub fn long(&mut self) -> u64 {
        u64::from_le_bytes(self.take())
    }

    /// The next so many bytes, or what is left.
    pub fn slice(&mut self, length: usize) -> &'a [u8] {
        let (slice, rest) = self.0.split_at(length.min(self.0.len()));
        self.0 = rest;
        slice
    }
}

/// A family whose components may be made of bits.
pub trait Family: Arithmetic {
    /// Any component there is, NaN and infinity included.
    fn component(bits: u64) -> Component<Self>;
    /// `steps`·2⁻¹⁴: the same number in every family that holds it.
    fn in_steps(steps: i16) -> Component<Self>;
}

impl Family for Fixed32 {
    fn component(bits: u64) -> Component<Self> {
        Component::new(I2F30::from_bits(bits as i32))
    }
    fn in_steps(steps: i16) -> Component<Self> {
        Component::new(I2F30::from_bits((steps as i32) << 16))
    }
}

impl Family for Fixed16 {
    fn component(bits: u64) -> Component<Self> {
        Component::new(I2F14::from_bits(bits as i16))
    }
    fn in_steps(steps: i16) -> Component<Self> {
        Component::new(I2F14::from_bits(steps))
    }
}

impl Family for f32 {
    fn component(bits: u64) -> Component<Self> {
        f32::from_bits(bits as u32).into()
    }
    fn in_steps(steps: i16) -> Component<Self> {
        (steps as f32 / 16_384.0).into()
    }
}

impl Family for f64 {
    fn component(bits: u64) -> Component<Self> {
        f64::from_bits(bits).into()
    }
    fn in_steps(steps: i16) -> Component<Self> {
        (steps as f64 / 16_384.0).into()
    }
}

/// A quantity as a double, which is a number.
#[track_caller]
pub fn number(quantity: impl Quantity) -> f64 {
    let value = quantity.to_f64();
    assert!(!value.is_nan(), "not a number");
    value
}

/// What holds of every readout of every Γ.
#[track_caller]
pub fn check_reflection<A: Arithmetic>(gamma: Reflection<A>) {
    for part in [gamma.real(), gamma.imaginary()] {
        let part = number(part);
        assert!(part.abs() <= 1_048_576.0, "{part}");
    }
    assert!(number(gamma.magnitude()) >= 0.0);
    let swr = number(gamma.swr());
    assert!(swr >= 1.0, "{swr}");
    let loss = number(gamma.mismatch_loss());
    assert!(loss >= 0.0, "{loss}");
    if gamma.is_total() {
        assert!(gamma.swr() == Swr::<A>::MAX && gamma.mismatch_loss() == Decibels::<A>::MAX);
    }
    assert!(gamma.is_total() || !gamma.is_active());
    number(gamma.return_loss());
    let phase = number(gamma.phase());
    assert!(-180.0 < phase && phase <= 180.0, "{phase}");
    assert!(number(gamma.q()) >= 0.0);
    assert!(number(gamma.reflected_share()) >= 0.0);
    macro_rules! numbers {
        ($($readout:ident: $kind:ident $method:ident $true:tt $column:tt $row:tt;)*) => {
            $(number(read_off!($kind $method, gamma, Reference::fifty()));)*
        };
    }
    every_readout!(numbers);
}
