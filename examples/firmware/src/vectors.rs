//! The same cases on every core and on the host. Each group's results are folded into a checksum, bit for bit.
//!
//! Integers choose all inputs: nothing here depends on how a core rounds. The inputs are invented.

use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32, Quantity};
use ohmwright::design::transformer::{MagnitudeRule, TurnsChoice};
use ohmwright::fixed::types::{I8F24, I16F16, I20F12, U16F16};
use ohmwright::measure::calibration::ErrorTerms;
use ohmwright::measure::{
    Diagnosis, Dip, MaskCheck, MaskSegment, MaskVerdict, Method, Printed, Reading, Retune, SweepAnalyser,
    SweepBand, SweepReport, SweepSettings, Target, TuningElement, swr_interval,
};
use ohmwright::quantity::{
    Component, Hertz, Impedance, Ohms, ParallelForm, Reactor, Reference, Reflection, Swr,
};

/// Where the results go.
pub trait Output {
    /// One word of one case; what comes back goes into the checksum.
    fn word(&mut self, family: &str, group: &str, case: u32, place: u32, word: u32) -> u32;
    /// A group is done.
    fn total(&mut self, family: &str, group: &str, cases: u32, checksum: u64);
}

/// A fixed-point family. All have their words in common, but for the components of Γ.
pub trait Fixed:
    Arithmetic<
        OhmsWord = I20F12,
        SiemensWord = I8F24,
        RatioWord = U16F16,
        DecibelsWord = I16F16,
        DegreesWord = I16F16,
        InductanceWord = u32,
        CapacitanceWord = u32,
    >
{
    const NAME: &'static str;
    /// Γ from units of 2⁻³⁰, cut to what the family holds.
    fn gamma(re: i32, im: i32) -> Reflection<Self>;
    fn component(part: Component<Self>) -> u32;
}

/// A family by the integer of its components, and the digits of 2⁻³⁰ that this integer lacks.
macro_rules! families {
    ($($family:ident $bits:ident $lacking:literal;)*) => {
        $(impl Fixed for $family {
            const NAME: &'static str = stringify!($family);
            fn gamma(re: i32, im: i32) -> Reflection<Self> {
                Reflection::<Self>::from_bits((re >> $lacking) as $bits, (im >> $lacking) as $bits)
            }
            fn component(part: Component<Self>) -> u32 {
                part.get().to_bits() as u32
            }
        })*

        /// Every family. Returns how many cases contradict each other.
        pub fn run(out: &mut impl Output) -> u32 {
            let mut contradictions = 0;
            $(contradictions += family::<$family>(out);)*
            contradictions
        }
    };
}

families! {
    Fixed32 i32 0;
    Fixed16 i16 16;
}

/// 1 in units of 2⁻³⁰.
const ONE: i32 = 1 << 30;

/// A linear congruential generator of 64 bits (D. E. Knuth's constants for MMIX; from memory) whose upper half is mixed
/// and taken; any other would do.
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u32 {
        self.0 = self
            .0
            .wrapping_mul(0x5851_F42D_4C95_7F2D)
            .wrapping_add(0x1405_7B7E_F767_814F);
        let mixed = self.0 ^ (self.0 >> 29);
        (mixed >> 32) as u32
    }

    fn signed(&mut self) -> i32 {
        self.next() as i32
    }
}

