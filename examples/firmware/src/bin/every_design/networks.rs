//! Lines, chains, networks and plans.

use defmt::{println, unwrap};
use ohmwright::arithmetic::Arithmetic;
use ohmwright::design::ladder::{Element, Ladder, LadderError, Part, StubEnd};
use ohmwright::design::line::Line;
use ohmwright::design::matching::{
    MatchingError, QuarterWaveRoute, RankSettings, StubSettings, ThreeElementShape, TransformerPlace, rank,
    single_stub, three_element, two_element,
};
use ohmwright::design::preferred::{PreferredSeries, Tolerance, worst_corner};
use ohmwright::quantity::{Hertz, Impedance, Ohms, QFactor, Reference, Watts};

use crate::values::ohms;

pub fn networks<A: Arithmetic>() {
    let (load, fifty) = (ohms::<A>(10.0, 10.0), ohms::<A>(50.0, 0.0));
    let frequency = Hertz::from_megahertz(71);
    let line = unwrap!(Line::<A>::try_from_f64(75.0, 0.75, 12.0));
    println!("line: {}", line);
    let found = unwrap!(two_element(load, fifty));
    println!("two elements: {}", found);
    let first = unwrap!(found.networks().next());
    println!("the first: {}", first);
    let mut ladder: Ladder<A, 3> = unwrap!(first.ladder(frequency));
    let q = QFactor::<A>::whole::<100>();
    let resistance = Ohms::<A>::thousandths::<2_500>();
    if let Some(element) = ladder.elements_mut().first_mut()
        && let Some(part) = element.part()
    {
        println!(
            "loss: {}",
            unwrap!(part.with_series_resistance(resistance)).kind()
        );
        *element = element.with_part(unwrap!(part.with_q(q)));
    }
    println!("element: {}", ladder.elements()[1]);
    unwrap!(ladder.push(Element::Shunt(unwrap!(Part::stub(line, StubEnd::Open)))));
    println!("ladder: {}", ladder);
    println!("refused: {}", ladder.push(Element::Line(line)));
    let walk = unwrap!(ladder.walk(load, frequency));
    println!("walk: {}", walk);
    println!("stress: {}", unwrap!(walk.stress(0, Watts::whole::<4>())));
    println!("resistor: {}", unwrap!(Part::<A>::resistor(resistance)));
    let q = QFactor::whole::<3>();
    let pi = unwrap!(three_element(ThreeElementShape::Pi, load, fifty, q));
    println!("pi: {}", pi[0]);
    println!("route: {}", QuarterWaveRoute::<A>::LineToHighest(resistance));
    println!("place: {}", TransformerPlace::AtLoad);
    let settings = StubSettings::<A> {
        line_impedance: line.impedance(),
        stub_impedance: line.impedance(),
        velocity_factor: line.velocity_factor(),
        end: StubEnd::Shorted,
    };
    println!("stub: {}", settings);
    println!(
        "stub: {}",
        unwrap!(single_stub(load, Reference::fifty(), settings))[0]
    );
    println!("refused: {}", two_element(Impedance::SHORT, fifty));
}

/// What is for floating families alone.
pub fn ranked() {
    let tolerance = unwrap!(Tolerance::new(0.05f32));
    println!("tolerance: {}; series {}", tolerance, PreferredSeries::E24);
    println!(
        "corner: {}",
        unwrap!(worst_corner(&[tolerance], |factors| factors[0]))
    );
    let settings = RankSettings::<f32>::new(Reference::fifty(), Hertz::from_megahertz(71));
    println!("wanted: {}", settings);
    let plans = unwrap!(rank::<f32, 1>(&settings, |_| Some(ohms(10.0, 10.0))));
    println!("plans: {}", plans);
    println!("plan: {}", plans.as_slice()[0]);
    println!("band: {}", plans.as_slice()[0].band);
    println!(
        "refused: {}; {}",
        LadderError::Full(3),
        MatchingError::QTooLow {
            asked_thousandths: 3_100,
            least_thousandths: 4_000,
        }
    );
}
