//! What belongs to one instrument.

use core::fmt;

/// The most points of a level table.
pub const MOST_POINTS: usize = 16;
/// The bytes of a setup in a store.
pub const SETUP_BYTES: usize = 30 + 2 * TABLE_BYTES;
const TABLE_BYTES: usize = 1 + 6 * MOST_POINTS;
/// Changes whenever the bytes change their meaning.
const FORM: u8 = 1;

/// A point of a level table: what the converter counts at a voltage.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LevelPoint {
    /// The count.
    pub counts: u16,
    /// Root mean square at the detector's input, microvolts.
    pub microvolts: u32,
}

/// The level table of a diode: counts and volts both rise from point to point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Levels {
    points: [LevelPoint; MOST_POINTS],
    used: usize,
}

impl Levels {
    /// A table of counts and microvolts; what is beyond [`MOST_POINTS`] does not compile.
    pub const fn of<const N: usize>(table: [(u16, u32); N]) -> Self {
        const { assert!(N <= MOST_POINTS) };
        let mut points = [LevelPoint {
            counts: 0,
            microvolts: 0,
        }; MOST_POINTS];
        let mut place = 0;
        while place < N {
            let (counts, microvolts) = table[place];
            points[place] = LevelPoint { counts, microvolts };
            place += 1;
        }
        Self { points, used: N }
    }

    /// The points.
    pub fn points(&self) -> &[LevelPoint] {
        self.points.get(..self.used).unwrap_or(&self.points)
    }

    fn check(&self, full_scale: u16) -> Result<(), SetupError> {
        let points = self.points();
        let mut pairs = points.iter().zip(points.iter().skip(1));
        let rises = pairs.all(|(low, high)| low.counts < high.counts && low.microvolts < high.microvolts);
        let within = points
            .iter()
            .all(|point| point.microvolts <= 400_000_000 && point.counts < full_scale);
        if points.len() < 2 || !rises || !within {
            return Err(SetupError::Levels);
        }
        Ok(())
    }
}

/// Coupler, converter, diodes, alarm.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Setup {
    /// The count at the converter's limit, above 0.
    pub full_scale: u16,
    /// The resistance for which the coupler is made, milliohms, from 1 Ω to 1000 Ω.
    pub reference_milliohms: u32,
    /// The power at a port below that of the line, hundredths of a decibel, at most 200 dB.
    pub coupling_hundredths: u16,
    /// The least directivity of the coupler, hundredths of a decibel, above 0 and at most 200 dB.
    pub directivity_hundredths: u16,
    /// The least forward voltage at the detector that counts as a signal, microvolts, above 0 and at most 400 V.
    pub weakest_microvolts: u32,
    /// The SWR above which the alarm comes, thousandths, from 1.1 to 20.
    pub limit_thousandths: u32,
    /// The forward power from which the SWR is judged, milliwatts: below it there is not enough to do harm, and the
    /// reverse diode may see nothing.
    pub judged_from_milliwatts: u32,
    /// How long the alarm stays after its cause has gone, milliseconds.
    pub alarm_hold_ms: u16,
    /// How long the highest power stays on the display, milliseconds.
    pub peak_hold_ms: u16,
    /// How many readings with a signal may be the same to the count, before the converter is taken to be stuck; 0 for a
    /// front end without noise, where that says nothing.
    pub stuck_after: u16,
    /// The forward diode.
    pub forward: Levels,
    /// The reverse diode.
    pub reverse: Levels,
}

/// What is wrong with a setup.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SetupError {
    /// The bytes are of another form, or there are too few of them.
    Form,
    /// The converter's limit is 0.
    FullScale,
    /// The reference is not from 1 Ω to 1000 Ω.
    Reference,
    /// Coupling above 200 dB, or directivity 0 or above 200 dB.
    Coupler,
    /// The weakest signal is 0 or above 400 V.
    Weakest,
    /// The alarm's limit is not from 1.1 to 20.
    Limit,
    /// The power from which the SWR is judged is above 400 kW.
    JudgedFrom,
    /// A table has fewer than two points, does not rise, goes beyond 400 V, or reaches the converter's limit.
    Levels,
}

impl fmt::Display for SetupError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Form => "the setup has another form",
            Self::FullScale => "the converter's limit must be above 0",
            Self::Reference => "the reference must be from 1 to 1000 ohm",
            Self::Coupler => "coupling at most 200 dB, directivity above 0 and at most 200 dB",
            Self::Weakest => "the weakest signal must be above 0 and at most 400 V",
            Self::Limit => "the alarm's limit must be from 1.1 to 20",
            Self::JudgedFrom => "the SWR must be judged from 400 kW or less",
            Self::Levels => "a level table must rise, with two points or more, below the converter's limit",
        })
    }
}

