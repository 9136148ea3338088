//! What makes a chart readable in daylight, on small and on large screens. The loads are invented.

use embedded_graphics::Drawable;
use embedded_graphics::geometry::{Point, Size};
use embedded_graphics::mono_font::MonoTextStyle;
use embedded_graphics::mono_font::ascii::FONT_5X7;
use embedded_graphics::pixelcolor::{BinaryColor, Rgb888, RgbColor};
use embedded_graphics::primitives::Rectangle;
use embedded_graphics::text::{Baseline, Text};
use ohmwright::arithmetic::{Arithmetic, Fixed16, Fixed32};
use ohmwright::quantity::{Hertz, Reference, Reflection};
use ohmwright::show::chart::{CurveChart, CurveScale, Mark, Palette, Screen, SmithChart};

use crate::chart::{Canvas, Sweep, distinct, sweep};
use crate::text::{gamma, load};

const START: Hertz = Hertz::from_megahertz(60);
const STOP: Hertz = Hertz::from_megahertz(80);

fn canvas(width: u32, height: u32) -> Canvas<Rgb888> {
    Canvas::new(width, height, Rgb888::BLACK)
}

/// The smallest letters of a screen: no two digits are the same, and 0 and 8 are far from it.
#[test]
fn digits_of_the_smallest_size_are_told_apart() {
    let pixels = |digit: char| {
        let mut canvas = Canvas::new(5, 7, BinaryColor::Off);
        let style = MonoTextStyle::new(&FONT_5X7, BinaryColor::On);
        Text::with_baseline(&digit.to_string(), Point::zero(), style, Baseline::Top)
            .draw(&mut canvas)
            .unwrap();
        canvas.pixels
    };
    let differ = |one, other| {
        let (one, other) = (pixels(one), pixels(other));
        one.iter().zip(&other).filter(|(a, b)| a != b).count()
    };
    assert!(differ('0', '8') >= 8, "{}", differ('0', '8'));
    for one in '0'..='9' {
        for other in '0'..one {
            assert!(
                differ(one, other) >= 2,
                "{one} and {other}: {}",
                differ(one, other)
            );
        }
    }
}

/// From 240 pixels on a trace is at least two wide, in both charts.
#[test]
fn traces_are_two_pixels_wide_from_240_on() {
    for (width, height) in [
        (240, 160),
        (135, 240),
        (256, 128),
        (250, 122),
        (320, 240),
        (1200, 300),
    ] {
        let mut screen = Screen::new(Size::new(width, height), distinct(), START, STOP).unwrap();
        let mut canvas = canvas(width, height);
        for step in 0..=20u64 {
            // An SWR of 3 all over, so that the trace is level; and along the real axis.
            let size = 0.5 - 1e-3 * step as f64;
            let at = Hertz::from_megahertz(60 + step as u32);
            screen
                .trace_to(&mut canvas, at, gamma::<Fixed32>(size, 0.0))
                .unwrap();
        }
        let rooms = screen.rooms();
        for room in [rooms.curve, rooms.chart] {
            let middle = |x: i32| {
                (room.top_left.y..room.top_left.y + room.size.height as i32)
                    .filter(|y| canvas.at(Point::new(x, *y)) == Some(Rgb888::BLUE))
                    .count()
            };
            let thickest = (room.top_left.x..room.top_left.x + room.size.width as i32)
                .map(middle)
                .max();
            assert!(thickest >= Some(2), "{width} by {height}: {thickest:?}");
        }
    }
}

