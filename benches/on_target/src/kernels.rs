//! The kernels, written once for every path. The firmware times them, the host runs the same code for comparison.

use core::marker::PhantomData;

use ohmwright::arithmetic::{Arithmetic, Quantity, Real};
use ohmwright::control::{Arrangement, Bank, BankAt, BankCapacitor, BankCoil, BestSetting, Setting, Side};
use ohmwright::design::ladder::{Element, Ladder, Part};
use ohmwright::design::matching;
use ohmwright::fixed::types::{I2F14, I2F30, I8F24, I16F16, I20F12, U16F16};
use ohmwright::measure::calibration::{CalibrationPoint, CalibrationTable, Corrector, ErrorTerms};
use ohmwright::measure::{self, SweepAnalyser, SweepSettings, Target, ThreePointAnalyser};
use ohmwright::quantity::{
    self, Capacitance, Component, Decibels, Degrees, Hertz, Impedance, Inductance, Ohms, QFactor, Readouts,
    Reference, Reflection, Siemens,
};

pub use crate::detectors::{Demodulate, DemodulateQuarter, ScalarReflection, VectorReflection};
pub use crate::steps::{NextStep, StepInput, SweepSurvey};
use crate::texts::{Shown, shown};
pub use crate::texts::{TextImpedance, TextSummary};

/// Takes the words of an answer, in order.
pub type Words<'a> = dyn FnMut(u32) + 'a;

/// What a kernel gives.
pub trait Answer {
    fn words(&self, out: &mut Words<'_>);
}

/// A single word.
pub trait Word: Answer + Copy {}

macro_rules! word {
    ($($word:ty),*) => { $(
        impl Answer for $word {
            fn words(&self, out: &mut Words<'_>) {
                out(self.to_bits() as u32);
            }
        }
        impl Word for $word {}
    )* };
}
word!(f32, I2F14, I2F30, I8F24, I16F16, I20F12, U16F16);

impl Answer for u32 {
    fn words(&self, out: &mut Words<'_>) {
        out(*self);
    }
}
impl Word for u32 {}

macro_rules! quantities {
    ($($quantity:ty: $word:ident;)*) => { $(
        impl<A: Arithmetic<$word: Word>> Answer for $quantity {
            fn words(&self, out: &mut Words<'_>) {
                self.get().words(out);
            }
        }
        impl<A: Arithmetic<$word: Word>> Word for $quantity {}
    )* };
}
quantities! {
    Component<A>: ComponentWord;
    Ohms<A>: OhmsWord;
    Siemens<A>: SiemensWord;
    quantity::Swr<A>: RatioWord;
    quantity::Ratio<A>: RatioWord;
    Inductance<A>: InductanceWord;
    Capacitance<A>: CapacitanceWord;
    QFactor<A>: RatioWord;
    Decibels<A>: DecibelsWord;
    Degrees<A>: DegreesWord;
}

impl Answer for () {
    fn words(&self, _: &mut Words<'_>) {}
}

impl<A: Answer, B: Answer> Answer for (A, B) {
    fn words(&self, out: &mut Words<'_>) {
        self.0.words(out);
        self.1.words(out);
    }
}

impl<A: Answer, const N: usize> Answer for [A; N] {
    fn words(&self, out: &mut Words<'_>) {
        for answer in self {
            answer.words(out);
        }
    }
}

/// The capacitor across the load of `ladder_step`, femtofarads, and its frequency.
pub const STEP_FEMTOFARADS: u32 = 22_000;
pub const STEP_FREQUENCY: Hertz = Hertz::from_megahertz(71);

/// A way to compute: this crate in one of its families, or the code it is compared with.
pub trait Path {
    /// The reference as it is handed to the code.
    type Reference: Copy;
    type Gamma: Copy + Answer;
    type Load: Copy;
    type Terms;
    type Component: Word;
    type Ohms: Word;
    type Swr: Word;
    type QFactor: Word;
    type Decibels: Word;
    type Degrees: Word;
    type Readouts: Answer;
    type Siemens: Word;
    /// One capacitor across, with its frequency.
    type Chain;

