//! Where things stand on a screen: rooms, each cut off from what the ones before it left.

use embedded_graphics::geometry::{Point, Size};
use embedded_graphics::mono_font::MonoFont;
use embedded_graphics::mono_font::ascii::{FONT_5X7, FONT_6X12, FONT_10X20};
use embedded_graphics::primitives::Rectangle;

/// The rooms of a screen.
///
/// They lie on the screen and do not overlap, whatever its size: each is cut off from what is left of the area, and what is
/// drawn in one is clipped to it. A room that the screen has no place for is empty.
///
/// The rules, from the first to the last:
///
/// 1. Letters are small (5 × 7 pixels), middle (6 × 12) from 120 × 120 on, and large (10 × 20) from 400 × 240 on. The verdict
///    has the next size up from 200 × 160 on.
/// 2. From 200 × 200 on a line at the top is the `title`, with the key to the marks.
/// 3. Then the `verdict` is cut off, a line over the whole width, with the SWR in it.
/// 4. The `advice` is cut off at the bottom: one line; two from twelve lines of height on, and where less than 16 letters
///    stand side by side; three where there are less than twelve.
/// 5. What is left is divided between `readouts`, `chart` and `curve` in the first of these ways that shows most, in the
///    order dip frequency, chart, curve, then more lines (bandwidth, Z, return loss); of those that show the same, the one
///    with the largest chart and curve:
///    - the three side by side;
///    - the chart at the left, readouts above the curve at its right;
///    - chart and readouts side by side above the curve;
///    - readouts above, then chart and curve side by side;
///    - one below the other;
///    - without a curve: chart beside the readouts or below them; without a chart: the curve below the readouts.
///
///    A chart has at least four tenths of the screen's shorter side, and 20 pixels; a curve three tenths of it in height (28
///    pixels, 20 on screens lower than 64), and 40 pixels and a quarter of the screen in width. Readouts have 16 letters, or the
///    whole width.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rooms {
    /// The title and the key to the marks.
    pub title: Rectangle,
    /// The verdict, the SWR, and the frequency of both.
    pub verdict: Rectangle,
    /// The frequency of the dip, then bandwidth, Z and return loss.
    pub readouts: Rectangle,
    /// The Smith chart.
    pub chart: Rectangle,
    /// The curve over frequency.
    pub curve: Rectangle,
    /// What to do next, what that leaves, and what is to be said of the readings.
    pub advice: Rectangle,
}

impl Rooms {
    /// All of them, from the top down.
    pub fn all(&self) -> [Rectangle; 6] {
        [
            self.title,
            self.verdict,
            self.readouts,
            self.chart,
            self.curve,
            self.advice,
        ]
    }
}

/// The columns that hold every short line.
pub(super) const COLUMNS: u32 = 16;

/// A size of letters.
#[derive(Clone, Copy, Debug)]
pub(super) struct Letters {
    pub(super) font: &'static MonoFont<'static>,
    /// From one line to the next.
    pub(super) pitch: u32,
}

impl Letters {
    pub(super) fn width(self) -> u32 {
        self.font.character_size.width
    }

    /// The letters that stand side by side in a room.
    pub(super) fn columns(self, room: Rectangle) -> u32 {
        room.size.width.checked_div(self.width()).unwrap_or(0)
    }

    /// The lines that stand one below the other in a room.
    pub(super) fn lines(self, room: Rectangle) -> u32 {
        room.size.height.checked_div(self.pitch).unwrap_or(0)
    }
}

