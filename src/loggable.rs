//! Every public type can be written to the log of a device: the compiler checks the list, a test checks that it is
//! whole.

/// Fails to compile where a type of the list does not implement `defmt::Format`, in any family.
macro_rules! loggable {
    ($($type:ty),* $(,)?) => {
        #[cfg(feature = "defmt")]
        const _: () = {
            use crate::arithmetic::{Arithmetic, Floating, accuracy};
            use crate::control::mock;
            use crate::design::{ladder, line, load, matching, preferred, transformer, winding};
            use crate::measure::{balance, calibration, detector, touchstone};
            use crate::{arithmetic, control, measure, quantity, show, stored};

            const fn is_loggable<T: defmt::Format>() {}
            #[allow(dead_code)]
            const fn all<A: Arithmetic, F: Floating, W, const N: usize>() {
                $(is_loggable::<$type>();)*
            }
        };
        #[cfg(test)]
        const LIST: &[&str] = &[$(stringify!($type)),*];
    };
}

loggable! {
    accuracy::Bound,
    accuracy::Family,
    accuracy::Readout,
    arithmetic::Fixed16,
    arithmetic::Fixed32,
    quantity::QuantityError,
    quantity::Readouts<A>,
    quantity::Admittance<A>,
    quantity::Band,
    quantity::Capacitance<A>,
    quantity::Hertz,
    quantity::Impedance<A>,
    quantity::Inductance<A>,
    quantity::ParallelForm<A>,
    quantity::Reactor<A>,
    quantity::Reference<A>,
    quantity::Reflection<A>,
    stored::StoredError,
    line::Line<A>,
    ladder::Element<A>,
    ladder::Ladder<A, N>,
    ladder::LadderError,
    ladder::Part<A>,
    ladder::PartKind<A>,
    ladder::PartLoss<A>,
    ladder::Stress<A>,
    ladder::StubEnd,
    ladder::Walk<A, N>,
    load::LeadEffect<A>,
    load::LoadCircuit<A>,
    load::LoadError,
    load::LoadTable<'static, A>,
    load::LookingIn<A>,
    load::OneSide<load::LookingIn<A>>,
    load::Presented<A>,
    load::PushPull<A>,
    load::SideToSide<load::Presented<A>>,
    load::StandIn<A>,
    load::StandInParts<A>,
    matching::Orientation,
    matching::MatchPlan<F>,
    matching::MatchPlans<F, N>,
    matching::MatchScheme,
    matching::MatchingError,
    matching::QuarterWaveRoute<A>,
    matching::RankSettings<F>,
    matching::SingleStub<A>,
    matching::StubSettings<A>,
    matching::ThreeElement<A>,
    matching::ThreeElementShape,
    matching::TransformerPlace,
    matching::TwoElement<A>,
    matching::TwoElementSet<A>,
    matching::WhyNot,
    preferred::PreferredSeries,
    preferred::Tolerance<F>,
    preferred::WorstCorner<F>,
    transformer::CancellingPart<A>,
    transformer::FittedTransformer<A>,
    transformer::HalfTurns,
    transformer::HalfTurnsRanking<A, N>,
    transformer::LineKind,
    transformer::LineTransformer<A>,
    transformer::MagnitudeRule<A>,
    transformer::OpenShortTest<A>,
    transformer::RealTransformer<A>,
    transformer::Remedy,
    transformer::ImpedanceSide,
    transformer::TeeModel<A>,
    transformer::TransformerError,
    transformer::TransformerFit<A>,
    transformer::Turns,
    transformer::TurnsChoice<A>,
    transformer::TurnsRanking<A, N>,
    winding::AirCoil<F>,
    winding::CoilFormula,
    winding::Conductor<F>,
    winding::FluxDensity<F>,
    winding::InductanceFactor<F>,
    winding::RingCore<F>,
    winding::RoundWire<F>,
    winding::SineVoltage<F>,
    control::Arrangement,
    control::Bank<A, N, N>,
    control::BankAt<A, N, N>,
    control::BankCapacitor<A>,
    control::BankCoil<A>,
    control::BankError,
    control::BestSetting<A>,
    control::Command<A>,
    control::Coverage,
    control::Event<A>,
    control::MemoryEntry<A>,
    control::Outcome,
    control::Positions,
    control::Progress<A>,
    control::Protection<A>,
    control::SensorReading<A>,
    control::Setting,
    control::Side,
    control::Stray<A>,
    control::Tuner<A, N, N>,
    control::TunerDriver<'static, A, W, W, N, N>,
    control::TunerError,
    control::TunerMemory<'static, A>,
    control::TunerReport<A>,
    control::TunerSettings<A>,
    control::Verdict,
    mock::AntennaModel<A>,
    mock::BenchError,
    mock::BenchFaults<A>,
    mock::BenchSensor,
    mock::SimulatedBench<A, N, N>,
    measure::Agreement,
    measure::SweepBand,
    measure::Cause,
    measure::Change<A>,
    measure::Diagnosis<A>,
    measure::Dip<A>,
    measure::Direction,
    calibration::ErrorTerms<A>,
    measure::Explanation<A>,
    measure::FrequencyPlan<'static>,
    measure::MaskCheck<A, N>,
    measure::MaskReport<A, N>,
    measure::MaskSegment<A>,
    measure::MaskVerdict<A>,
    measure::Method,
    measure::NextReading,
    measure::PlanError,
    measure::PredictionCheck<A>,
    measure::PredictionReport<A>,
    measure::Printed,
    measure::Reading,
    measure::ReadingError,
    measure::Refinement<A, N, N>,
    measure::RefinementError,
    measure::Resonance<A>,
    measure::Retune<A>,
    measure::Statistics<quantity::Ohms<A>>,
    measure::Suspect,
    measure::SweepAnalyser<A, N>,
    measure::SweepError,
    measure::SweepReport<A, N>,
    measure::SweepSettings<A>,
    measure::Target<A>,
    measure::TargetReading<A>,
    measure::TuningElement,
    measure::WorstPoint<A>,
    balance::Balance<A>,
    balance::BalanceError,
    balance::BalanceLimits<A>,
    balance::BalanceVerdict,
    balance::Output,
    balance::Phasor<A>,
    calibration::CalibrationError,
    calibration::CalibrationFailure,
    calibration::CalibrationPoint<A>,
    calibration::CalibrationTable<'static, A>,
    calibration::Conditions<A>,
    calibration::Corrector<'static, A>,
    calibration::Delay<A>,
    calibration::Fit<A>,
    calibration::Grid,
    calibration::Kit<A>,
    calibration::LeastSquares<A>,
    calibration::Offset<A>,
    calibration::Polynomial,
    calibration::QualityCheck<'static, A>,
    calibration::QualityLimits<A>,
    calibration::QualityReport<A>,
    calibration::QualityVerdict,
    calibration::Recording<'static, A>,
    calibration::Residual<A>,
    calibration::Role,
    calibration::Standard<A>,
    calibration::Survey<A>,
    calibration::Term,
    calibration::WorstReading<A>,
    detector::Channel,
    detector::Demodulator<'static, N>,
    detector::DetectorError,
    detector::Imbalance<A>,
    detector::ImbalanceEstimate<A>,
    detector::Iq,
    detector::LevelTable<'static, A>,
    detector::Pair,
    detector::Quality,
    detector::ScalarDetector<'static, A>,
    detector::ScalarReading<A>,
    detector::ScalarSettings<A>,
    detector::Sign,
    detector::Signs,
    detector::SwrInterval<A>,
    detector::ThreeVoltageDetector<'static, A>,
    detector::ThreeVoltageReading<A>,
    detector::ThreeVoltageSettings<A>,
    detector::Tone<N>,
    detector::VectorAverage<A>,
    detector::VectorDetector<A>,
    detector::VectorReading<A>,
    detector::VectorSettings<A>,
    touchstone::TouchstoneCause,
    touchstone::Excerpt,
    touchstone::Format,
    touchstone::FrequencyUnit,
    touchstone::Keyword,
    touchstone::Layout,
    touchstone::LineBuffer<N>,
    touchstone::Lines<'static>,
    touchstone::Parameter,
    touchstone::Reader,
    touchstone::Record,
    touchstone::Summary,
    touchstone::TouchstoneError,
    touchstone::Version,
    touchstone::Warnings,
    touchstone::WriteError,
    touchstone::Writer<W>,
    show::text::TextError,
}

