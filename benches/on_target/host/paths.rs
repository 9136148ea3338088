//! The paths on the host: the same kernels on the same inputs, for comparison bit for bit.

use ohmwright::arithmetic::Arithmetic;
use ohmwright::arithmetic::accuracy::Family as Name;
use ohmwright::measure::calibration::ErrorTerms;
use ohmwright::quantity::{Component, Hertz, Impedance, Ohms, Reference, Reflection};

use crate::baseline::{self, Baseline};
use crate::detecting as detectors;
use crate::detectors::{BLOCK, Block, Counts, Diode};
use crate::kernels::{
    self, Answer, Family, Kernel, Known, Library, Located, Path, Point, Raw, StepInput, Swept, Word,
};
use crate::points::{self, Complex, Terms, Z0};
use crate::steps::task;
use crate::table::Timed;

/// Inputs as the core gets them, and what must come out.
pub struct Job {
    /// Header and records.
    pub bytes: Vec<u8>,
    /// The words of every record.
    pub inputs: Vec<Vec<u32>>,
    pub points: Vec<Vec<u32>>,
    /// Which of them are measured; the others get ready what these need.
    pub measured: Vec<bool>,
    pub last: Option<Vec<u32>>,
}

/// A path as the host sees it.
pub trait HostPath: Path {
    /// Which row of the accuracy table holds; none for the baseline.
    const FAMILY: Option<Name>;
    /// 50 Ω.
    fn fifty_ohms() -> Self::Ohms;
    fn gamma(value: Complex) -> Self::Gamma;
    fn load(value: Complex) -> Self::Load;
    fn load_words(load: &Self::Load) -> Vec<u32>;
    fn terms(value: &Terms) -> Self::Terms;
    /// The kernels that only this crate has.
    fn own(kernel: Timed) -> Option<Job>;
    /// The same of the detectors.
    fn detect(kernel: Timed) -> Option<Job>;
    /// The same of the text.
    fn write(kernel: Timed) -> Option<Job>;
}

pub fn words(answer: &impl Answer) -> Vec<u32> {
    let mut words = Vec::new();
    answer.words(&mut |word| words.push(word));
    words
}

/// One input, and how the core gets it.
struct Record<I> {
    input: I,
    words: Vec<u32>,
    bytes: Vec<u8>,
}

impl<I> Record<I> {
    /// Words of which the core keeps the low `size` bytes.
    fn new(input: I, words: Vec<u32>, size: usize) -> Self {
        let bytes = words
            .iter()
            .flat_map(|word| word.to_le_bytes().into_iter().take(size))
            .collect();
        Self { input, words, bytes }
    }
}

/// Runs a kernel as the core will.
fn replay<K: Kernel<Ohms: Word>>(reference: K::Ohms, records: &[Record<K::Input>]) -> Job {
    let stride = records.first().map_or(0, |record| record.bytes.len());
    let header = [records.len() as u32, stride as u32, words(&reference)[0], 0];
    let mut job = Job {
        bytes: header.into_iter().flat_map(u32::to_le_bytes).collect(),
        inputs: Vec::new(),
        points: Vec::new(),
        measured: Vec::new(),
        last: None,
    };
    let mut context = K::context(reference);
    for record in records {
        job.bytes.extend_from_slice(&record.bytes);
        job.inputs.push(record.words.clone());
        job.measured.push(K::is_measured(&record.input));
        K::prepare(&record.input, &mut context);
        let mut told = words(&K::run(&record.input, &mut context));
        K::left(&context, &mut |word| told.push(word));
        job.points.push(told);
    }
    job.last = K::ENDS.then(|| words(&K::end(&mut context)));
    job
}

/// The words of a raw reading and its terms, in the order of the structures.
fn reading<P: HostPath>(raw: Complex, terms: &Terms) -> Vec<u32> {
    let Terms([directivity, source_match, tracking]) = *terms;
    let values = [raw, directivity, source_match, tracking];
    values.iter().flat_map(|value| words(&P::gamma(*value))).collect()
}

fn reflections<P: HostPath>() -> Vec<Record<P::Gamma>> {
    let record = |value: &Complex| {
        let gamma = P::gamma(*value);
        Record::new(gamma, words(&gamma), size_of::<P::Component>())
    };
    points::reflections().iter().map(record).collect()
}

