//! The settings that worked, by frequency.

use super::arrangement::Arrangement;
use super::bank::Bank;
use super::setting::{Setting, Side};
use crate::arithmetic::{Arithmetic, Quantity, Real};
use crate::quantity::{Capacitance, Hertz, Inductance, QuantityError, Ratio, Swr};
use crate::stored::{FRAME, StoredError, StoredReader, StoredWriter};

/// The name in the stored form.
const NAME: [u8; 2] = *b"tm";

/// A setting that worked.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(bound = "")
)]
#[non_exhaustive]
pub struct MemoryEntry<A: Arithmetic> {
    /// Its frequency.
    pub frequency: Hertz,
    /// The setting.
    pub setting: Setting,
    /// Its SWR.
    pub swr: Swr<A>,
    /// The number of settings learned since this one; stops at 65,535.
    pub age: u16,
}

impl<A: Arithmetic> MemoryEntry<A> {
    /// A setting that is known to work, to fill a memory beforehand; nothing is checked here.
    pub const fn new(frequency: Hertz, setting: Setting, swr: Swr<A>) -> Self {
        Self {
            frequency,
            setting,
            swr,
            age: 0,
        }
    }
}

/// Settings by frequency, in storage that the caller owns.
///
/// ```
/// use ohmwright::control::{Setting, Side, TunerMemory};
/// use ohmwright::fixed::types::U16F16;
/// use ohmwright::fixed_point::Family;
/// use ohmwright::quantity::Hertz;
///
/// let mut storage = [None; 16];
/// let mut memory = TunerMemory::<Family>::new(&mut storage);
/// let setting = Setting { coils: 9, capacitors: 4, side: Side::Load, tap: 0 };
/// const SWR: U16F16 = U16F16::lit("1.1"); // a constant: in a `let` it may link a parser
/// memory.learn(Hertz::from_kilohertz(5_300), setting, SWR)?;
/// let near = memory.nearest(Hertz::from_kilohertz(5_310), Hertz::from_kilohertz(20)).unwrap();
/// assert_eq!(near.setting, setting);
/// assert!(memory.nearest(Hertz::from_kilohertz(5_400), Hertz::from_kilohertz(20)).is_none());
/// # Ok::<(), ohmwright::quantity::QuantityError>(())
/// ```
#[derive(Debug)]
pub struct TunerMemory<'m, A: Arithmetic> {
    entries: &'m mut [Option<MemoryEntry<A>>],
}

#[cfg(feature = "defmt")]
impl<A: Arithmetic> defmt::Format for TunerMemory<'_, A> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "memory of {=usize} settings", self.entries().count());
    }
}

impl<'m, A: Arithmetic> TunerMemory<'m, A> {
    /// A memory in this storage. Its present content is kept.
    pub fn new(storage: &'m mut [Option<MemoryEntry<A>>]) -> Self {
        Self { entries: storage }
    }

