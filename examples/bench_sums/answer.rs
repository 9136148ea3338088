//! An answer: lines for a person, and the same as one object for a program.

use serde_json::{Map, Value};

use super::output::{json_number, paragraph};

/// The column in which the figures stand.
const COLUMN: usize = 26;

#[derive(Default)]
pub struct Answer {
    text: String,
    notes: Vec<String>,
    object: Map<String, Value>,
}

impl Answer {
    /// A line for a person alone.
    pub fn line(&mut self, label: &str, text: impl AsRef<str>) {
        paragraph(&mut self.text, COLUMN, label, text.as_ref());
    }

    /// A figure: a line, and a number under this key.
    pub fn figure(&mut self, label: &str, text: impl AsRef<str>, key: &str, value: f64) {
        self.line(label, text);
        self.number(key, value);
    }

    /// A number for a program alone.
    pub fn number(&mut self, key: &str, value: f64) {
        self.object.insert(key.into(), json_number(value));
    }

    pub fn value(&mut self, key: &str, value: impl Into<Value>) {
        self.object.insert(key.into(), value.into());
    }

    /// What is to be known beside the figures.
    pub fn note(&mut self, text: impl Into<String>) {
        self.notes.push(text.into());
    }

    pub fn shown(mut self, sum: &str, json: bool) -> String {
        if json {
            self.object.insert("sum".into(), sum.into());
            self.object.insert("notes".into(), self.notes.into());
            return format!("{:#}\n", Value::Object(self.object));
        }
        for note in self.notes {
            self.text.push('\n');
            paragraph(&mut self.text, 0, "", &note);
        }
        self.text
    }
}