fn loads<P: HostPath>() -> Vec<Record<P::Load>> {
    let record = |value: &Complex| {
        let load = P::load(*value);
        Record::new(load, P::load_words(&load), 4)
    };
    points::loads().iter().map(record).collect()
}

/// What a kernel of the path `P` is fed with, and what it gives.
pub fn job<P: HostPath>(kernel: Timed) -> Option<Job> {
    let reference = P::fifty_ohms();
    let component = size_of::<P::Component>();
    let (gamma, load) = (reflections::<P>, loads::<P>);
    let raw = || -> Vec<_> {
        let record = |(value, terms): &(Complex, Terms)| {
            let raw = Raw::<P> {
                raw: P::gamma(*value),
                terms: P::terms(terms),
            };
            Record::new(raw, reading::<P>(*value, terms), component)
        };
        points::readings().iter().map(record).collect()
    };
    Some(match kernel {
        Timed::Magnitude => replay::<kernels::Magnitude<P>>(reference, &gamma()),
        Timed::Swr => replay::<kernels::Swr<P>>(reference, &gamma()),
        Timed::ReturnLoss => replay::<kernels::ReturnLoss<P>>(reference, &gamma()),
        Timed::MismatchLoss => replay::<kernels::MismatchLoss<P>>(reference, &gamma()),
        Timed::Impedance => replay::<kernels::ImpedanceOf<P>>(reference, &gamma()),
        Timed::ReadoutsAndSwr => replay::<kernels::ReadoutsAndSwr<P>>(reference, &gamma()),
        Timed::SummaryReadouts => replay::<kernels::SummaryReadouts<P>>(reference, &gamma()),
        Timed::ImpedanceMagnitude => replay::<kernels::ImpedanceMagnitude<P>>(reference, &gamma()),
        Timed::Phase => replay::<kernels::Phase<P>>(reference, &gamma()),
        Timed::Q => replay::<kernels::Q<P>>(reference, &gamma()),
        Timed::AllReadouts => replay::<kernels::AllReadouts<P>>(reference, &gamma()),
        Timed::AllReadoutsFifty => replay::<kernels::AllReadoutsFifty<P>>(reference, &gamma()),
        Timed::Reflection => replay::<kernels::ReflectionOf<P>>(reference, &load()),
        Timed::LadderStep => replay::<kernels::LadderStep<P>>(reference, &load()),
        Timed::TwoElement => replay::<kernels::TwoElement<P>>(reference, &load()),
        Timed::Correction => replay::<kernels::Correction<P>>(reference, &raw()),
        Timed::TableCorrection => {
            let record = |(hertz, value, _): (u64, Complex, Terms)| {
                let (hertz, raw) = (hertz as u32, P::gamma(value));
                let mut record = Record::new(Located::<P> { hertz, raw }, words(&raw), component);
                record.words.insert(0, hertz);
                record.bytes.splice(0..0, hertz.to_le_bytes());
                record
            };
            let readings: Vec<_> = points::sweep::readings().into_iter().map(record).collect();
            replay::<kernels::TableCorrection<P>>(reference, &readings)
        }
        Timed::CalibrationSolve => {
            let record = |values: &[Complex; 6]| {
                let known = values.map(P::gamma);
                let words = known.iter().flat_map(words).collect();
                Record::new(Known::<P>(known), words, component)
            };
            let readings: Vec<_> = points::standards().iter().map(record).collect();
            replay::<kernels::CalibrationSolve<P>>(reference, &readings)
        }
        Timed::SweepPushClean
        | Timed::SweepPushNoisy
        | Timed::SweepPushCoarse
        | Timed::SweepJob
        | Timed::SweepReport
        | Timed::SweepReportNoisy
        | Timed::WholeJob
        | Timed::WholeJobS
        | Timed::WholeJobZ
        | Timed::LightPush
        | Timed::LightPushNoisy
        | Timed::LightReport
        | Timed::LightJob
        | Timed::LightJobZ
        | Timed::SweepSurvey
        | Timed::NextStep
        | Timed::TunerDecision => return P::own(kernel),
        Timed::Demodulate | Timed::DemodulateQuarter | Timed::VectorReflection | Timed::ScalarReflection => {
            return P::detect(kernel);
        }
        Timed::TextImpedance | Timed::TextSummary => return P::write(kernel),
    })
}

