//! The bank at one frequency: Γ at the input for a load, and the load that belongs to a reading.
//!
//! All quantities are normalised to the reference. A port is described by the pair (v, i) = (1 + Γ, 1 − Γ), so that
//! opens and shorts need no special case. A series element z adds z·i to v, a shunt element y adds y·v to i (textbooks
//! on two-ports, chain parameters; from memory). Γ at the input is then (v − i)/(v + i), a Möbius map of the load's Γ.
//!
//! Every part of the chain is reciprocal and does not change i·dv − v·di. With Γ = (v − i)/(v + i) the sensitivities
//! follow directly: 2·i²/(v + i)² for a series element at its position, −2·v²/(v + i)² for a shunt element, with v + i
//! at the input (own derivation; checked against differences below).

use super::arrangement::Arrangement;
use super::bank::{Bank, BankError, MOST_TAPS};
use super::code::all;
use super::setting::{Setting, Side};
use super::subset_sums::sum;
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::plane::Plane;
use crate::quantity::{Complex, Hertz, QFactor, Reference, Reflection};

/// A bank at one frequency against one reference: made by [`Bank::at`].
///
/// It holds the impedance of each coil and the admittance of each capacitor; in fixed point 16 bytes each plus about
/// 100.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BankAt<A: Arithmetic, const L: usize, const C: usize> {
    pub(super) coils: [Complex<A::Working>; L],
    pub(super) capacitors: [Complex<A::Working>; C],
    pub(super) arrangement: Arrangement,
    /// Reactance of the stray series inductance.
    pub(super) path: A::Working,
    /// Susceptances of the stray capacitances.
    pub(super) at_source: A::Working,
    pub(super) at_load: A::Working,
    /// Impedance ratio of each tap, bank side over antenna side.
    pub(super) taps: [A::Working; MOST_TAPS],
    pub(super) tap_count: u8,
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic, const L: usize, const C: usize> defmt::Format for BankAt<A, L, C> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(
            f,
            "bank of {=usize} coils and {=usize} capacitors at a frequency",
            L,
            C
        );
    }
}

/// Learned relative errors of the parts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Learned<W, const L: usize, const C: usize> {
    pub(super) coils: [W; L],
    pub(super) capacitors: [W; C],
}

impl<W: Real, const L: usize, const C: usize> Learned<W, L, C> {
    pub(super) const NOTHING: Self = Self {
        coils: [W::ZERO; L],
        capacitors: [W::ZERO; C],
    };

    /// The same, each limited to ±`most`.
    pub(super) fn limited(&self, most: W) -> Self {
        let mut limited = *self;
        for error in limited.coils.iter_mut().chain(&mut limited.capacitors) {
            *error = error.smaller(most).larger(-most);
        }
        limited
    }

    /// Moves half the way to other values.
    pub(super) fn draw_near(&mut self, other: &Self) {
        let coils = self.coils.iter_mut().zip(&other.coils);
        for (own, other) in coils.chain(self.capacitors.iter_mut().zip(&other.capacitors)) {
            *own = (*own + *other) * W::HALF;
        }
    }
}

/// The derivative of Γ at the input with respect to one change.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sensitivity<W> {
    /// To the load's Γ.
    pub(super) load: Complex<W>,
    /// To a series impedance among the coils.
    pub(super) series: Complex<W>,
    /// To an admittance across the line at either end.
    pub(super) at_source: Complex<W>,
    pub(super) at_load: Complex<W>,
    /// Γ at the input itself.
    pub(super) reflection: Complex<W>,
}

impl<A: Arithmetic, const L: usize, const C: usize> Bank<A, L, C> {
    /// The bank at one frequency, against a reference, ready to calculate settings.
    ///
    /// # Errors
    /// [`BankError::NoFrequency`] at 0 Hz.
    pub fn at(&self, frequency: Hertz, reference: Reference<A>) -> Result<BankAt<A, L, C>, BankError> {
        BankAt::new(self, None, frequency, reference)
    }
}

