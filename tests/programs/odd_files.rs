//! Files and names that nobody meant: each is refused in one line that names it, whatever it holds.
#![cfg(unix)]

use std::ffi::{OsStr, OsString};
use std::os::unix::ffi::OsStrExt;
use std::path::Path;
use std::process::Output;

use serde_json::Value;

use crate::program::{Program, file, path};

const SWEEP: &str = "# MHz S RI R 50\n70 0.3 0.1\n71 0.1 0\n72 0.3 -0.1\n";

/// What reads a file: the program, and what stands before the file's name and behind it.
fn readers() -> Vec<(&'static str, Vec<String>, Vec<String>)> {
    let good = file("good_for_odd.s1p", SWEEP);
    let list = |arguments: &[&str]| arguments.iter().map(|text| text.to_string()).collect::<Vec<_>>();
    vec![
        ("sweep_report", list(&[]), list(&[])),
        ("sweep_report", list(&["--json"]), list(&[])),
        ("sweep_report", list(&["--predicted"]), list(&[&good])),
        (
            "sweep_report",
            list(&["--short", &good, "--load", &good, "--open"]),
            list(&[&good]),
        ),
        ("match_plan", list(&["--frequency", "71M", "--loads"]), list(&[])),
        ("tuner_bench", list(&["--loads"]), list(&[])),
        ("load_from_sweep", list(&[]), list(&[])),
    ]
}

