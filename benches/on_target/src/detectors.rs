//! The kernels of the detectors: from counts to a reflection. Only this crate has them.

use core::marker::PhantomData;

use ohmwright::arithmetic::Arithmetic;
use ohmwright::fixed::types::I20F12;
use ohmwright::measure::detector::{
    Iq, LevelTable, Pair, ScalarDetector, ScalarSettings, Tone, VectorDetector, VectorSettings, quarter_rate,
};
use ohmwright::quantity::{Component, Decibels, Ohms, Reference, Reflection, Swr, Volts};

use crate::kernels::{Answer, Family, Kernel, Library, Words};

/// Frames in a block.
pub const BLOCK: usize = 48;
/// The bin that is looked at: with 48 000 frames a second, 5 kHz.
pub const BIN: usize = 5;
/// The converter's end.
pub const FULL_SCALE: i16 = 32_767;

static TONE: Tone<BLOCK> = match Tone::new(BIN) {
    Ok(tone) => tone,
    Err(_) => panic!("bin 5 of 48 exists"),
};

/// A block of two channels.
#[repr(C)]
pub struct Block(pub [[i16; 2]; BLOCK]);

/// The counts of two channels, in phase and in quadrature, or of two diodes.
#[repr(C)]
pub struct Counts<const K: usize>(pub [i32; K]);

/// A pair of phasors, if there is one.
pub struct Demodulated(Option<Pair>);

impl Answer for Demodulated {
    fn words(&self, out: &mut Words<'_>) {
        let Some(pair) = &self.0 else { return };
        for phasor in [pair.reference(), pair.reflected()] {
            out(phasor.i as u32);
            out(phasor.q as u32);
        }
    }
}

/// Magnitude, SWR and the ends of its interval.
pub struct Scalar<A: Family>(Option<(Component<A>, [Swr<A>; 3])>);

impl<A: Family> Answer for Scalar<A> {
    fn words(&self, out: &mut Words<'_>) {
        let Some((magnitude, swrs)) = &self.0 else {
            return;
        };
        magnitude.words(out);
        for swr in swrs {
            swr.words(out);
        }
    }
}

/// Words of a family that a table in flash is made of.
pub trait Diode: Arithmetic {
    /// An invented diode: square at low levels, linear at high ones.
    const TABLE: &'static [(i32, Volts<Self>)];
}

const fn bits<A: Arithmetic<VoltsWord = I20F12>>(volts: i32) -> Volts<A> {
    Volts::new(I20F12::from_bits(4 * volts))
}
const fn float<A: Arithmetic<VoltsWord = f32>>(volts: i32) -> Volts<A> {
    Volts::new(volts as f32 / 1_024.0)
}

macro_rules! diodes {
    ($($family:ty => $make:expr),*) => { $(
        impl Diode for $family {
            const TABLE: &'static [(i32, Volts<Self>)] = &[
                (10, $make(0)),
                (13, $make(8)),
                (22, $make(16)),
                (58, $make(32)),
                (190, $make(64)),
                (560, $make(128)),
                (1_440, $make(256)),
                (3_300, $make(512)),
                (7_150, $make(1_024)),
                (15_000, $make(2_048)),
                (30_800, $make(4_096)),
            ];
        }
    )* };
}
diodes!(
    f32 => float,
    ohmwright::arithmetic::Fixed32 => bits,
    ohmwright::arithmetic::Fixed16 => bits
);
#[cfg(not(target_os = "none"))]
diodes!(ohmwright::arithmetic::SoftF32 => float);

fn stop() -> ! {
    loop {
        core::hint::spin_loop();
    }
}

/// A panic would bring its own code into the image; the settings are sound.
fn sound<T, E>(result: Result<T, E>) -> T {
    match result {
        Ok(value) => value,
        Err(_) => stop(),
    }
}

fn vector<A: Family>() -> VectorDetector<A> {
    sound(VectorSettings::for_bits(16).and_then(VectorDetector::new))
}

fn scalar<A: Family + Diode>() -> ScalarDetector<'static, A> {
    let table = sound(LevelTable::new(A::TABLE));
    let settings = ScalarSettings {
        reference: Reference::fifty(),
        coupling: sound(Decibels::try_from_f64(30.0)),
        directivity: sound(Decibels::try_from_f64(28.0)),
        full_scale: FULL_SCALE as i32,
        weakest: sound(Volts::try_from_f64(0.05)),
    };
    sound(ScalarDetector::new(settings, table, table))
}

macro_rules! detector {
    ($($name:ident: $input:ty, $context:ty, $output:ty, $make:expr, |$with:ident, $detector:ident| $body:expr;)*) => { $(
        pub struct $name<P>(PhantomData<P>);
        impl<A: Family + Diode> Kernel for $name<Library<A>> {
            type Ohms = Ohms<A>;
            type Input = $input;
            type Context = $context;
            type Output = $output;
            type Last = ();
            fn context(_: Ohms<A>) -> $context {
                $make
            }
            #[inline(always)]
            fn run($with: &$input, $detector: &mut $context) -> $output {
                $body
            }
            fn end(_: &mut $context) {}
        }
    )* };
}

detector! {
    Demodulate: Block, (), Demodulated, (), |block, _detector|
        Demodulated(TONE.demodulate(&block.0, FULL_SCALE).ok());
    DemodulateQuarter: Block, (), Demodulated, (), |block, _detector|
        Demodulated(quarter_rate(&block.0, FULL_SCALE).ok());
    VectorReflection: Counts<4>, VectorDetector<A>, Reflection<A>, vector(), |counts, detector| {
        let [a, b, c, d] = counts.0;
        match detector.read_counts(Iq::new(a, b), Iq::new(c, d)) {
            Ok(reading) => reading.reflection(),
            // It would show in the answers.
            Err(_) => Reflection::MATCHED,
        }
    };
    ScalarReflection: Counts<2>, ScalarDetector<'static, A>, Scalar<A>, scalar(), |counts, detector| {
        let [forward, reverse] = counts.0;
        Scalar(detector.read(forward, reverse).ok().map(|reading| {
            let interval = reading.swr_interval();
            let high = interval.high.unwrap_or(Swr::MAX);
            (reading.magnitude(), [reading.swr(), interval.low, high])
        }))
    };
}