impl core::error::Error for SetupError {}

impl Setup {
    /// Whether every value is in its range.
    ///
    /// # Errors
    /// The first that is not.
    pub fn check(&self) -> Result<(), SetupError> {
        let rules = [
            (self.full_scale > 0, SetupError::FullScale),
            (
                (1_000..=1_000_000).contains(&self.reference_milliohms),
                SetupError::Reference,
            ),
            (
                self.coupling_hundredths <= 20_000 && (1..=20_000).contains(&self.directivity_hundredths),
                SetupError::Coupler,
            ),
            (
                (1..=400_000_000).contains(&self.weakest_microvolts),
                SetupError::Weakest,
            ),
            (
                (1_100..=20_000).contains(&self.limit_thousandths),
                SetupError::Limit,
            ),
            (self.judged_from_milliwatts <= 400_000_000, SetupError::JudgedFrom),
        ];
        if let Some((_, error)) = rules.into_iter().find(|(kept, _)| !kept) {
            return Err(error);
        }
        self.forward.check(self.full_scale)?;
        self.reverse.check(self.full_scale)
    }

    /// The setup as bytes.
    pub fn to_bytes(&self) -> [u8; SETUP_BYTES] {
        let mut bytes = [0; SETUP_BYTES];
        let mut rest = &mut bytes[..];
        let mut put = |from: &[u8]| {
            let (to, behind) = core::mem::take(&mut rest)
                .split_at_mut_checked(from.len())
                .unwrap_or_default();
            to.iter_mut().zip(from).for_each(|(to, from)| *to = *from);
            rest = behind;
        };
        put(&[FORM]);
        put(&self.full_scale.to_le_bytes());
        put(&self.reference_milliohms.to_le_bytes());
        put(&self.coupling_hundredths.to_le_bytes());
        put(&self.directivity_hundredths.to_le_bytes());
        put(&self.weakest_microvolts.to_le_bytes());
        put(&self.limit_thousandths.to_le_bytes());
        put(&self.judged_from_milliwatts.to_le_bytes());
        put(&self.alarm_hold_ms.to_le_bytes());
        put(&self.peak_hold_ms.to_le_bytes());
        put(&self.stuck_after.to_le_bytes());
        put(&[0]);
        for levels in [&self.forward, &self.reverse] {
            put(&[u8::try_from(levels.used).unwrap_or(0)]);
            for point in &levels.points {
                put(&point.counts.to_le_bytes());
                put(&point.microvolts.to_le_bytes());
            }
        }
        bytes
    }

    /// The setup that [`to_bytes`](Self::to_bytes) made these of.
    ///
    /// # Errors
    /// [`SetupError::Form`] for other bytes; another for a value out of its range.
    pub fn from_bytes(bytes: &[u8; SETUP_BYTES]) -> Result<Self, SetupError> {
        let mut reader = Reader(bytes);
        if reader.take()? != [FORM] {
            return Err(SetupError::Form);
        }
        let setup = Self {
            full_scale: reader.short()?,
            reference_milliohms: reader.long()?,
            coupling_hundredths: reader.short()?,
            directivity_hundredths: reader.short()?,
            weakest_microvolts: reader.long()?,
            limit_thousandths: reader.long()?,
            judged_from_milliwatts: reader.long()?,
            alarm_hold_ms: reader.short()?,
            peak_hold_ms: reader.short()?,
            stuck_after: reader.short()?,
            forward: {
                let [_reserve] = reader.take()?;
                reader.levels()?
            },
            reverse: reader.levels()?,
        };
        setup.check()?;
        Ok(setup)
    }
}

struct Reader<'a>(&'a [u8]);

impl Reader<'_> {
    fn take<const N: usize>(&mut self) -> Result<[u8; N], SetupError> {
        let (taken, rest) = self.0.split_first_chunk::<N>().ok_or(SetupError::Form)?;
        self.0 = rest;
        Ok(*taken)
    }

    fn short(&mut self) -> Result<u16, SetupError> {
        self.take().map(u16::from_le_bytes)
    }

    fn long(&mut self) -> Result<u32, SetupError> {
        self.take().map(u32::from_le_bytes)
    }

    fn levels(&mut self) -> Result<Levels, SetupError> {
        let [used] = self.take()?;
        let used = usize::from(used);
        if used > MOST_POINTS {
            return Err(SetupError::Levels);
        }
        let mut points = [LevelPoint::default(); MOST_POINTS];
        for point in &mut points {
            *point = LevelPoint {
                counts: self.short()?,
                microvolts: self.long()?,
            };
        }
        Ok(Levels { points, used })
    }
}
