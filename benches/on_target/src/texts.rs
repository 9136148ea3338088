//! The kernels of the text lines: from a value to what the screen shows. Only this crate has them.

use core::marker::PhantomData;

use ohmwright::quantity::{Hertz, Impedance, Reference, Reflection};
use ohmwright::show::text;

use crate::kernels::{Answer, Family, Kernel, Library, Words};

/// The width of a small screen.
pub const COLUMNS: usize = 20;

/// Lines of text.
pub struct Lines<const N: usize>([[u8; COLUMNS]; N]);

impl<const N: usize> Answer for Lines<N> {
    fn words(&self, out: &mut Words<'_>) {
        for letters in self.0.as_flattened().chunks_exact(4) {
            if let Ok(letters) = letters.try_into() {
                out(u32::from_le_bytes(letters));
            }
        }
    }
}

/// The line of a load, from words of ohms.
pub struct TextImpedance<P>(PhantomData<P>);
impl<A: Family> Kernel for TextImpedance<Library<A>> {
    type Ohms = A::Ohms;
    type Input = Impedance<A>;
    type Context = ();
    type Output = Lines<1>;
    type Last = ();
    fn context(_: A::Ohms) {}
    #[inline(always)]
    fn run(load: &Impedance<A>, _: &mut ()) -> Lines<1> {
        let mut line = [0; COLUMNS];
        // What does not fit leaves the line empty, and the host sees it.
        let _ = text::impedance(&mut line, *load);
        Lines([line])
    }
    fn end(_: &()) {}
}

/// The four lines of a summary, from Γ.
pub struct TextSummary<P>(PhantomData<P>);
impl<A: Family> Kernel for TextSummary<Library<A>> {
    type Ohms = A::Ohms;
    type Input = Reflection<A>;
    type Context = Reference<A>;
    type Output = Lines<4>;
    type Last = ();
    fn context(ohms: A::Ohms) -> Reference<A> {
        Reference::new(ohms).unwrap_or(Reference::fifty())
    }
    #[inline(always)]
    fn run(gamma: &Reflection<A>, reference: &mut Reference<A>) -> Lines<4> {
        let mut lines = [[0; COLUMNS]; 4];
        let [first, second, third, fourth] = &mut lines;
        let _ = text::summary(
            [first, second, third, fourth],
            Hertz::from_kilohertz(71_250),
            *gamma,
            *reference,
        );
        Lines(lines)
    }
    fn end(_: &Reference<A>) {}
}