impl<A: Arithmetic, const L: usize, const C: usize> BankAt<A, L, C> {
    pub(super) fn new(
        bank: &Bank<A, L, C>,
        learned: Option<&Learned<A::Working, L, C>>,
        frequency: Hertz,
        reference: Reference<A>,
    ) -> Result<Self, BankError> {
        if frequency.get() == 0 {
            return Err(BankError::NoFrequency);
        }
        let omega = frequency.angular::<A::Working>();
        let per_ohm = A::Working::ONE / reference.working();
        let (series, shunt) = (omega * per_ohm, omega * reference.working());
        let mut at = Self {
            coils: [Complex::ZERO; L],
            capacitors: [Complex::ZERO; C],
            arrangement: bank.arrangement,
            path: series * bank.stray.series.to_base(),
            at_source: shunt * bank.stray.at_source.to_base(),
            at_load: shunt * bank.stray.at_load.to_base(),
            taps: [A::Working::ONE; MOST_TAPS],
            tap_count: bank.taps(),
        };
        for (place, coil) in at.coils.iter_mut().zip(&bank.coils) {
            *place = lossy::<A>(series * coil.inductance.to_base(), coil.q);
        }
        for (place, part) in at.capacitors.iter_mut().zip(&bank.capacitors) {
            *place = lossy::<A>(shunt * part.capacitance.to_base(), part.q);
        }
        if let Some(learned) = learned {
            for (place, error) in at.coils.iter_mut().zip(&learned.coils) {
                *place = place.scale(A::Working::ONE + *error);
            }
            for (place, error) in at.capacitors.iter_mut().zip(&learned.capacitors) {
                *place = place.scale(A::Working::ONE + *error);
            }
        }
        for (place, turns) in at.taps.iter_mut().zip(bank.taps.iter().flatten()) {
            let ratio =
                A::Working::from_i32(turns.primary().into()) / A::Working::from_i32(turns.secondary().into());
            *place = ratio.square();
        }
        Ok(at)
    }

    /// Whether the bank has this setting; see [`Bank::has`].
    pub fn has(&self, setting: Setting) -> bool {
        self.arrangement.has::<L, C>(setting, self.tap_count)
    }

    /// All settings of the bank, one after the other.
    pub fn settings(&self) -> impl Iterator<Item = Setting> + use<A, L, C> {
        let sides: &[Side] = if self.arrangement == Arrangement::Changeover {
            &[Side::Source, Side::Load]
        } else {
            &[Side::Source]
        };
        let taps = self.tap_count;
        let codes = 0..1u64 << (L + C).min(32);
        codes.flat_map(move |code| {
            sides.iter().flat_map(move |side| {
                (0..taps).map(move |tap| Setting {
                    coils: (code as u32 & u32::from(all(L))) as u16,
                    capacitors: ((code >> L.min(31)) as u32 & u32::from(all(C))) as u16,
                    side: *side,
                    tap,
                })
            })
        })
    }

    /// Γ at the input of the bank in this setting, with this load.
    ///
    /// # Errors
    /// [`BankError::NotInTheBank`] for a setting that the bank does not have.
    #[inline(never)]
    pub fn reflection(&self, setting: Setting, load: Reflection<A>) -> Result<Reflection<A>, BankError> {
        if !self.has(setting) {
            return Err(BankError::NotInTheBank);
        }
        let port = self.input(setting, Plane::of(load.complex()));
        Ok(Reflection::from_quotient(
            port.voltage - port.current,
            port.voltage + port.current,
        ))
    }

    /// |Γ|² at the input as a working number, to compare settings. Hidden: users call [`reflection`](Self::reflection).
    #[doc(hidden)]
    pub fn power(&self, setting: Setting, load: Reflection<A>) -> A::Working {
        self.power_of(setting, Plane::of(load.complex()))
    }