impl HostPath for Baseline {
    const FAMILY: Option<Name> = None;
    fn fifty_ohms() -> f32 {
        Z0 as f32
    }
    fn gamma(value: Complex) -> baseline::Complex {
        baseline::Complex {
            re: value.re as f32,
            im: value.im as f32,
        }
    }
    fn load(value: Complex) -> baseline::Complex {
        Self::gamma(value)
    }
    fn load_words(load: &baseline::Complex) -> Vec<u32> {
        words(load)
    }
    fn terms(value: &Terms) -> baseline::Terms {
        let [directivity, source_match, tracking] = value.0.map(Self::gamma);
        baseline::Terms {
            directivity,
            source_match,
            tracking,
        }
    }
    fn own(_: Timed) -> Option<Job> {
        None
    }
    fn detect(_: Timed) -> Option<Job> {
        None
    }
    fn write(_: Timed) -> Option<Job> {
        None
    }
}

/// The nearest reflection of a family; what a component cannot hold stands at its end.
fn nearest<A: Arithmetic>(value: Complex) -> Reflection<A> {
    // Every input is well inside ±2; for one beyond the family's word `convert` saturates.
    Reflection::<f64>::try_from_f64(value.re, value.im).map_or(Reflection::MATCHED, Reflection::convert)
}

impl<A: Family + Diode> HostPath for Library<A> {
    fn detect(kernel: Timed) -> Option<Job> {
        let reference = Self::fifty_ohms();
        let block = |count: &[[i16; 2]; BLOCK]| {
            let words = count.iter().flatten().map(|sample| *sample as u32).collect();
            Record::new(Block(*count), words, 2)
        };
        let blocks = || -> Vec<_> { detectors::blocks().iter().map(block).collect() };
        fn counts<const K: usize>(all: &[[i32; K]]) -> Vec<Record<Counts<K>>> {
            let record = |counts: &[i32; K]| {
                Record::new(
                    Counts(*counts),
                    counts.iter().map(|count| *count as u32).collect(),
                    4,
                )
            };
            all.iter().map(record).collect()
        }
        Some(match kernel {
            Timed::Demodulate => replay::<kernels::Demodulate<Self>>(reference, &blocks()),
            Timed::DemodulateQuarter => replay::<kernels::DemodulateQuarter<Self>>(reference, &blocks()),
            Timed::VectorReflection => {
                replay::<kernels::VectorReflection<Self>>(reference, &counts(&detectors::phasors()))
            }
            Timed::ScalarReflection => {
                replay::<kernels::ScalarReflection<Self>>(reference, &counts(&detectors::levels()))
            }
            _ => return None,
        })
    }

    fn write(kernel: Timed) -> Option<Job> {
        let reference = Self::fifty_ohms();
        Some(match kernel {
            Timed::TextImpedance => replay::<kernels::TextImpedance<Self>>(reference, &loads::<Self>()),
            Timed::TextSummary => replay::<kernels::TextSummary<Self>>(reference, &reflections::<Self>()),
            _ => return None,
        })
    }

