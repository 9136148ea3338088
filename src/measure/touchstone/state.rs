//! The position of the reader in the file, and the effect of each line on it.

use super::characters::check_characters;
use super::error::{Excerpt, TouchstoneCause};
use super::keyword::{self, Keyword};
use super::number::{parse_count, parse_frequency};
use super::options::{OptionLine, Version, parse_reference};
use super::pair::Meaning;
use super::record::{Record, Summary, Warnings};
use super::scan;
use crate::quantity::Hertz;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stage {
    /// Before the data. In version 1 only comments are here.
    Header,
    /// `[Reference]` came without a value, which must follow on the next line.
    ReferenceValue,
    /// Between `[Begin Information]` and `[End Information]`.
    Information,
    Data,
    Ended,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct State {
    stage: Stage,
    pub(super) version: Option<Version>,
    pub(super) options: Option<OptionLine>,
    /// The keywords so far, one bit each, and the last of them.
    seen: u16,
    last: Option<Keyword>,
    reference_ohm: Option<f64>,
    pub(super) announced: u64,
    pub(super) records: u64,
    previous: Option<Hertz>,
    warnings: Warnings,
}

impl State {
    /// Before the first line.
    pub(super) const NEW: Self = Self {
        stage: Stage::Header,
        version: None,
        options: None,
        seen: 0,
        last: None,
        reference_ohm: None,
        announced: 0,
        records: 0,
        previous: None,
        warnings: Warnings {
            missing_end: false,
            text_after_end: false,
            further_option_line: false,
            keyword_order: false,
            byte_order_mark: false,
        },
    };

    pub(super) const fn has(&self, keyword: Keyword) -> bool {
        self.seen & bit(keyword) != 0
    }

    pub(super) fn reference_ohm(&self) -> Option<f64> {
        let known = matches!(self.stage, Stage::Data | Stage::Ended);
        let options = self.options.filter(|_| known)?;
        Some(self.reference_ohm.unwrap_or(options.reference_ohm))
    }

    /// Takes one line. After an error the state must be discarded.
    pub(super) fn line(&mut self, line: &[u8], first: bool) -> Result<Option<Record>, TouchstoneCause> {
        let mut line = scan::without_line_end(line);
        if first {
            (line, self.warnings.byte_order_mark) = scan::without_byte_order_mark(line);
        }
        let text = scan::without_comment(line);
        if self.stage == Stage::Ended {
            self.warnings.text_after_end |= !text.is_empty();
            return Ok(None);
        }
        check_characters(line)?;
        match text {
            [] => Ok(None),
            [b'[', ..] => self.keyword_line(text).map(|()| None),
            _ if self.stage == Stage::Information => Ok(None),
            [b'#', options @ ..] => self.option_line(options).map(|()| None),
            _ => self.values(text),
        }
    }

    fn option_line(&mut self, text: &[u8]) -> Result<(), TouchstoneCause> {
        if self.stage == Stage::ReferenceValue {
            return Err(TouchstoneCause::MissingValue(Keyword::Reference));
        }
        if self.options.is_some() {
            self.warnings.further_option_line = true;
            return Ok(());
        }
        self.options = Some(OptionLine::parse(text)?);
        if self.version.is_none() {
            self.version = Some(Version::One);
            self.stage = Stage::Data;
        }
        Ok(())
    }

    fn keyword_line(&mut self, text: &[u8]) -> Result<(), TouchstoneCause> {
        let parts = keyword::split(text);
        let keyword = parts.and_then(|(words, _)| Keyword::from_words(words));
        if self.stage == Stage::Information && keyword != Some(Keyword::EndInformation) {
            return Ok(()); // the block has its own keywords, which do not affect the data
        }
        let Some((_, value)) = parts else {
            return Err(TouchstoneCause::UnterminatedKeyword(Excerpt::new(text)));
        };
        let Some(keyword) = keyword else {
            let length = text.len().saturating_sub(value.len());
            return Err(TouchstoneCause::UnknownKeyword(Excerpt::new(
                text.get(..length).unwrap_or_default(),
            )));
        };
        if !matches!(value, [] | [b' ' | b'\t', ..]) {
            return Err(TouchstoneCause::MissingSpace(keyword));
        }
        self.check_place(keyword)?;
        self.apply(keyword, value)?;
        self.warnings.keyword_order |= self.last > Some(keyword);
        self.last = Some(keyword);
        self.seen |= bit(keyword);
        Ok(())
    }

    /// Whether the keyword is allowed here.
    ///
    /// The fixed order is `[Version]`, the option line, `[Number of Ports]`, then the other keywords in any order (a
    /// warning if it is not that of the specification), `[Network Data]`, `[End]`.
    fn check_place(&self, keyword: Keyword) -> Result<(), TouchstoneCause> {
        let needs = |missing: Keyword| {
            if self.has(missing) {
                Ok(())
            } else {
                Err(TouchstoneCause::MissingBefore {
                    missing,
                    found: keyword,
                })
            }
        };
        if self.has(keyword) {
            return Err(TouchstoneCause::RepeatedKeyword(keyword));
        }
        if keyword == Keyword::Version {
            return match self.version {
                None => Ok(()),
                Some(_) => Err(TouchstoneCause::OutOfPlace(keyword)),
            };
        }
        needs(Keyword::Version)?;
        if keyword.needs_two_ports() {
            return Err(TouchstoneCause::NotForOnePort(keyword));
        }
        if self.options.is_none() {
            return Err(TouchstoneCause::MissingOptionLine);
        }
        if self.stage == Stage::ReferenceValue {
            return Err(TouchstoneCause::MissingValue(Keyword::Reference));
        }
        if keyword != Keyword::NumberOfPorts {
            needs(Keyword::NumberOfPorts)?;
        }
        match keyword {
            Keyword::EndInformation => needs(Keyword::BeginInformation)?,
            Keyword::NetworkData => needs(Keyword::NumberOfFrequencies)?,
            Keyword::End => needs(Keyword::NetworkData)?,
            _ => {}
        }
        if self.stage == Stage::Data && keyword != Keyword::End {
            return Err(TouchstoneCause::OutOfPlace(keyword));
        }
        Ok(())
    }

    fn apply(&mut self, keyword: Keyword, text: &[u8]) -> Result<(), TouchstoneCause> {
        let mut values = scan::tokens(text);
        match keyword {
            Keyword::Reference => return self.reference(text),
            Keyword::Version
            | Keyword::NumberOfPorts
            | Keyword::NumberOfFrequencies
            | Keyword::MatrixFormat => {
                let value = values.next().ok_or(TouchstoneCause::MissingValue(keyword))?;
                self.set(keyword, value)?;
            }
            Keyword::BeginInformation => self.stage = Stage::Information,
            Keyword::EndInformation => self.stage = Stage::Header,
            Keyword::NetworkData => self.stage = Stage::Data,
            Keyword::End => {
                self.check_count(self.records)?;
                self.stage = Stage::Ended;
            }
            Keyword::TwoPortDataOrder
            | Keyword::NumberOfNoiseFrequencies
            | Keyword::MixedModeOrder
            | Keyword::NoiseData => return Err(TouchstoneCause::NotForOnePort(keyword)),
        }
        match values.next() {
            None => Ok(()),
            Some(text) => Err(TouchstoneCause::UnexpectedText {
                keyword,
                found: Excerpt::new(text),
            }),
        }
    }

    /// Takes the one value of a keyword.
    fn set(&mut self, keyword: Keyword, value: &[u8]) -> Result<(), TouchstoneCause> {
        let unsuitable = TouchstoneCause::UnsuitableValue {
            keyword,
            found: Excerpt::new(value),
        };
        match keyword {
            Keyword::Version => {
                self.version = Some(match value {
                    b"2.0" => Version::TwoPointZero,
                    b"2.1" => Version::TwoPointOne,
                    _ => return Err(TouchstoneCause::UnsupportedVersion(Excerpt::new(value))),
                });
            }
            Keyword::NumberOfPorts => match parse_count(value) {
                Some(1) => {}
                None | Some(0) => return Err(unsuitable),
                Some(ports) => return Err(TouchstoneCause::PortCount(ports)),
            },
            Keyword::NumberOfFrequencies => {
                self.announced = parse_count(value).filter(|&count| count > 0).ok_or(unsuitable)?;
            }
            // A single element is its own lower and upper triangle.
            Keyword::MatrixFormat => {
                let known: [&[u8]; 3] = [b"full", b"lower", b"upper"];
                if !known.iter().any(|word| value.eq_ignore_ascii_case(word)) {
                    return Err(unsuitable);
                }
            }
            _ => {}
        }
        Ok(())
    }

    /// Takes the value of `[Reference]`, from its own line or from the next.
    fn reference(&mut self, text: &[u8]) -> Result<(), TouchstoneCause> {
        let mut values = scan::tokens(text);
        let Some(value) = values.next() else {
            self.stage = Stage::ReferenceValue;
            return Ok(());
        };
        if values.next().is_some() {
            return Err(TouchstoneCause::SeveralReferences);
        }
        self.reference_ohm = Some(parse_reference(value)?);
        self.stage = Stage::Header;
        Ok(())
    }

    /// A line that is neither option line nor keyword.
    fn values(&mut self, text: &[u8]) -> Result<Option<Record>, TouchstoneCause> {
        match self.stage {
            Stage::Data => self.record(text).map(Some),
            Stage::ReferenceValue => self.reference(text).map(|()| None),
            _ if self.options.is_none() => Err(TouchstoneCause::MissingOptionLine),
            _ => Err(TouchstoneCause::DataBeforeNetworkData),
        }
    }

    fn record(&mut self, text: &[u8]) -> Result<Record, TouchstoneCause> {
        let (Some(version), Some(options)) = (self.version, self.options) else {
            return Err(TouchstoneCause::MissingOptionLine);
        };
        let reference_ohm = self.reference_ohm.unwrap_or(options.reference_ohm);
        let mut values = scan::tokens(text);
        let (Some(frequency), Some(first), Some(second), None) =
            (values.next(), values.next(), values.next(), values.next())
        else {
            return Err(match scan::tokens(text).count() {
                9 => TouchstoneCause::TwoPortData,
                found => TouchstoneCause::Columns { found },
            });
        };

        let found = Hertz::new(parse_frequency(frequency, options.unit.decimals())?);
        if let Some(previous) = self.previous.filter(|&previous| previous >= found) {
            return Err(TouchstoneCause::NotIncreasing { previous, found });
        }
        let meaning = Meaning {
            parameter: options.parameter,
            format: options.format,
            unit_ohm: if version == Version::One {
                reference_ohm
            } else {
                1.0
            },
            reference_ohm,
        };
        let reflection = meaning.reflection(first, second)?;
        let records = self.records.saturating_add(1);
        if records > self.announced {
            self.check_count(records)?;
        }
        self.records = records;
        self.previous = Some(found);
        Ok(Record {
            frequency: found,
            reflection,
        })
    }

    /// Compares a number of records with the announced one, if the version has one.
    fn check_count(&self, found: u64) -> Result<(), TouchstoneCause> {
        if self.has(Keyword::NumberOfFrequencies) && found != self.announced {
            return Err(TouchstoneCause::FrequencyCount {
                declared: self.announced,
                found,
            });
        }
        Ok(())
    }

    pub(super) fn finish(&self) -> Result<Summary, TouchstoneCause> {
        let version = self.version.ok_or(TouchstoneCause::NoData)?;
        let options = self.options.ok_or(TouchstoneCause::MissingOptionLine)?;
        match self.stage {
            Stage::ReferenceValue => return Err(TouchstoneCause::MissingValue(Keyword::Reference)),
            Stage::Information => return Err(TouchstoneCause::MissingKeyword(Keyword::EndInformation)),
            _ => {}
        }
        if version != Version::One {
            let required = [
                Keyword::NumberOfPorts,
                Keyword::NumberOfFrequencies,
                Keyword::NetworkData,
            ];
            if let Some(missing) = required.into_iter().find(|&keyword| !self.has(keyword)) {
                return Err(TouchstoneCause::MissingKeyword(missing));
            }
        }
        self.check_count(self.records)?;
        if self.records == 0 {
            return Err(TouchstoneCause::NoData);
        }
        let missing_end = version != Version::One && self.stage != Stage::Ended;
        Ok(Summary {
            records: self.records,
            reference_ohm: self.reference_ohm.unwrap_or(options.reference_ohm),
            version,
            parameter: options.parameter,
            format: options.format,
            unit: options.unit,
            warnings: Warnings {
                missing_end,
                ..self.warnings
            },
        })
    }
}

/// The bit of a keyword in the set of those seen. There are 13, so a `u16` holds them all.
const fn bit(keyword: Keyword) -> u16 {
    1_u16.wrapping_shl(keyword as u32)
}
