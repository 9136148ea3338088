//! What is no readout of one Γ: corrections, Γ of an impedance, changed references, admittances, parts, working numbers.
//!
//! The truths are in doubled doubles; the allowances are those of the documentation of each call.

use ohmwright::arithmetic::accuracy::{Readout, bound};
use ohmwright::arithmetic::{Quantity, Real};
use ohmwright::measure::calibration::ErrorTerms;
use ohmwright::measure::{Retune, TuningElement};
use ohmwright::quantity::{Capacitance, Hertz, Impedance, Inductance, Ohms, Reference, Reflection, Siemens};

use super::{Bits, Row, Tally, pick};
use crate::common::{
    Long, Random, inverse, length, moved_truth, quotient, share_allowance, share_truth, wave_truth,
};

const NAMES: [&str; 22] = [
    "correction",
    "Γ from Z",
    "another reference",
    "power-wave Γ",
    "share taken",
    "conductance",
    "susceptance",
    "|Z| of an impedance",
    "Q of an impedance",
    "parallel resistance",
    "parallel reactance",
    "reactance of a coil",
    "reactance of a capacitor",
    "coil for a reactance",
    "capacitor for a reactance",
    "retuning factor",
    "working sum",
    "working product",
    "working quotient",
    "working root",
    "working decibels",
    "working ratio of decibels",
];

pub fn tally() -> Tally {
    Tally(NAMES.map(Row::new).to_vec())
}

/// Takes errors by name.
struct Book<'a>(&'a mut Tally);

impl Book<'_> {
    fn note(&mut self, name: &str, error: f64, bound: (f64, f64), scale: f64, place: impl Fn() -> String) {
        let row = self.0.0.iter_mut().find(|row| row.name == name).expect(name);
        row.note(error, bound, scale, place);
    }

    /// A word against the truth, which is expected at the word's end where it lies beyond.
    fn word<Q: Quantity>(
        &mut self,
        name: &str,
        got: Q,
        want: f64,
        bound: (f64, f64),
        scale: f64,
        place: impl Fn() -> String,
    ) {
        let error = (got.to_f64() - want.clamp(Q::MIN.to_f64(), Q::MAX.to_f64())).abs();
        self.note(name, error, bound, scale, || {
            format!("{}: got {:e}, want {want:e}", place(), got.to_f64())
        });
    }
}

fn parts<A: Bits>(gamma: Reflection<A>) -> (f64, f64) {
    (gamma.real().to_f64(), gamma.imaginary().to_f64())
}

fn long((re, im): (f64, f64)) -> (Long, Long) {
    (re.into(), im.into())
}

fn times(a: (Long, Long), b: (Long, Long)) -> (Long, Long) {
    (a.0 * b.0 - a.1 * b.1, a.0 * b.1 + a.1 * b.0)
}

fn plus(a: (Long, Long), b: (Long, Long)) -> (Long, Long) {
    (a.0 + b.0, a.1 + b.1)
}

fn minus(a: (Long, Long), b: (Long, Long)) -> (Long, Long) {
    (a.0 - b.0, a.1 - b.1)
}

/// Evenly in a ring, as the family holds it.
fn ring<A: Bits>(random: &mut Random, low: f64, high: f64) -> Reflection<A> {
    let (size, angle) = (random.between(low, high), random.between(-3.15, 3.15));
    let end = A::ENDS.1 as f64 * 0.5f64.powi(A::DIGITS as i32);
    let part = |value: f64| value.clamp(-end, end);
    Reflection::try_from_f64(part(size * angle.cos()), part(size * angle.sin())).unwrap()
}

fn table<A: Bits>(readout: Readout) -> (f64, f64) {
    let bound = bound(readout, A::FAMILY);
    (bound.absolute, bound.relative)
}

/// One of each.
pub fn look<A: Bits>(tally: &mut Tally, random: &mut Random) {
    let mut book = Book(tally);
    correction::<A>(&mut book, random);
    impedances::<A>(&mut book, random);
    elements::<A>(&mut book, random);
    working::<A>(&mut book, random);
}