const SIZES: [&MonoFont<'static>; 3] = [&FONT_5X7, &FONT_6X12, &FONT_10X20];

/// Rooms and letters of a screen.
#[derive(Clone, Copy, Debug)]
pub(super) struct Layout {
    pub(super) rooms: Rooms,
    pub(super) title: Letters,
    pub(super) verdict: Letters,
    pub(super) text: Letters,
    /// The width of traces in pixels.
    pub(super) stroke: u32,
}

/// What is left of an area.
#[derive(Clone, Copy)]
struct Rest(Rectangle);

impl Rest {
    fn top(&mut self, rows: u32) -> Rectangle {
        let rows = rows.min(self.0.size.height);
        let room = Rectangle::new(self.0.top_left, Size::new(self.0.size.width, rows));
        self.0.top_left.y = self.0.top_left.y.saturating_add(rows as i32);
        self.0.size.height = self.0.size.height.saturating_sub(rows);
        room
    }

    fn left(&mut self, columns: u32) -> Rectangle {
        let columns = columns.min(self.0.size.width);
        let room = Rectangle::new(self.0.top_left, Size::new(columns, self.0.size.height));
        self.0.top_left.x = self.0.top_left.x.saturating_add(columns as i32);
        self.0.size.width = self.0.size.width.saturating_sub(columns);
        room
    }

    fn bottom(&mut self, rows: u32) -> Rectangle {
        let kept = self.0.size.height.saturating_sub(rows);
        let above = self.top(kept);
        let room = self.0;
        self.0 = above;
        room
    }
}

/// The ways to divide what is left between readouts, chart and curve.
#[derive(Clone, Copy)]
enum Way {
    SideBySide,
    CurveAtTheRight,
    /// The chart's share of the height, in tenths.
    CurveBelow(u32),
    ReadoutsAbove,
    /// The chart's share of the height, in tenths.
    Stacked(u32),
    ChartBeside,
    ChartBelow,
    CurveAlone,
}

// Those without a curve first: of two that show the same, the first is taken.
const WAYS: [Way; 11] = [
    Way::ChartBeside,
    Way::ChartBelow,
    Way::CurveAlone,
    Way::SideBySide,
    Way::CurveAtTheRight,
    Way::CurveBelow(6),
    Way::CurveBelow(5),
    Way::ReadoutsAbove,
    Way::Stacked(6),
    Way::Stacked(5),
    Way::Stacked(7),
];

/// Readouts, chart and curve.
type Three = [Rectangle; 3];

impl Way {
    fn divide(self, area: Rectangle, lines: u32, letters: Letters) -> Three {
        let mut rest = Rest(area);
        let none = Rectangle::zero();
        let Size { width, height } = area.size;
        // A blank column on each side of the text.
        let text = COLUMNS * letters.width() + 2 * GAP;
        let rows = lines * letters.pitch;
        match self {
            Self::SideBySide => {
                let readouts = rest.left(text);
                let chart = rest.left(height);
                [readouts, chart, rest.0]
            }
            Self::CurveAtTheRight => {
                let chart = rest.left(height.min(width.saturating_sub(text)));
                [rest.top(rows), chart, rest.0]
            }
            Self::CurveBelow(tenths) => {
                let mut above = Rest(rest.top(height * tenths / 10));
                let side = above.0.size.height.min(width.saturating_sub(text));
                let chart = above.left(side);
                [above.0, chart, rest.0]
            }
            Self::ReadoutsAbove => {
                let readouts = rest.top(rows);
                let side = rest.0.size.height.min(width / 2);
                [readouts, rest.left(side), rest.0]
            }
            Self::Stacked(tenths) => {
                let readouts = rest.top(rows);
                let side = (rest.0.size.height * tenths / 10).min(width);
                [readouts, rest.top(side), rest.0]
            }
            Self::ChartBeside => {
                let chart = rest.left(height.min(width.saturating_sub(text)));
                [rest.0, chart, none]
            }
            Self::ChartBelow => [rest.top(rows), rest.0, none],
            Self::CurveAlone => [rest.top(rows), none, rest.0],
        }
    }
}

/// Pixels between text and what stands beside it.
pub(super) const GAP: u32 = 2;

/// The lines of readouts beyond that of the dip that a screen may have.
const MORE: u32 = 3;

impl Layout {
    pub(super) fn new(size: Size) -> Self {
        let Size { width, height } = size;
        let class = match (width, height) {
            (400.., 240..) => 2,
            (120.., 120..) => 1,
            _ => 0,
        };
        // Between lines stands one free row, except on the lowest screens.
        let letters = |class: usize| {
            let font = SIZES.get(class).copied().unwrap_or(&FONT_10X20);
            let free = u32::from(height >= 60);
            Letters {
                font,
                pitch: font.character_size.height + free,
            }
        };
        let text = letters(class);
        let is_big = width >= 200 && height >= 160;
        let verdict = letters(class + usize::from(is_big));
        let title = letters(class.saturating_sub(1).max(usize::from(class > 0)));
        let margin = match class {
            0 => 0,
            1 => 2,
            _ => 4,
        };
        let mut rest = Rest(Rectangle::new(
            Point::new(margin as i32, margin as i32 / 2),
            Size::new(width - 2 * margin, height - margin),
        ));
        let top = rest.top(if width >= 200 && height >= 200 {
            title.pitch
        } else {
            0
        });
        let head = rest.top(verdict.pitch);
        let columns = text.columns(rest.0);
        let advice = match columns {
            ..12 => 3,
            12..16 => 2,
            _ => 1 + u32::from(height >= 12 * text.pitch),
        };
        let advice = rest.bottom(advice * text.pitch);
        let [readouts, chart, curve] = shared_out(rest.0, size, text);
        Self {
            rooms: Rooms {
                title: top,
                verdict: head,
                readouts,
                chart,
                curve,
                advice,
            },
            title,
            verdict,
            text,
            stroke: match width.max(height) {
                ..240 => 1,
                240..800 => 2,
                _ => 3,
            },
        }
    }
}

/// The best of the ways, as the rules say.
fn shared_out(area: Rectangle, size: Size, letters: Letters) -> Three {
    let short = size.width.min(size.height);
    let least_side = (short * 4 / 10).max(20);
    let least_height = (short * 3 / 10).max(if size.height < 64 { 20 } else { 28 });
    let least_width = (size.width / 4).max(40);
    // The dip takes two lines where a label and a frequency do not fit in one.
    let first = if letters.columns(area) < 12 { 2 } else { 1 };
    let mut best = ((false, false, false, 0, 0), [Rectangle::zero(); 3]);
    for more in 0..=MORE {
        for way in WAYS {
            let [readouts, chart, curve] = way.divide(area, first + more, letters);
            let columns = letters.columns(readouts);
            let lines = letters.lines(readouts);
            let has_lines = lines >= first && columns >= COLUMNS.min(letters.columns(area));
            let side = chart.size.width.min(chart.size.height);
            let has_chart = side >= least_side;
            let has_curve = curve.size.width >= least_width && curve.size.height >= least_height;
            let drawn = |has: bool, area: u32| if has { area } else { 0 };
            let figures = drawn(has_chart, side.saturating_mul(side)).saturating_add(drawn(
                has_curve,
                curve.size.width.saturating_mul(curve.size.height),
            ));
            let score = (
                has_lines,
                has_lines && has_chart,
                has_lines && has_curve,
                lines.saturating_sub(first).min(MORE),
                figures,
            );
            if score > best.0 {
                let kept = |has: bool, room: Rectangle| if has { room } else { Rectangle::zero() };
                best = (score, [readouts, kept(has_chart, chart), kept(has_curve, curve)]);
            }
        }
    }
    let [readouts, chart, curve] = best.1;
    // Alone, the readouts have it all.
    let is_empty = |room: Rectangle| room.size == Size::zero();
    if is_empty(chart) && is_empty(curve) {
        [area, chart, curve]
    } else {
        [readouts, chart, curve]
    }
}