fn run(reader: &(&'static str, Vec<String>, Vec<String>), name: &OsStr) -> Output {
    let (program, before, behind) = reader;
    Program(program)
        .command()
        .args(before)
        .arg(name)
        .args(behind)
        .output()
        .unwrap()
}

/// The one line of a refusal.
fn refused(reader: &(&'static str, Vec<String>, Vec<String>), name: &OsStr) -> String {
    let output = run(reader, name);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{} {name:?}: {said}", reader.0);
    assert!(output.stdout.is_empty(), "{} {name:?}", reader.0);
    assert_eq!(said.lines().count(), 1, "{said}");
    let said = said.strip_suffix('\n').unwrap();
    assert!(!said.chars().any(char::is_control), "{said:?}");
    assert!(!said.contains("line 0"), "{said}");
    said.into()
}

#[test]
fn what_is_no_file_of_the_kind_is_refused_by_name() {
    let long_line = [b"# MHz S RI R 50\n".as_slice(), &[b'7'; 3_000_000]].concat();
    let contents: [(&str, &[u8]); 9] = [
        ("odd_empty", b""),
        ("odd_blank", b"\n\n\n"),
        ("odd_nul", b"\0"),
        ("odd_many_nul", &[0; 100_000]),
        ("odd_text", b"Dear all,\nthe sweep is attached.\n"),
        ("odd_binary", b"\x7fELF\x02\x01\x01\0\xff\xfe\r\n\x1a\n"),
        ("odd_escapes", b"\x1b[31m# MHz\n"),
        (
            "odd_latin",
            b"frequency_hz,resistance_ohm,reactance_ohm\n1,2,\xb5\n# MHz \xb5\n",
        ),
        ("odd_long_line", &long_line),
    ];
    for reader in readers() {
        for (name, content) in contents {
            let path = file(name, content);
            let said = refused(&reader, OsStr::new(&path));
            assert!(said.contains(name), "{said}");
            assert!(said.len() < path.len() + 200, "{said}");
        }
        let folder = path("odd_folder");
        std::fs::create_dir_all(&folder).unwrap();
        for name in [folder.as_str(), "/no/such/file", "", "good_for_odd.s1p/under"] {
            let said = refused(&reader, OsStr::new(name));
            assert!(said.contains(name), "{said}");
        }
    }
}

/// A file without end must not take all memory: 100 MB is the limit of the programs, 1 GB that of this test.
#[cfg(target_os = "linux")]
#[test]
fn a_file_without_end_is_refused() {
    for (program, before, behind) in readers() {
        let mut shell = std::process::Command::new("sh");
        shell
            .args(["-c", "ulimit -v 1000000; exec \"$@\"", "sh"])
            .arg(Program(program).command().get_program())
            .args(before)
            .arg("/dev/zero")
            .args(behind);
        let output = shell.output().unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(1), "{program}: {said}");
        assert!(
            said.contains("/dev/zero") && said.contains("larger than"),
            "{said}"
        );
    }
}

/// What moves the cursor, breaks the line or turns the direction of writing is shown by its code: in refusals, in the
/// report, and beside the pictures; in JSON the name is what it is.
#[test]
fn names_are_shown_and_not_obeyed() {
    let hostile = [
        ("a\nb.s1p", "a\\nb.s1p"),
        ("a\r\x1b[2Jb.s1p", "a\\r\\u{1b}[2Jb.s1p"),
        ("bell\x07\x7f.s1p", "bell\\u{7}\\u{7f}.s1p"),
        ("turned\u{202e}p1s.s1p", "turned\\u{202e}p1s.s1p"),
        ("parted\u{2028}.s1p", "parted\\u{2028}.s1p"),
        ("tab\t.s1p", "tab\\t.s1p"),
    ];
    for (name, shown) in hostile {
        // Left by an earlier run.
        let _ = std::fs::remove_file(path(name));
        for reader in readers() {
            let said = refused(&reader, OsStr::new(&path(name)));
            assert!(said.contains(shown), "{said}");
        }
        let path = file(name, SWEEP);
        let good = file("good_for_odd.s1p", SWEEP);
        let picture = format!("{path}.png");
        let output = Program("sweep_report")
            .command()
            .args(["--picture", &picture, "--predicted", &path])
            .args([&path, &good])
            .output()
            .unwrap();
        let text = String::from_utf8(output.stdout).unwrap();
        assert!(output.status.success(), "{name:?}");
        // Above the report, in the table, as the prediction of both, and beside the pictures.
        assert!(text.matches(shown).count() >= 5, "{text}");
        assert!(text.chars().all(|one| one == '\n' || !one.is_control()), "{text}");
        assert!(!text.contains(['\u{202e}', '\u{2028}']), "{text}");
        let json = Program("sweep_report").json(&["--predicted", &path, &path]);
        assert_eq!(json["file"], Value::String(path.clone()));
        assert_eq!(json["predicted"]["file"], Value::String(path));
    }
    // An option's value, and an option.
    for arguments in [["--target", "7\n1M"], ["--arithmetic", "f\x1b64"], ["--x\ny", ""]] {
        for program in ["sweep_report", "match_plan", "tuner_bench"] {
            let said = Program(program).refusal(&arguments);
            assert!(!said.chars().any(char::is_control), "{said:?}");
        }
    }
    // The table of loads, in the plan.
    let table = file(
        "loads\n.csv",
        "frequency_hz,resistance_ohm,reactance_ohm\n70000000,20,5\n72000000,20,5\n",
    );
    let text = Program("match_plan").text(&["--loads", &table, "--frequency", "71M"]);
    assert!(text.contains("loads\\n.csv"), "{text}");
}

/// A name that is no text: its bytes by their code, and the file is read.
#[cfg(target_os = "linux")]
#[test]
fn a_name_that_is_no_text_is_a_name() {
    let folder = path("");
    let mut name = OsString::from(&folder);
    name.push(OsStr::from_bytes(b"odd\xb5\xff.s1p"));
    for reader in readers()
        .into_iter()
        .filter(|reader| reader.0 != "load_from_sweep")
    {
        assert!(refused(&reader, &name).contains("odd\\xb5\\xff.s1p"));
    }
    let content = SWEEP.replace("71 0.1 0", "71 0.1 0.0");
    std::fs::write(Path::new(&name), content).unwrap();
    for program in ["sweep_report", "load_from_sweep"] {
        let output = Program(program).command().arg(&name).output().unwrap();
        assert!(output.status.success(), "{output:?}");
        let text = String::from_utf8(output.stdout).unwrap();
        assert!(
            program != "sweep_report" || text.contains("odd\\xb5\\xff.s1p"),
            "{text}"
        );
    }
    std::fs::remove_file(Path::new(&name)).unwrap();
}
