//! The wall: crates that this one is made with are not in its public signatures, so that they can be changed without
//! breaking anyone. `heapless` is in none; `fixed` is reached by the words of the fixed families (`get`, `new`, `From`).

use std::fs;
use std::path::{Path, PathBuf};

/// Names that no public signature holds: the lists of `heapless`, and the types of `fixed`.
const HIDDEN: [&str; 14] = [
    "heapless", "Vec", "VecView", "Deque", "String", "FixedI32", "FixedU32", "FixedI16", "I20F12", "I2F30",
    "I2F14", "I8F24", "I16F16", "U16F16",
];

fn sources(folder: &Path, into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, into);
        } else if path.extension().is_some_and(|kind| kind == "rs") {
            into.push(path);
        }
    }
}

/// The code without comments, up to the tests.
fn code(text: &str) -> String {
    text.lines()
        .take_while(|line| line.trim() != "mod tests {")
        .map(|line| line.split("//").next().unwrap_or_default())
        .collect::<Vec<_>>()
        .join("\n")
}

/// What is public of a file, each up to its body: signatures, fields, and what traits are implemented for.
fn signatures(code: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (place, _) in code.match_indices("pub ") {
        let before = code[..place].chars().next_back();
        if before.is_none_or(char::is_whitespace) {
            let rest = &code[place..];
            // A field ends with its comma; a list of parameters has more of them.
            let is_item = [
                "fn ", "struct ", "enum ", "trait ", "type ", "const ", "static ", "use ",
            ]
            .iter()
            .any(|word| rest["pub ".len()..].starts_with(word));
            let end = rest
                .find(|c| c == '{' || c == ';' || (c == '\n' && !is_item))
                .unwrap_or(rest.len());
            found.push(rest[..end].to_string());
        }
    }
    for (place, _) in code.match_indices("\nimpl") {
        let rest = &code[place + 1..];
        let head = &rest[..rest.find('{').unwrap_or(rest.len())];
        // Not what is sealed: the words themselves implement the hidden traits of the families.
        let is_word = ["Sealed for", "Quantity for", "Word for", "Constant<"]
            .iter()
            .any(|name| head.contains(name));
        if head.contains(" for ") && !is_word {
            found.push(head.to_string());
        }
    }
    found
}

/// The signatures that name what is to be hidden.
fn leaks(code: &str) -> Vec<String> {
    let mut found = signatures(code);
    found.retain(|signature| {
        signature
            .split(|c: char| !c.is_alphanumeric() && c != '_')
            .any(|word| HIDDEN.contains(&word))
    });
    found
}

#[test]
fn no_public_signature_names_what_is_behind_the_wall() {
    let mut files = Vec::new();
    sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut files);
    assert!(files.len() > 100);
    let mut count = 0;
    for file in files {
        let code = code(&fs::read_to_string(&file).unwrap());
        count += signatures(&code).len();
        let leaks = leaks(&code);
        assert!(leaks.is_empty(), "{}: {leaks:#?}", file.display());
    }
    assert!(count > 1_000, "{count} signatures were looked at");
}

#[test]
fn a_leak_is_seen() {
    let bad = "
        use heapless::Vec;
        pub struct Sweep { pub points: Vec<u8, 4>, lists: Vec<u8, 4> }
        impl Sweep {
            pub fn points(
                &self,
            ) -> &Vec<u8, 4> { &self.points }
            pub(crate) fn inner(&self) -> &Vec<u8, 4> { &self.lists }
            pub fn word(self) -> I20F12 { }
            pub fn fine(&self) -> &[u8] { let list: Vec<u8, 4> = Vec::new(); }
        }
\nimpl From<Sweep> for heapless::Vec<u8, 4> { }
    ";
    let leaks = leaks(&code(bad));
    assert_eq!(leaks.len(), 4, "{leaks:#?}");
}