/// What stands beyond the scale leaves a mark at the edge, and the mark of a point its value; nothing else does.
#[test]
fn values_beyond_the_scale_are_told() {
    let area = Rectangle::new(Point::zero(), Size::new(240, 100));
    let mut chart = CurveChart::new(area, START, STOP, CurveScale::Swr(5)).unwrap();
    let top = chart.plot().top_left.y;
    let trace = |chart: &mut CurveChart, size: f64| {
        let mut canvas = canvas(240, 100);
        chart.lift();
        for megahertz in 62..=78 {
            let at = Hertz::from_megahertz(megahertz);
            chart
                .trace_to(&mut canvas, &distinct(), at, gamma::<Fixed32>(size, 0.0))
                .unwrap();
        }
        canvas.places(Rgb888::BLUE)
    };
    let beyond = trace(&mut chart, 0.99);
    assert!(
        beyond.len() > 10 && beyond.iter().all(|point| (top..top + 3).contains(&point.y)),
        "{beyond:?}"
    );
    assert!(trace(&mut chart, 0.3).iter().all(|point| point.y > top + 3));
    let mark = |size: f64| {
        let mut canvas = canvas(240, 100);
        let at = Hertz::from_megahertz(70);
        chart
            .mark(
                &mut canvas,
                &distinct(),
                at,
                gamma::<Fixed32>(size, 0.0),
                Mark::Dip,
            )
            .unwrap();
        (
            canvas.places(Rgb888::RED).len(),
            canvas.places(Rgb888::WHITE).len(),
        )
    };
    let (arrow, value) = mark(0.99);
    assert!(arrow > 10 && value > 10);
    assert_eq!(mark(0.3).1, 0, "a value on the scale is not written");
    // Of an open on a screen the same, beside the marks.
    let mut screen = Screen::new(Size::new(240, 160), distinct(), START, STOP).unwrap();
    let mut canvas = canvas(240, 160);
    let Sweep { report, .. } = sweep::<Fixed32>();
    screen.draw_frame(&mut canvas, "", &report).unwrap();
    for megahertz in 60..=80 {
        screen
            .trace_to(
                &mut canvas,
                Hertz::from_megahertz(megahertz),
                Reflection::<Fixed32>::OPEN,
            )
            .unwrap();
    }
    let room = screen.rooms().curve;
    assert!(
        canvas
            .places(Rgb888::BLUE)
            .iter()
            .filter(|point| room.contains(**point))
            .count()
            > 10
    );
}

/// No line bridges a point that was refused.
#[test]
fn a_lifted_trace_has_a_gap() {
    let mut screen = Screen::new(Size::new(320, 240), distinct(), START, STOP).unwrap();
    let drawn = |screen: &mut Screen<Rgb888>, lifts: bool| {
        let mut canvas = canvas(320, 240);
        screen.lift();
        for (megahertz, im) in [(62, 0.1), (64, 0.2), (76, 0.3), (78, 0.4)] {
            if lifts && megahertz == 76 {
                screen.lift();
            }
            let at = Hertz::from_megahertz(megahertz);
            screen
                .trace_to(&mut canvas, at, gamma::<Fixed32>(0.1, im))
                .unwrap();
        }
        let column = screen.curve().unwrap().column(Hertz::from_megahertz(70));
        let room = screen.rooms().curve;
        let places = canvas.places(Rgb888::BLUE);
        let in_gap = places
            .iter()
            .any(|point| point.x == column && room.contains(*point));
        (
            in_gap,
            places
                .iter()
                .filter(|point| screen.rooms().chart.contains(**point))
                .count(),
        )
    };
    let (bridged, without) = (drawn(&mut screen, false), drawn(&mut screen, true));
    assert!(bridged.0 && !without.0);
    assert!(bridged.1 > without.1, "the chart has the gap too");
}

