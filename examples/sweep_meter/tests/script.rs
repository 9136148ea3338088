//! The analyser from power-on to a stored calibration and a sweep, by script, with a simulated front end. Invented.

use std::cell::RefCell;
use std::fs;
use std::rc::Rc;

use embedded_graphics::Pixel;
use embedded_graphics::draw_target::DrawTarget;
use embedded_graphics::geometry::{OriginDimensions, Point, Size};
use embedded_graphics::pixelcolor::BinaryColor;
use ohmwright::arithmetic::{Arithmetic, Fixed32};
use ohmwright::measure::calibration::{CalibrationPoint, Kit, Role};
use ohmwright::measure::detector::{Iq, VectorDetector};
use ohmwright::quantity::{Decibels, Hertz, Reference};
use sweep_meter::{
    Ability, Button, Instrument, Receivers, Settings, Slot, Source, Stage, Trouble, Vault, VaultError, Waves,
};

const POINTS: usize = 51;
const SLOT: usize = 64 + 40 * POINTS;

/// What is on the port.
#[derive(Clone, Copy, PartialEq)]
enum Connected {
    Open,
    Short,
    Load,
    /// 45 Ω and a coil that resonates at 71 MHz with a capacitor.
    Antenna,
}

type Complex = (f64, f64);

fn times(a: Complex, b: Complex) -> Complex {
    (a.0 * b.0 - a.1 * b.1, a.0 * b.1 + a.1 * b.0)
}

fn over(a: Complex, b: Complex) -> Complex {
    let power = b.0 * b.0 + b.1 * b.1;
    let product = times(a, (b.0, -b.1));
    (product.0 / power, product.1 / power)
}

/// Γ of what is connected, from the definition: (Z − 50)/(Z + 50).
fn gamma(connected: Connected, hertz: f64) -> Complex {
    match connected {
        Connected::Open => (1.0, 0.0),
        Connected::Short => (-1.0, 0.0),
        Connected::Load => (0.0, 0.0),
        Connected::Antenna => {
            let ratio = hertz / 71e6;
            let reactance = 388.5 * (ratio - 1.0 / ratio);
            over((45.0 - 50.0, reactance), (45.0 + 50.0, reactance))
        }
    }
}

struct Port {
    connected: Connected,
    hertz: f64,
    source_fails: bool,
    receivers_fail: bool,
    /// Counts of the incident wave.
    level: f64,
    /// At this frequency the reflected receiver is at its limit.
    spoilt: f64,
}

/// Source and receivers on one port behind a bridge with error terms; counts of 16 bits.
#[derive(Clone)]
struct Front(Rc<RefCell<Port>>);

impl Source for Front {
    type Error = ();

    fn set(&mut self, frequency: Hertz) -> Result<(), ()> {
        let mut port = self.0.borrow_mut();
        port.hertz = frequency.get() as f64;
        if port.source_fails { Err(()) } else { Ok(()) }
    }
}

impl Receivers for Front {
    type Error = ();

    fn read(&mut self) -> Result<Waves, ()> {
        let port = self.0.borrow();
        if port.receivers_fail {
            return Err(());
        }
        // b = e00 + e01·Γ/(1 − e11·Γ); tracking turns with the frequency.
        let load = gamma(port.connected, port.hertz);
        let angle = port.hertz / 71e6 - 1.0;
        let tracking = times((0.7, 0.1), (angle.cos(), angle.sin()));
        let source = times((0.1, -0.05), load);
        let through = over(times(tracking, load), (1.0 - source.0, -source.1));
        let raw = (0.05 + through.0, -0.03 + through.1);
        // The phase of the source is anything.
        let incident = (port.level * 0.8, port.level * -0.6);
        let reflected = times(raw, incident);
        let count = |value: f64| value.round() as i32;
        let limit = if port.spoilt == port.hertz {
            32_767
        } else {
            count(reflected.0)
        };
        Ok(Waves {
            incident: Iq::new(count(incident.0), count(incident.1)),
            reflected: Iq::new(limit, count(reflected.1)),
        })
    }
}