#[cfg(test)]
mod tests {
    use std::path::Path;
    use std::string::{String, ToString};
    use std::vec::Vec;
    use std::{env, fs};

    /// The name in `pub struct Name<A>` or `touchstone::Lines<'static>`.
    fn name(text: &str) -> String {
        let path = text.split(['<', '(', ';', ' ']).next().unwrap_or(text);
        path.rsplit("::").next().unwrap_or(path).to_string()
    }

    fn declared(folder: &Path, names: &mut Vec<String>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                // The kernels are plumbing, hidden from users.
                // What draws is for a display; a log takes neither pixels nor colours.
                if !path.ends_with("kernel") && !path.ends_with("chart") {
                    declared(&path, names);
                }
                continue;
            }
            for line in fs::read_to_string(&path).unwrap().lines() {
                let rest = line
                    .strip_prefix("pub struct ")
                    .or(line.strip_prefix("pub enum "));
                names.extend(rest.map(name));
            }
        }
    }

    #[test]
    fn no_public_type_is_forgotten() {
        let mut names = Vec::new();
        declared(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut names);
        // Plumbing too.
        names.retain(|name| !["Complex", "SoftF32", "Scale"].contains(&name.as_str()));
        // Declared by a macro.
        names.extend(["Inductance", "Capacitance"].map(String::from));
        names.sort();
        let mut listed: Vec<String> = super::LIST.iter().map(|text| name(text)).collect();
        listed.sort();
        assert_eq!(names, listed);
    }
}