/// Some three thousand reflections, in units of 2⁻³⁰: the edges, a grid, and chance.
fn gammas(mut each: impl FnMut(i32, i32)) {
    // The match, total reflection, and the ends of the word, with every neighbour.
    let edges = [
        0,
        1,
        -1,
        ONE,
        ONE + 1,
        ONE - 1,
        -ONE,
        -ONE + 1,
        -ONE - 1,
        i32::MAX,
        i32::MIN,
        i32::MIN + 1,
    ];
    for re in edges {
        for im in edges {
            each(re, im);
        }
    }
    // Near the rim on the axes, 1 − |Γ| from 1/2 down to 2⁻³⁰ on both sides of it; and ever smaller.
    for digit in 0..30 {
        let bit = 1 << digit;
        for rim in [ONE - bit, ONE + bit] {
            for (re, im) in [(rim, 0), (-rim, 0), (0, rim), (0, -rim), (rim, bit), (bit, -rim)] {
                each(re, im);
            }
        }
        for (re, im) in [(bit, 0), (-bit, 0), (0, bit), (bit, bit), (-bit, -bit), (bit, -1)] {
            each(re, im);
        }
    }
    // From −1.25 to 1.25 in both directions.
    let step = ONE / 12;
    for row in -15..=15 {
        for column in -15..=15 {
            each(column * step, row * step);
        }
    }
    let mut chance = Chance(71);
    for case in 0..1350u32 {
        let (a, b) = (chance.signed(), chance.signed());
        match case % 3 {
            // Anywhere in the word.
            0 => each(a, b),
            // A hair beside the rim, at any angle.
            1 => {
                let re = (a >> 1) as i64;
                let im = ((1u64 << 60).saturating_sub((re * re) as u64)).isqrt() as i32;
                each(re as i32, if b < 0 { -im } else { im } + (b >> 28));
            }
            // Of any size.
            _ => each(a >> (case % 31), b >> (case % 29)),
        }
    }
}

/// Ohms from units of 2⁻¹² Ω.
fn ohms<A: Fixed>(bits: i32) -> Ohms<A> {
    Ohms::new(I20F12::from_bits(bits))
}

/// Impedances of every size and sign, in units of 2⁻¹² Ω.
fn impedances<A: Fixed>(mut each: impl FnMut(Impedance<A>)) {
    let fifty = 50 << 12;
    let edges = [
        0,
        1,
        -1,
        fifty,
        -fifty,
        -fifty + 1,
        i32::MAX,
        i32::MAX - 1,
        i32::MIN,
    ];
    let mut take = |r, x| {
        if let Ok(impedance) = Impedance::new(ohms::<A>(r), ohms::<A>(x)) {
            each(impedance);
        }
    };
    for r in edges {
        for x in edges {
            take(r, x);
        }
    }
    let mut chance = Chance(50);
    for case in 0..600u32 {
        take(
            chance.signed() >> (case % 31),
            chance.signed() >> (case / 31 % 31),
        );
    }
}

/// A group of cases on the way to its checksum: FNV-1a of 64 bits (G. Fowler, L. C. Noll, K.-P. Vo; from memory) over
/// the words, lowest byte first.
struct Group<'a, O> {
    out: &'a mut O,
    family: &'static str,
    name: &'static str,
    case: u32,
    place: u32,
    sum: u64,
}

impl<'a, O: Output> Group<'a, O> {
    fn new<A: Fixed>(out: &'a mut O, name: &'static str) -> Self {
        Self {
            out,
            family: A::NAME,
            name,
            case: 0,
            place: 0,
            sum: 0xCBF2_9CE4_8422_2325,
        }
    }

    fn word(&mut self, word: u32) {
        let word = self.out.word(self.family, self.name, self.case, self.place, word);
        self.place += 1;
        for byte in word.to_le_bytes() {
            self.sum = (self.sum ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01B3);
        }
    }

    fn end_case(&mut self) {
        self.case += 1;
        self.place = 0;
    }

    fn close(self) {
        self.out.total(self.family, self.name, self.case, self.sum);
    }

    fn flag(&mut self, flag: bool) {
        self.word(u32::from(flag));
    }

    fn frequency(&mut self, frequency: Hertz) {
        self.word(frequency.get() as u32);
        self.word((frequency.get() >> 32) as u32);
    }

    fn ohms<A: Fixed>(&mut self, ohms: Ohms<A>) {
        self.word(ohms.get().to_bits() as u32);
    }

    fn ratio(&mut self, ratio: U16F16) {
        self.word(ratio.to_bits());
    }

    fn gamma<A: Fixed>(&mut self, gamma: Reflection<A>) {
        self.word(A::component(gamma.real()));
        self.word(A::component(gamma.imaginary()));
    }

    fn impedance<A: Fixed>(&mut self, z: Impedance<A>) {
        self.ohms(z.resistance());
        self.ohms(z.reactance());
    }

