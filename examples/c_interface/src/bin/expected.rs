//! What `program/main.c` must say, said by the library itself on the host: `expected [float]`.

use ohmwright::fixed_point::{Reference, Reflection, SweepAnalyser, SweepSettings};
use ohmwright::floating;
use ohmwright::measure::Target;
use ohmwright::measure::calibration::ErrorTerms;
use ohmwright::quantity::Hertz;
use ohmwright::show::text;

struct Any(u32);

impl Any {
    fn any(&mut self) -> u32 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 17;
        self.0 ^= self.0 << 5;
        self.0
    }

    fn component(&mut self) -> i32 {
        self.any() as i32 >> 1
    }
}

fn say(name: &str, words: &[u32]) {
    let words: String = words.iter().map(|word| format!(" {word:08x}")).collect();
    println!("{name}{words}");
}

fn main() {
    let mut any = Any(0x2545_f491);
    for _ in 0..200 {
        let gamma = Reflection::from_bits(any.component(), any.component());
        let all = gamma.readouts(Reference::fifty());
        say(
            "fixed",
            &[
                all.magnitude.get().to_bits() as u32,
                all.swr.get().to_bits(),
                all.return_loss.get().to_bits() as u32,
                all.mismatch_loss.get().to_bits() as u32,
                all.resistance.get().to_bits() as u32,
                all.reactance.get().to_bits() as u32,
                all.impedance_magnitude.get().to_bits() as u32,
                all.phase.get().to_bits() as u32,
                all.q.get().to_bits(),
            ],
        );
    }
    sweep();
    left_out();
    doubtful();
    if std::env::args().nth(1).as_deref() == Some("float") {
        float_readouts(&mut any);
    }
}

fn sweep() {
    let fixture = ErrorTerms {
        directivity: Reflection::from_bits(10 << 20, -20 << 20),
        source_match: Reflection::from_bits(30 << 20, 5 << 20),
        tracking: Reflection::from_bits(900 << 20, 100 << 20),
    };
    let mut analyser = SweepAnalyser::<4>::new(SweepSettings {
        target: Some(Hertz::new(70_200_000)),
        ..Default::default()
    })
    .unwrap();
    let mut line = [0; 20];
    for step in 0..=100 {
        let raw = Reflection::from_bits((step - 60) * 8_000_000, 70_000_000 - step * 900_000);
        let gamma = fixture.correct(raw);
        analyser
            .push(Hertz::new(66_000_000 + step as u64 * 80_000), gamma)
            .unwrap();
        if step == 50 {
            println!("{:?}", text::swr(&mut line, gamma).unwrap());
            println!("{:?}", text::return_loss(&mut line, gamma).unwrap());
            let load = gamma.impedance(Reference::fifty());
            println!("{:?}", text::impedance(&mut line, load).unwrap());
        }
    }
    let report = analyser.report();
    let best = report.best().unwrap();
    let band = report.bands()[0];
    let Target::Reading(target) = report.target() else {
        panic!("the target was reached");
    };
    say(
        "sweep",
        &[
            report.points(),
            best.frequency.get() as u32,
            best.reflection.real().get().to_bits() as u32,
            best.reflection.imaginary().get().to_bits() as u32,
            report.dips().len() as u32,
            report.bands().len() as u32,
            band.low.get() as u32,
            band.high.get() as u32,
            if target.pass { 2 } else { 3 },
            target.reflection.real().get().to_bits() as u32,
            target.reflection.imaginary().get().to_bits() as u32,
        ],
    );
    println!("{:?}", text::verdict(&mut line, &report).unwrap());
}

fn left_out() {
    let mut analyser = SweepAnalyser::<4>::new(SweepSettings::default()).unwrap();
    for step in 0..40u64 {
        let gamma = Reflection::from_bits(if step % 3 == 1 { 0 } else { -1 << 30 }, 0);
        analyser
            .push(Hertz::new(1_000_000 + step * 1_000), gamma)
            .unwrap();
    }
    let report = analyser.report();
    say(
        "left out",
        &[
            report.dips().len() as u32,
            report.dips_left_out(),
            report.bands().len() as u32,
            report.bands_left_out(),
        ],
    );
}

fn doubtful() {
    let mut analyser = SweepAnalyser::<4>::new(SweepSettings::default()).unwrap();
    let mut line = [0; 20];
    for step in 0..60 {
        let re = if step == 20 || step == 21 {
            -900 << 20
        } else {
            (step - 30) * 30_000_000
        };
        let im = if step == 59 { 1200 << 20 } else { 500 << 20 };
        analyser
            .push(
                Hertz::new(1_000_000 + step as u64 * 1_000),
                Reflection::from_bits(re, im),
            )
            .unwrap();
        if step == 40 {
            println!("{:?}", text::doubt(&mut line, &analyser.report()).unwrap());
        }
    }
    let report = analyser.report();
    let unresolved = report
        .dips()
        .iter()
        .filter(|dip| dip.unresolved.is_some())
        .count();
    say(
        "doubtful",
        &[
            report.spoilt().len() as u32 + report.spoilt_left_out(),
            report.beyond_rim(),
            report.fast_turns(),
            report.best().unwrap().unresolved.is_some().into(),
            unresolved as u32,
        ],
    );
    println!("{:?}", text::doubt(&mut line, &report).unwrap());
    narrow();
}

fn narrow() {
    let mut analyser = SweepAnalyser::<4>::new(SweepSettings::default()).unwrap();
    for step in 0..40 {
        let off = 4 * (step - 20) + 1;
        let part = 1_500_000_000 / (1 + off * off);
        let gamma = Reflection::from_bits((1 << 30) - part, part * off);
        analyser
            .push(Hertz::new(1_000_000 + step as u64 * 1_000), gamma)
            .unwrap();
    }
    let best = analyser.report().best().unwrap();
    say(
        "narrow",
        &[best.frequency.get() as u32, best.unresolved.is_some().into()],
    );
}

fn float_readouts(any: &mut Any) {
    for _ in 0..200 {
        let gamma = floating::Reflection::new(
            any.component() as f32 / 1_073_741_824.0,
            any.component() as f32 / 1_073_741_824.0,
        )
        .unwrap();
        let all = gamma.readouts(floating::Reference::fifty());
        let words = [
            all.magnitude.get(),
            all.swr.get(),
            all.return_loss.get(),
            all.mismatch_loss.get(),
            all.resistance.get(),
            all.reactance.get(),
            all.impedance_magnitude.get(),
            all.phase.get(),
            all.q.get(),
        ];
        say("float", &words.map(f32::to_bits));
    }
}
