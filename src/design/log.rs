//! The types of this folder in the log of a device: one line each, in ASCII, with units.

use defmt::{Format, Formatter, write};

use super::ladder::{Element, Ladder, Part, PartKind, PartLoss, Stress, Walk};
use super::line::Line;
use super::load::{
    Convention, LeadEffect, LoadCircuit, LoadTable, LookingIn, OneSide, Presented, PushPull, SideToSide,
    StandIn, StandInParts,
};
use super::matching::{
    MatchPlan, MatchPlans, QuarterWaveRoute, RankSettings, SingleStub, StubSettings, ThreeElement,
    TwoElement, TwoElementSet,
};
use super::preferred::{Tolerance, WorstCorner};
use super::transformer::{
    CancellingPart, FittedTransformer, HalfTurns, HalfTurnsRanking, LineTransformer, MagnitudeRule,
    OpenShortTest, RealTransformer, TeeModel, TransformerFit, Turns, TurnsChoice, TurnsRanking,
};
use super::winding::{AirCoil, Conductor, FluxDensity, InductanceFactor, RingCore, RoundWire, SineVoltage};
use crate::arithmetic::log::{InRange, NamedSwr, Number, OpenOr};
use crate::arithmetic::{Arithmetic, Floating};

impl Format for Turns {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{=u8} : {=u8}", self.primary(), self.secondary());
    }
}

impl<A: Arithmetic> Format for MagnitudeRule<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "|Z| {} asks for ratio {}, turns {}; promised {}, seen {}, {}",
            OpenOr(self.magnitude),
            InRange(self.impedance_ratio, ""),
            self.turns,
            NamedSwr(self.swr_promised),
            self.seen,
            NamedSwr(self.reflection.swr()),
        );
    }
}

impl<A: Arithmetic> Format for CancellingPart<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "X {}", OpenOr(self.load_side_reactance));
        if let Some(part) = self.load_side {
            write!(f, " ({})", part);
        }
        write!(f, " at the load, X {}", OpenOr(self.source_side_reactance));
        if let Some(part) = self.source_side {
            write!(f, " ({})", part);
        }
        write!(f, " at the source, leaves {}", NamedSwr(self.swr));
    }
}

impl<A: Arithmetic> Format for TurnsChoice<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "turns {}, seen {}, {}; in series {}; across {}",
            self.turns,
            self.seen,
            NamedSwr(self.reflection.swr()),
            self.series,
            self.shunt,
        );
    }
}

impl<A: Arithmetic, const K: usize> Format for TurnsRanking<A, K> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "turns by {}", self.remedy());
        for choice in self.as_slice() {
            write!(
                f,
                ", {} leaves {}",
                choice.turns,
                NamedSwr(choice.swr(self.remedy()))
            );
        }
    }
}

impl Format for HalfTurns {
    fn format(&self, f: Formatter<'_>) {
        let (primary, secondary) = (self.primary_halves(), self.secondary_halves());
        write!(f, "{=u8} : {=u8} half turns", primary, secondary);
    }
}

impl<A: Arithmetic, const K: usize> Format for HalfTurnsRanking<A, K> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "ranked by {}", self.remedy());
        for (turns, choice) in self.iter() {
            write!(f, ", {} leaves {}", turns, NamedSwr(choice.swr(self.remedy())));
        }
    }
}

// --- transformers as they are ----------------------------------------------------------------------------------------

impl<A: Arithmetic> Format for RealTransformer<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "ratio {}, leakage {}, magnetising {}",
            InRange(self.impedance_ratio(), ""),
            self.leakage(),
            self.magnetising(),
        );
    }
}

impl<A: Arithmetic> Format for TeeModel<A> {
    fn format(&self, f: Formatter<'_>) {
        let (primary, secondary, common) =
            (OpenOr(self.primary), OpenOr(self.secondary), OpenOr(self.common));
        write!(f, "X {} and {} around {}", primary, secondary, common);
    }
}

impl<A: Arithmetic> Format for OpenShortTest<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "at {}: primary {}, shorted {}; secondary {}",
            self.frequency, self.primary_open, self.primary_shorted, self.secondary_open,
        );
    }
}

impl<A: Arithmetic> Format for TransformerFit<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "fit of {=u32} points so far", self.points());
    }
}

impl<A: Arithmetic> Format for FittedTransformer<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{}; from {=u32} points", self.transformer, self.points);
        if let Some(residual) = self.residual {
            write!(f, ", residual {}", Number(residual));
        }
    }
}

impl<A: Arithmetic> Format for LineTransformer<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{}, 1 to {}", self.kind(), Number(self.impedance_ratio()));
    }
}

// --- loads -----------------------------------------------------------------------------------------------------------

