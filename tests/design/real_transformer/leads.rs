//! Leads of the load that were taken for a part of the transformer: what the impedance matrix of coupled coils says.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::design::transformer::{RealTransformer, TransformerError};
use ohmwright::quantity::{Component, Inductance};

use super::roundings;
use crate::common::impedances::half_a_picohenry;
use crate::common::law::near;

/// Inductances in henries, and the mutual one.
const FIRST: f64 = 234.6e-9;
const SECOND: f64 = 25.3e-9;
const LEADS: f64 = 3e-9;

fn henries<A: Arithmetic>(value: f64) -> Inductance<A> {
    Inductance::try_from_henries(value).unwrap()
}

fn coupled<A: Arithmetic>(second: f64, mutual: f64) -> RealTransformer<A> {
    let k = mutual / (FIRST * second).sqrt();
    RealTransformer::coupled(
        henries(FIRST),
        henries(second),
        Component::<A>::try_from_f64(k).unwrap(),
    )
    .unwrap()
}

fn check<A: Arithmetic>() {
    let mutual = 0.95 * (FIRST * SECOND).sqrt();
    // In series with the secondary, leads add to its inductance and to nothing else.
    let found = coupled::<A>(SECOND + LEADS, mutual);
    let told = found.without_secondary_leads(henries(LEADS)).unwrap();
    // The coupling's word, and that of the leads, grow in the difference.
    let lost =
        100.0 * roundings::<A>() + 20.0 * half_a_picohenry::<A>() / LEADS + 1e3 * half_a_component::<A>();
    let ratio = (mutual / SECOND).powi(2);
    near("ratio", told.impedance_ratio().to_f64(), ratio, lost * ratio).unwrap();
    let leakage = FIRST - mutual * mutual / SECOND;
    near("leakage", told.leakage().to_henries(), leakage, lost * FIRST).unwrap();
    near("L1", told.primary_inductance().to_henries(), FIRST, lost * FIRST).unwrap();
    near(
        "L2",
        told.secondary_inductance().to_henries(),
        SECOND,
        lost * SECOND,
    )
    .unwrap();
    near("M", told.mutual_inductance().to_henries(), mutual, lost * mutual).unwrap();
    // The most: what leaves no leakage, L2 − M²/L1.
    let most = SECOND + LEADS - mutual * mutual / FIRST;
    near(
        "most leads",
        found.most_secondary_leads().to_henries(),
        most,
        lost * SECOND,
    )
    .unwrap();
    // None, and too much of them.
    assert_eq!(found.without_secondary_leads(Inductance::default()), Ok(found));
    let refused = |leads: f64| found.without_secondary_leads(henries(leads)).unwrap_err();
    assert_eq!(
        refused(most * 1.1),
        TransformerError::Unphysical("leakage inductance")
    );
    assert_eq!(
        refused(SECOND + 2.0 * LEADS),
        TransformerError::Unphysical("secondary inductance")
    );
    assert_eq!(
        refused(1.0e-3),
        TransformerError::Unphysical("secondary inductance")
    );
}

/// What the word of the coupling rounds.
fn half_a_component<A: Arithmetic>() -> f64 {
    let bits = match A::FAMILY {
        ohmwright::arithmetic::accuracy::Family::Fixed16 => 16,
        ohmwright::arithmetic::accuracy::Family::Fixed32 => 31,
        _ => 60,
    };
    1.0 / f64::from(bits).exp2()
}

#[test]
fn leads_of_the_load_are_taken_out() {
    every_family!(check);
}
