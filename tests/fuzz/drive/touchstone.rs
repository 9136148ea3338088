//! The Touchstone reader: a file in one piece and in chunks, and what it read written and read again.

use ohmwright::measure::touchstone::{
    Format, FrequencyUnit, Layout, LineBuffer, REFERENCE_OHM_MAX, REFERENCE_OHM_MIN, Reader, Record, Writer,
    lines, read,
};

use super::check_reflection;

/// Longer lines are an error in chunks and none in one piece.
const ROOM: usize = 512;

pub fn run(data: &[u8]) {
    let Some((&seed, file)) = data.split_first() else {
        return;
    };
    let mut whole = Reader::new();
    let answers: Vec<_> = lines(file).map(|line| whole.line(line)).collect();
    let records: Vec<Record> = answers
        .iter()
        .filter_map(|answer| answer.ok().flatten())
        .collect();
    check(&whole, &records);
    for error in answers.iter().filter_map(|answer| answer.err()) {
        assert!((1..=whole.lines()).contains(&error.line));
        assert!(!error.to_string().is_empty());
    }

    if lines(file).all(|line| line.len() <= ROOM) {
        let mut other = Reader::new();
        assert_eq!(in_chunks(file, seed, &mut other), answers);
        assert_eq!(other.finish(), whole.finish());
    }

    // Read at once: the same up to the first error.
    let mut until_error = Vec::new();
    let summary = read(file, |record| until_error.push(record));
    let first = answers
        .iter()
        .position(|answer| answer.is_err())
        .unwrap_or(answers.len());
    let before: Vec<Record> = answers[..first]
        .iter()
        .filter_map(|answer| answer.ok().flatten())
        .collect();
    assert_eq!(until_error, before);
    if first == answers.len() {
        assert_eq!(summary, whole.finish());
    } else {
        assert_eq!(summary.err(), answers[first].err());
    }

    if !records.is_empty() {
        write_and_read(&records, seed);
    }
}

fn check(reader: &Reader, records: &[Record]) {
    assert_eq!(reader.records(), records.len() as u64);
    for pair in records.windows(2) {
        assert!(pair[0].frequency < pair[1].frequency);
    }
    for record in records {
        check_reflection(record.reflection);
    }
    if let Some(ohm) = reader.reference_ohm() {
        assert!((REFERENCE_OHM_MIN..=REFERENCE_OHM_MAX).contains(&ohm));
    }
    if let Ok(summary) = reader.finish() {
        assert_eq!(summary.records, records.len() as u64);
        assert!(summary.records > 0);
        assert_eq!(Some(summary.reference_ohm), reader.reference_ohm());
    }
}

type Answers = Vec<Result<Option<Record>, ohmwright::measure::touchstone::TouchstoneError>>;

fn in_chunks(file: &[u8], seed: u8, reader: &mut Reader) -> Answers {
    let mut buffer = LineBuffer::<ROOM>::new();
    let mut answers = Vec::new();
    let mut rest = file;
    let mut size = seed as usize % 61;
    while !rest.is_empty() {
        size = size * 7 % 61 + 1;
        let (mut chunk, after) = rest.split_at(size.min(rest.len()));
        rest = after;
        while let Some(line) = buffer.feed(&mut chunk).expect("no line is too long") {
            answers.push(reader.line(line));
        }
    }
    if let Some(line) = buffer.end() {
        answers.push(reader.line(line));
    }
    answers
}

fn write_and_read(records: &[Record], seed: u8) {
    let format = match seed % 3 {
        0 => Format::RealImaginary,
        1 => Format::MagnitudeAngle,
        _ => Format::DecibelAngle,
    };
    let layout = Layout {
        unit: match seed / 3 % 4 {
            0 => FrequencyUnit::Hertz,
            1 => FrequencyUnit::Kilohertz,
            2 => FrequencyUnit::Megahertz,
            _ => FrequencyUnit::Gigahertz,
        },
        format,
        announced_records: (seed > 127).then_some(records.len() as u64),
        ..Layout::default()
    };
    let mut writer = Writer::new(String::new(), layout).expect("a layout that may be written");
    for record in records {
        if writer.record(record.frequency, record.reflection).is_err() {
            // Only nothing at all has no decibels.
            let (re, im) = (record.reflection.real(), record.reflection.imaginary());
            assert!(format == Format::DecibelAngle && re == 0.0 && im == 0.0);
            return;
        }
    }
    let text = writer.finish().expect("as many records as announced");
    let mut again = Vec::new();
    let summary = read(text.as_bytes(), |record| again.push(record)).expect("what was written can be read");
    assert!(!summary.warnings.any());
    assert_eq!(again.len(), records.len());
    for (one, other) in records.iter().zip(&again) {
        assert_eq!(one.frequency, other.frequency);
        let (a, b) = (one.reflection, other.reflection);
        if format == Format::RealImaginary {
            assert_eq!(a, b);
        } else {
            let slack = 1e-12 * a.magnitude() + f64::MIN_POSITIVE;
            assert!((a.real() - b.real()).abs() <= slack && (a.imaginary() - b.imaginary()).abs() <= slack);
        }
    }
}