/// No mark covers a label, wherever it stands: the ohms on a large chart, and the figures beside a curve.
#[test]
fn marks_cover_no_label() {
    // The dip stands beside the 50 of the chart, and its ring goes through it.
    let (report, _) = crate::short::report::<Fixed32>(None, 46.0, 70e6);
    for (width, height) in [(480, 320), (960, 540)] {
        let mut screen = Screen::new(Size::new(width, height), distinct(), START, STOP).unwrap();
        let mut frame = canvas(width, height);
        screen.draw_frame(&mut frame, "", &report).unwrap();
        let mut marked = canvas(width, height);
        marked.pixels.clone_from(&frame.pixels);
        screen.draw_report(&mut marked, &report, None, None).unwrap();
        // A label of the chart: ink that is not on the rim.
        let smith = screen.smith().unwrap();
        let room = screen.rooms().chart;
        let labels = |canvas: &Canvas<Rgb888>| {
            let mut places = canvas.places(Rgb888::WHITE);
            places.retain(|point| {
                let away = *point - smith.centre();
                let from = f64::from(away.x).hypot(f64::from(away.y));
                room.contains(*point) && from < f64::from(smith.radius()) - 1.5
            });
            places
        };
        assert!(labels(&frame).len() > 100, "no labels");
        assert_eq!(labels(&frame), labels(&marked), "{width} by {height}");
        // "50" stands under the axis, left of the middle.
        let fifty = labels(&frame)
            .iter()
            .filter(|point| {
                let away = **point - smith.centre();
                (-20..0).contains(&away.x) && (1..16).contains(&away.y)
            })
            .count();
        assert!(fifty > 10, "no 50: {fifty}");
        assert!(marked.places(Rgb888::RED).len() > 40);
    }
    // Beside and below a curve: marks at every place of the plot, its edges too.
    for (width, height) in [(90, 40), (128, 60), (240, 100), (640, 260)] {
        let area = Rectangle::new(Point::zero(), Size::new(width, height));
        let chart = CurveChart::new(area, START, STOP, CurveScale::Swr(5)).unwrap();
        let mut labels = canvas(width, height);
        chart
            .draw_axes::<_, Fixed32>(&mut labels, &distinct(), None)
            .unwrap();
        let plot = chart.plot();
        let is_label = |point: &Point| point.x < plot.top_left.x || point.y > plot.bottom_right().unwrap().y;
        let count = labels
            .places(Rgb888::WHITE)
            .iter()
            .filter(|point| is_label(point))
            .count();
        assert!(count > 20, "no labels");
        let mut marked = canvas(width, height);
        marked.pixels.clone_from(&labels.pixels);
        for step in 0..=20u32 {
            for size in [0.0, 0.2, 0.5, 0.65] {
                for mark in [Mark::Dip, Mark::Target] {
                    let at = Hertz::from_megahertz(60 + step);
                    let gamma = gamma::<Fixed32>(size, 0.0);
                    chart.mark(&mut marked, &distinct(), at, gamma, mark).unwrap();
                }
            }
        }
        let kept = labels.places(Rgb888::WHITE).into_iter().filter(is_label);
        for point in kept {
            assert_eq!(
                marked.at(point),
                Some(Rgb888::WHITE),
                "{width} by {height}: {point:?}"
            );
        }
    }
}

/// A label below a curve is centred at its line to a pixel.
#[test]
fn labels_sit_at_their_ticks() {
    for (width, height) in [(128, 60), (240, 100), (640, 260)] {
        let area = Rectangle::new(Point::zero(), Size::new(width, height));
        let chart = CurveChart::new(area, START, STOP, CurveScale::Swr(5)).unwrap();
        let mut canvas = canvas(width, height);
        chart
            .draw_axes::<_, Fixed32>(&mut canvas, &distinct(), None)
            .unwrap();
        let bottom = chart.plot().bottom_right().unwrap().y;
        let mut columns: Vec<i32> = canvas
            .places(Rgb888::WHITE)
            .into_iter()
            .filter(|point| point.y > bottom)
            .map(|point| point.x)
            .collect();
        columns.sort_unstable();
        columns.dedup();
        // 70 is on the axis whatever the size; what is there ends at equal distances from the line.
        let tick = chart.column(Hertz::from_megahertz(70));
        let near: Vec<i32> = columns.into_iter().filter(|x| (x - tick).abs() < 14).collect();
        let (left, right) = (tick - near[0], near[near.len() - 1] - tick);
        assert!(
            (left - right).abs() <= 3 && left > 2,
            "{width}: {left} and {right}"
        );
    }
}

