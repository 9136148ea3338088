//! One module for each family of numbers: the only import that a firmware needs.
//!
//! The lists of names stand here once. `tests/house/families.rs` holds them complete: a public type of the library that is in
//! none of them, and not in its short list of exceptions, fails there.

/// A type with the family as its only parameter.
macro_rules! aliases {
    ($family:ty; $($module:ident $(:: $inner:ident)*: $name:ident;)*) => {$(
        #[doc = concat!(
            "See [`", stringify!($module $(:: $inner)*), "::", stringify!($name), "`](crate::",
            stringify!($module $(:: $inner)*), "::", stringify!($name), ")."
        )]
        pub type $name = crate::$module $(:: $inner)*::$name<$family>;
    )*};
}

/// A family's module.
macro_rules! family {
    ($(#[$doc:meta])* $module:ident, $family:ty $(, $more:ident)?) => {
        $(#[$doc])*
        ///
        /// Everything that a firmware names stands here: the types of this family, and beside them those that have none
        /// (frequencies, errors, directions, settings of a bank, …). One import is enough:
        /// `use ohmwright::MODULE::{Hertz, SweepAnalyser, TuningElement};`, or the module under a name of one's own, so that
        /// the family is changed in one line.
        ///
        /// Where a name is needed twice it stands here for the more usual one: `Cause` is that of a diagnosis (not of a
        /// Touchstone file), `Arrangement` and `Side` are those of a bank. Touchstone files and charts have their own
        /// modules, [`measure::touchstone`](crate::measure::touchstone) and `show::chart`.
        pub mod $module {
            /// The family itself.
            pub type Family = $family;

            aliases! {
                $family;
                quantity: Readouts;
                quantity: Reference;
                quantity: Impedance;
                quantity: ParallelForm;
                quantity: Admittance;
                quantity: Reactor;
                quantity: Reflection;
                quantity: MismatchLimits;
                quantity: Component;
                quantity: Ohms;
                quantity: Siemens;
                quantity: Volts;
                quantity: Amperes;
                quantity: Watts;
                quantity: Metres;
                quantity: Decibels;
                quantity: Degrees;
                quantity: Swr;
                quantity: QFactor;
                quantity: VelocityFactor;
                quantity: ImpedanceRatio;
                quantity: Ratio;
                quantity: Inductance;
                quantity: Capacitance;
                control: BankCoil;
                control: BankCapacitor;
                control: Stray;
                control: Event;
                control: Command;
                control: TunerReport;
                control: Progress;
                control: MemoryEntry;
                control: Protection;
                control: SensorReading;
                control: SensorErrors;
                control: BestSetting;
                control: TunerSettings;
                control::mock: AntennaModel;
                control::mock: BenchFaults;
                design::ladder: Element;
                design::ladder: PartLoss;
                design::ladder: PartKind;
                design::ladder: Part;
                design::ladder: Stress;
                design::line: Line;
                design::load: LoadCircuit;
                design::load: LookingIn;
                design::load: Presented;
                design::load: PushPull;
                design::load: StandInParts;
                design::load: LeadEffect;
                design::load: StandIn;
                design::matching: QuarterWaveRoute;
                design::matching: StubSettings;
                design::matching: SingleStub;
                design::matching: ThreeElement;
                design::matching: TwoElement;
                design::matching: TwoElementSet;
                design::transformer: TransformerFit;
                design::transformer: FittedTransformer;
                design::transformer: MagnitudeRule;
                design::transformer: CancellingPart;
                design::transformer: TurnsChoice;
                design::transformer: LineTransformer;
                design::transformer: TeeModel;
                design::transformer: RealTransformer;
                design::transformer: OpenShortTest;
                measure: Action;
                measure: AddedPart;
                measure: Built;
                measure: Diagnosis;
                measure: Adjustment;
                measure: Learnt;
                measure: MovedShare;
                measure: Expected;
                measure: NextStep;
                measure: Ripple;
                measure: SweepQuality;
                measure: Change;
                measure: Explanation;
                measure: PredictionCheck;
                measure: PredictionReport;
                measure: Retune;
                measure: SweepSettings;
                measure: MaskSegment;
                measure: MaskVerdict;
                measure: WorstPoint;
                measure: Dip;
                measure: Resonance;
                measure: TargetReading;
                measure: Unresolved;
                measure: Uncertainty;
                measure: Target;
                measure::balance: Phasor;
                measure::balance: Balance;
                measure::balance: BalanceLimits;
                measure::calibration: Conditions;
                measure::calibration: Delay;
                measure::calibration: ErrorTerms;
                measure::calibration: LeastSquares;
                measure::calibration: Fit;
                measure::calibration: QualityLimits;
                measure::calibration: WorstReading;
                measure::calibration: Residual;
                measure::calibration: QualityReport;
                measure::calibration: Offset;
                measure::calibration: Standard;
                measure::calibration: Kit;
                measure::calibration: Survey;
                measure::calibration: CalibrationPoint;
                measure::detector: VectorAverage;
                measure::detector: Imbalance;
                measure::detector: ImbalanceEstimate;
                measure::detector: ScalarSettings;
                measure::detector: SwrInterval;
                measure::detector: ScalarReading;
                measure::detector: ThreeVoltageSettings;
                measure::detector: ThreeVoltageReading;
                measure::detector: VectorSettings;
                measure::detector: VectorDetector;
                measure::detector: VectorReading;
                measure::line: CableReport;
                measure::line: CableSettings;
                measure::line: CableSweep;
                measure::line: DistanceSettings;
                measure::line: Fault;
            }

            /// See [`control::BankAt`](crate::control::BankAt).
            pub type BankAt<const L: usize, const C: usize> = crate::control::BankAt<$family, L, C>;
            /// See [`control::Bank`](crate::control::Bank).
            pub type Bank<const L: usize, const C: usize> = crate::control::Bank<$family, L, C>;
            /// See [`control::TunerDriver`](crate::control::TunerDriver).
            pub type TunerDriver<'t, S, B, const L: usize, const C: usize> = crate::control::TunerDriver<'t, $family, S, B, L, C>;
            /// See [`control::TunerMemory`](crate::control::TunerMemory).
            pub type TunerMemory<'m> = crate::control::TunerMemory<'m, $family>;
            /// See [`control::mock::SimulatedBench`](crate::control::mock::SimulatedBench).
            pub type SimulatedBench<const L: usize, const C: usize> = crate::control::mock::SimulatedBench<$family, L, C>;
            /// See [`control::Tuner`](crate::control::Tuner).
            pub type Tuner<const L: usize, const C: usize> = crate::control::Tuner<$family, L, C>;
            /// See [`design::ladder::Ladder`](crate::design::ladder::Ladder).
            pub type Ladder<const N: usize> = crate::design::ladder::Ladder<$family, N>;
            /// See [`design::ladder::Walk`](crate::design::ladder::Walk).
            pub type Walk<const N: usize> = crate::design::ladder::Walk<$family, N>;
            /// See [`design::load::LoadTable`](crate::design::load::LoadTable).
            pub type LoadTable<'a> = crate::design::load::LoadTable<'a, $family>;
            /// See [`design::transformer::HalfTurnsRanking`](crate::design::transformer::HalfTurnsRanking).
            pub type HalfTurnsRanking<const K: usize> = crate::design::transformer::HalfTurnsRanking<$family, K>;
            /// See [`design::transformer::TurnsRanking`](crate::design::transformer::TurnsRanking).
            pub type TurnsRanking<const K: usize> = crate::design::transformer::TurnsRanking<$family, K>;
            /// See [`measure::calibration::QualityCheck`](crate::measure::calibration::QualityCheck).
            pub type QualityCheck<'a> = crate::measure::calibration::QualityCheck<'a, $family>;
            /// See [`measure::calibration::Recording`](crate::measure::calibration::Recording).
            pub type Recording<'a> = crate::measure::calibration::Recording<'a, $family>;
            /// See [`measure::calibration::CalibrationTable`](crate::measure::calibration::CalibrationTable).
            pub type CalibrationTable<'a> = crate::measure::calibration::CalibrationTable<'a, $family>;
            /// See [`measure::calibration::Corrector`](crate::measure::calibration::Corrector).
            pub type Corrector<'a> = crate::measure::calibration::Corrector<'a, $family>;
            /// See [`measure::detector::LevelTable`](crate::measure::detector::LevelTable).
            pub type LevelTable<'a> = crate::measure::detector::LevelTable<'a, $family>;
            /// See [`measure::detector::ScalarDetector`](crate::measure::detector::ScalarDetector).
            pub type ScalarDetector<'a> = crate::measure::detector::ScalarDetector<'a, $family>;
            /// See [`measure::detector::ThreeVoltageDetector`](crate::measure::detector::ThreeVoltageDetector).
            pub type ThreeVoltageDetector<'a> = crate::measure::detector::ThreeVoltageDetector<'a, $family>;
            /// See [`measure::Refinement`](crate::measure::Refinement).
            pub type Refinement<const POINTS: usize, const N: usize> = crate::measure::Refinement<$family, POINTS, N>;
            /// See [`measure::line::DistanceSweep`](crate::measure::line::DistanceSweep).
            pub type DistanceSweep<const N: usize> = crate::measure::line::DistanceSweep<$family, N>;
            /// See [`measure::SweepAnalyser`](crate::measure::SweepAnalyser).
            pub type SweepAnalyser<const N: usize> = crate::measure::SweepAnalyser<$family, N>;
            /// See [`measure::ThreePointAnalyser`](crate::measure::ThreePointAnalyser).
            pub type ThreePointAnalyser<const N: usize> = crate::measure::ThreePointAnalyser<$family, N>;
            /// See [`measure::MaskCheck`](crate::measure::MaskCheck).
            pub type MaskCheck<const M: usize> = crate::measure::MaskCheck<$family, M>;
            /// See [`measure::MaskReport`](crate::measure::MaskReport).
            pub type MaskReport<const M: usize> = crate::measure::MaskReport<$family, M>;
            /// See [`measure::SweepReport`](crate::measure::SweepReport).
            pub type SweepReport<const N: usize> = crate::measure::SweepReport<$family, N>;

            pub use crate::quantity::{Band, Hertz, Limits, QuantityError};
            pub use crate::control::{Arrangement, BankError, Coverage, MatchSensor, Outcome, Positions, Setting, Side, SwitchedBank, TunerError, Verdict};
            pub use crate::control::mock::{BenchError, BenchSensor};
            pub use crate::design::ladder::{LadderError, StubEnd};
            pub use crate::design::load::{Convention, Load, LoadError, OneSide, SideToSide};
            pub use crate::design::matching::{LimitKept, Orientation, MatchScheme, MatchingError, ThreeElementShape, TransformerPlace, WhyNot};
            pub use crate::design::preferred::{PreferredSeries};
            pub use crate::design::transformer::{HalfTurns, LineKind, Remedy, TransformerError, ImpedanceSide, Turns};
            pub use crate::design::winding::{CoilFormula};
            pub use crate::measure::{Agreement, Cause, Certainty, Direction, FrequencyPlan, LearnError, Method, NextReading, Placement, PlanError, Printed, Reading, ReadingError, Reason, RefinementError, Statistics, Suspect, SweepBand, SweepError, SweepSurvey, Toward, TuningElement};
            pub use crate::measure::balance::{BalanceError, BalanceVerdict, Output};
            pub use crate::measure::calibration::{CalibrationError, CalibrationFailure, Grid, Polynomial, QualityVerdict, Role, Term};
            pub use crate::measure::detector::{Channel, Demodulator, DetectorError, Iq, Pair, Quality, Sign, Signs, Tone};
            pub use crate::measure::line::{CableEnd, DistanceWindow, LineError};
            pub use crate::show::text::{TextError};
            pub use crate::stored::{StoredError};

            $($more!($family);)?
        }
    };
}

/// What the floating families have besides.
macro_rules! for_hosts {
    ($family:ty) => {
        aliases! {
            $family;
            design::line: CoaxialLoss;
            design::matching: MatchPlan;
            design::matching: PartLimits;
            design::matching: RankSettings;
            design::matching: RankWeights;
            design::preferred: Tolerance;
            design::preferred: WorstCorner;
            design::winding: AirCoil;
            design::winding: InductanceFactor;
            design::winding: RingCore;
            design::winding: SineVoltage;
            design::winding: FluxDensity;
            design::winding: Conductor;
            design::winding: RoundWire;
        }
        /// See [`design::matching::MatchPlans`](crate::design::matching::MatchPlans).
        pub type MatchPlans<const K: usize> = crate::design::matching::MatchPlans<$family, K>;
    };
}

family! {
    /// The domain types in 32-bit fixed point ([`Fixed32`](crate::arithmetic::Fixed32)): any core, the same bits on each.
    fixed_point, crate::arithmetic::Fixed32
}
family! {
    /// The domain types in 16-bit fixed point ([`Fixed16`](crate::arithmetic::Fixed16)): for 12-bit converters and the
    /// smallest cores.
    small_fixed_point, crate::arithmetic::Fixed16
}
family! {
    /// The domain types in `f32`: for cores with a floating-point unit.
    floating, f32, for_hosts
}
family! {
    /// The domain types in `f64`: for hosts.
    double, f64, for_hosts
}
