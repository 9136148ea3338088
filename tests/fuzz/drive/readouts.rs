//! Everything that is read off or made of one Γ and one impedance in fixed point: ranges, and the table of bounds
//! against the same in double precision.

use ohmwright::arithmetic::accuracy::{Family as Name, Readout, bound};
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::design::transformer::{Remedy, TurnsRanking};
use ohmwright::fixed::types::{I8F24, I20F12, U16F16};
use ohmwright::measure::calibration::ErrorTerms;
use ohmwright::measure::{Diagnosis, Retune, TuningElement};
use ohmwright::quantity::{
    Admittance, Capacitance, Hertz, Impedance, Inductance, Ohms, ParallelForm, Reactor, Reference,
    Reflection, Siemens, Swr,
};

use super::{Bytes, Family, check_reflection, number};

/// What the fixed-point families have in common.
pub trait Fixed: Family + Arithmetic<OhmsWord = I20F12, SiemensWord = I8F24, RatioWord = U16F16> {}
impl Fixed for Fixed32 {}
impl Fixed for Fixed16 {}

pub fn run(data: &[u8]) {
    family::<Fixed32>(data);
    family::<Fixed16>(data);
}

fn family<A: Fixed>(data: &[u8]) {
    let mut bytes = Bytes::new(data);
    let (re, im) = (bytes.word(), bytes.word());
    let [a, b, c, d, e] = [(); 5].map(|()| bytes.word());
    let reference = Reference::new(ohms::<A>(a)).unwrap_or(Reference::fifty());
    let frequency = Hertz::new(bytes.long());
    let gamma = gamma::<A>(re, im);

    one_gamma(gamma, reference);
    let z = Impedance::new(ohms::<A>(b), ohms::<A>(c)).expect("every word is an impedance");
    let other = Impedance::new(ohms::<A>(d), ohms::<A>(e)).expect("every word is an impedance");
    impedances(z, other, reference);
    elements::<A>(a, ohms(b), frequency);
    changes(gamma, z, reference, frequency, &mut bytes);
}

fn ohms<A: Fixed>(bits: u32) -> Ohms<A> {
    Ohms::new(I20F12::from_bits(bits as i32))
}

fn gamma<A: Family>(re: u32, im: u32) -> Reflection<A> {
    Reflection::new(A::component(re as u64), A::component(im as u64)).expect("every word is a component")
}

fn one_gamma<A: Family>(gamma: Reflection<A>, reference: Reference<A>) {
    check_reflection(gamma);
    let passive = !gamma.is_total();
    let at_rim = gamma.is_total() && !gamma.is_active();
    let loss = number(gamma.return_loss());
    assert!(
        if at_rim {
            loss == 0.0
        } else {
            (loss >= 0.0) == passive || loss == 0.0
        },
        "{gamma:?}: {loss}"
    );
    let z = gamma.impedance(reference);
    let (r, x) = (number(z.resistance()), number(z.reactance()));
    assert!(
        r == 0.0 || z.is_open() || (r > 0.0) != gamma.is_active(),
        "{gamma:?}: {z:?}"
    );
    let im = number(gamma.imaginary());
    assert!(x == 0.0 || (x > 0.0) == (im > 0.0), "{gamma:?}: {z:?}");
    let size = number(gamma.impedance_magnitude(reference));
    assert!(size >= 0.0);
    let all = gamma.readouts(reference);
    assert!(
        (all.swr, all.q, all.phase) == (gamma.swr(), gamma.q(), gamma.phase())
            && (all.return_loss, all.mismatch_loss) == (gamma.return_loss(), gamma.mismatch_loss())
            && (all.resistance, all.reactance) == (z.resistance(), z.reactance())
            && (all.magnitude, all.impedance_magnitude)
                == (gamma.magnitude(), gamma.impedance_magnitude(reference))
    );
    against_doubles(gamma, reference);
}

/// Each readout lies within the bounds of both families together.
fn against_doubles<A: Family>(gamma: Reflection<A>, reference: Reference<A>) {
    let exact = Reflection::<f64>::new(number(gamma.real()), number(gamma.imaginary())).unwrap();
    let z0 = Reference::<f64>::new(number(reference.ohms())).unwrap();
    let passive = 1.0 - exact.reflected_share();
    let size = exact.impedance_magnitude(z0).to_f64();
    let near = |readout: Readout, (got, low, high): (f64, f64, f64), want: f64| {
        let beside = bound(readout, Name::F64);
        // Beside the rim a double has rounded 1 − |Γ|² itself; the searches look there with whole numbers.
        if passive.abs() <= 1e-4 && (beside.rim > 0.0 || readout == Readout::Resistance) {
            return;
        }
        let scale = match readout {
            Readout::Resistance | Readout::Reactance => size,
            Readout::Phase => 1.0,
            _ => want.abs(),
        }
        .min(1e18);
        // The smallest steps of a 30-digit Γ from the rim are far above the rounding of a double: 2⁻⁶⁰ against 2⁻¹⁰⁶.
        let mut allowed = bound(readout, A::FAMILY).allowance(scale, 1.0);
        allowed += beside.allowance(scale, passive.abs().max(1e-12));
        let mut gap = (got - want.clamp(low, high)).abs();
        if readout == Readout::Phase {
            gap = gap.min(360.0 - gap);
        }
        assert!(
            gap <= allowed,
            "{readout:?} of {gamma:?} on {reference:?}: {got}, want {want}, allowed {allowed:e}"
        );
    };
    fn word<Q: Quantity>(value: Q) -> (f64, f64, f64) {
        (number(value), Q::MIN.to_f64(), Q::MAX.to_f64())
    }
    macro_rules! compare {
        ($($readout:ident: $kind:ident $method:ident $true:tt $column:tt $row:tt;)*) => {
            $(near(
                Readout::$readout,
                word(read_off!($kind $method, gamma, reference)),
                read_off!($kind $method, exact, z0).to_f64(),
            );)*
        };
    }
    every_readout!(compare);
}

