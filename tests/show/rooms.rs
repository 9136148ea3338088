//! The rooms of a screen of every size: none overlaps another, and what stands in each is read back from its pixels, letter
//! by letter. The loads are invented.

use std::collections::HashMap;

use embedded_graphics::Drawable;
use embedded_graphics::geometry::{Point, Size};
use embedded_graphics::mono_font::ascii::{FONT_5X7, FONT_6X12, FONT_10X20};
use embedded_graphics::mono_font::{MonoFont, MonoTextStyle};
use embedded_graphics::pixelcolor::{BinaryColor, PixelColor, Rgb565};
use embedded_graphics::primitives::{PointsIter, Rectangle};
use embedded_graphics::text::{Baseline, Text};
use ohmwright::arithmetic::Fixed32;
use ohmwright::measure::{Action, NextStep, Reason, SweepQuality, SweepReport, Target, Toward};
use ohmwright::quantity::{Hertz, Reflection};
use ohmwright::show::chart::{Palette, Rooms, Screen};
use ohmwright::show::text::{self, short};

use crate::chart::{Canvas, Sweep, sweep};
use crate::short::worded;

/// Sizes that displays are sold in (common practice, no source).
const PANELS: [(u32, u32); 24] = [
    (64, 48),
    (96, 64),
    (128, 64),
    (128, 96),
    (128, 128),
    (128, 160),
    (160, 80),
    (160, 128),
    (170, 320),
    (320, 170),
    (135, 240),
    (240, 135),
    (240, 160),
    (256, 128),
    (250, 122),
    (264, 176),
    (240, 240),
    (240, 320),
    (320, 240),
    (480, 320),
    (800, 480),
    (1024, 600),
    (1200, 300),
    (1920, 1080),
];

/// Every size from 48 × 48 to 480 × 480 in steps of 4, and the panels.
fn sizes() -> impl Iterator<Item = (u32, u32)> {
    let all = (48..=480u32).step_by(4);
    all.clone()
        .flat_map(move |width| all.clone().map(move |height| (width, height)))
        .chain(PANELS)
}

fn is_deep() -> bool {
    std::env::var("OHMWRIGHT_SEARCH").is_ok_and(|value| value == "deep")
}

fn screen<C: PixelColor>((width, height): (u32, u32), palette: Palette<C>) -> Screen<C> {
    let (start, stop) = (Hertz::from_megahertz(60), Hertz::from_megahertz(80));
    Screen::new(Size::new(width, height), palette, start, stop).unwrap()
}

fn is_empty(room: &Rectangle) -> bool {
    room.size.width == 0 || room.size.height == 0
}

/// What is wrong with rooms on a screen.
fn overlap(rooms: &Rooms, size: Size) -> Option<String> {
    let whole = Rectangle::new(Point::zero(), size);
    let rooms = rooms.all();
    for (place, room) in rooms.iter().enumerate() {
        if is_empty(room) {
            continue;
        }
        if whole.intersection(room) != *room {
            return Some(format!("{room:?} leaves the screen"));
        }
        for other in &rooms[place + 1..] {
            if !is_empty(&room.intersection(other)) {
                return Some(format!("{room:?} and {other:?} overlap"));
            }
        }
    }
    None
}

#[test]
fn rooms_of_every_size_are_disjoint_and_what_must_be_shown_has_one() {
    let (mut count, mut charts, mut curves) = (0, 0, 0);
    for (width, height) in sizes() {
        let size = Size::new(width, height);
        let screen = screen((width, height), Palette::TWO_TONE);
        let rooms = screen.rooms();
        assert_eq!(overlap(&rooms, size), None, "{size:?}");
        for room in [rooms.verdict, rooms.advice, rooms.readouts] {
            assert!(!is_empty(&room), "{size:?}: {rooms:?}");
        }
        assert_eq!(screen.smith().is_some(), !is_empty(&rooms.chart), "{size:?}");
        assert_eq!(screen.curve().is_some(), !is_empty(&rooms.curve), "{size:?}");
        // Charts have a place from 64 × 48 on, and no screen is the emptier for being larger.
        if width >= 64 {
            assert!(screen.smith().is_some() || width < 80 && height > 48, "{size:?}");
        }
        if width >= 96 && height >= 64 {
            assert!(screen.curve().is_some(), "{size:?}");
        }
        let used: u32 = rooms
            .all()
            .iter()
            .map(|room| room.size.width * room.size.height)
            .sum();
        assert!(
            used * 10 >= width * height * 8,
            "{size:?}: {used} pixels have a room"
        );
        count += 1;
        charts += u32::from(screen.smith().is_some());
        curves += u32::from(screen.curve().is_some());
    }
    println!("{count} sizes, {charts} with a chart, {curves} with a curve");
    // A control: rooms that overlap are noticed, and one that leaves the screen.
    let size = Size::new(320, 240);
    let mut rooms = screen((320, 240), Palette::TWO_TONE).rooms();
    rooms.curve.top_left.x -= 3;
    assert!(overlap(&rooms, size).is_some());
    let mut rooms = screen((320, 240), Palette::TWO_TONE).rooms();
    rooms.advice.top_left.y += 1;
    rooms.advice.size.height += 3;
    assert!(overlap(&rooms, size).is_some());
}