    fn chain() -> Self::Chain;
    /// What a load looks like through it.
    fn step(chain: &Self::Chain, load: Self::Load) -> (Self::Ohms, Self::Ohms);
    /// Reactance in series and susceptance across of every network of two elements, nothing where there is none.
    fn two_element(load: Self::Load, reference: Self::Reference) -> [(Self::Ohms, Self::Siemens); 4];
    fn reference(ohms: Self::Ohms) -> Self::Reference;
    /// 50 Ω, known when the code is compiled.
    fn fifty() -> Self::Reference;
    fn magnitude(gamma: Self::Gamma) -> Self::Component;
    fn swr(gamma: Self::Gamma) -> Self::Swr;
    fn return_loss(gamma: Self::Gamma) -> Self::Decibels;
    fn mismatch_loss(gamma: Self::Gamma) -> Self::Decibels;
    fn impedance(gamma: Self::Gamma, reference: Self::Reference) -> (Self::Ohms, Self::Ohms);
    fn impedance_magnitude(gamma: Self::Gamma, reference: Self::Reference) -> Self::Ohms;
    fn phase(gamma: Self::Gamma) -> Self::Degrees;
    fn q(gamma: Self::Gamma) -> Self::QFactor;
    fn all_readouts(gamma: Self::Gamma, reference: Self::Reference) -> Self::Readouts;
    fn reflection(load: Self::Load, reference: Self::Reference) -> Self::Gamma;
    fn correct(terms: &Self::Terms, raw: Self::Gamma) -> Self::Gamma;
    /// The terms of a fixture from three devices, each as known Γ and reading.
    fn solve(readings: &[(Self::Gamma, Self::Gamma); 3]) -> Self::Terms;
    /// The words of terms.
    fn term_words(terms: &Self::Terms, out: &mut Words<'_>);

    /// A table of terms against frequency, and the place in it.
    type Walk;
    fn walk() -> Self::Walk;
    fn correct_at(walk: &mut Self::Walk, hertz: u32, raw: Self::Gamma) -> Self::Gamma;
}

fn stop() -> ! {
    loop {
        core::hint::spin_loop();
    }
}

/// A family whose words can be told to the host.
pub trait Family:
    Arithmetic<
        ComponentWord: Word,
        OhmsWord: Word,
        SiemensWord: Word,
        RatioWord: Word,
        InductanceWord: Word,
        CapacitanceWord: Word,
        DecibelsWord: Word,
        DegreesWord: Word,
    >
{
}
impl<A> Family for A where
    A: Arithmetic<
            ComponentWord: Word,
            OhmsWord: Word,
            SiemensWord: Word,
            RatioWord: Word,
            InductanceWord: Word,
            CapacitanceWord: Word,
            DecibelsWord: Word,
            DegreesWord: Word,
        >
{
}

/// This crate, in the family `A`.
pub struct Library<A>(PhantomData<A>);

impl<A: Family> Path for Library<A> {
    type Reference = Reference<A>;
    type Gamma = Reflection<A>;
    type Load = Impedance<A>;
    type Terms = ErrorTerms<A>;
    type Component = Component<A>;
    type Ohms = Ohms<A>;
    type Swr = quantity::Swr<A>;
    type QFactor = QFactor<A>;
    type Decibels = Decibels<A>;
    type Degrees = Degrees<A>;
    type Readouts = Readouts<A>;
    type Siemens = Siemens<A>;
    type Chain = (Ladder<A, 1>, Hertz);

