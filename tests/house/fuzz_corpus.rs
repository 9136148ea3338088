//! The fuzz corpus, through the same functions as under the fuzzer. What the fuzzer has found stays found.

#[path = "../fuzz/drive/mod.rs"]
mod drive;

fn replay(target: &str, run: fn(&[u8])) {
    let folder = format!("{}/tests/fuzz/corpus/{target}", env!("CARGO_MANIFEST_DIR"));
    let mut files: Vec<_> = std::fs::read_dir(&folder)
        .unwrap_or_else(|error| panic!("{folder}: {error}"))
        .map(|entry| entry.unwrap().path())
        .collect();
    files.sort();
    assert!(files.len() >= 5, "{folder} has next to nothing in it");
    for file in files {
        let data = std::fs::read(&file).unwrap();
        // Named before it is run, so that a failure says which it was.
        println!("{}", file.display());
        run(&data);
        // Cut short, the end of the bytes comes at every place.
        for length in (0..data.len()).step_by(1 + data.len() / 16) {
            run(&data[..length]);
        }
    }
}

#[test]
fn touchstone() {
    replay("touchstone", drive::touchstone::run);
}

#[test]
fn sweep() {
    replay("sweep", drive::sweep::run);
}

#[test]
fn readouts() {
    replay("readouts", drive::readouts::run);
}

#[test]
fn readings() {
    replay("readings", drive::readings::run);
}

#[test]
fn stored() {
    replay("stored", drive::stored::run);
    // Both forms in every family, with and without a frame.
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/fuzz/corpus/stored");
    let taken = std::fs::read_dir(folder)
        .unwrap()
        .filter(|entry| drive::stored::is_taken(&std::fs::read(entry.as_ref().unwrap().path()).unwrap()))
        .count();
    assert!(taken >= 16, "{taken}");
    // The example that every table of checksums gives (CRC-32 of IEEE 802.3, from memory).
    assert_eq!(drive::stored::checksum(b"123456789"), 0xcbf4_3926);
}

/// What is checked can fail.
#[test]
fn controls() {
    let fails = |what: fn()| assert!(std::panic::catch_unwind(what).is_err());
    fails(|| {
        drive::number(f64::NAN);
    });
    fails(|| replay("no such target", |_| ()));
    fails(|| replay("readings", |data| assert!(data.len() > 1 << 20)));
}