    fn method(&mut self, method: Method) {
        self.word(match method {
            Method::NearestPoints => 0,
            Method::ManyPoints => 1,
            Method::Parabola => 2,
            Method::Line => 3,
            Method::Measured => 4,
            Method::Flat => 5,
            _ => 6,
        });
    }

    fn dip<A: Fixed>(&mut self, dip: &Dip<A>) {
        self.frequency(dip.frequency);
        self.gamma(dip.reflection);
        self.flag(dip.at_edge);
        self.method(dip.method);
    }

    fn band(&mut self, band: &SweepBand) {
        self.frequency(band.low);
        self.frequency(band.high);
        self.flag(band.low_open);
        self.flag(band.high_open);
        self.method(band.low_method);
        self.method(band.high_method);
    }

    fn part<A: Fixed>(&mut self, part: Option<Reactor<A>>) {
        match part {
            None => self.word(0),
            Some(Reactor::Inductor(inductance)) => self.word(inductance.get()),
            Some(Reactor::Capacitor(capacitance)) => self.word(!capacitance.get()),
        }
    }

    fn choice<A: Fixed>(&mut self, choice: &TurnsChoice<A>) {
        self.word(u32::from(choice.turns.primary()) << 8 | u32::from(choice.turns.secondary()));
        self.impedance(choice.seen);
        self.gamma(choice.reflection);
        for part in [choice.series, choice.shunt] {
            self.ohms(part.load_side_reactance);
            self.part(part.load_side);
            self.ohms(part.source_side_reactance);
            self.part(part.source_side);
            self.ratio(part.swr.get());
        }
    }

    fn rule<A: Fixed>(&mut self, rule: &MagnitudeRule<A>) {
        self.ohms(rule.magnitude);
        self.ratio(rule.impedance_ratio.get());
        self.ratio(rule.swr_promised.get());
        self.impedance(rule.seen);
        self.gamma(rule.reflection);
    }

    fn report<A: Fixed, const N: usize>(&mut self, report: &SweepReport<A, N>) {
        self.word(report.points());
        self.frequency(report.start());
        self.frequency(report.stop());
        for dip in report.best().iter().chain(report.dips()) {
            self.dip(dip);
        }
        for band in report.bands() {
            self.band(band);
        }
        for resonance in report.resonances() {
            self.frequency(resonance.frequency);
            self.ohms(resonance.resistance);
            self.flag(resonance.rising);
            self.ratio(resonance.q.get());
            self.method(resonance.method);
        }
        for left_out in [
            report.dips_left_out(),
            report.bands_left_out(),
            report.resonances_left_out(),
        ] {
            self.word(left_out);
        }
        match report.target() {
            Target::NotAsked => self.word(0),
            Target::NotCovered(frequency) => self.frequency(frequency),
            Target::Reading(reading) => {
                self.gamma(reading.reflection);
                self.flag(reading.pass);
                self.method(reading.method);
            }
        }
    }
}

/// References from 1/4 Ω to 20 kΩ.
fn references<A: Fixed>() -> impl Iterator<Item = Reference<A>> {
    [50.0, 75.0, 12.5, 600.0, 0.25, 20_000.0]
        .into_iter()
        .filter_map(|ohms| Reference::try_from_f64(ohms).ok())
}

fn family<A: Fixed>(out: &mut impl Output) -> u32 {
    readouts::<A>(out);
    let contradictions = all_readouts::<A>(out);
    conversions::<A>(out);
    corrections::<A>(out);
    parts::<A>(out);
    sweeps::<A>(out);
    advice::<A>(out);
    contradictions
}

