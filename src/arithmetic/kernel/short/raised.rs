//! Numbers with their highest bit at the top.

/// `mantissa · 2^−lead`, with the top bit of the mantissa set; zero is a mantissa of 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Raised {
    pub(crate) mantissa: u32,
    pub(crate) lead: i32,
}

impl Raised {
    /// The upper 16 digits of the mantissa.
    #[inline(always)]
    pub(super) fn short(self) -> u32 {
        self.mantissa >> 16
    }
}

/// Brings the highest bit to the top.
#[cfg_attr(not(ohmwright_smallest), inline(always))]
pub(crate) const fn raise(value: u32) -> Raised {
    if cfg!(ohmwright_no_long_multiply) {
        raise_by_table(value)
    } else {
        // For 0 any lead will do.
        let lead = (value | 1).leading_zeros();
        Raised {
            mantissa: value << lead,
            lead: lead as i32,
        }
    }
}

#[inline(always)]
const fn raise_by_table(mut value: u32) -> Raised {
    let mut lead = 0;
    if value >> 24 == 0 {
        if value >> 16 == 0 {
            value <<= 16;
            lead = 16;
        }
        if value >> 24 == 0 {
            value <<= 8;
            lead += 8;
        }
    }
    let more = ZEROS[(value >> 24) as usize] as u32 & 31;
    Raised {
        mantissa: value << more,
        lead: lead + more as i32,
    }
}

/// The leading zeros of each byte; for 0 the value that [`raise`] uses.
static ZEROS: [u8; 256] = {
    let mut table = [7u8; 256];
    let mut i = 1;
    while i < 256 {
        table[i] = (i as u8).leading_zeros() as u8;
        i += 1;
    }
    table
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn raising_by_the_table_is_raising() {
        for bit in 0..32 {
            for value in [1u32 << bit, (1u32 << bit) | 1, u32::MAX >> (31 - bit)] {
                let raised = raise_by_table(value);
                assert_eq!(raised.lead as u32, value.leading_zeros());
                assert_eq!(raised.mantissa >> raised.lead, value);
                assert_eq!(raise(value), raised);
            }
        }
        assert_eq!(
            raise_by_table(0),
            Raised {
                mantissa: 0,
                lead: 31
            }
        );
        assert_eq!(raise(0), raise_by_table(0));
    }
}
