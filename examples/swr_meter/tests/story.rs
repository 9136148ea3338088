//! The story that the emulated boards tell too, and what the display shows in it.

mod bench;
#[path = "../emulated/src/story.rs"]
mod story;

use std::fs;

use bench::{bench, straight};
use ohmwright::arithmetic::Fixed32;

const EXPECTED: &str = include_str!("../emulated/story.txt");

fn told<A: swr_meter::Numbers>() -> String {
    let mut text = String::new();
    story::tell::<A>(&mut text).unwrap();
    text
}

/// With OHMWRIGHT_REWRITE set it is written anew: look at the difference.
#[test]
fn the_story_is_told_in_both_families() {
    if std::env::var_os("OHMWRIGHT_REWRITE").is_some() {
        fs::write("emulated/story.txt", told::<Fixed32>()).unwrap();
        return;
    }
    assert_eq!(told::<Fixed32>(), EXPECTED);
    assert_eq!(told::<f32>(), EXPECTED);
}

/// The pictures of the README, from what the display's controller was sent.
#[test]
fn the_pictures_are_what_the_display_shows() {
    for (name, forward, reverse) in [
        ("matched", 2_500, 350),
        ("alarm", 2_000, 900),
        ("overload", 4_095, 900),
    ] {
        let mut bench = bench::<Fixed32>(straight());
        bench.front.give(forward, reverse);
        bench.front.stick();
        bench.meter.step(100);
        assert_eq!(shown::<f32>(forward, reverse), bench.glass.picture(), "{name}");
        let lit = bench
            .glass
            .picture()
            .iter()
            .map(|byte| byte.count_ones())
            .sum::<u32>();
        assert!((300..4_000).contains(&lit), "{name}: {lit} pixels");
        let file = format!("pictures/{name}.png");
        let picture = png_of(&bench.glass);
        if std::env::var_os("OHMWRIGHT_REWRITE").is_some() {
            fs::create_dir_all("pictures").unwrap();
            fs::write(&file, picture).unwrap();
        } else {
            assert!(
                fs::read(&file).is_ok_and(|kept| kept == picture),
                "{file} is another picture"
            );
        }
    }
}

fn shown<A: swr_meter::Numbers>(forward: u16, reverse: u16) -> Vec<u8> {
    let mut bench = bench::<A>(straight());
    bench.front.give(forward, reverse);
    bench.front.stick();
    bench.meter.step(100);
    bench.glass.picture()
}

/// Three times as large, with a frame.
fn png_of(glass: &bench::Glass) -> Vec<u8> {
    const SCALE: usize = 3;
    const FRAME: usize = 6;
    let (width, height) = (128 * SCALE + 2 * FRAME, 64 * SCALE + 2 * FRAME);
    let mut grey = Vec::new();
    for y in 0..height {
        for x in 0..width {
            let inside =
                |at: usize, size: usize| at.checked_sub(FRAME).map(|at| at / SCALE).filter(|at| *at < size);
            let is_lit = inside(x, 128)
                .zip(inside(y, 64))
                .is_some_and(|(x, y)| glass.pixel(x, y));
            grey.push(if is_lit { 0xff } else { 0x00 });
        }
    }
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, width as u32, height as u32);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.write_header().unwrap().write_image_data(&grey).unwrap();
    file
}