    /// The storage, for something else, or to be kept beside the tuner; what was learned is in it.
    pub fn into_storage(self) -> &'m mut [Option<MemoryEntry<A>>] {
        self.entries
    }

    /// The entries, in no particular order.
    pub fn entries(&self) -> impl Iterator<Item = &MemoryEntry<A>> {
        self.entries.iter().flatten()
    }

    /// Stores a setting. It replaces one at the same frequency; a full memory drops the oldest.
    ///
    /// # Errors
    /// [`QuantityError`] for a frequency of 0, or an SWR that is not finite or below 1; the memory is then unchanged.
    pub fn learn(
        &mut self,
        frequency: Hertz,
        setting: Setting,
        swr: impl Into<Swr<A>>,
    ) -> Result<(), QuantityError> {
        let swr = swr.into();
        if frequency.get() == 0 {
            return Err(QuantityError::NotPositive("frequency"));
        }
        if !swr.is_finite() {
            return Err(QuantityError::NotFinite("SWR"));
        }
        if swr.to_working() < A::Working::ONE {
            return Err(QuantityError::BelowOne("SWR"));
        }
        for entry in self.entries.iter_mut().flatten() {
            entry.age = entry.age.saturating_add(1);
        }
        // The same frequency first, then an empty entry, then the oldest.
        let worth = |place: &Option<MemoryEntry<A>>| match place {
            Some(entry) if entry.frequency == frequency => u32::MAX,
            None => u32::MAX - 1,
            Some(entry) => entry.age.into(),
        };
        let place = self.entries.iter_mut().max_by_key(|place| worth(place));
        if let Some(place) = place {
            *place = Some(MemoryEntry {
                frequency,
                setting,
                swr,
                age: 0,
            });
        }
        Ok(())
    }

    /// The entry nearest to a frequency, at most `within` away; of two at equal distance the newer one.
    pub fn nearest(&self, frequency: Hertz, within: Hertz) -> Option<MemoryEntry<A>> {
        let distance = |entry: &&MemoryEntry<A>| entry.frequency.get().abs_diff(frequency.get());
        self.entries()
            .filter(|entry| distance(entry) <= within.get())
            .min_by_key(|entry| (distance(entry), entry.age))
            .copied()
    }

    /// The setting to try first at a frequency: the entry there; between two neighbours of the same side and tap, both
    /// at most `within` away, that nearest to the interpolated inductance and capacitance; otherwise the nearest entry.
    ///
    /// With capacitors on both sides nothing is interpolated.
    pub fn suggest<const L: usize, const C: usize>(
        &self,
        frequency: Hertz,
        within: Hertz,
        bank: &Bank<A, L, C>,
    ) -> Option<Setting> {
        let nearest = self.nearest(frequency, within)?;
        let between = self.between(nearest, frequency, within, bank);
        between
            .or(Some(nearest.setting))
            .filter(|setting| bank.has(*setting))
    }

    fn between<const L: usize, const C: usize>(
        &self,
        nearest: MemoryEntry<A>,
        frequency: Hertz,
        within: Hertz,
        bank: &Bank<A, L, C>,
    ) -> Option<Setting> {
        if nearest.frequency == frequency || matches!(bank.arrangement(), Arrangement::BothSides { .. }) {
            return None;
        }
        let is_above = nearest.frequency > frequency;
        let distance = |entry: &&MemoryEntry<A>| entry.frequency.get().abs_diff(frequency.get());
        let other = self
            .entries()
            .filter(|entry| distance(entry) <= within.get() && (entry.frequency > frequency) != is_above)
            .min_by_key(|entry| (distance(entry), entry.age))?;
        let (a, b) = (nearest.setting, other.setting);
        if a.side != b.side || a.tap != b.tap {
            return None;
        }
        let span = A::Working::from_u64(nearest.frequency.get().abs_diff(other.frequency.get()));
        let share = A::Working::from_u64(distance(&&nearest)) / span;
        let mix = |from: A::Working, to: A::Working| from + (to - from) * share;
        let inductance = mix(
            bank.inductance(a).ok()?.to_base(),
            bank.inductance(b).ok()?.to_base(),
        );
        let capacitance = mix(
            bank.capacitance(a).ok()?.to_base(),
            bank.capacitance(b).ok()?.to_base(),
        );
        bank.nearest(
            Inductance::from_base(inductance),
            Capacitance::from_base(capacitance),
            a.side,
            a.tap,
        )
        .ok()
    }

    /// Deletes the entry of a frequency that no longer works. True if there was one.
    pub fn forget(&mut self, frequency: Hertz) -> bool {
        let mut was_there = false;
        for place in self.entries.iter_mut() {
            if place.is_some_and(|entry| entry.frequency == frequency) {
                *place = None;
                was_there = true;
            }
        }
        was_there
    }

    /// Deletes entries older than this: antennas and their surroundings change.
    pub fn forget_older_than(&mut self, age: u16) {
        for place in self.entries.iter_mut() {
            if place.is_some_and(|entry| entry.age > age) {
                *place = None;
            }
        }
    }

    /// Deletes everything: after work on the antenna or on the bank.
    pub fn clear(&mut self) {
        for place in self.entries.iter_mut() {
            *place = None;
        }
    }

    /// Bytes of the stored form of this number of entries.
    pub const fn stored_bytes(entries: usize) -> usize {
        (FRAME + 2).saturating_add(entries.saturating_mul(16 + Ratio::<A>::STORED_BYTES))
    }

    /// Writes all entries into a buffer, with a checksum, and returns the number of bytes written. The form is that of
    /// [`stored`](crate::stored), named `tm`: the number of entries in two bytes, and for each frequency (8), coils
    /// (2), capacitors (2), side (1: 0 source, 1 load), tap (1), age (2) and the word of the SWR.
    ///
    /// # Errors
    /// [`StoredError::TooShort`] for a buffer shorter than [`stored_bytes`](Self::stored_bytes) of the entries;
    /// [`StoredError::Content`] for an SWR that is not finite, which is not read back. The buffer is then unchanged: what
    /// was stored in it is still there.
    pub fn store(&self, buffer: &mut [u8]) -> Result<usize, StoredError> {
        let mut count = 0usize;
        for entry in self.entries() {
            if !entry.swr.is_finite() {
                return Err(StoredError::Content);
            }
            count = count.saturating_add(1);
        }
        let count = count.min(usize::from(u16::MAX));
        let mut writer = StoredWriter::new::<A>(buffer, NAME, Self::stored_bytes(count))?;
        writer.put(&(count as u16).to_le_bytes())?;
        for entry in self.entries().take(count) {
            writer.put(&entry.frequency.get().to_le_bytes())?;
            writer.put(&entry.setting.coils.to_le_bytes())?;
            writer.put(&entry.setting.capacitors.to_le_bytes())?;
            let side = match entry.setting.side {
                Side::Source => 0,
                Side::Load => 1,
            };
            writer.put(&[side, entry.setting.tap])?;
            writer.put(&entry.age.to_le_bytes())?;
            writer.put_word(entry.swr)?;
        }
        writer.finish()
    }

    /// Reads what [`store`](Self::store) wrote, replaces the present entries, and returns their number.
    ///
    /// # Errors
    /// [`Full`](StoredError::Full) for more entries than the capacity; [`Content`](StoredError::Content) for a setting
    /// that the bank does not have, an SWR below 1, a frequency of 0, or the same one twice; another [`StoredError`]
    /// for a form that is foreign or damaged. The memory is then unchanged.
    pub fn load<const L: usize, const C: usize>(
        &mut self,
        bytes: &[u8],
        bank: &Bank<A, L, C>,
    ) -> Result<usize, StoredError> {
        // A first pass checks everything.
        let mut reader = StoredReader::new::<A>(bytes, NAME)?;
        let count = usize::from(u16::from_le_bytes(reader.take()?));
        if count > self.entries.len() {
            return Err(StoredError::Full);
        }
        let entries = reader;
        for k in 0..count {
            let entry = read_entry::<A>(&mut reader)?;
            let is_sound = entry.frequency.get() > 0
                && entry.swr.to_working() >= A::Working::ONE
                && bank.has(entry.setting);
            if !is_sound {
                return Err(StoredError::Content);
            }
            let mut before = entries;
            for _ in 0..k {
                if read_entry::<A>(&mut before)?.frequency == entry.frequency {
                    return Err(StoredError::Content);
                }
            }
        }
        reader.finish()?;
        self.clear();
        let mut reader = entries;
        for place in self.entries.iter_mut().take(count) {
            *place = Some(read_entry(&mut reader)?);
        }
        Ok(count)
    }
}

fn read_entry<A: Arithmetic>(reader: &mut StoredReader<'_>) -> Result<MemoryEntry<A>, StoredError> {
    let frequency = Hertz::new(u64::from_le_bytes(reader.take()?));
    let coils = u16::from_le_bytes(reader.take()?);
    let capacitors = u16::from_le_bytes(reader.take()?);
    let [side, tap] = reader.take()?;
    let age = u16::from_le_bytes(reader.take()?);
    let swr = reader.take_word()?;
    let side = match side {
        0 => Side::Source,
        1 => Side::Load,
        _ => return Err(StoredError::Content),
    };
    Ok(MemoryEntry {
        frequency,
        setting: Setting {
            coils,
            capacitors,
            side,
            tap,
        },
        swr,
        age,
    })
}
