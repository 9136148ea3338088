//! What the rows of published values need: numbers in their text, and controls.

use super::{Row, Table};

/// The number behind `key`.
pub fn number_behind(text: &str, key: &str) -> f64 {
    let start = text.find(key).unwrap_or_else(|| panic!("{key} in {text}")) + key.len();
    leading_number(&text[start..])
}

/// The longest beginning that is a number, behind spaces.
pub fn leading_number(text: &str) -> f64 {
    let text = text.trim_start();
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || "+-.e".contains(c)))
        .unwrap_or(text.len());
    (1..=end)
        .rev()
        .find_map(|end| text[..end].parse().ok())
        .unwrap_or_else(|| panic!("no number in {text}"))
}

/// The control of a table: each of these rows, below this header, is refused.
pub fn all_refused(header: &str, rows: &[&str], law: impl Fn(Row<'_>) -> Result<(), String>) {
    for row in rows {
        let table = Table::parse(&format!("{header}\n{row}\n"));
        let row = table.rows().next().unwrap();
        law(row).expect_err(row.text("id"));
    }
}