    const FAMILY: Option<Name> = Some(A::FAMILY);
    fn fifty_ohms() -> Ohms<A> {
        Reference::<A>::fifty().ohms()
    }
    fn gamma(value: Complex) -> Reflection<A> {
        nearest(value)
    }
    fn load(value: Complex) -> Impedance<A> {
        // The inputs are within ±500 kΩ.
        Impedance::try_from_f64(value.re, value.im).unwrap_or(Impedance::OPEN)
    }
    fn load_words(load: &Impedance<A>) -> Vec<u32> {
        words(&(load.resistance(), load.reactance()))
    }
    fn terms(value: &Terms) -> ErrorTerms<A> {
        let [directivity, source_match, tracking] = value.0.map(nearest);
        ErrorTerms {
            directivity,
            source_match,
            tracking,
        }
    }
    fn own(kernel: Timed) -> Option<Job> {
        let reference = Self::fifty_ohms();
        if kernel == Timed::TunerDecision {
            let record = |value: &Complex| {
                let gamma = nearest::<A>(*value);
                Record::new(gamma, words(&gamma), size_of::<Component<A>>())
            };
            let readings: Vec<_> = points::tuner_readings().iter().map(record).collect();
            return Some(replay::<kernels::TunerDecision<Self>>(reference, &readings));
        }
        if matches!(kernel, Timed::SweepSurvey | Timed::NextStep) {
            let record = |task: u32, frequency: u64, gamma: Complex| {
                let input = StepInput::<A> {
                    frequency: Hertz::new(frequency),
                    task,
                    gamma: nearest(gamma),
                };
                let words = words(&input.gamma);
                let mut record = Record::new(input, words, size_of::<Component<A>>());
                record.bytes.splice(0..0, task.to_le_bytes());
                record.bytes.splice(0..0, frequency.to_le_bytes());
                record.bytes.resize(size_of::<StepInput<A>>(), 0);
                record
            };
            let [.., bench] = points::sweep::cases();
            if kernel == Timed::SweepSurvey {
                let pushed: Vec<_> = bench
                    .iter()
                    .map(|(frequency, gamma)| record(task::PUSH, *frequency, *gamma))
                    .collect();
                return Some(replay::<kernels::SweepSurvey<Self>>(reference, &pushed));
            }
            let mut told = Vec::new();
            for case in points::sweep::cases() {
                for (place, (frequency, gamma)) in case.iter().enumerate() {
                    let task = if place == 0 { task::BEGIN } else { task::PUSH };
                    told.push(record(task, *frequency, *gamma));
                }
                for task in [task::KEEP, task::DECIDE, task::DECIDE_WITH_WINDING] {
                    told.push(record(task, 0, Complex::new(0.0, 0.0)));
                }
            }
            return Some(replay::<kernels::NextStep<Self>>(reference, &told));
        }
        let point = |(frequency, gamma): &(u64, Complex)| {
            let input = Point::<A> {
                frequency: Hertz::new(*frequency),
                gamma: nearest(*gamma),
            };
            let words = words(&input.gamma);
            let mut record = Record::new(input, words, size_of::<Component<A>>());
            record.bytes.splice(0..0, frequency.to_le_bytes());
            record.bytes.resize(size_of::<Point<A>>(), 0);
            record
        };
        let points_of = |sweeps: Vec<(u64, Complex)>| sweeps.iter().map(point).collect::<Vec<_>>();
        let reading = |(frequency, raw, terms): &(u64, Complex, Terms)| {
            let swept = Swept::<A> {
                frequency: Hertz::new(*frequency),
                raw: nearest(*raw),
                terms: Self::terms(terms),
            };
            let words = reading::<Self>(*raw, terms);
            let mut record = Record::new(swept, words, size_of::<Component<A>>());
            record.bytes.splice(0..0, frequency.to_le_bytes());
            record
        };
        let readings = || points::sweep::readings().iter().map(reading).collect::<Vec<_>>();
        use points::sweep::{clean, coarse, noisy};
        Some(match kernel {
            Timed::SweepPushClean => replay::<kernels::SweepPush<Self>>(reference, &points_of(clean())),
            Timed::SweepPushNoisy => replay::<kernels::SweepPush<Self>>(reference, &points_of(noisy())),
            Timed::SweepPushCoarse => replay::<kernels::SweepPush<Self>>(reference, &points_of(coarse())),
            Timed::SweepReport => replay::<kernels::SweepReport<Self>>(reference, &points_of(clean())),
            Timed::SweepReportNoisy => replay::<kernels::SweepReport<Self>>(reference, &points_of(noisy())),
            Timed::SweepJob => replay::<kernels::SweepJob<Self>>(reference, &readings()),
            Timed::WholeJob | Timed::WholeJobS | Timed::WholeJobZ => {
                replay::<kernels::WholeJob<Self>>(reference, &readings())
            }
            Timed::LightPush => replay::<kernels::LightPush<Self>>(reference, &points_of(clean())),
            Timed::LightPushNoisy => replay::<kernels::LightPush<Self>>(reference, &points_of(noisy())),
            Timed::LightReport => replay::<kernels::LightReport<Self>>(reference, &points_of(clean())),
            Timed::LightJob | Timed::LightJobZ => replay::<kernels::LightJob<Self>>(reference, &readings()),
            _ => return None,
        })
    }
}