/// A dotted grid is evenly dotted: on each arc there is a pixel in every three steps, and not everywhere one.
#[test]
fn dotted_arcs_are_whole() {
    // Larger ones have labels over some of the arcs.
    for side in [64, 120, 190] {
        let mut canvas = Canvas::new(side, side, BinaryColor::Off);
        let area = Rectangle::new(Point::zero(), Size::new_equal(side));
        let chart = SmithChart::new(area).unwrap();
        chart
            .draw_grid(&mut canvas, &Palette::TWO_TONE, Reference::<f64>::fifty())
            .unwrap();
        let radius = f64::from(chart.radius());
        for tenths in chart.grid() {
            let value = f64::from(*tenths) / 10.0;
            let (u, r) = (value / (value + 1.0) * radius, radius / (value + 1.0));
            let mut dots = 0;
            for degrees in 30..=330 {
                let (sine, cosine) = f64::from(degrees).to_radians().sin_cos();
                let place =
                    chart.centre() + Point::new((u + r * cosine).round() as i32, -(r * sine).round() as i32);
                let near = (-1..=1).any(|dx| {
                    (-1..=1).any(|dy| canvas.at(place + Point::new(dx, dy)) == Some(BinaryColor::On))
                });
                assert!(
                    near,
                    "{side}: a gap in the circle of {tenths} tenths at {degrees} degrees"
                );
                dots += u32::from(canvas.at(place) == Some(BinaryColor::On));
            }
            assert!(dots < 270, "{side}: the circle of {tenths} tenths is solid");
        }
    }
}

/// The scale of |Z|, in every family.
#[test]
fn impedances_stand_where_they_belong() {
    fn one<A: Arithmetic>() {
        let area = Rectangle::new(Point::zero(), Size::new(220, 120));
        let scale = |top, reference| CurveScale::Impedance { top, reference };
        let chart = CurveChart::new(area, START, STOP, scale(200, 50)).unwrap();
        let (top, bottom) = (chart.plot().top_left.y, chart.plot().bottom_right().unwrap().y);
        let row = |r, x| {
            let gamma = load::<A>(r, x).reflection(Reference::fifty());
            chart.place(START, gamma).y
        };
        // 30 + j40 Ω has 50 Ω: a quarter of the scale.
        let quarter = bottom - (bottom - top) / 4;
        assert!(
            (row(30.0, 40.0) - quarter).abs() <= 1,
            "{} {quarter}",
            row(30.0, 40.0)
        );
        assert!((row(30.0, -40.0) - quarter).abs() <= 1);
        assert!(row(500.0, 0.0) < top);
        assert!(chart.place(START, Reflection::<A>::OPEN).y < top);
        assert_eq!(chart.place(START, Reflection::<A>::SHORT).y, bottom);
        assert!(chart.is_on_scale(Reflection::<A>::MATCHED) && !chart.is_on_scale(Reflection::<A>::OPEN));
        assert!(CurveChart::new(area, START, STOP, scale(0, 50)).is_none());
        assert!(CurveChart::new(area, START, STOP, scale(200, 0)).is_none());
        let mut canvas = canvas(220, 120);
        chart.draw_axes::<_, A>(&mut canvas, &distinct(), None).unwrap();
        assert_eq!(canvas.outside, 0);
    }
    one::<f64>();
    one::<f32>();
    one::<Fixed32>();
    one::<Fixed16>();
    let screen = Screen::new(Size::new(320, 240), distinct(), START, STOP).unwrap();
    let open = Reflection::<f64>::OPEN;
    let of_loss = screen.with_scale(CurveScale::ReturnLoss(30));
    assert!(!screen.curve().unwrap().is_on_scale(open) && of_loss.curve().unwrap().is_on_scale(open));
}
