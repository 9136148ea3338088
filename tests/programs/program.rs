//! An example program as its user meets it: found, run, and what it says on good input and on bad.
//!
//! Cargo builds the examples together with the tests; the program is found beside them.

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::process::{Command, Output};

use serde_json::Value;

/// An example, by its name.
pub struct Program(pub &'static str);

impl Program {
    pub fn command(&self) -> Command {
        // target/<profile>/deps/this_test → target/<profile>/examples/<name>
        let mut path = std::env::current_exe().unwrap();
        path.pop();
        path.pop();
        path.push("examples");
        path.push(self.0);
        assert!(
            path.exists(),
            "{} is not there: build it with `cargo build --examples`",
            path.display()
        );
        Command::new(path)
    }

    pub fn run(&self, arguments: &[&str]) -> Output {
        self.command().args(arguments).output().unwrap()
    }

    pub fn text(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        assert!(
            output.status.success(),
            "{arguments:?}: {}",
            String::from_utf8_lossy(&output.stderr)
        );
        assert!(output.stderr.is_empty());
        String::from_utf8(output.stdout).unwrap()
    }

    /// The report in prose, with its line breaks taken out.
    pub fn prose(&self, arguments: &[&str]) -> String {
        let text = self.text(arguments);
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    pub fn json(&self, arguments: &[&str]) -> Value {
        let mut all = vec!["--json"];
        all.extend(arguments);
        serde_json::from_str(&self.text(&all)).unwrap()
    }

    /// The one line of a refusal.
    pub fn refusal(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        assert_eq!(output.status.code(), Some(1), "{arguments:?} was not refused");
        assert!(
            output.stdout.is_empty(),
            "{arguments:?} printed something and failed"
        );
        let line = String::from_utf8(output.stderr).unwrap();
        assert_eq!(line.trim_end().lines().count(), 1, "{line:?}");
        line.trim_end().to_string()
    }

    /// `--help` and `-h` are answered, and name exactly the options that the program takes: those that `source`, its
    /// own text, holds.
    pub fn helps(&self, source: &str) {
        let help = self.text(&["--help"]);
        assert_eq!(self.text(&["-h"]), help);
        assert!(help.contains("Exit status 0"));
        let names = |text: &str, before: &str, behind: char| -> BTreeSet<String> {
            let found = text.split(before).skip(1);
            found
                .map(|rest| rest.split([behind, '\n']).next().unwrap().to_string())
                .collect()
        };
        let taken = names(source, "Long(\"", '"');
        assert!(taken.len() > 10);
        assert_eq!(names(&help, "\n  --", ' '), taken);
    }
}

/// The path of a file of this test's own.
pub fn path(name: &str) -> String {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(env!("CARGO_CRATE_NAME"));
    std::fs::create_dir_all(&folder).unwrap();
    folder.join(name).to_str().unwrap().to_string()
}

/// Writes such a file and gives its path.
pub fn file(name: &str, content: impl AsRef<[u8]>) -> String {
    let path = path(name);
    std::fs::write(&path, content).unwrap();
    path
}