    fn chain() -> Self::Chain {
        let mut ladder = Ladder::new();
        match Part::capacitor(Capacitance::from_femtofarads(STEP_FEMTOFARADS)) {
            // There is room, and the part is sound.
            Ok(part) => {
                let _ = ladder.push(Element::Shunt(part));
            }
            Err(_) => stop(),
        }
        (ladder, STEP_FREQUENCY)
    }
    fn step(chain: &Self::Chain, load: Impedance<A>) -> (Ohms<A>, Ohms<A>) {
        match chain.0.input_impedance(load, chain.1) {
            Ok(seen) => (seen.resistance(), seen.reactance()),
            Err(_) => stop(),
        }
    }
    fn two_element(load: Impedance<A>, reference: Reference<A>) -> [(Ohms<A>, Siemens<A>); 4] {
        let nothing = (Ohms::<A>::ZERO, Siemens::<A>::ZERO);
        let source = Impedance::new(reference.ohms(), Ohms::<A>::ZERO).unwrap_or(Impedance::OPEN);
        match matching::two_element(load, source) {
            Err(_) => [nothing; 4],
            Ok(found) => found.all().map(|network| {
                network.map_or(nothing, |network| {
                    (network.series_reactance(), network.shunt_susceptance())
                })
            }),
        }
    }
    fn reference(ohms: Ohms<A>) -> Reference<A> {
        match Reference::new(ohms) {
            Ok(reference) => reference,
            // The host gives a sound one. A panic would bring its own code into the image.
            Err(_) => stop(),
        }
    }
    fn fifty() -> Reference<A> {
        Reference::fifty()
    }
    fn magnitude(gamma: Reflection<A>) -> Component<A> {
        gamma.magnitude()
    }
    fn swr(gamma: Reflection<A>) -> quantity::Swr<A> {
        gamma.swr()
    }
    fn return_loss(gamma: Reflection<A>) -> Decibels<A> {
        gamma.return_loss()
    }
    fn mismatch_loss(gamma: Reflection<A>) -> Decibels<A> {
        gamma.mismatch_loss()
    }
    fn impedance(gamma: Reflection<A>, reference: Reference<A>) -> (Ohms<A>, Ohms<A>) {
        let load = gamma.impedance(reference);
        (load.resistance(), load.reactance())
    }
    fn impedance_magnitude(gamma: Reflection<A>, reference: Reference<A>) -> Ohms<A> {
        gamma.impedance_magnitude(reference)
    }
    fn phase(gamma: Reflection<A>) -> Degrees<A> {
        gamma.phase()
    }
    fn q(gamma: Reflection<A>) -> QFactor<A> {
        gamma.q()
    }
    fn all_readouts(gamma: Reflection<A>, reference: Reference<A>) -> Readouts<A> {
        gamma.readouts(reference)
    }
    fn reflection(load: Impedance<A>, reference: Reference<A>) -> Reflection<A> {
        load.reflection(reference)
    }
    fn correct(terms: &ErrorTerms<A>, raw: Reflection<A>) -> Reflection<A> {
        terms.correct(raw)
    }
    fn solve(readings: &[(Reflection<A>, Reflection<A>); 3]) -> ErrorTerms<A> {
        match ErrorTerms::from_known(readings) {
            Ok(terms) => terms,
            // The readings are sound. A panic would bring its own code into the image.
            Err(_) => stop(),
        }
    }
    fn term_words(terms: &ErrorTerms<A>, out: &mut Words<'_>) {
        for gamma in [terms.directivity, terms.source_match, terms.tracking] {
            gamma.words(out);
        }
    }

    type Walk = Corrector<'static, A>;
    fn walk() -> Corrector<'static, A> {
        let component =
            |part: i32| Component::<A>::from_working(A::Working::from_i32(part) / A::Working::from_i32(1024));
        let gamma = |(re, im)| match Reflection::new(component(re), component(im)) {
            Ok(gamma) => gamma,
            Err(_) => stop(),
        };
        let mut points = [CalibrationPoint::<A>::EMPTY; TABLE_POINTS];
        for (place, point) in points.iter_mut().enumerate() {
            let [directivity, source_match, tracking] = table_terms(place as i32).map(gamma);
            *point = CalibrationPoint {
                frequency: Hertz::new(u64::from(table_hertz(place as u32))),
                terms: ErrorTerms {
                    directivity,
                    source_match,
                    tracking,
                },
            };
        }
        match CalibrationTable::new(crate::keep(points), Reference::fifty(), Decibels::<A>::ZERO) {
            Ok(table) => table.corrector(),
            Err(_) => stop(),
        }
    }
    fn correct_at(walk: &mut Corrector<'static, A>, hertz: u32, raw: Reflection<A>) -> Reflection<A> {
        match walk.correct(Hertz::new(u64::from(hertz)), raw) {
            Ok(gamma) => gamma,
            Err(_) => stop(),
        }
    }
}

impl<A: Family> Answer for Reflection<A> {
    fn words(&self, out: &mut Words<'_>) {
        (self.real(), self.imaginary()).words(out);
    }
}

impl<A: Family> Answer for Readouts<A> {
    fn words(&self, out: &mut Words<'_>) {
        self.magnitude.words(out);
        self.swr.words(out);
        self.return_loss.words(out);
        self.mismatch_loss.words(out);
        self.resistance.words(out);
        self.reactance.words(out);
        self.impedance_magnitude.words(out);
        self.phase.words(out);
        self.q.words(out);
    }
}

/// What is timed: one call for every input, and where there is one a last call at the end.
pub trait Kernel {
    /// The word of the reference's resistance.
    type Ohms: Copy;
    type Input;
    type Context;
    type Output: Answer;
    type Last: Answer;
    /// Whether there is a last call.
    const ENDS: bool = false;