// --- read back ---------------------------------------------------------------------------------------------------

/// The letters of a size, by their pixels.
struct Alphabet {
    font: &'static MonoFont<'static>,
    letters: HashMap<Vec<bool>, char>,
}

impl Alphabet {
    fn new(font: &'static MonoFont<'static>) -> Self {
        let size = font.character_size;
        let mut letters = HashMap::new();
        for letter in ' '..='~' {
            let mut canvas = Canvas::new(size.width, size.height, BinaryColor::Off);
            let style = MonoTextStyle::new(font, BinaryColor::On);
            let text = letter.to_string();
            Text::with_baseline(&text, Point::zero(), style, Baseline::Top)
                .draw(&mut canvas)
                .unwrap();
            let pixels = canvas.pixels.iter().map(|pixel| pixel.is_on()).collect();
            assert!(
                letters.insert(pixels, letter).is_none(),
                "{letter} looks like another letter"
            );
        }
        Self { font, letters }
    }

    /// What stands in a room, words of all lines with one blank between; `#` where no letter is.
    fn read<C: PixelColor>(&self, canvas: &Canvas<C>, room: Rectangle, ink: C, indent: i32) -> String {
        let Size { width, height } = self.font.character_size;
        let pitch = height + u32::from(canvas.size.height >= 60);
        let mut said = String::new();
        for line in 0..room.size.height / pitch {
            for column in 0..(room.size.width - indent as u32) / width {
                let corner =
                    room.top_left + Point::new(indent + (column * width) as i32, (line * pitch) as i32);
                let cell = Rectangle::new(corner, Size::new(width, height));
                let pixels: Vec<bool> = cell.points().map(|point| canvas.at(point) == Some(ink)).collect();
                said.push(self.letters.get(&pixels).copied().unwrap_or('#'));
            }
            said.push(' ');
        }
        let words: Vec<&str> = said.split_whitespace().collect();
        words.join(" ")
    }
}