impl<A: Arithmetic> Format for LoadTable<'_, A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "load");
        for (frequency, impedance) in self.rows() {
            write!(f, ", {} at {}", impedance, frequency);
        }
    }
}

impl<A: Arithmetic> Format for LoadCircuit<A> {
    fn format(&self, f: Formatter<'_>) {
        match self {
            Self::Series {
                resistance,
                inductance,
                capacitance,
            } => {
                write!(f, "{}, {}", OpenOr(*resistance), inductance);
                if let Some(capacitance) = capacitance {
                    write!(f, ", {}", capacitance);
                }
                write!(f, " in series");
            }
            Self::ParallelBehindLead {
                resistance,
                capacitance,
                lead,
            } => write!(
                f,
                "{} beside {}, behind {}",
                OpenOr(*resistance),
                capacitance,
                lead
            ),
            Self::Parallel {
                resistance,
                inductance,
                capacitance,
            } => {
                write!(f, "{}, {}", OpenOr(*resistance), capacitance);
                if let Some(inductance) = inductance {
                    write!(f, ", {}", inductance);
                }
                write!(f, " side by side");
            }
        }
    }
}

impl<A: Arithmetic> Format for LookingIn<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "looking in {}", self.load());
    }
}

impl<A: Arithmetic> Format for Presented<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "to be presented {}", self.target());
    }
}

impl<Z: Convention + Format> Format for OneSide<Z> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "one side: {}", self.0);
    }
}

impl<Z: Convention + Format> Format for SideToSide<Z> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "side to side: {}", self.0);
    }
}

impl<A: Arithmetic> Format for PushPull<A> {
    fn format(&self, f: Formatter<'_>) {
        let (supply, saturation) = (Number(self.supply()), Number(self.saturation()));
        write!(f, "push-pull on {} V, {} V kept", supply, saturation);
    }
}

impl<A: Arithmetic> Format for StandInParts<A> {
    fn format(&self, f: Formatter<'_>) {
        match self {
            Self::Resistor(resistance) => write!(f, "{}", OpenOr(*resistance)),
            Self::ResistorAndCoil(resistance, coil) => write!(f, "{} and {}", OpenOr(*resistance), coil),
            Self::ResistorAndCapacitor(resistance, part) => write!(f, "{} and {}", OpenOr(*resistance), part),
            Self::ResistorBesideCapacitor(resistance, part) => {
                write!(f, "{} beside {}", OpenOr(*resistance), part);
            }
            Self::ResistorBesideCoil(resistance, coil) => {
                write!(f, "{} beside {}", OpenOr(*resistance), coil)
            }
        }
    }
}

impl<A: Arithmetic> Format for StandIn<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{} for {} at {}", self.parts(), self.load(), self.frequency());
    }
}

impl<A: Arithmetic> Format for LeadEffect<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "leads of X {}, then {}, {}{=str}",
            OpenOr(self.lead_reactance),
            self.seen,
            NamedSwr(self.swr),
            if self.swamped { ": swamped" } else { "" }
        );
    }
}

// --- windings --------------------------------------------------------------------------------------------------------

impl<F: Floating> Format for AirCoil<F> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{} turns, {} m wide, {} m long, {}",
            Number(self.turns()),
            Number(self.diameter()),
            Number(self.length()),
            self.inductance()
        );
    }
}

impl<F: Floating> Format for InductanceFactor<F> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{} nH a turn squared", Number(self.nanohenries()));
    }
}

impl<F: Floating> Format for RingCore<F> {
    fn format(&self, f: Formatter<'_>) {
        let (path, area) = (Number(self.effective_length()), Number(self.effective_area()));
        write!(f, "ring of le {} m, Ae {} m2", path, area);
    }
}

impl<F: Floating> Format for SineVoltage<F> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{} V peak", Number(self.peak()));
    }
}

impl<F: Floating> Format for FluxDensity<F> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{} T", Number(self.tesla()));
    }
}

impl<F: Floating> Format for Conductor<F> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{} S/m", Number(self.conductivity()));
    }
}

impl<F: Floating> Format for RoundWire<F> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "wire of {} m", Number(self.diameter()));
    }
}

// --- networks --------------------------------------------------------------------------------------------------------

impl<A: Arithmetic> Format for Line<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "line {}, velocity factor {}, {}",
            OpenOr(self.impedance()),
            Number(self.velocity_factor()),
            InRange(self.length(), " m"),
        );
    }
}

impl<A: Arithmetic> Format for PartLoss<A> {
    fn format(&self, f: Formatter<'_>) {
        match self {
            Self::None => write!(f, "no loss"),
            Self::SeriesResistance(resistance) => write!(f, "with {} in series", OpenOr(*resistance)),
            Self::Q(q) => write!(f, "Q {}", InRange(*q, "")),
        }
    }
}

