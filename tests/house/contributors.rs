//! The recipes of the page for contributors point at places in the code, and the places are there.

use std::fs;
use std::path::Path;

/// Of `` `file` at `words` ``, also across a line's end: each file with its words.
fn pointers(page: &str) -> Vec<(String, String)> {
    let one_line = page.split_whitespace().collect::<Vec<_>>().join(" ");
    // Every other part stands between ticks.
    let parts: Vec<&str> = one_line.split('`').collect();
    let pointing = parts.windows(3).filter(|three| three[1] == " at ");
    pointing
        .map(|three| (three[0].to_string(), three[2].to_string()))
        .collect()
}

/// What does not lead anywhere.
fn astray(page: &str) -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut all = pointers(page);
    all.retain(|(file, words)| !fs::read_to_string(root.join(file)).is_ok_and(|text| text.contains(words)));
    all
}

#[test]
fn the_recipes_lead_somewhere() {
    let page = super::text("DEVELOPERS.md");
    let count = pointers(&page).len();
    assert!(count > 25, "{count} pointers were found");
    assert_eq!(astray(&page), []);
    assert!(page.lines().count() < 200);
}

#[test]
fn a_pointer_that_leads_nowhere_is_seen() {
    for wrong in [
        "`src/lib.rs` at `no such words`",
        "`src/no_such_file.rs`\nat `fn`",
    ] {
        assert_eq!(astray(wrong).len(), 1, "{wrong}");
    }
    assert_eq!(astray("`src/lib.rs` at `//!`, and `cargo check`"), []);
}