/// One group for each readout by itself.
fn readouts<A: Fixed>(out: &mut impl Output) {
    type Each<A, O> = fn(&mut Group<'_, O>, Reflection<A>);
    fn group<A: Fixed, O: Output>(out: &mut O, name: &'static str, each: Each<A, O>) {
        let mut group = Group::new::<A>(out, name);
        gammas(|re, im| {
            each(&mut group, A::gamma(re, im));
            group.end_case();
        });
        group.close();
    }
    // By their bits, whatever the word.
    macro_rules! groups {
        ($($method:ident)*) => {
            $(group::<A, _>(out, stringify!($method), |g, gamma| {
                g.word(gamma.$method().to_stored() as u32)
            });)*
        };
    }
    // What is read off Γ alone. `OHMWRIGHT_REWRITE=1 cargo test --test house` writes this line, and compares without.
    groups! { magnitude swr return_loss mismatch_loss phase q reflected_share absorbed_share }
    group::<A, _>(out, "side_of_the_rim", |g, gamma| {
        g.flag(gamma.is_total());
        g.flag(gamma.is_active());
    });
    group::<A, _>(out, "conjugate", |g, gamma| g.gamma(gamma.conjugate()));
    group::<A, _>(out, "impedance", |g, gamma| {
        references().for_each(|reference| g.impedance(gamma.impedance(reference)))
    });
    group::<A, _>(out, "impedance_magnitude", |g, gamma| {
        references().for_each(|reference| g.ohms(gamma.impedance_magnitude(reference)))
    });
}

/// All at once; counted is where they differ from those one by one.
fn all_readouts<A: Fixed>(out: &mut impl Output) -> u32 {
    let mut group = Group::new::<A>(out, "readouts");
    let mut contradictions = 0;
    gammas(|re, im| {
        let gamma = A::gamma(re, im);
        for reference in references() {
            let all = gamma.readouts(reference);
            let z = gamma.impedance(reference);
            let same = all.magnitude == gamma.magnitude()
                && all.swr == gamma.swr()
                && all.return_loss == gamma.return_loss()
                && all.mismatch_loss == gamma.mismatch_loss()
                && (all.resistance, all.reactance) == (z.resistance(), z.reactance())
                && all.impedance_magnitude == gamma.impedance_magnitude(reference)
                && all.phase == gamma.phase()
                && all.q == gamma.q();
            contradictions += u32::from(!same);
            group.word(A::component(all.magnitude));
            group.ratio(all.swr.get());
            group.word(all.return_loss.get().to_bits() as u32);
            group.word(all.mismatch_loss.get().to_bits() as u32);
            group.ohms(all.resistance);
            group.ohms(all.reactance);
            group.ohms(all.impedance_magnitude);
            group.word(all.phase.get().to_bits() as u32);
            group.ratio(all.q.get());
        }
        group.end_case();
    });
    group.close();
    contradictions
}

/// Between impedances, admittances, reflections and references.
fn conversions<A: Fixed>(out: &mut impl Output) {
    let fifty = Reference::<A>::fifty();

    let mut group = Group::new::<A>(out, "reflection");
    impedances::<A>(|z| {
        references().for_each(|reference| group.gamma(z.reflection(reference)));
        group.end_case();
    });
    gammas(|re, im| {
        group.gamma(A::gamma(re, im).impedance(fifty).reflection(fifty));
        group.end_case();
    });
    group.close();

    let mut group = Group::new::<A>(out, "admittance");
    impedances::<A>(|z| {
        let y = z.admittance();
        group.word(y.conductance().get().to_bits() as u32);
        group.word(y.susceptance().get().to_bits() as u32);
        group.impedance(y.impedance());
        let ParallelForm {
            resistance,
            reactance,
        } = z.parallel_form();
        group.ohms(resistance);
        group.ohms(reactance);
        group.impedance(z.parallel_form().series_form());
        group.ohms(z.magnitude());
        group.ratio(z.q().get());
        group.end_case();
    });
    group.close();

    let mut group = Group::new::<A>(out, "change_reference");
    gammas(|re, im| {
        let gamma = A::gamma(re, im);
        for other in references() {
            group.gamma(gamma.change_reference(fifty, other));
            group.gamma(gamma.change_reference(other, fifty));
        }
        group.end_case();
    });
    group.close();

    let mut group = Group::new::<A>(out, "two_impedances");
    let mut last = Impedance::<A>::SHORT;
    impedances::<A>(|z| {
        group.impedance(z.in_series(last));
        group.impedance(z.in_parallel(last));
        if let Ok(gamma) = z.power_wave_reflection(last) {
            group.gamma(gamma);
        }
        if let Ok(share) = z.share_taken_from(last) {
            group.word(A::component(share));
        }
        last = z;
        group.end_case();
    });
    group.close();
}

fn corrections<A: Fixed>(out: &mut impl Output) {
    let perfect = ErrorTerms::<A>::PERFECT;
    let usual = ErrorTerms {
        directivity: A::gamma(ONE / 32, -ONE / 45),
        source_match: A::gamma(-ONE / 21, ONE / 26),
        tracking: A::gamma(ONE / 5 * 4, -ONE / 3),
    };
    let poor = ErrorTerms {
        directivity: A::gamma(-ONE / 3, ONE / 4),
        source_match: A::gamma(ONE / 2, -ONE / 3),
        tracking: A::gamma(ONE / 40, ONE / 30),
    };
    let mut group = Group::new::<A>(out, "correction");
    gammas(|re, im| {
        for terms in [perfect, usual, poor] {
            group.gamma(terms.correct(A::gamma(re, im)));
        }
        group.end_case();
    });
    group.close();
}

/// Coils and capacitors, and what printed readings allow.
fn parts<A: Fixed>(out: &mut impl Output) {
    let mut group = Group::new::<A>(out, "parts");
    let mut chance = Chance(38);
    for case in 0..400u32 {
        let reactance = ohms::<A>(chance.signed() >> (case % 30));
        let frequency = Hertz::new(u64::from(chance.next()) >> (case % 20));
        let part = Reactor::with_reactance(reactance, frequency);
        group.part(part);
        if let Some(part) = part {
            group.ohms(part.reactance(frequency));
            group.ohms(part.reactance(Hertz::new(frequency.get() * 3)));
        }
        group.end_case();
    }
    group.close();

    let mut group = Group::new::<A>(out, "swr_interval");
    for digits in 0..300 {
        let Ok(printed) = Printed::new(digits * digits / 7, (digits % 3) as u8) else {
            continue;
        };
        for reading in [
            Reading::Swr(printed),
            Reading::ReturnLoss(printed),
            Reading::MismatchLoss(printed),
            Reading::ReflectedPercent(printed),
            Reading::ImpedanceMagnitude(printed),
            Reading::Resistive(printed),
        ] {
            if let Ok((low, high)) = swr_interval::<A>(&reading, Reference::fifty()) {
                group.ratio(low.get());
                group.ratio(high.get());
            }
        }
        group.end_case();
    }
    group.close();
}

/// A series circuit whose reactance rises by `slope` (units of 2⁻¹² Ω a kilohertz) through zero at `resonance`.
fn circuit<A: Fixed>(resistance: i32, slope: i32, resonance: i32, kilohertz: i32) -> Impedance<A> {
    let (r, x) = (resistance << 12, (kilohertz - resonance) * slope);
    Impedance::new(ohms::<A>(r), ohms::<A>(x)).unwrap_or(Impedance::OPEN)
}

/// Three invented sweeps, with reports under way.
fn sweeps<A: Fixed>(out: &mut impl Output) {
    let mut group = Group::new::<A>(out, "sweeps");

    // One circuit, a rising even grid; a mask beside it.
    let settings = SweepSettings {
        target: Some(Hertz::from_megahertz(71)),
        ..Default::default()
    };
    sweep::<A>(&mut group, settings, 81, |step| {
        let kilohertz = 66_000 + 100 * step;
        (kilohertz, circuit(36, 120, 69_730, kilohertz))
    });

    // Two circuits on one feed, a falling uneven grid, another reference.
    let settings = SweepSettings {
        reference: references().nth(1).unwrap_or_default(),
        target: Some(Hertz::from_kilohertz(64_501)),
        ..Default::default()
    };
    sweep::<A>(&mut group, settings, 150, |step| {
        let kilohertz = 75_000 - 97 * step - 31 * (step % 2);
        let (one, other) = (
            circuit(60, 170, 64_100, kilohertz),
            circuit(64, 190, 71_400, kilohertz),
        );
        (kilohertz, one.in_parallel(other))
    });

    // A narrow dip in noise, a strict limit.
    let settings = SweepSettings {
        swr_limit: Swr::new(U16F16::from_bits(3 << 15)),
        ..Default::default()
    };
    let mut chance = Chance(5_300);
    sweep::<A>(&mut group, settings, 201, |step| {
        let kilohertz = 5_000 + 3 * step;
        let mut z = circuit::<A>(41, 2_400, 5_215, kilohertz);
        let noise = ohms::<A>(chance.signed() >> 20);
        if let Ok(shifted) = Impedance::new(z.resistance() + noise, z.reactance() - noise) {
            z = shifted;
        }
        (kilohertz, z)
    });
    group.close();
}

fn sweep<A: Fixed>(
    group: &mut Group<'_, impl Output>,
    settings: SweepSettings<A>,
    points: i32,
    mut point: impl FnMut(i32) -> (i32, Impedance<A>),
) {
    let stretch = |low, high, limit| MaskSegment {
        low: Hertz::from_kilohertz(low),
        high: Hertz::from_kilohertz(high),
        swr_limit: Swr::new(U16F16::from_bits(limit)),
    };
    let mask = [
        stretch(69_050, 70_450, 2 << 16),
        stretch(5_210, 5_220, 5 << 14),
        stretch(64_000, 64_900, 5 << 15),
    ];
    let (Ok(mut analyser), Ok(mut mask)) = (
        SweepAnalyser::<A, 3>::new(settings),
        MaskCheck::<A, 3>::new(&mask),
    ) else {
        return group.word(u32::MAX);
    };
    for step in 0..points {
        let (kilohertz, z) = point(step);
        let frequency = Hertz::from_kilohertz(kilohertz as u32);
        let gamma = z.reflection(settings.reference);
        group.flag(analyser.push(frequency, gamma).is_err());
        group.flag(mask.push(frequency, gamma).is_err());
        if step % 50 == 40 || step == points - 1 {
            group.report(&analyser.report());
        }
        group.end_case();
    }
    for verdict in mask.report().verdicts() {
        match verdict {
            MaskVerdict::NotCovered => group.word(0),
            MaskVerdict::Pass(worst) | MaskVerdict::Fail(worst) => {
                group.flag(matches!(verdict, MaskVerdict::Pass(_)));
                group.frequency(worst.frequency);
                group.gamma(worst.reflection);
            }
        }
    }
    group.end_case();
}

fn advice<A: Fixed>(out: &mut impl Output) {
    let mut group = Group::new::<A>(out, "retune");
    let mut chance = Chance(1_000);
    for case in 0..400u32 {
        let dip = Hertz::new(u64::from(chance.next()) >> (case % 24));
        let wanted = Hertz::new(u64::from(chance.next()) >> (case % 23));
        for element in [
            TuningElement::Inductance,
            TuningElement::Capacitance,
            TuningElement::Turns,
            TuningElement::Length,
        ] {
            if let Some(advice) = Retune::<A>::new(element, dip, wanted) {
                group.word(advice.direction as u32);
                group.ratio(advice.factor.get());
            }
        }
        group.end_case();
    }
    group.close();

    let mut group = Group::new::<A>(out, "diagnosis");
    let mut place = 0u32;
    gammas(|re, im| {
        place += 1;
        if !place.is_multiple_of(24) {
            return;
        }
        let limit = Swr::<A>::new(U16F16::from_bits(2 << 16));
        let frequency = Hertz::from_kilohertz(1_000 + 331 * place);
        match Diagnosis::new(A::gamma(re, im), Reference::fifty(), limit, frequency, 6) {
            Err(_) => group.word(u32::MAX),
            Ok(diagnosis) => {
                group.impedance(diagnosis.load);
                group.word(diagnosis.cause as u32);
                group.word(A::component(diagnosis.reflected_power_without_reactance));
                group.word(A::component(diagnosis.reflected_power_with_ratio));
                for choice in [
                    &diagnosis.as_it_is,
                    &diagnosis.turns_alone,
                    &diagnosis.turns_and_series,
                    &diagnosis.turns_and_shunt,
                ] {
                    group.choice(choice);
                }
                group.rule(&diagnosis.magnitude_rule);
            }
        }
        group.end_case();
    });
    group.close();
}
