//! The coils and capacitors in circuit, and the order in which relays move from one setting to another.

/// The end of the series coils at which the capacitors are connected.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub enum Side {
    /// Towards the transmitter: raises a low resistance.
    #[default]
    Source,
    /// Towards the antenna: lowers a high resistance.
    Load,
}

/// A setting of the bank: bit k of a code stands for part k of the list that the bank was made from.
///
/// ```
/// use ohmwright::control::{Setting, Side};
///
/// let setting = Setting { coils: 0b101, capacitors: 0b1, side: Side::Load, tap: 0 };
/// assert_eq!(Setting::BYPASS.operations_to(setting), 4); // three parts and the changeover
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Setting {
    /// The coils that are in the path (the relay across each is open).
    pub coils: u16,
    /// The capacitors that are connected.
    pub capacitors: u16,
    /// The end of the capacitors, in a bank with a changeover; otherwise [`Side::Source`].
    pub side: Side,
    /// The transformer's tap, counted from 0 in the list of the bank; 0 without a transformer.
    pub tap: u8,
}

#[cfg(feature = "defmt")]
impl defmt::Format for Setting {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{}", self.positions());
    }
}

impl Setting {
    /// No coil, no capacitor, changeover and tap at rest: only strays (and tap 0 of the transformer) are in circuit.
    pub const BYPASS: Self = Self {
        coils: 0,
        capacitors: 0,
        side: Side::Source,
        tap: 0,
    };

    /// The number of relays that move on the way to another setting: one for each part that differs, one for the
    /// changeover, two for another tap (the old one opens, the new one closes).
    pub fn operations_to(self, other: Self) -> u16 {
        self.positions().operations_to(other.positions())
    }

    /// The positions of the relays in this setting.
    pub fn positions(self) -> Positions {
        Positions {
            coils: self.coils,
            capacitors: self.capacitors,
            side: self.side,
            tap: Some(self.tap),
        }
    }

    /// The next positions on the way from `now` to this setting, or `None` at the end.
    ///
    /// Break before make: first every part that leaves the circuit and the old tap open; then the changeover moves;
    /// then the new parts and the new tap close. Each relay moves at most once: no sequence has fewer operations.
    pub fn next_from(self, now: Positions) -> Option<Positions> {
        let wanted = self.positions();
        if now == wanted {
            return None;
        }
        let broken = Positions {
            coils: now.coils & wanted.coils,
            capacitors: now.capacitors & wanted.capacitors,
            side: now.side,
            tap: now.tap.filter(|tap| *tap == self.tap),
        };
        if now != broken {
            return Some(broken);
        }
        if now.side != wanted.side {
            return Some(Positions {
                side: wanted.side,
                ..now
            });
        }
        Some(wanted)
    }
}

/// The relays at one moment: a setting, or a step on the way to one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub struct Positions {
    /// The coils that are in the path.
    pub coils: u16,
    /// The capacitors that are connected.
    pub capacitors: u16,
    /// The end of the capacitors.
    pub side: Side,
    /// The tap that is connected; `None` between two taps. A bank without a transformer ignores it.
    pub tap: Option<u8>,
}

#[cfg(feature = "defmt")]
impl defmt::Format for Positions {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "coils {=u16}, capacitors {=u16}", self.coils, self.capacitors);
        match self.side {
            Side::Source => defmt::write!(f, " at the source"),
            Side::Load => defmt::write!(f, " at the load"),
        }
        match self.tap {
            Some(tap) => defmt::write!(f, ", tap {=u8}", tap),
            None => defmt::write!(f, ", between taps"),
        }
    }
}

impl Positions {
    /// The number of relays that move on the way to other positions.
    pub fn operations_to(self, other: Self) -> u16 {
        let parts =
            (self.coils ^ other.coils).count_ones() + (self.capacitors ^ other.capacitors).count_ones();
        let changeover = u32::from(self.side != other.side);
        let tap = if self.tap == other.tap {
            0
        } else {
            u32::from(self.tap.is_some()) + u32::from(other.tap.is_some())
        };
        (parts + changeover + tap) as u16
    }
}
