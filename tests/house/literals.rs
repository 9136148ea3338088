//! The examples that a firmware is copied from: a number read of a text stands in a constant. In a `let` the program may
//! read the text when it runs, which links a parser and the panic for a text that is no number.

use std::fs;
use std::path::Path;

/// The lines of a text that read a number of a text outside of a constant.
fn outside_of_constants(text: &str) -> Vec<&str> {
    text.lines()
        .filter(|line| line.contains("::lit("))
        .filter(|line| {
            let code = line.trim_start().trim_start_matches(['/', '!']).trim_start();
            !code.starts_with("const ") && !code.starts_with("static ")
        })
        .collect()
}

fn look(folder: &Path, read: &mut u32) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            if path.file_name().is_some_and(|name| name != "target") {
                look(&path, read);
            }
        } else if path.extension().is_some_and(|kind| kind == "rs" || kind == "md") {
            let text = fs::read_to_string(&path).unwrap();
            *read += text.matches("::lit(").count() as u32;
            let found = outside_of_constants(&text);
            assert!(found.is_empty(), "{}: {found:?}", path.display());
        }
    }
}

#[test]
fn a_number_read_of_a_text_stands_in_a_constant() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut read = 0;
    for folder in ["src", "examples"] {
        look(&root.join(folder), &mut read);
    }
    assert!(read > 3, "{read}");
    assert!(outside_of_constants(&fs::read_to_string(root.join("README.md")).unwrap()).is_empty());
    // A control: each of these is seen.
    for planted in [
        "//! let fifth = I2F30::lit(\"0.2\");",
        "/// memory.learn(at, setting, U16F16::lit(\"1.1\"))?;",
        "    assert_eq!(a, I20F12::lit(\"1\"));",
    ] {
        assert_eq!(outside_of_constants(planted), [planted]);
    }
}
