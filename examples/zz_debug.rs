use ohmwright::double::*;
use ohmwright::measure::Target;
fn main() {
    let arg: Vec<f64> = std::env::args().skip(1).map(|a| a.parse().unwrap()).collect();
    let settings = SweepSettings::new()
        .with_swr_limit(Swr::new(1.5))
        .with_target(Some(Hertz::new(27_500_000)));
    let mut a = SweepAnalyser::<8>::new(settings).unwrap();
    let mut s = SweepSurvey::new();
    for i in 0..101u64 {
        let f = 19_250_000 + i * 192_500;
        let (mut re, im) = (-1.0 / 3.0, 0.0);
        if i == arg[0] as u64 {
            re = arg[2];
        }
        if i == arg[1] as u64 {
            re = arg[3];
        }
        let g = Reflection::try_from_f64(re, im).unwrap();
        a.push(Hertz::new(f), g).unwrap();
        s.push(Hertz::new(f), g).unwrap();
    }
    let r = a.report();
    println!(
        "dips {:?}\nbest {:?}\nspoilt {:?}",
        r.dips(),
        r.best(),
        r.spoilt()
    );
    println!("{:?}", s.quality(&r));
    println!(
        "{:?}",
        NextStep::new(&r, &s, &Built::new(TuningElement::Inductance)).unwrap()
    );
    let _ = Target::<f64>::NotAsked;
}
