//! The kernels of the text lines: from a value to what the screen shows. Only this crate has them.

use core::marker::PhantomData;
use core::mem::MaybeUninit;

use ohmwright::measure::SweepReport;
use ohmwright::quantity::{Hertz, Impedance, Ohms, Reference, Reflection};
use ohmwright::show::text;

use crate::kernels::{Answer, Family, Kernel, Library, Words};

/// The width of a small screen.
pub const COLUMNS: usize = 20;

/// The lines of a screen, which are the program's and not the call's answer: to copy them would count as the text's, and
/// so would clearing all of them at once.
pub struct Screen<R, const N: usize> {
    reference: R,
    lines: [MaybeUninit<Line>; N],
}

#[repr(C, align(4))]
struct Line([u8; COLUMNS]);

impl Line {
    #[inline(never)]
    fn blank() -> Self {
        Self([b' '; COLUMNS])
    }
}

impl<R, const N: usize> Screen<R, N> {
    #[inline(always)]
    fn new(reference: R) -> Self {
        Self {
            reference,
            lines: [const { MaybeUninit::uninit() }; N],
        }
    }

    /// Blank lines.
    #[inline(always)]
    fn lines(&mut self) -> [&mut [u8]; N] {
        self.lines
            .each_mut()
            .map(|line| line.write(Line::blank()).0.as_mut_slice())
    }

    fn words(&self, out: &mut Words<'_>) {
        for line in &self.lines {
            // SAFETY: a call has written all of them.
            let line = unsafe { line.assume_init_ref() };
            line.0
                .as_chunks()
                .0
                .iter()
                .for_each(|letters| out(u32::from_le_bytes(*letters)));
        }
    }
}

/// The line of a load, from words of ohms.
pub struct TextImpedance<P>(PhantomData<P>);
impl<A: Family> Kernel for TextImpedance<Library<A>> {
    type Ohms = Ohms<A>;
    type Input = Impedance<A>;
    type Context = Screen<(), 1>;
    type Output = ();
    type Last = ();
    #[inline(always)]
    fn context(_: Ohms<A>) -> Self::Context {
        Screen::new(())
    }
    #[inline(always)]
    fn run(load: &Impedance<A>, screen: &mut Self::Context) {
        let [line] = screen.lines();
        // What does not fit leaves the line blank, and the host sees it.
        let _ = text::impedance(line, *load);
    }
    fn left(screen: &Self::Context, out: &mut Words<'_>) {
        screen.words(out);
    }
    fn end(_: &mut Self::Context) {}
}

/// The four lines of a summary, from Γ.
pub struct TextSummary<P>(PhantomData<P>);
impl<A: Family> Kernel for TextSummary<Library<A>> {
    type Ohms = Ohms<A>;
    type Input = Reflection<A>;
    type Context = Screen<Reference<A>, 4>;
    type Output = ();
    type Last = ();
    #[inline(always)]
    fn context(ohms: Ohms<A>) -> Self::Context {
        Screen::new(Reference::new(ohms).unwrap_or(Reference::fifty()))
    }
    #[inline(always)]
    fn run(gamma: &Reflection<A>, screen: &mut Self::Context) {
        let reference = screen.reference;
        let _ = text::summary(screen.lines(), Hertz::from_kilohertz(71_250), *gamma, reference);
    }
    fn left(screen: &Self::Context, out: &mut Words<'_>) {
        screen.words(out);
    }
    fn end(_: &mut Self::Context) {}
}

/// What a screen shows of a report: the best point in four lines, and the verdict.
pub struct Shown([Line; 5]);

/// A function of its own, as in a program: its lines take no stack while the report is made.
#[inline(never)]
pub fn shown<A: Family>(report: &SweepReport<A, 4>, reference: Reference<A>) -> Shown {
    let mut lines = [const { Line([b' '; COLUMNS]) }; 5];
    let [first, second, third, fourth, last] = &mut lines;
    if let Some(best) = report.best() {
        let screen = [first, second, third, fourth].map(|line| line.0.as_mut_slice());
        // What does not fit leaves its line blank, and the host sees it.
        let _ = text::summary(screen, best.frequency, best.reflection, reference);
    }
    let _ = text::verdict(&mut last.0, report);
    Shown(lines)
}

impl Answer for Shown {
    fn words(&self, out: &mut Words<'_>) {
        for Line(line) in &self.0 {
            line.as_chunks()
                .0
                .iter()
                .for_each(|letters| out(u32::from_le_bytes(*letters)));
        }
    }
}