    #[inline(never)]
    pub(super) fn power_of(&self, setting: Setting, load: Plane<A::Working>) -> A::Working {
        let port = self.input(setting, load);
        (port.voltage - port.current).power() / (port.voltage + port.current).power()
    }

    /// The load that gives a reading of Γ at the input in this setting: the inverse of
    /// [`reflection`](Self::reflection).
    ///
    /// Far from a match, errors of the reading or of the bank's values are magnified; the result can have |Γ| > 1.
    ///
    /// # Errors
    /// [`BankError::NotInTheBank`] for a setting that the bank does not have.
    #[inline(never)]
    pub fn load_behind(&self, setting: Setting, reading: Reflection<A>) -> Result<Reflection<A>, BankError> {
        if !self.has(setting) {
            return Err(BankError::NotInTheBank);
        }
        Ok(Reflection::from_complex(self.load_of(setting, reading.complex())))
    }

    #[inline(never)] // frees its stack before the search begins
    pub(super) fn load_of(&self, setting: Setting, reading: Complex<A::Working>) -> Complex<A::Working> {
        let Plane {
            voltage: mut v,
            current: mut i,
        } = Plane::of(reading);
        let (series, at_source, at_load) = self.elements(setting);
        i = i - at_source * v;
        v = v - series * i;
        i = i - at_load * v;
        v = v.scale(A::Working::ONE / self.tap(setting.tap));
        (v - i) / (v + i)
    }

    /// The load that a setting matches exactly, with Γ = 0 at the input; `None` if that load is active.
    ///
    /// # Errors
    /// [`BankError::NotInTheBank`] for a setting that the bank does not have.
    pub fn matched_load(&self, setting: Setting) -> Result<Option<Reflection<A>>, BankError> {
        if !self.has(setting) {
            return Err(BankError::NotInTheBank);
        }
        let load = self.load_of(setting, Complex::ZERO);
        let is_passive = load.power() <= A::Working::ONE;
        Ok(is_passive.then(|| Reflection::from_complex(load)))
    }

    /// Series impedance, and the admittances at the source end and at the load end.
    #[inline(never)]
    pub(super) fn elements(&self, setting: Setting) -> Elements<A::Working> {
        let reactive = |im| Complex::new(A::Working::ZERO, im);
        let series = sum(reactive(self.path), &self.coils, setting.coils);
        let (source, load) = self.capacitors_at(setting);
        (
            series,
            sum(reactive(self.at_source), &self.capacitors, source),
            sum(reactive(self.at_load), &self.capacitors, load),
        )
    }

    /// The capacitors at the source end and at the load end.
    pub(super) fn capacitors_at(&self, setting: Setting) -> (u16, u16) {
        let at_source = self.source_mask(setting.side);
        (setting.capacitors & at_source, setting.capacitors & !at_source)
    }

    /// The capacitors at the source end, with the changeover on this side.
    pub(super) fn source_mask(&self, side: Side) -> u16 {
        match self.arrangement {
            Arrangement::SourceSide => u16::MAX,
            Arrangement::LoadSide => 0,
            Arrangement::Changeover => match side {
                Side::Source => u16::MAX,
                Side::Load => 0,
            },
            Arrangement::BothSides { at_source } => all(at_source.into()),
        }
    }

    pub(super) fn tap(&self, tap: u8) -> A::Working {
        self.taps
            .get(usize::from(tap))
            .copied()
            .unwrap_or(A::Working::ONE)
    }

    /// The pair at the input.
    pub(super) fn input(&self, setting: Setting, load: Plane<A::Working>) -> Plane<A::Working> {
        // In sequence, so that they are not on the stack at the same time; the same sums as `elements`.
        let reactive = |im| Complex::new(A::Working::ZERO, im);
        let (source, behind) = self.capacitors_at(setting);
        let mut v = load.voltage.scale(self.tap(setting.tap));
        let mut i = load.current + sum(reactive(self.at_load), &self.capacitors, behind) * v;
        v = v + sum(reactive(self.path), &self.coils, setting.coils) * i;
        i = i + sum(reactive(self.at_source), &self.capacitors, source) * v;
        Plane::new(v, i)
    }