struct Slots {
    bytes: [[u8; SLOT]; 2],
    /// Bytes that can still be written.
    left: usize,
}

#[derive(Clone)]
struct Flash(Rc<RefCell<Slots>>);

impl Vault for Flash {
    type Error = ();

    fn read(&mut self, slot: Slot, bytes: &mut [u8]) -> Result<(), ()> {
        bytes.copy_from_slice(&self.0.borrow().bytes[slot as usize][..bytes.len()]);
        Ok(())
    }

    fn write(&mut self, slot: Slot, bytes: &[u8]) -> Result<(), ()> {
        let mut slots = self.0.borrow_mut();
        for (place, byte) in bytes.iter().enumerate() {
            slots.left = slots.left.checked_sub(1).ok_or(())?;
            slots.bytes[slot as usize][place] = *byte;
        }
        Ok(())
    }
}

/// A display of two colours.
struct Glass {
    size: Size,
    lit: Vec<bool>,
    fails: bool,
}

impl Glass {
    fn new(width: u32, height: u32) -> Self {
        Self {
            size: Size::new(width, height),
            lit: vec![false; (width * height) as usize],
            fails: false,
        }
    }

    fn count(&self) -> usize {
        self.lit.iter().filter(|lit| **lit).count()
    }
}

impl OriginDimensions for Glass {
    fn size(&self) -> Size {
        self.size
    }
}

impl DrawTarget for Glass {
    type Color = BinaryColor;
    type Error = &'static str;

    fn draw_iter<P: IntoIterator<Item = Pixel<BinaryColor>>>(
        &mut self,
        pixels: P,
    ) -> Result<(), &'static str> {
        if self.fails {
            return Err("the display does not answer");
        }
        for Pixel(Point { x, y }, colour) in pixels {
            if (0..self.size.width as i32).contains(&x) && (0..self.size.height as i32).contains(&y) {
                self.lit[y as usize * self.size.width as usize + x as usize] = colour.is_on();
            }
        }
        Ok(())
    }
}

fn settings<A: Arithmetic>() -> Settings<A> {
    Settings {
        start: Hertz::from_megahertz(66),
        stop: Hertz::from_megahertz(76),
        detector: VectorDetector::of_bits::<16>(),
        kit: Kit::IDEAL,
        reference: Reference::fifty(),
        power_dbm: Decibels::whole::<-10>(),
    }
}

fn port() -> Front {
    Front(Rc::new(RefCell::new(Port {
        connected: Connected::Open,
        hertz: 0.0,
        source_fails: false,
        receivers_fail: false,
        level: 20_000.0,
        spoilt: 0.0,
    })))
}

fn flash() -> Flash {
    Flash(Rc::new(RefCell::new(Slots {
        bytes: [[0xff; SLOT]; 2],
        left: usize::MAX,
    })))
}

/// Until nothing more happens without a button.
fn rest<A: Arithmetic>(
    instrument: &mut Instrument<'_, A, Front, Front, Flash, 4>,
    glass: &mut Glass,
) -> Stage {
    for _ in 0..3 * POINTS {
        let _ = instrument.step(glass);
    }
    instrument.stage()
}

/// The dialogue, with the standards connected as told.
fn calibrate<A: Arithmetic>(
    instrument: &mut Instrument<'_, A, Front, Front, Flash, 4>,
    glass: &mut Glass,
    front: &Front,
    connected: [Connected; 3],
) -> Stage {
    if instrument.stage() == Stage::Choice(Ability::Sweep) {
        instrument.press(Button::Next);
    }
    assert_eq!(rest(instrument, glass), Stage::Choice(Ability::Calibrate));
    instrument.press(Button::Confirm);
    for (role, connected) in [Role::Open, Role::Short, Role::Load].into_iter().zip(connected) {
        assert_eq!(rest(instrument, glass), Stage::Connect(role));
        assert!(glass.count() > 100, "the request for {role:?} is not to be seen");
        front.0.borrow_mut().connected = connected;
        instrument.press(Button::Confirm);
    }
    rest(instrument, glass)
}

