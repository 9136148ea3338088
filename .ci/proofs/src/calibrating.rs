//! Calibration: tables of error terms, and where they come from.

use ohmwright::measure::Uncertainty;
use ohmwright::measure::calibration::{
    CalibrationPoint, CalibrationTable, Conditions, Delay, ErrorTerms, Grid, Kit, LeastSquares, Offset,
    Polynomial, QualityCheck, QualityLimits, Recording, Residual, Role, Standard, reading_range,
};
use ohmwright::quantity::{
    Component, Decibels, ImpedanceRatio, Metres, MismatchLimits, Ohms, Ratio, Reflection, Swr,
    VelocityFactor, Watts,
};
use ohmwright::show::text as lines;

use crate::given::{Words, capacitance, gamma, inductance, reference, take};
use crate::unknown::{any, beginning, keep, one_of, show};

fn terms<A: Words>() -> ErrorTerms<A> {
    ErrorTerms {
        directivity: gamma(),
        source_match: gamma(),
        tracking: gamma(),
    }
}

fn point<A: Words>(_: u8) -> CalibrationPoint<A> {
    CalibrationPoint {
        frequency: any(),
        terms: terms(),
    }
}

fn delay<A: Words>() -> Delay<A> {
    let delay = if any() {
        Delay::from_picoseconds(any())
    } else {
        Delay::from_femtoseconds(any())
    };
    -take(
        Delay::of_length(any::<Metres<A>>(), any::<VelocityFactor<A>>()),
        delay,
    )
}

fn standard<A: Words>() -> Standard<A> {
    let polynomial = Polynomial::from_thousandths([any(), any(), any(), any()]);
    keep(polynomial.capacitance::<A>(any()));
    keep(polynomial.inductance::<A>(any()));
    let standard = match any::<u8>() {
        0 => Standard::open(polynomial),
        1 => Standard::short(polynomial),
        2 => take(Standard::load(any::<Ohms<A>>(), inductance()), Standard::LOAD),
        _ => Standard::known(gamma()),
    };
    standard.behind(Offset {
        delay: delay(),
        loss: any(),
    })
}

fn role() -> Role {
    one_of([Role::Open, Role::Short], Role::Load)
}

/// The correction of a sweep by a table.
#[inline(never)]
pub fn table_correction<A: Words>() {
    let points = [0; 4].map(point::<A>);
    match CalibrationTable::new(beginning(&points), reference(), any::<Decibels<A>>()) {
        // Not shown: writing numbers in decimals divides.
        Err(error) => keep(error),
        Ok(table) => {
            let mut corrector = table.corrector();
            while any() {
                match corrector.correct(any(), gamma()) {
                    Ok(gamma) => keep(gamma),
                    Err(error) => keep(error),
                }
            }
            keep(table.terms_at(any()));
        }
    }
}

/// What a reading may stand for.
fn uncertainty<A: Words>() {
    let mut known = Uncertainty::<A>::new();
    if let Ok(residual) = Residual::new(
        any::<Component<A>>(),
        any::<Component<A>>(),
        any::<Component<A>>(),
    ) {
        known = known.with_residual(residual);
    }
    match Residual::<A>::from_decibels(any(), any(), any()) {
        Ok(residual) => keep(residual),
        Err(error) => show(error),
    }
    match known.with_noise(any::<Component<A>>()) {
        Ok(more) => known = more,
        Err(error) => show(error),
    }
    keep(known.distance(gamma()));
    keep((known.swr(gamma()), known.return_loss(gamma())));
    keep(known.judge(gamma(), any::<Swr<A>>()));
    keep(MismatchLimits::new(gamma::<A>(), gamma()));
    keep(Reflection::<A>::from_swr(any::<Swr<A>>()));
    keep(Reflection::<A>::from_return_loss(any::<Decibels<A>>()));
    keep(Reflection::<A>::from_powers(any::<Watts<A>>(), any::<Watts<A>>()));
    keep(inductance::<A>().resonant_frequency(capacitance()));
    keep(any::<ImpedanceRatio<A>>().turns_ratio());
    keep(VelocityFactor::<A>::from_permittivity(any::<Ratio<A>>()));
    let mut line = [b' '; 20];
    keep(lines::swr_interval(&mut line, &known.swr(gamma())).is_ok());
}

/// Standards, solving, tables, quality and what is stored.
#[inline(never)]
pub fn calibration<A: Words>() {
    let known = standard::<A>();
    keep(known.reflection(any(), reference()));
    show(role());
    let kit = Kit {
        open: known,
        short: standard(),
        load: standard(),
    };
    let terms = take(
        ErrorTerms::solve(&kit, any(), reference(), &[gamma(), gamma(), gamma()]),
        terms(),
    );
    let pairs = [(gamma(), gamma()), (gamma(), gamma()), (gamma(), gamma())];
    keep(ErrorTerms::from_known(&pairs));
    keep(terms.residual(&pairs));
    keep((terms.checked_correct(gamma()), terms.distort(gamma())));
    keep(terms.has_tracking());
    uncertainty::<A>();
    keep((
        terms.with_plane_moved(delay(), any()),
        terms.is_turned_from(gamma()),
    ));
    keep(delay::<A>().nearer_the_load(gamma(), any()));
    keep((delay::<A>().femtoseconds(), delay::<A>().to_f64()));
    let mut fit = LeastSquares::<A>::new();
    while any() {
        fit.push(gamma(), gamma());
        fit.push_standard(&kit.load, any(), reference(), gamma());
        keep(fit.count());
        match fit.solve() {
            Ok(fit) => keep(fit),
            Err(error) => show(error),
        }
    }
    keep(reading_range::<A>(any(), any()));
    recording(&kit);
}

#[inline(never)]
fn recording<A: Words>(kit: &Kit<A>) {
    let mut room = [0; 4].map(point::<A>);
    let mut bytes = [0u8; 256];
    let mut recording = Recording::new(&mut room);
    while any() {
        if let Err(error) = recording.push(role(), any(), gamma()) {
            show(error);
        }
        if any() {
            recording.restart(role());
        }
        keep((recording.taken(role()), recording.readings(any())));
    }
    match recording.solve(kit, reference(), any::<Decibels<A>>()) {
        Err(failure) => show(failure),
        Ok(table) => {
            keep(table.survey());
            keep((table.survey().suspects_exchange(), table.points().len()));
            match table.corrector().checked_correct(any(), gamma()) {
                Ok(gamma) => keep(gamma),
                Err(error) => show(error),
            }
            keep((table.stored_bytes(), table.store(&mut bytes)));
            let limits = QualityLimits {
                error: any(),
                power_db: any(),
            };
            let limits = if any() { limits } else { QualityLimits::default() };
            let mut check = QualityCheck::new(&table, *kit, limits);
            while any() {
                keep(check.push(role(), any(), gamma()));
                keep(check.push_all(any(), &[gamma(), gamma(), gamma()]));
            }
            keep(check.report(&Conditions {
                power_dbm: any(),
                grid: Grid::of([any(), any()]),
                reference: reference(),
            }));
        }
    }
    for byte in &mut bytes {
        *byte = any();
    }
    match CalibrationTable::<A>::load(beginning(&bytes), &mut room) {
        Ok(table) => keep(*table.conditions()),
        Err(error) => show(error),
    }
}