    /// Γ at the input, and its sensitivities to small changes.
    #[inline(never)]
    pub(super) fn sensitivity(&self, setting: Setting, load: Complex<A::Working>) -> Sensitivity<A::Working> {
        let load = Plane::of(load);
        let (series, at_source, at_load) = self.elements(setting);
        let tap = self.tap(setting.tap);
        let at_antenna = load.voltage.scale(tap);
        let current = load.current + at_load * at_antenna;
        let v = at_antenna + series * current;
        let i = current + at_source * v;
        let whole = v + i;
        // All divided by (v + i)², with a factor of two.
        let over = |numerator: Complex<A::Working>| (numerator / whole / whole).scale(A::Working::TWO);
        Sensitivity {
            load: over(Complex::real(tap + tap)),
            series: over(current * current),
            at_source: -over(v * v),
            at_load: -over(at_antenna * at_antenna),
            reflection: (v - i) / whole,
        }
    }
}

/// Series impedance, admittance at the source end, admittance at the load end.
type Elements<W> = (Complex<W>, Complex<W>, Complex<W>);

/// x·(1/Q + j).
fn lossy<A: Arithmetic>(x: A::Working, q: QFactor<A>) -> Complex<A::Working> {
    let loss = if q == QFactor::<A>::MAX {
        A::Working::ZERO
    } else {
        x / q.to_working()
    };
    Complex::new(loss, x)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::control::{BankCapacitor, BankCoil};
    use crate::quantity::{Capacitance, Inductance};

    /// Compares each sensitivity with the difference from a small change.
    #[test]
    fn sensitivities_are_those_of_small_changes() {
        let coils = core::array::from_fn(|k| BankCoil::<f64> {
            inductance: Inductance::from_picohenries(200_000 << k),
            q: 120.into(),
        });
        let capacitors = core::array::from_fn(|k| BankCapacitor {
            capacitance: Capacitance::from_femtofarads(30_000 << k),
            q: 700.into(),
        });
        let arrangement = Arrangement::BothSides { at_source: 2 };
        let bank = Bank::<f64, 3, 4>::new(coils, capacitors, arrangement)
            .and_then(|bank| bank.with_taps(&[crate::design::transformer::Turns::new(1, 2).unwrap()]))
            .unwrap();
        let at = bank.at(Hertz::from_megahertz(7), Reference::fifty()).unwrap();
        let setting = Setting {
            coils: 0b101,
            capacitors: 0b1011,
            ..Setting::BYPASS
        };
        let load = Complex::new(0.3, -0.5);
        let got = at.sensitivity(setting, load);
        let input = |at: &BankAt<f64, 3, 4>, load| {
            let port = at.input(setting, Plane::of(load));
            (port.voltage - port.current) / (port.voltage + port.current)
        };
        let here = input(&at, load);
        assert!((here - got.reflection).magnitude() < 1e-14);
        let step = Complex::new(3e-6, 4e-6);
        let check = |there: Complex<f64>, factor: Complex<f64>| {
            let difference = (there - here) / step;
            let off = (difference - factor).magnitude();
            assert!(
                off < 1e-4 * (1.0 + factor.magnitude()),
                "{difference:?} {factor:?}"
            );
        };
        check(input(&at, load + step), got.load);
        let mut other = at;
        other.coils[2] = other.coils[2] + step;
        check(input(&other, load), got.series);
        other = at;
        other.capacitors[0] = other.capacitors[0] + step;
        check(input(&other, load), got.at_source);
        other = at;
        other.capacitors[3] = other.capacitors[3] + step;
        check(input(&other, load), got.at_load);
        // The control: the two sensitivities differ.
        assert!((got.at_source - got.at_load).magnitude() > 0.1);
    }
}