const STANDARDS: [Connected; 3] = [Connected::Open, Connected::Short, Connected::Load];

/// Runs a check with an instrument that has room.
fn with<A: Arithmetic>(
    front: &Front,
    flash: &Flash,
    check: impl FnOnce(&mut Instrument<'_, A, Front, Front, Flash, 4>),
) {
    let (mut points, mut room) = (
        [CalibrationPoint::EMPTY; POINTS],
        [CalibrationPoint::EMPTY; POINTS],
    );
    let mut buffer = [0; SLOT];
    let parts = (front.clone(), front.clone(), flash.clone());
    let made = Instrument::new(settings::<A>(), parts, &mut points, &mut room, &mut buffer);
    let mut instrument = made.unwrap();
    check(&mut instrument);
}

/// By hand: 45 Ω at resonance is an SWR of 50/45 = 1.111 at 71 MHz.
fn is_right<A: Arithmetic>(instrument: &Instrument<'_, A, Front, Front, Flash, 4>) -> bool {
    let report = instrument.report();
    report.best().is_some_and(|dip| {
        dip.frequency.get().abs_diff(71_000_000) < 3_000 && (dip.swr().to_f64() - 50.0 / 45.0).abs() < 0.003
    })
}

fn whole_story<A: Arithmetic>(name: &str) {
    let (front, flash) = (port(), flash());
    let mut glass = Glass::new(128, 64);
    with::<A>(&front, &flash, |instrument| {
        assert!(!instrument.is_calibrated());
        // Without a calibration the bridge spoils it.
        instrument.press(Button::Next);
        front.0.borrow_mut().connected = Connected::Antenna;
        instrument.press(Button::Confirm);
        assert_eq!(rest(instrument, &mut glass), Stage::Swept(0));
        assert!(!is_right(instrument), "{:?}", instrument.report().best());
        instrument.press(Button::Leave);
        assert_eq!(
            calibrate(instrument, &mut glass, &front, STANDARDS),
            Stage::Calibrated
        );
        front.0.borrow_mut().connected = Connected::Antenna;
        instrument.press(Button::Confirm);
        instrument.press(Button::Confirm);
        assert_eq!(rest(instrument, &mut glass), Stage::Swept(0));
        assert!(is_right(instrument), "{name}: {:?}", instrument.report().best());
    });
    // The supply was off: the calibration is there.
    with::<A>(&front, &flash, |instrument| {
        assert!(instrument.is_calibrated());
        instrument.press(Button::Confirm);
        assert_eq!(rest(instrument, &mut glass), Stage::Swept(0));
        assert!(is_right(instrument), "{name}: {:?}", instrument.report().best());
    });
}

#[test]
fn from_power_on_to_a_sweep_and_again_after_it() {
    whole_story::<Fixed32>("Fixed32");
    whole_story::<f32>("f32");
}

#[test]
fn alike_standards_fail_and_the_calibration_before_stays() {
    let (front, flash) = (port(), flash());
    let mut glass = Glass::new(128, 64);
    with::<Fixed32>(&front, &flash, |instrument| {
        assert_eq!(
            calibrate(instrument, &mut glass, &front, STANDARDS),
            Stage::Calibrated
        );
        instrument.press(Button::Confirm);
        let alike = calibrate(instrument, &mut glass, &front, [Connected::Open; 3]);
        assert!(
            matches!(alike, Stage::Failed(Trouble::Calibration(_))),
            "{alike:?}"
        );
        instrument.press(Button::Leave);
        assert!(instrument.is_calibrated());
        front.0.borrow_mut().connected = Connected::Antenna;
        instrument.press(Button::Confirm);
        assert_eq!(rest(instrument, &mut glass), Stage::Swept(0));
        assert!(is_right(instrument));
        // A dialogue that is left in the middle changes nothing either.
        instrument.press(Button::Leave);
        instrument.press(Button::Next);
        instrument.press(Button::Confirm);
        instrument.press(Button::Confirm);
        rest(instrument, &mut glass);
        assert_eq!(instrument.stage(), Stage::Connect(Role::Short));
        instrument.press(Button::Leave);
        front.0.borrow_mut().connected = Connected::Antenna;
        instrument.press(Button::Confirm);
        rest(instrument, &mut glass);
        assert!(is_right(instrument));
        // And the next calibration has its room.
        instrument.press(Button::Leave);
        assert_eq!(
            calibrate(instrument, &mut glass, &front, STANDARDS),
            Stage::Calibrated
        );
    });
}

#[test]
fn a_standard_may_be_read_once_more() {
    let (front, flash) = (port(), flash());
    let mut glass = Glass::new(128, 64);
    with::<f32>(&front, &flash, |instrument| {
        instrument.press(Button::Confirm);
        front.0.borrow_mut().connected = Connected::Load;
        instrument.press(Button::Confirm);
        assert_eq!(rest(instrument, &mut glass), Stage::Connect(Role::Short));
        // That was the load: back.
        instrument.press(Button::Next);
        for (role, connected) in [Role::Open, Role::Short, Role::Load].into_iter().zip(STANDARDS) {
            assert_eq!(rest(instrument, &mut glass), Stage::Connect(role));
            front.0.borrow_mut().connected = connected;
            instrument.press(Button::Confirm);
        }
        assert_eq!(rest(instrument, &mut glass), Stage::Calibrated);
        front.0.borrow_mut().connected = Connected::Antenna;
        instrument.press(Button::Confirm);
        instrument.press(Button::Confirm);
        rest(instrument, &mut glass);
        assert!(is_right(instrument), "{:?}", instrument.report().best());
    });
}

#[test]
fn what_fails_has_a_name_and_the_instrument_goes_on() {
    let (front, flash) = (port(), flash());
    let mut glass = Glass::new(128, 64);
    with::<Fixed32>(&front, &flash, |instrument| {
        assert_eq!(
            calibrate(instrument, &mut glass, &front, STANDARDS),
            Stage::Calibrated
        );
        instrument.press(Button::Confirm);
        front.0.borrow_mut().connected = Connected::Antenna;
        // A point at the converter's limit is left out.
        front.0.borrow_mut().spoilt = 67e6;
        instrument.press(Button::Confirm);
        assert_eq!(rest(instrument, &mut glass), Stage::Swept(1));
        assert!(is_right(instrument));
        // No signal at all: every point.
        front.0.borrow_mut().level = 0.0;
        instrument.press(Button::Confirm);
        assert_eq!(rest(instrument, &mut glass), Stage::Swept(POINTS as u32));
        assert!(instrument.report().best().is_none());
        instrument.press(Button::Leave);
        let silent = {
            instrument.press(Button::Next);
            instrument.press(Button::Confirm);
            instrument.press(Button::Confirm);
            rest(instrument, &mut glass)
        };
        assert!(matches!(silent, Stage::Failed(Trouble::Reading(_))), "{silent:?}");
        instrument.press(Button::Confirm);
        front.0.borrow_mut().level = 20_000.0;
        front.0.borrow_mut().source_fails = true;
        instrument.press(Button::Confirm);
        assert_eq!(rest(instrument, &mut glass), Stage::Failed(Trouble::Source));
        front.0.borrow_mut().source_fails = false;
        front.0.borrow_mut().receivers_fail = true;
        instrument.press(Button::Leave);
        instrument.press(Button::Confirm);
        assert_eq!(rest(instrument, &mut glass), Stage::Failed(Trouble::Receivers));
        front.0.borrow_mut().receivers_fail = false;
        instrument.press(Button::Leave);
        // Without a display it measures on.
        glass.fails = true;
        instrument.press(Button::Confirm);
        assert!(instrument.step(&mut glass).is_err());
        assert_eq!(rest(instrument, &mut glass), Stage::Swept(1));
        assert!(is_right(instrument));
    });
}

#[test]
fn a_supply_that_fails_in_the_middle_of_a_store_loses_nothing() {
    for left in (0..1_500).step_by(61) {
        let (front, flash) = (port(), flash());
        let mut glass = Glass::new(64, 48);
        with::<Fixed32>(&front, &flash, |instrument| {
            assert_eq!(
                calibrate(instrument, &mut glass, &front, STANDARDS),
                Stage::Calibrated
            );
            instrument.press(Button::Confirm);
            flash.0.borrow_mut().left = left;
            let stage = calibrate(instrument, &mut glass, &front, STANDARDS);
            let failed = matches!(stage, Stage::Failed(Trouble::NotKept(VaultError::Memory)));
            assert!(
                failed || (stage == Stage::Calibrated && left > 1_000),
                "{left}: {stage:?}"
            );
            assert!(instrument.is_calibrated());
        });
        flash.0.borrow_mut().left = usize::MAX;
        with::<Fixed32>(&front, &flash, |instrument| {
            assert!(instrument.is_calibrated(), "after {left} bytes nothing is left");
            front.0.borrow_mut().connected = Connected::Antenna;
            instrument.press(Button::Confirm);
            rest(instrument, &mut glass);
            assert!(is_right(instrument));
        });
    }
}

/// Any buttons in any order, at any time: it never gets stuck, and a calibration never appears from nowhere.
#[test]
fn any_buttons_in_any_order() {
    let (front, flash) = (port(), flash());
    let mut glass = Glass::new(128, 64);
    let mut state = 0x1234_5678u32;
    let mut next = |below: u32| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (state >> 16) % below
    };
    with::<Fixed32>(&front, &flash, |instrument| {
        for _ in 0..3_000 {
            instrument
                .press([Button::Next, Button::Confirm, Button::Confirm, Button::Leave][next(4) as usize]);
            for _ in 0..next(2 * POINTS as u32) {
                instrument.step(&mut glass).unwrap();
            }
            // The port is always open: two standards are alike, and nothing can be solved.
            assert!(!instrument.is_calibrated());
        }
    });
}

