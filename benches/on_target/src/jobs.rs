//! The whole job of a small instrument: from the counts of a detector to five lines of text, with either analyser. Only this
//! crate has it.

use core::marker::PhantomData;

use ohmwright::measure::calibration::ErrorTerms;
use ohmwright::measure::detector::{Iq, VectorDetector, VectorSettings};
use ohmwright::measure::{SweepAnalyser, SweepReport, ThreePointAnalyser};
use ohmwright::quantity::{Hertz, Ohms, Reference, Reflection};
use ohmwright::show::text;

use crate::kernels::{Answer, Family, Kernel, Library, Path, Report, Swept, TARGET, Taken, Words};
use crate::texts::Line;

/// The counts of a sweep's point, and the error terms there.
#[repr(C)]
pub struct Counted<A: Family> {
    pub frequency: Hertz,
    pub counts: [i32; 4],
    pub terms: ErrorTerms<A>,
}

/// What takes the points of a sweep.
pub trait Analyses<A: Family>: Sized {
    fn new(reference: Reference<A>) -> Self;
    fn push(&mut self, frequency: Hertz, gamma: Reflection<A>) -> bool;
    fn report(&self) -> SweepReport<A, 4>;
}

macro_rules! analyses {
    ($($analyser:ident),*) => { $(
        impl<A: Family> Analyses<A> for $analyser<A, 4> {
            fn new(reference: Reference<A>) -> Self {
                // The usual settings, known when the code is compiled.
                Self::constant::<2_000, 10>(reference, Some(TARGET))
            }
            #[inline(always)]
            fn push(&mut self, frequency: Hertz, gamma: Reflection<A>) -> bool {
                $analyser::push(self, frequency, gamma).is_ok()
            }
            #[inline(always)]
            fn report(&self) -> SweepReport<A, 4> {
                $analyser::report(self)
            }
        }
    )* };
}
analyses!(SweepAnalyser, ThreePointAnalyser);

/// A sweep that is under way.
pub struct Job<A: Family, S> {
    analyser: S,
    detector: VectorDetector<A>,
    reference: Reference<A>,
}

fn stop() -> ! {
    loop {
        core::hint::spin_loop();
    }
}

impl<A: Family, S: Analyses<A>> Job<A, S> {
    fn new(reference: Reference<A>) -> Self {
        match VectorSettings::for_bits(16).and_then(VectorDetector::new) {
            Ok(detector) => Self {
                analyser: S::new(reference),
                detector,
                reference,
            },
            // Sixteen bits are sound. A panic would bring its own code into the image.
            Err(_) => stop(),
        }
    }

    #[inline(always)]
    fn take(&mut self, input: &Counted<A>) -> Taken {
        let [a, b, c, d] = input.counts;
        let Ok(reading) = self.detector.read_counts(Iq::new(a, b), Iq::new(c, d)) else {
            return Taken(false);
        };
        let gamma = input.terms.correct(reading.reflection());
        Taken(self.analyser.push(input.frequency, gamma))
    }

    #[inline(always)]
    fn tell(&self) -> Told<A> {
        let mut told = Told {
            report: Report(Some(self.analyser.report())),
            lines: [const { Line::BLANK }; 5],
        };
        let [first, second, third, fourth, fifth] = told.lines.each_mut().map(|line| line.0.as_mut_slice());
        if let Some(report) = &told.report.0 {
            // What does not fit leaves the line blank, and the host sees it.
            let _ = text::verdict(fifth, report);
            if let Some(best) = report.best() {
                let _ = text::summary(
                    [first, second, third, fourth],
                    best.frequency,
                    best.reflection,
                    self.reference,
                );
            }
        }
        told
    }
}

/// The report, and the five lines: the best point's frequency, SWR, return loss and impedance, and the verdict at the target.
pub struct Told<A: Family> {
    report: Report<A>,
    lines: [Line; 5],
}

impl<A: Family> Answer for Told<A> {
    fn words(&self, out: &mut Words<'_>) {
        self.report.words(out);
        for line in &self.lines {
            line.words(out);
        }
    }
}

macro_rules! job {
    ($($name:ident: $analyser:ident;)*) => { $(
        pub struct $name<P>(PhantomData<P>);
        impl<A: Family> Kernel for $name<Library<A>> {
            type Ohms = Ohms<A>;
            type Input = Counted<A>;
            type Context = Job<A, $analyser<A, 4>>;
            type Output = Taken;
            type Last = Told<A>;
            const ENDS: bool = true;
            fn context(ohms: Ohms<A>) -> Self::Context {
                Job::new(Library::<A>::reference(ohms))
            }
            #[inline(always)]
            fn run(input: &Counted<A>, job: &mut Self::Context) -> Taken {
                job.take(input)
            }
            #[inline(always)]
            fn end(job: &mut Self::Context) -> Told<A> {
                job.tell()
            }
        }
    )* };
}
job! {
    WholeJob: SweepAnalyser;
    LightJob: ThreePointAnalyser;
}

/// A sweep of the analyser for small parts alone.
pub struct Light<A: Family>(ThreePointAnalyser<A, 4>);

macro_rules! light {
    ($($name:ident: $ends:literal;)*) => { $(
        pub struct $name<P>(PhantomData<P>);
        impl<A: Family> Kernel for $name<Library<A>> {
            type Ohms = Ohms<A>;
            type Input = Swept<A>;
            type Context = Light<A>;
            type Output = Taken;
            type Last = Report<A>;
            const ENDS: bool = $ends;
            fn context(ohms: Ohms<A>) -> Light<A> {
                Light(Analyses::new(Library::<A>::reference(ohms)))
            }
            #[inline(always)]
            fn run(swept: &Swept<A>, sweep: &mut Light<A>) -> Taken {
                Taken(sweep.0.push(swept.frequency, swept.raw).is_ok())
            }
            #[inline(always)]
            fn end(sweep: &mut Light<A>) -> Report<A> {
                Report(if $ends { Some(sweep.0.report()) } else { None })
            }
        }
    )* };
}
light! {
    LightPoint: false;
    LightReport: true;
}