fn correction<A: Bits>(book: &mut Book<'_>, random: &mut Random) {
    // The documented case: a passive load behind a fixture with a source match below 0.5.
    let load = ring::<A>(random, 0.0, 1.0);
    let terms = ErrorTerms::<A> {
        directivity: ring(random, 0.0, 0.4),
        source_match: ring(random, 0.0, 0.5),
        tracking: ring(random, 0.05, 1.2),
    };
    let (d, s, t) = (
        long(parts(terms.directivity)),
        long(parts(terms.source_match)),
        long(parts(terms.tracking)),
    );
    let gamma = long(parts(load));
    let one = (Long::from(1.0), Long::from(0.0));
    let (above, below) = (times(t, gamma), minus(one, times(s, gamma)));
    let seen = quotient(above, below);
    let (seen_re, seen_im) = (
        seen.0 + parts(terms.directivity).0,
        seen.1 + parts(terms.directivity).1,
    );
    let Ok(raw) = Reflection::<A>::try_from_f64(seen_re, seen_im) else {
        return;
    };
    let away = minus(long(parts(raw)), d);
    let want = quotient(away, plus(t, times(s, away)));
    let got = parts(terms.correct(raw));
    let below = plus(t, times(s, away));
    // The 16-bit family computes as the 32-bit one does, and rounds to its word at the end.
    let rounding = if A::DIGITS < 30 {
        0.5f64.powi(A::DIGITS as i32 + 1)
    } else {
        0.0
    };
    let size = length(below.0, below.1).value();
    let unit = 0.5f64.powi(A::DIGITS as i32);
    let end = |value: f64| value.clamp(A::ENDS.0 as f64 * unit, A::ENDS.1 as f64 * unit);
    let error = (got.0 - end(want.0)).abs().max((got.1 - end(want.1)).abs());
    book.note("correction", error, (2.5e-8 / size + rounding, 0.0), 0.0, || {
        format!("{raw:?} through {terms:?}: got {got:?}, want {want:?}")
    });
}

fn impedance<A: Bits>(random: &mut Random) -> Impedance<A> {
    let most = Ohms::<A>::MAX.to_f64() * 0.999;
    let low = 1.0 / 4096.0;
    let part = |random: &mut Random| match random.bits() % 4 {
        0 => random.between(-500.0, 500.0),
        1 => random.decades(low, most),
        2 => random.decades(0.1, 5_000.0),
        _ => 0.0,
    };
    let (mut r, x) = (part(random), part(random));
    if random.bits() & 3 != 0 {
        r = r.abs();
    }
    Impedance::try_from_f64(r, x).unwrap()
}