fn check_impedance<A: Arithmetic>(z: Impedance<A>) {
    number(z.resistance());
    number(z.reactance());
    assert!(number(z.magnitude()) >= 0.0);
    assert!(number(z.q()) >= 0.0);
}

fn impedances<A: Fixed>(z: Impedance<A>, other: Impedance<A>, reference: Reference<A>) {
    for z in [
        z,
        z.conjugate(),
        z.in_series(other),
        z.in_parallel(other),
        z.admittance().impedance(),
        z.parallel_form().series_form(),
    ] {
        check_impedance(z);
        check_reflection(z.reflection(reference));
    }
    assert_eq!(z.in_series(other), other.in_series(z));
    if let Ok(wave) = z.power_wave_reflection(other) {
        check_reflection(wave);
        number(z.share_taken_from(other).expect("the same source"));
    }
    let siemens = |ohms: Ohms<A>| Siemens::<A>::new(I8F24::from_bits(ohms.get().to_bits()));
    let y = Admittance::new(siemens(z.resistance()), siemens(z.reactance()))
        .expect("every word is an admittance");
    check_impedance(y.impedance());
    let form = ParallelForm::<A> {
        resistance: other.resistance(),
        reactance: other.reactance(),
    };
    check_impedance(form.series_form());
}

fn elements<A: Fixed>(count: u32, reactance: Ohms<A>, frequency: Hertz) {
    let coil = Inductance::<A>::from_picohenries(count);
    let capacitor = Capacitance::<A>::from_femtofarads(count);
    assert!(number(coil.reactance(frequency)) >= 0.0);
    assert!(number(capacitor.reactance(frequency)) <= 0.0);
    let _ = Inductance::resonant_with(capacitor, frequency);
    let _ = Capacitance::resonant_with(coil, frequency);
    let _ = Inductance::<A>::with_reactance(reactance, frequency);
    let _ = Capacitance::<A>::with_reactance(reactance, frequency);
    if let Some(part) = Reactor::<A>::with_reactance(reactance, frequency) {
        let back = number(part.reactance(frequency));
        assert!(back == 0.0 || (back > 0.0) == (number(reactance) > 0.0));
    }
}

fn changes<A: Fixed>(
    seen: Reflection<A>,
    z: Impedance<A>,
    reference: Reference<A>,
    frequency: Hertz,
    bytes: &mut Bytes<'_>,
) {
    let mut more = || gamma::<A>(bytes.word(), bytes.word());
    let terms = ErrorTerms {
        directivity: more(),
        source_match: more(),
        tracking: more(),
    };
    check_reflection(terms.correct(seen));
    assert_eq!(
        ErrorTerms::PERFECT.correct(Reflection::MATCHED),
        Reflection::<A>::MATCHED
    );
    let other = Reference::new(z.magnitude()).unwrap_or(Reference::fifty());
    check_reflection(seen.change_reference(reference, other));
    assert_eq!(seen.change_reference(reference, reference), seen);

    for element in [TuningElement::Capacitance, TuningElement::Length] {
        if let Some(retune) = Retune::<A>::new(element, frequency, Hertz::new(bytes.long())) {
            number(retune.factor);
        }
    }
    let limit = Swr::<A>::new(U16F16::from_bits(bytes.word()));
    let most = bytes.byte() % 6;
    if let Ok(diagnosis) = Diagnosis::new(seen, reference, limit, frequency, most) {
        check_reflection(diagnosis.turns_alone.reflection);
        assert!(number(diagnosis.turns_alone.swr(Remedy::TurnsAlone)) >= 1.0);
        assert!(number(diagnosis.magnitude_rule.swr_promised) >= 1.0);
    }
    let remedy = Remedy::ShuntElement;
    if let Ok(ranking) = TurnsRanking::<A, 3>::new(z, reference, Some(frequency), most, remedy) {
        let swr: Vec<f64> = ranking
            .as_slice()
            .iter()
            .map(|choice| number(choice.swr(remedy)))
            .collect();
        assert!(swr.windows(2).all(|pair| pair[0] <= pair[1]), "{swr:?}");
    }
}
