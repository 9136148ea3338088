//! An analyser that is restarted, and one that was made when the code was compiled, are as one that is made anew: to the
//! bit, after any history.

use crate::common::Random;
use ohmwright::arithmetic::Arithmetic;
use ohmwright::measure::{SweepAnalyser, SweepSettings};
use ohmwright::quantity::{Component, Hertz, Reference, Reflection, Swr};

/// The whole state, as text: two analysers that differ in any number differ here.
fn state<A: Arithmetic, const N: usize>(analyser: &SweepAnalyser<A, N>) -> String {
    format!("{analyser:?}")
}

/// Points of a random sweep, up or down: dips, bands and noise of all kinds.
fn points<A: Arithmetic>(random: &mut Random) -> Vec<(Hertz, Reflection<A>)> {
    let count = random.bits() % 60;
    let (centre, width, floor) = (
        random.between(0.0, 60.0),
        random.between(0.5, 20.0),
        random.between(0.0, 0.6),
    );
    let noise = random.between(0.0, 0.05);
    let mut points: Vec<_> = (0..count)
        .map(|k| {
            let away = (k as f64 - centre) / width;
            let size = floor + (0.95 - floor) * (1.0 - (-away * away).exp());
            let turn = away + random.between(-noise, noise);
            let size = (size + random.between(-noise, noise)).clamp(0.0, 0.97);
            (
                Hertz::new(1_000_000 + 10_000 * k),
                Reflection::try_from_f64(size * turn.cos(), size * turn.sin()).unwrap(),
            )
        })
        .collect();
    if random.bits() & 1 == 0 {
        points.reverse();
    }
    points
}

fn settings<A: Arithmetic>(random: &mut Random) -> SweepSettings<A> {
    SweepSettings::new()
        .with_swr_limit(Swr::try_from_f64(random.between(1.0, 3.0)).unwrap())
        .with_prominence(Component::try_from_f64(random.between(0.0, 0.1)).unwrap())
        .with_target((random.bits() & 1 == 0).then(|| Hertz::new(1_000_000 + random.bits() % 600_000)))
}

fn fill<A: Arithmetic>(analyser: &mut SweepAnalyser<A, 3>, points: &[(Hertz, Reflection<A>)]) {
    for (frequency, reflection) in points {
        analyser.push(*frequency, *reflection).unwrap();
    }
}

fn restarted<A: Arithmetic>() {
    let mut random = Random::new(17);
    let mut seen = 0;
    for _ in 0..200 {
        let (before, chosen) = (settings::<A>(&mut random), settings::<A>(&mut random));
        let (history, sweep) = (points(&mut random), points(&mut random));
        let mut used = SweepAnalyser::<A, 3>::new(before).unwrap();
        fill(&mut used, &history);
        seen += used.report().dips().len();
        // A refused point is a part of the history too.
        if let Some((frequency, reflection)) = history.last() {
            used.push(*frequency, *reflection).unwrap_err();
        }
        let mut other = used.clone();

        let mut fresh = SweepAnalyser::<A, 3>::new(before).unwrap();
        // A control: the history shows.
        assert_eq!(state(&used) == state(&fresh), history.is_empty());
        used.restart();
        assert_eq!(state(&used), state(&fresh));
        fill(&mut used, &sweep);
        fill(&mut fresh, &sweep);
        assert_eq!(state(&used), state(&fresh));
        assert_eq!(format!("{:?}", used.report()), format!("{:?}", fresh.report()));

        other.restart_with(chosen).unwrap();
        let mut fresh = SweepAnalyser::<A, 3>::new(chosen).unwrap();
        assert_eq!(state(&other), state(&fresh));
        fill(&mut other, &sweep);
        fill(&mut fresh, &sweep);
        assert_eq!(format!("{:?}", other.report()), format!("{:?}", fresh.report()));
    }
    assert!(seen > 50, "the histories hold something: {seen}");
}

#[test]
fn a_restarted_analyser_is_a_new_one() {
    every_family!(restarted);
}

#[test]
fn settings_that_are_refused_change_nothing() {
    let mut analyser = SweepAnalyser::<f64, 3>::with_defaults();
    fill(&mut analyser, &points(&mut Random::new(3)));
    let before = state(&analyser);
    let wrong = SweepSettings::new().with_swr_limit(Swr::new(0.9));
    analyser.restart_with(wrong).unwrap_err();
    assert_eq!(state(&analyser), before);
}

fn made_of_constants<A: Arithmetic>() {
    let target = Some(Hertz::from_megahertz(71));
    let constant = const {
        SweepAnalyser::<A, 3>::constant::<1_500, 25>(
            Reference::whole::<75>(),
            Some(Hertz::from_megahertz(71)),
        )
    };
    let settings = SweepSettings {
        reference: Reference::try_from_f64(75.0).unwrap(),
        swr_limit: Swr::try_from_f64(1.5).unwrap(),
        target,
        prominence: Component::try_from_f64(0.025).unwrap(),
        noise: Component::thousandths::<10>(),
    };
    let made = SweepAnalyser::<A, 3>::new(settings).unwrap();
    assert_eq!(state(&constant), state(&made));
    let defaults = SweepAnalyser::<A, 3>::new(SweepSettings::default()).unwrap();
    assert_eq!(state(&SweepAnalyser::<A, 3>::with_defaults()), state(&defaults));
    // A control: other settings show.
    assert_ne!(state(&made), state(&defaults));
}

#[test]
fn an_analyser_of_constants_is_the_one_of_a_run() {
    every_family!(made_of_constants);
}
