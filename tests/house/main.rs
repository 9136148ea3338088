//! What must agree with itself: the README, the guide, and the inputs that the fuzzer has found.

mod contributors;
mod errors;
mod families;
mod fuzz_corpus;
mod guide;
mod literals;
mod log_of_a_device;
mod readme;
mod tables;
mod wall;

/// The text of a file of the tree.
fn text(name: &str) -> String {
    let path = format!("{}/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// The file is this text.
#[track_caller]
fn compared(name: &str, wanted: &str) {
    assert_eq!(
        text(name),
        wanted,
        "{name}: OHMWRIGHT_REWRITE=1 cargo test --test house mends it"
    );
}

/// The same; with OHMWRIGHT_REWRITE set, it is written first.
#[track_caller]
fn written(name: &str, wanted: &str) {
    if std::env::var_os("OHMWRIGHT_REWRITE").is_some() {
        std::fs::write(format!("{}/{name}", env!("CARGO_MANIFEST_DIR")), wanted).unwrap();
    }
    compared(name, wanted);
}
