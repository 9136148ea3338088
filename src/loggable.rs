//! Every public type can be written to the log of a device: the compiler checks the list, a test checks that it is
//! whole.

/// Fails to compile where a type of the list does not implement `defmt::Format`, in any family.
macro_rules! loggable {
    ($($type:ty),* $(,)?) => {
        #[cfg(feature = "defmt")]
        const _: () = {
            use crate::arithmetic::{Arithmetic, accuracy};
            use crate::design::transformer;
            use crate::measure::touchstone;
            use crate::{arithmetic, measure, quantity, show};

            const fn is_loggable<T: defmt::Format>() {}
            #[allow(dead_code)]
            const fn all<A: Arithmetic, W, const N: usize>() {
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
    arithmetic::QuantityError,
    arithmetic::Readouts<A>,
    quantity::Admittance<A>,
    quantity::Capacitance<A>,
    quantity::Hertz,
    quantity::Impedance<A>,
    quantity::Inductance<A>,
    quantity::ParallelForm<A>,
    quantity::Reactor<A>,
    quantity::Reference<A>,
    quantity::Reflection<A>,
    transformer::CancellingPart<A>,
    transformer::MagnitudeRule<A>,
    transformer::Remedy,
    transformer::TransformerError,
    transformer::Turns,
    transformer::TurnsChoice<A>,
    transformer::TurnsRanking<A, N>,
    show::text::TextError,
    measure::Agreement,
    measure::Band,
    measure::Cause,
    measure::Diagnosis<A>,
    measure::Dip<A>,
    measure::Direction,
    measure::ErrorTerms<A>,
    measure::MaskCheck<A, N>,
    measure::MaskReport<A, N>,
    measure::MaskSegment<A>,
    measure::MaskVerdict<A>,
    measure::Method,
    measure::Printed,
    measure::Reading,
    measure::ReadingError,
    measure::Resonance<A>,
    measure::Retune<A>,
    measure::SweepAnalyser<A, N>,
    measure::SweepError,
    measure::SweepReport<A, N>,
    measure::SweepSettings<A>,
    measure::Target<A>,
    measure::TargetReading<A>,
    measure::TuningElement,
    measure::WorstPoint<A>,
    touchstone::Cause,
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