impl<A: Arithmetic> Format for PartKind<A> {
    fn format(&self, f: Formatter<'_>) {
        match self {
            Self::Resistor(resistance) => write!(f, "resistor {}", OpenOr(*resistance)),
            Self::Reactor(reactor, loss) => write!(f, "{}, {}", reactor, loss),
            Self::Stub(line, end) => write!(f, "stub ({}) of {}", end, line),
        }
    }
}

impl<A: Arithmetic> Format for Part<A> {
    fn format(&self, f: Formatter<'_>) {
        self.kind().format(f);
    }
}

impl<A: Arithmetic> Format for Element<A> {
    fn format(&self, f: Formatter<'_>) {
        match self {
            Self::Series(part) => write!(f, "series {}", part),
            Self::Shunt(part) => write!(f, "shunt {}", part),
            Self::Transformer(turns) => write!(f, "transformer {}", turns),
            Self::Line(line) => write!(f, "{}", line),
        }
    }
}

impl<A: Arithmetic, const N: usize> Format for Ladder<A, N> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "ladder of {=usize}", self.elements().len());
        for element in self.elements() {
            write!(f, "; {}", element);
        }
    }
}

impl<A: Arithmetic> Format for Stress<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{} peak, {} peak, {}",
            InRange(self.volts_peak, " V"),
            InRange(self.amperes_peak, " A"),
            InRange(self.watts, " W"),
        );
    }
}

impl<A: Arithmetic, const N: usize> Format for Walk<A, N> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "ladder walked, seen {}", self.input_impedance());
    }
}

impl<A: Arithmetic> Format for TwoElement<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{}, X {} in series, B {} S across, Q {}",
            self.orientation(),
            OpenOr(self.series_reactance()),
            Number(self.shunt_susceptance()),
            InRange(self.q(), ""),
        );
    }
}

impl<A: Arithmetic> Format for TwoElementSet<A> {
    fn format(&self, f: Formatter<'_>) {
        let [first, second, third, fourth] = self.all();
        write!(f, "{}; {}; {}; {}", first, second, third, fourth);
    }
}

impl<A: Arithmetic> Format for ThreeElement<A> {
    fn format(&self, f: Formatter<'_>) {
        let [at_load, middle, at_source] = self.reactances();
        write!(
            f,
            "{}, X {} at the load, {}, {} at the source",
            self.shape(),
            OpenOr(at_load),
            OpenOr(middle),
            OpenOr(at_source),
        );
    }
}

impl<A: Arithmetic> Format for QuarterWaveRoute<A> {
    fn format(&self, f: Formatter<'_>) {
        match self {
            Self::SeriesPart => write!(f, "series part"),
            Self::ShuntPart => write!(f, "shunt part"),
            Self::LineToHighest(impedance) => write!(f, "line of {} to the highest", OpenOr(*impedance)),
            Self::LineToLowest(impedance) => write!(f, "line of {} to the lowest", OpenOr(*impedance)),
        }
    }
}

impl<A: Arithmetic> Format for StubSettings<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "line {}, stub {} ({}), velocity factor {}",
            OpenOr(self.line_impedance),
            OpenOr(self.stub_impedance),
            self.end,
            Number(self.velocity_factor),
        );
    }
}

impl<A: Arithmetic> Format for SingleStub<A> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "line of {} wavelengths, stub of {}",
            Number(self.line_wavelengths()),
            Number(self.stub_wavelengths()),
        );
    }
}

impl<F: Floating> Format for Tolerance<F> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "within {}", Number(self.fraction()));
    }
}

impl<F: Floating> Format for WorstCorner<F> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "worst corner {}", Number(self.worst));
    }
}

impl<F: Floating> Format for RankSettings<F> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "match to {} at {}, band {} to {}, {}, {}",
            self.source,
            self.frequency,
            self.low,
            self.high,
            NamedSwr(self.swr_limit),
            InRange(self.power, " W"),
        );
    }
}

impl<F: Floating> Format for MatchPlan<F> {
    fn format(&self, f: Formatter<'_>) {
        write!(
            f,
            "{}: {}, worst {}, loss {}; {}",
            self.scheme,
            NamedSwr(self.swr()),
            NamedSwr(self.worst_swr),
            InRange(self.loss, " dB"),
            self.ladder,
        );
    }
}

impl<F: Floating, const K: usize> Format for MatchPlans<F, K> {
    fn format(&self, f: Formatter<'_>) {
        write!(f, "{=u32} networks looked at", self.looked_at());
        for plan in self.as_slice() {
            write!(f, ", {}", plan);
        }
    }
}