fn impedances<A: Bits>(book: &mut Book<'_>, random: &mut Random) {
    let z = impedance::<A>(random);
    let (r, x) = (z.resistance().to_f64(), z.reactance().to_f64());
    let ohms = match random.bits() % 3 {
        0 => 50.0,
        1 => random.between(1.0, 1_000.0),
        _ => random.decades(0.01, 100_000.0).abs(),
    };
    let z0 = Reference::<A>::try_from_f64(ohms).unwrap();
    let ohms = z0.ohms().to_f64();
    let at = || format!("{r} {x:+}j Ω on {ohms} Ω");

    if (r, x) != (-ohms, 0.0) {
        let (want, got) = (wave_truth((r, x), (ohms, 0.0)), z.reflection(z0));
        let bound = table::<A>(Readout::Reflection);
        let scale = want.0.hypot(want.1);
        book.word("Γ from Z", got.real(), want.0, bound, scale, at);
        book.word("Γ from Z", got.imaginary(), want.1, bound, scale, at);
    }
    let source = impedance::<A>(random);
    let (rs, xs) = (source.resistance().to_f64(), source.reactance().to_f64());
    if rs > 0.0 && (r + rs, x + xs) != (0.0, 0.0) {
        let at = || format!("{r} {x:+}j Ω on {rs} {xs:+}j Ω");
        let want = wave_truth((r, x), (rs, xs));
        let got = z.power_wave_reflection(source).unwrap();
        let size = want.0.hypot(want.1).max(1.0);
        let (absolute, _) = table::<A>(Readout::Reflection);
        let bound = (absolute * size * size, 0.0);
        book.word("power-wave Γ", got.real(), want.0, bound, 0.0, at);
        book.word("power-wave Γ", got.imaginary(), want.1, bound, 0.0, at);
        let want = share_truth((r, x), (rs, xs));
        let got = z.share_taken_from(source).unwrap();
        book.word(
            "share taken",
            got,
            want,
            (share_allowance::<A>() * want.abs().max(1.0), 0.0),
            0.0,
            at,
        );
    }
    if (r, x) != (0.0, 0.0) {
        let (want, got) = (inverse(r, x), z.admittance());
        let size = want.0.hypot(want.1);
        let end = Siemens::<A>::MAX.to_f64();
        // Where a part is beyond the word, the admittance counts as a short.
        if want.0.abs().max(want.1.abs()) < end {
            book.word(
                "conductance",
                got.conductance(),
                want.0,
                table::<A>(Readout::Conductance),
                size,
                at,
            );
            book.word(
                "susceptance",
                got.susceptance(),
                want.1,
                table::<A>(Readout::Susceptance),
                size,
                at,
            );
        }
        let want = length(r.into(), x.into()).value();
        let bound = table::<A>(Readout::ImpedanceMagnitude);
        book.word("|Z| of an impedance", z.magnitude(), want, bound, want, at);
    }
    if r != 0.0 && x != 0.0 {
        let want = (x / r).abs();
        book.word("Q of an impedance", z.q(), want, table::<A>(Readout::Q), want, at);
        let (long_r, long_x) = (Long::from(r), Long::from(x));
        let square = long_r * long_r + long_x * long_x;
        let form = z.parallel_form();
        let bound = table::<A>(Readout::Resistance);
        let want = (square / long_r).value();
        book.word(
            "parallel resistance",
            form.resistance,
            want,
            bound,
            want.abs(),
            at,
        );
        let want = (square / long_x).value();
        book.word("parallel reactance", form.reactance, want, bound, want.abs(), at);
    }

    let (re, im) = pick::<A>(random);
    let gamma = A::gamma(re, im);
    let other = Reference::<A>::try_from_f64(random.decades(0.1, 10_000.0).abs()).unwrap();
    let to = other.ohms().to_f64();
    let exact = parts(gamma);
    // What stands for an open or a short stays one.
    if gamma != Reflection::OPEN && gamma != Reflection::SHORT && to != ohms {
        let want = moved_truth(exact, ohms, to);
        let size = want.0.hypot(want.1);
        if size.is_finite() {
            let got = gamma.change_reference(z0, other);
            let (absolute, _) = table::<A>(Readout::Reflection);
            let bound = (absolute * (size * size).max(1.0), 0.0);
            let at = || format!("Γ = ({re}, {im}) from {ohms} to {to} Ω");
            book.word("another reference", got.real(), want.0, bound, 0.0, at);
            book.word("another reference", got.imaginary(), want.1, bound, 0.0, at);
        }
    }
}

