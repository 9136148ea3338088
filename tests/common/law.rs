//! A law says `Err` where what came out does not fit what went in; and it is tried in every family.

use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

pub type Law = Result<(), String>;

pub fn require(holds: bool, what: impl FnOnce() -> String) -> Law {
    if holds { Ok(()) } else { Err(what()) }
}

/// `Err` says by how much it misses.
pub fn near(what: &str, got: f64, want: f64, slack: f64) -> Law {
    require(got == want || (got - want).abs() <= slack, || {
        format!(
            "{what}: got {got:e}, want {want:e}, off by {:e}, allowed {slack:e}",
            got - want
        )
    })
}

/// A source of proptest cases that is the same on every run.
pub fn runner(cases: u32) -> TestRunner {
    let config = Config {
        cases,
        failure_persistence: None,
        ..Config::default()
    };
    TestRunner::new_with_rng(config, TestRng::deterministic_rng(RngAlgorithm::ChaCha))
}

/// A test of a generic body in each family.
macro_rules! in_every_family {
    ($($law:ident),* $(,)?) => {
        $(
            mod $law {
                #[test]
                fn f64() {
                    super::$law::<f64>();
                }
                #[test]
                fn f32() {
                    super::$law::<f32>();
                }
                #[test]
                fn soft_f32() {
                    super::$law::<ohmwright::arithmetic::SoftF32>();
                }
                #[test]
                fn fixed32() {
                    super::$law::<ohmwright::arithmetic::Fixed32>();
                }
                #[test]
                fn fixed16() {
                    super::$law::<ohmwright::arithmetic::Fixed16>();
                }
            }
        )*
    };
}

/// A call of one type parameter in every family, one after the other, and what each says. Where one fails, the last
/// family printed is the one.
macro_rules! every_family {
    ($check:ident) => {
        every_family!($check())
    };
    ($check:ident $($call:tt)+) => {
        [
            { println!("f64"); $check::<f64> $($call)+ },
            { println!("f32"); $check::<f32> $($call)+ },
            { println!("SoftF32"); $check::<ohmwright::arithmetic::SoftF32> $($call)+ },
            { println!("Fixed32"); $check::<ohmwright::arithmetic::Fixed32> $($call)+ },
            { println!("Fixed16"); $check::<ohmwright::arithmetic::Fixed16> $($call)+ },
        ]
    };
}