fn closed_up(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The words that must be in the room of the advice, in one of their two forms.
fn step_words(step: &NextStep<Fixed32>) -> [String; 2] {
    let (mut long, mut brief) = ([0; 20], [0; 16]);
    [
        closed_up(text::next_step(&mut long, step).unwrap()),
        closed_up(short::next_step(&mut brief, step).unwrap()),
    ]
}

struct Reader {
    alphabets: [Alphabet; 3],
}

impl Reader {
    fn new() -> Self {
        Self {
            alphabets: [&FONT_5X7, &FONT_6X12, &FONT_10X20].map(Alphabet::new),
        }
    }

    fn class((width, height): (u32, u32)) -> usize {
        match (width, height) {
            (400.., 240..) => 2,
            (120.., 120..) => 1,
            _ => 0,
        }
    }

    /// Draws a whole screen and reads it back.
    fn check<C: PixelColor>(
        &self,
        size: (u32, u32),
        palette: Palette<C>,
        points: &[(Hertz, Reflection<Fixed32>)],
        report: &SweepReport<Fixed32, 4>,
        step: &NextStep<Fixed32>,
        quality: &SweepQuality<Fixed32>,
    ) {
        let mut screen = screen(size, palette);
        let rooms = screen.rooms();
        let mut canvas = Canvas::new(size.0, size.1, palette.paper);
        screen
            .draw_frame(&mut canvas, "A load (invented)", report)
            .unwrap();
        for (frequency, gamma) in points {
            screen.trace_to(&mut canvas, *frequency, *gamma).unwrap();
        }
        screen
            .draw_report(&mut canvas, report, Some(step), Some(quality))
            .unwrap();
        assert_eq!(canvas.outside, 0, "{size:?}");
        // Nothing stands outside of the rooms.
        let mut in_a_room = vec![false; canvas.pixels.len()];
        for room in rooms.all() {
            for point in room.points() {
                in_a_room[point.y as usize * size.0 as usize + point.x as usize] = true;
            }
        }
        let mut pairs = canvas.pixels.iter().zip(&in_a_room);
        assert!(
            pairs.all(|(pixel, inside)| *inside || *pixel == palette.paper),
            "{size:?}"
        );
        // Every line is whole.
        let class = Self::class(size);
        let letters = &self.alphabets[class];
        let larger = &self.alphabets[(class + usize::from(size.0 >= 200 && size.1 >= 160)).min(2)];
        let said = larger.read(&canvas, rooms.verdict, palette.ink, 0);
        let columns = (rooms.verdict.size.width / larger.font.character_size.width).min(16) as usize;
        let mut line = [0; 16];
        let verdict = closed_up(short::verdict(&mut line[..columns], report).unwrap());
        let (head, tail) = verdict.split_once(' ').unwrap_or((&verdict, ""));
        let doubted = [format!("{head}? {tail}"), format!("{head}?{tail}")];
        assert!(
            said.starts_with(&verdict) || doubted.iter().any(|doubted| said.starts_with(doubted)),
            "{size:?}: {said}"
        );
        let room = rooms.readouts;
        let indent = 2 * i32::from(room.size.width / letters.font.character_size.width > 16);
        let read = letters.read(&canvas, room, palette.ink, indent);
        assert!(!read.contains('#'), "{size:?}: {read}");
        let best = report.best().unwrap().frequency.get() as f64 / 1e6;
        let mut words = read.split(' ');
        let label = words.next().unwrap();
        assert!(matches!(label, "dip" | "dip?" | "edge"), "{size:?}: {read}");
        let shown: f64 = words.next().unwrap().parse().unwrap();
        assert!((shown - best).abs() < 0.051, "{size:?}: {read}");
        assert_eq!(words.next(), Some("MHz"), "{size:?}: {read}");
        let advice = letters.read(&canvas, rooms.advice, palette.ink, 0);
        assert!(!advice.contains('#'), "{size:?}: {advice}");
        let words = step_words(step);
        assert!(
            words.iter().any(|words| advice.starts_with(words.as_str())),
            "{size:?}: {advice} is not {words:?}"
        );
        // A doubtful sweep says so somewhere, and only such a one does.
        let (mut long, mut brief) = ([0; 20], [0; 16]);
        let doubts = [
            closed_up(text::quality(&mut long, quality).unwrap()),
            closed_up(short::quality(&mut brief, quality).unwrap()),
        ];
        let is_told = doubts.iter().any(|words| {
            !words.is_empty() && (read.contains(words.as_str()) || advice.contains(words.as_str()))
        });
        let is_marked = doubted.iter().any(|words| said.starts_with(words));
        let has_doubt = !doubts[0].is_empty();
        assert!(
            has_doubt == (is_told || is_marked) && !(is_told && is_marked),
            "{size:?}: {said} / {read} / {advice}"
        );
        // SWR stands once.
        if !matches!(report.target(), Target::NotAsked) {
            let count = [&said, &read]
                .iter()
                .map(|said| said.matches("SWR").count())
                .sum::<usize>();
            assert!(count <= 1, "{size:?}: {said} / {read}");
        }
    }
}

/// All that is written is read back whole, on screens of one and of sixteen bits, of a clean and of a doubtful sweep.
#[test]
fn texts_are_whole_and_stay_in_their_rooms() {
    let reader = Reader::new();
    let Sweep {
        points,
        report,
        step,
        quality,
    } = sweep::<Fixed32>();
    let mut ill = quality;
    ill.spoilt = 2;
    let every = if is_deep() { 1 } else { 97 };
    let narrow = (48..=100u32)
        .step_by(4)
        .flat_map(|width| [(width, 48), (width, 76), (width, 160)]);
    for size in sizes().step_by(every).chain(PANELS).chain(narrow) {
        for quality in [quality, ill] {
            reader.check(size, Palette::TWO_TONE, &points, &report, &step, &quality);
        }
        reader.check(
            size,
            Palette::<Rgb565>::daylight(),
            &points,
            &report,
            &step,
            &quality,
        );
    }
}

/// Every step that can be advised is whole on the narrowest screens too.
#[test]
fn every_step_is_whole_on_a_narrow_screen() {
    let reader = Reader::new();
    let Sweep {
        points,
        report,
        step,
        quality,
    } = sweep::<Fixed32>();
    let at = Hertz::from_megahertz(50);
    let wider = [
        (
            Action::SweepWider {
                toward: Toward::Both,
                until: at,
            },
            Reason::DipBelow,
        ),
        (
            Action::SweepWider {
                toward: Toward::Lower,
                until: at,
            },
            Reason::DipBelow,
        ),
        (
            Action::SweepWider {
                toward: Toward::Higher,
                until: at,
            },
            Reason::DipAbove,
        ),
    ];
    for (action, reason) in worded().into_iter().chain(wider) {
        let mut step = step;
        (step.action, step.reason) = (action, reason);
        for size in [
            (48, 48),
            (52, 64),
            (56, 56),
            (60, 60),
            (64, 48),
            (72, 100),
            (80, 60),
            (100, 100),
            (128, 64),
        ] {
            reader.check(size, Palette::TWO_TONE, &points[..2], &report, &step, &quality);
        }
    }
}