fn elements<A: Bits>(book: &mut Book<'_>, random: &mut Random) {
    const PICO: f64 = 1e-12;
    const FEMTO: f64 = 1e-15;
    let half_ohm = (0.5 / 4096.0, 3e-9);
    let half_unit = (0.5, 5e-9);
    let frequency = Hertz::new(random.decades(1e3, 1e10).abs() as u64);
    // 2π as a sum of two doubles.
    let tau = Long::from(core::f64::consts::TAU) + Long::from(2.449_293_598_294_706_4e-16);
    let omega = tau * Long::from(frequency.get() as f64);
    let count = random.decades(1.0, 4e9).abs() as u32;
    let at = || format!("{count} at {} Hz", frequency.get());

    let coil = Inductance::<A>::from_picohenries(count);
    let want = (omega * Long::from(count as f64) * Long::from(PICO)).value();
    book.word(
        "reactance of a coil",
        coil.reactance(frequency),
        want,
        half_ohm,
        want,
        at,
    );
    let capacitor = Capacitance::<A>::from_femtofarads(count);
    let want = -(Long::from(1.0) / (omega * Long::from(count as f64) * Long::from(FEMTO))).value();
    let got = capacitor.reactance(frequency);
    book.word("reactance of a capacitor", got, want, half_ohm, want.abs(), at);

    let word = Ohms::<A>::try_from_f64(random.decades(0.01, 1e5).abs()).unwrap();
    let x = word.to_f64();
    let at = || format!("{x} Ω at {} Hz", frequency.get());
    let want = (Long::from(x) / omega).value() / PICO;
    let got = Inductance::<A>::with_reactance(word, frequency).unwrap().get();
    book.word("coil for a reactance", got, want, half_unit, want, at);
    let want = (Long::from(1.0) / (omega * Long::from(x))).value() / FEMTO;
    let got = Capacitance::<A>::with_reactance(word, frequency).unwrap().get();
    book.word("capacitor for a reactance", got, want, half_unit, want, at);

    let wanted = Hertz::new(random.decades(1e3, 1e10).abs() as u64);
    let ratio = frequency.get() as f64 / wanted.get() as f64;
    for (element, want) in [
        (TuningElement::Inductance, ratio * ratio),
        (TuningElement::Turns, ratio),
    ] {
        let got = Retune::<A>::new(element, frequency, wanted).unwrap().factor;
        book.word("retuning factor", got, want, (0.5 / 65536.0, 4e-9), want, || {
            format!("{element:?} from {} to {} Hz", frequency.get(), wanted.get())
        });
    }
}

/// The numbers between the words, by way of their conversions, which are exact for these.
fn working<A: Bits>(book: &mut Book<'_>, random: &mut Random) {
    let last_place = 0.5f64.powi(30);
    let number = |random: &mut Random| {
        let mantissa = (random.bits() as i32) as f64;
        let value = mantissa * 2f64.powi((random.bits() % 60) as i32 - 45);
        (A::Working::from_f64(value), value)
    };
    let ((a, x), (b, y)) = (number(random), number(random));
    let at = || format!("{x:e}, {y:e}");
    let gap = |got: A::Working, want: f64| (got.to_f64() - want).abs();
    let larger = x.abs().max(y.abs());
    let relative = |places: f64| (f64::MIN_POSITIVE, places * last_place);
    book.note("working sum", gap(a + b, x + y), relative(1.0), larger, at);
    book.note("working sum", gap(a - b, x - y), relative(1.0), larger, at);
    book.note(
        "working product",
        gap(a * b, x * y),
        relative(1.0),
        (x * y).abs(),
        at,
    );
    if y != 0.0 {
        book.note(
            "working quotient",
            gap(a / b, x / y),
            (f64::MIN_POSITIVE, 3.8e-9),
            (x / y).abs(),
            at,
        );
    }
    if x != 0.0 {
        let want = x.abs().sqrt();
        book.note(
            "working root",
            gap(a.absolute().square_root(), want),
            (f64::MIN_POSITIVE, 5e-10),
            want,
            at,
        );
        // As the documentation of the kernel has it: a line between nodes, and a part of a step for each octave.
        let want = 10.0 * x.abs().log10();
        book.note(
            "working decibels",
            gap(a.absolute().decibels(), want),
            (5e-5, 0.0),
            0.0,
            at,
        );
    }
    let loss = random.between(-100.0, 100.0);
    let (word, loss) = (A::Working::from_f64(loss), A::Working::from_f64(loss).to_f64());
    let want = 10f64.powf(loss / 10.0);
    let got = word.ratio_of_decibels();
    book.note(
        "working ratio of decibels",
        gap(got, want),
        (f64::MIN_POSITIVE, 2.5e-8),
        want,
        || format!("{loss} dB"),
    );
}