#[test]
fn a_room_for_one_point_is_no_sweep() {
    let (mut points, mut room) = ([CalibrationPoint::<f32>::EMPTY; 1], [CalibrationPoint::EMPTY; 1]);
    let (parts, mut buffer) = ((port(), port(), flash()), [0; SLOT]);
    let made = Instrument::<f32, _, _, _, 4>::new(settings(), parts, &mut points, &mut room, &mut buffer);
    assert!(made.is_err());
}

/// Of each stage, on a small display and a larger one: something to see, and the pictures to look at.
#[test]
fn each_stage_has_its_picture() {
    for (width, height) in [(128, 64), (240, 240)] {
        let (front, flash) = (port(), flash());
        let mut glass = Glass::new(width, height);
        let folder = format!("{}/pictures", env!("CARGO_TARGET_TMPDIR"));
        fs::create_dir_all(&folder).unwrap();
        let mut before = Vec::new();
        let mut show = |name: &str, glass: &Glass| {
            assert!(glass.count() > 150 && glass.lit != before, "{name}");
            before = glass.lit.clone();
            fs::write(format!("{folder}/{name}_{width}x{height}.png"), png_of(glass)).unwrap();
        };
        with::<Fixed32>(&front, &flash, |instrument| {
            rest(instrument, &mut glass);
            show("start", &glass);
            instrument.press(Button::Confirm);
            rest(instrument, &mut glass);
            show("connect_open", &glass);
            instrument.press(Button::Leave);
            assert_eq!(
                calibrate(instrument, &mut glass, &front, STANDARDS),
                Stage::Calibrated
            );
            show("calibrated", &glass);
            front.0.borrow_mut().connected = Connected::Antenna;
            instrument.press(Button::Confirm);
            instrument.press(Button::Confirm);
            rest(instrument, &mut glass);
            show("swept", &glass);
        });
    }
}

fn png_of(glass: &Glass) -> Vec<u8> {
    let grey: Vec<u8> = glass.lit.iter().map(|lit| if *lit { 0xff } else { 0 }).collect();
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, glass.size.width, glass.size.height);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.write_header().unwrap().write_image_data(&grey).unwrap();
    file
}