    fn context(reference: Self::Ohms) -> Self::Context;
    fn run(input: &Self::Input, context: &mut Self::Context) -> Self::Output;
    /// What comes before the call and is not counted.
    fn prepare(_input: &Self::Input, _context: &mut Self::Context) {}
    /// What a call has left in its context, told after its answer.
    fn left(_context: &Self::Context, _out: &mut Words<'_>) {}
    fn end(context: &mut Self::Context) -> Self::Last;
    /// Whether this call is measured; the others get ready what it needs.
    fn is_measured(_input: &Self::Input) -> bool {
        true
    }
}

/// A kernel that reads one input, and the reference where there is a second argument.
macro_rules! kernel {
    (@context) => { () };
    (@context $reference:ident) => { P::Reference };
    (@make $ohms:ident) => { () };
    (@make $ohms:ident $reference:ident) => { P::reference($ohms) };
    (@pattern) => { () };
    (@pattern $reference:ident) => { $reference };
    ($($name:ident: $input:ident -> $output:ty, |$with:ident $(, $reference:ident)?| $body:expr;)*) => { $(
        pub struct $name<P>(PhantomData<P>);
        impl<P: Path> Kernel for $name<P> {
            type Ohms = P::Ohms;
            type Input = $input<P>;
            type Context = kernel!(@context $($reference)?);
            type Output = $output;
            type Last = ();
            fn context(_ohms: P::Ohms) -> Self::Context {
                kernel!(@make _ohms $($reference)?)
            }
            #[inline(always)]
            fn run($with: &$input<P>, kernel!(@pattern $($reference)?): &mut Self::Context) -> $output {
                $body
            }
            fn end(_: &mut Self::Context) {}
        }
    )* };
}

/// What a summary's lines tell of Γ: SWR, return loss, and the impedance.
pub type Summary<P> = (
    <P as Path>::Swr,
    (<P as Path>::Decibels, (<P as Path>::Ohms, <P as Path>::Ohms)),
);

type Gamma<P> = <P as Path>::Gamma;
type Load<P> = <P as Path>::Load;

/// A raw reading and the error terms at its frequency.
#[repr(C)]
pub struct Raw<P: Path> {
    pub raw: P::Gamma,
    pub terms: P::Terms,
}

kernel! {
    Nothing: Gamma -> (), |_with| ();
    Magnitude: Gamma -> P::Component, |gamma| P::magnitude(*gamma);
    Swr: Gamma -> P::Swr, |gamma| P::swr(*gamma);
    ReturnLoss: Gamma -> P::Decibels, |gamma| P::return_loss(*gamma);
    MismatchLoss: Gamma -> P::Decibels, |gamma| P::mismatch_loss(*gamma);
    ImpedanceOf: Gamma -> (P::Ohms, P::Ohms), |gamma, reference| P::impedance(*gamma, *reference);
    ImpedanceMagnitude: Gamma -> P::Ohms, |gamma, reference| P::impedance_magnitude(*gamma, *reference);
    SummaryReadouts: Gamma -> Summary<P>, |gamma, reference|
        (P::swr(*gamma), (P::return_loss(*gamma), P::impedance(*gamma, *reference)));
    Phase: Gamma -> P::Degrees, |gamma| P::phase(*gamma);
    Q: Gamma -> P::QFactor, |gamma| P::q(*gamma);
    AllReadouts: Gamma -> P::Readouts, |gamma, reference| P::all_readouts(*gamma, *reference);
    AllReadoutsFifty: Gamma -> P::Readouts, |gamma| P::all_readouts(*gamma, P::fifty());
    ReflectionOf: Load -> P::Gamma, |load, reference| P::reflection(*load, *reference);
    TwoElement: Load -> [(P::Ohms, P::Siemens); 4], |load, reference| P::two_element(*load, *reference);
    Correction: Raw -> P::Gamma, |raw| P::correct(&raw.terms, raw.raw);
}

/// All readouts of one Γ, and a single one of the Γ before it: what a program pays that calls both. The single one is left
/// in the context, as the only way in which none of the answers is copied.
pub struct ReadoutsAndSwr<P>(PhantomData<P>);
impl<P: Path> Kernel for ReadoutsAndSwr<P> {
    type Ohms = P::Ohms;
    type Input = P::Gamma;
    type Context = Option<(P::Gamma, P::Swr)>;
    type Output = P::Readouts;
    type Last = ();
    fn context(_: P::Ohms) -> Self::Context {
        None
    }
    #[inline(always)]
    fn run(gamma: &P::Gamma, before: &mut Self::Context) -> P::Readouts {
        let other = before.map_or(*gamma, |(gamma, _)| gamma);
        *before = Some((*gamma, P::swr(other)));
        P::all_readouts(*gamma, P::fifty())
    }
    fn left(before: &Self::Context, out: &mut Words<'_>) {
        if let Some((_, swr)) = before {
            swr.words(out);
        }
    }
    fn end(_: &mut Self::Context) {}
}

/// The frequencies of the table of error terms: over the sweep and a little beyond, and no frequency of the sweep.
pub const TABLE_POINTS: usize = 32;
pub const fn table_hertz(place: u32) -> u32 {
    59_990_000 + 650_000 * place
}

/// The terms there, of an invented fixture, in 1024ths: directivity, source match, tracking.
pub const fn table_terms(place: i32) -> [(i32, i32); 3] {
    [
        (51 - place, 20 + place / 2),
        (2 * place - 60, 90 - place),
        (700 - 4 * place, 300 - 20 * place),
    ]
}

/// A raw reading of a sweep, to be corrected by the table.
#[repr(C)]
pub struct Located<P: Path> {
    pub hertz: u32,
    pub raw: P::Gamma,
}

/// The terms of the fixture between two frequencies of a table, and the correction with them.
pub struct TableCorrection<P>(PhantomData<P>);
impl<P: Path> Kernel for TableCorrection<P> {
    type Ohms = P::Ohms;
    type Input = Located<P>;
    type Context = P::Walk;
    type Output = P::Gamma;
    type Last = ();
    fn context(_: P::Ohms) -> P::Walk {
        P::walk()
    }
    #[inline(always)]
    fn run(input: &Located<P>, walk: &mut P::Walk) -> P::Gamma {
        P::correct_at(walk, input.hertz, input.raw)
    }
    fn end(_: &mut P::Walk) {}
}

/// Three known devices and their readings, one after the other.
#[repr(C)]
pub struct Known<P: Path>(pub [P::Gamma; 6]);

/// Terms, to be told.
pub struct Told<P: Path>(P::Terms);
impl<P: Path> Answer for Told<P> {
    fn words(&self, out: &mut Words<'_>) {
        P::term_words(&self.0, out);
    }
}

/// The terms of the fixture from three standards.
pub struct CalibrationSolve<P>(PhantomData<P>);
impl<P: Path> Kernel for CalibrationSolve<P> {
    type Ohms = P::Ohms;
    type Input = Known<P>;
    type Context = ();
    type Output = Told<P>;
    type Last = ();
    fn context(_: P::Ohms) {}
    #[inline(always)]
    fn run(input: &Known<P>, _: &mut ()) -> Told<P> {
        let [a, b, c, d, e, f] = input.0;
        Told(P::solve(&[(a, b), (c, d), (e, f)]))
    }
    fn end(_: &mut ()) {}
}

/// One step of a ladder, from impedance to impedance.
pub struct LadderStep<P>(PhantomData<P>);

impl<P: Path> Kernel for LadderStep<P> {
    type Ohms = P::Ohms;
    type Input = Load<P>;
    type Context = P::Chain;
    type Output = (P::Ohms, P::Ohms);
    type Last = ();
    fn context(_: P::Ohms) -> P::Chain {
        P::chain()
    }
    #[inline(always)]
    fn run(load: &Load<P>, chain: &mut P::Chain) -> Self::Output {
        P::step(chain, *load)
    }
    fn end(_: &mut P::Chain) {}
}

/// A corrected point of a sweep.
#[repr(C)]
pub struct Point<A: Family> {
    pub frequency: Hertz,
    pub gamma: Reflection<A>,
}

/// Where every sweep begins: a point there is the first of another one.
pub const SWEEP_BEGINS: Hertz = Hertz::from_megahertz(60);

/// A raw reading of a sweep.
#[repr(C)]
pub struct Swept<A: Family> {
    pub frequency: Hertz,
    pub raw: Reflection<A>,
    pub terms: ErrorTerms<A>,
}

pub type Analyser<A> = SweepAnalyser<A, 4>;

/// The target of the sweep: a frequency of the invented scenario.
pub const TARGET: Hertz = Hertz::from_kilohertz(71_015);

macro_rules! begin {
    ($($name:ident: $analyser:ident;)*) => { $(
        /// An analyser that takes a sweep in the given reference.
        pub fn $name<A: Family>(reference: Reference<A>) -> $analyser<A, 4> {
            let settings = SweepSettings {
                reference,
                target: Some(TARGET),
                ..SweepSettings::default()
            };
            match $analyser::new(settings) {
                Ok(analyser) => analyser,
                // The settings are sound. A panic would bring its own code into the image.
                Err(_) => stop(),
            }
        }
    )* };
}
begin! {
    analyser: SweepAnalyser;
    three_point: ThreePointAnalyser;
}

/// A sweep that is under way.
pub struct Sweeping<A: Family, S> {
    analyser: S,
    reference: Reference<A>,
}

/// Whether the analyser has taken the point.
pub struct Taken(bool);

impl Answer for Taken {
    fn words(&self, out: &mut Words<'_>) {
        out(u32::from(self.0));
    }
}

/// The report of a sweep.
pub struct Report<A: Family>(pub Option<measure::SweepReport<A, 4>>);

impl<A: Family> Answer for Report<A> {
    fn words(&self, out: &mut Words<'_>) {
        let Some(report) = &self.0 else { return };
        out(report.points());
        out(report.bands().len() as u32);
        for band in report.bands() {
            out(band.low.get() as u32);
            out(band.high.get() as u32);
        }
        out(report.dips().len() as u32);
        for dip in report.dips() {
            out(dip.frequency.get() as u32);
        }
        out(report.resonances().len() as u32);
        for resonance in report.resonances() {
            out(resonance.frequency.get() as u32);
            resonance.resistance.words(out);
            resonance.q.words(out);
        }
        if let Some(best) = report.best() {
            best.reflection.words(out);
        }
        if let Target::Reading(target) = report.target() {
            target.reflection.words(out);
        }
    }
}

macro_rules! pushes {
    ($($push:ident, $report:ident: $analyser:ident by $begin:ident;)*) => { $(
        /// One point pushed to the analyser.
        pub struct $push<P>(PhantomData<P>);

        impl<A: Family> Kernel for $push<Library<A>> {
            type Ohms = Ohms<A>;
            type Input = Point<A>;
            type Context = $analyser<A, 4>;
            type Output = Taken;
            type Last = ();
            fn context(ohms: Ohms<A>) -> Self::Context {
                $begin(Library::<A>::reference(ohms))
            }
            fn prepare(point: &Point<A>, analyser: &mut Self::Context) {
                if point.frequency == SWEEP_BEGINS {
                    analyser.restart();
                }
            }
            #[inline(always)]
            fn run(point: &Point<A>, analyser: &mut Self::Context) -> Taken {
                Taken(analyser.push(point.frequency, point.gamma).is_ok())
            }
            fn end(_: &mut Self::Context) {}
        }

        /// The report after each point of a sweep.
        pub struct $report<P>(PhantomData<P>);

        impl<A: Family> Kernel for $report<Library<A>> {
            type Ohms = Ohms<A>;
            type Input = Point<A>;
            type Context = $analyser<A, 4>;
            type Output = Report<A>;
            type Last = ();
            fn context(ohms: Ohms<A>) -> Self::Context {
                $begin(Library::<A>::reference(ohms))
            }
            fn prepare(point: &Point<A>, analyser: &mut Self::Context) {
                $push::<Library<A>>::prepare(point, analyser);
                // A refused point would show in the report.
                let _ = analyser.push(point.frequency, point.gamma);
            }
            #[inline(always)]
            fn run(_: &Point<A>, analyser: &mut Self::Context) -> Report<A> {
                Report(Some(analyser.report()))
            }
            fn end(_: &mut Self::Context) {}
        }
    )* };
}

pushes! {
    SweepPush, SweepReport: SweepAnalyser by analyser;
    LightPush, LightReport: ThreePointAnalyser by three_point;
}

macro_rules! job {
    ($($name:ident: $analyser:ident by $begin:ident, $last:ty, |$sweep:ident| $end:expr;)*) => { $(
        pub struct $name<P>(PhantomData<P>);
        impl<A: Family> Kernel for $name<Library<A>> {
            type Ohms = Ohms<A>;
            type Input = Swept<A>;
            type Context = Sweeping<A, $analyser<A, 4>>;
            type Output = Readouts<A>;
            type Last = $last;
            const ENDS: bool = true;
            fn context(ohms: Ohms<A>) -> Self::Context {
                let reference = Library::<A>::reference(ohms);
                Sweeping {
                    analyser: $begin(reference),
                    reference,
                }
            }
            #[inline(always)]
            fn run(swept: &Swept<A>, sweep: &mut Self::Context) -> Readouts<A> {
                let gamma = swept.terms.correct(swept.raw);
                // A refused point would show in the report.
                let _ = sweep.analyser.push(swept.frequency, gamma);
                gamma.readouts(sweep.reference)
            }
            #[inline(always)]
            fn end($sweep: &mut Self::Context) -> $last {
                $end
            }
        }
    )* };
}

// Correction, readouts and analyser of every point, and in the end the report; with what a screen shows of it, or without.
job! {
    SweepJob: SweepAnalyser by analyser, Report<A>, |sweep| Report(Some(sweep.analyser.report()));
    WholeJob: SweepAnalyser by analyser, Shown, |sweep| shown(&sweep.analyser.report(), sweep.reference);
    LightJob: ThreePointAnalyser by three_point, Shown, |sweep| shown(sweep.analyser.finish(), sweep.reference);
}

/// The bank of the decision, invented: eight coils from 50 nH and eight capacitors from 10 pF, each twice the one before
/// it, at either end; 7.1 MHz. The Q of the coils is 160, that of the capacitors 1,000.
pub mod bank {
    pub const FREQUENCY_HZ: u64 = 7_100_000;
    pub const COIL_PICOHENRIES: u32 = 50_000;
    pub const CAPACITOR_FEMTOFARADS: u32 = 10_000;
    pub const COIL_Q: i32 = 160;
    pub const CAPACITOR_Q: i32 = 1_000;
}

/// The decision of a tuner: from a reading behind a known setting to the best of 2 × 256 × 256.
pub struct TunerDecision<P>(PhantomData<P>);

/// The best setting, or none.
pub struct Decision<A: Family>(Option<BestSetting<A>>);

impl<A: Family> Answer for Decision<A> {
    fn words(&self, out: &mut Words<'_>) {
        let Some(best) = &self.0 else { return };
        out(u32::from(best.setting.coils));
        out(u32::from(best.setting.capacitors));
        out(u32::from(best.setting.side == Side::Load));
        best.reflection.words(out);
    }
}

impl<A: Family> Kernel for TunerDecision<Library<A>> {
    type Ohms = Ohms<A>;
    type Input = Reflection<A>;
    type Context = BankAt<A, 8, 8>;
    type Output = Decision<A>;
    type Last = ();
    fn context(ohms: Ohms<A>) -> BankAt<A, 8, 8> {
        let q = |q: i32| QFactor::<A>::from_working(A::Working::from_i32(q));
        let coils = core::array::from_fn(|k| BankCoil {
            inductance: Inductance::from_picohenries(bank::COIL_PICOHENRIES << k),
            q: q(bank::COIL_Q),
        });
        let capacitors = core::array::from_fn(|k| BankCapacitor {
            capacitance: Capacitance::from_femtofarads(bank::CAPACITOR_FEMTOFARADS << k),
            q: q(bank::CAPACITOR_Q),
        });
        let at = Bank::new(coils, capacitors, Arrangement::Changeover)
            .and_then(|bank| bank.at(Hertz::new(bank::FREQUENCY_HZ), Library::<A>::reference(ohms)));
        match at {
            Ok(at) => at,
            // The bank is sound. A panic would bring its own code into the image.
            Err(_) => stop(),
        }
    }
    #[inline(always)]
    fn run(reading: &Reflection<A>, at: &mut BankAt<A, 8, 8>) -> Decision<A> {
        let load = at.load_behind(Setting::BYPASS, *reading);
        Decision(load.and_then(|load| at.best_setting(load)).ok())
    }
    fn end(_: &mut BankAt<A, 8, 8>) {}
}
