//! The meter on an RP2040. README.md of the meter has the wiring.
#![no_std]
#![no_main]

use core::cell::RefCell;
use core::convert::Infallible;
use core::panic::PanicInfo;

use embedded_hal_bus::i2c::RefCellDevice;
use ohmwright::arithmetic::Fixed32;
use rp2040_hal::adc::{Adc, AdcChannel, AdcPin};
use rp2040_hal::clocks::{Clock, init_clocks_and_plls};
use rp2040_hal::fugit::{ExtU32, RateExtU32};
use rp2040_hal::gpio::{FunctionI2C, Pins, PullUp};
use rp2040_hal::{I2C, Sio, Timer, Watchdog, entry, pac};
use swr_meter::memory::BusMemory;
use swr_meter::{Counts, FrontEnd, Instrument, Panel, Polarity, Setup, demo};

/// **Invented; put your own here:** see "How to make the level table" in the README of the meter.
const BUILT_IN: Setup = demo::DEMO;
/// The crystal of the usual boards.
const CRYSTAL_HZ: u32 = 12_000_000;
const STEP_MS: u32 = 5;

/// Loads the flash's first block; one that every common flash chip understands.
#[unsafe(link_section = ".boot2")]
#[used]
static BOOT2: [u8; 256] = rp2040_boot2::BOOT_LOADER_GENERIC_03H;

/// The mean of eight conversions of each channel, one after the other.
struct Diodes<F, R> {
    adc: Adc,
    forward: F,
    reverse: R,
}

impl<F: AdcChannel, R: AdcChannel> FrontEnd for Diodes<F, R> {
    type Error = Infallible;

    fn read(&mut self) -> Result<Counts, Infallible> {
        let (mut forward, mut reverse) = (0u16, 0u16);
        for _ in 0..8 {
            // A conversion with its error flag set counts as one at the limit: an overload, and so an alarm.
            forward += self.adc.read(&mut self.forward).unwrap_or(4_095);
            reverse += self.adc.read(&mut self.reverse).unwrap_or(4_095);
        }
        Ok(Counts {
            forward: forward / 8,
            reverse: reverse / 8,
        })
    }
}

/// Whatever ends the program lets the watchdog start it anew. Until then the line is as it was; during the start its
/// resistor alarms.
fn stopped() -> ! {
    loop {
        cortex_m::asm::nop();
    }
}

#[panic_handler]
fn panic(_: &PanicInfo) -> ! {
    stopped()
}

#[entry]
fn main() -> ! {
    let Some(mut pac) = pac::Peripherals::take() else {
        stopped()
    };
    let mut watchdog = Watchdog::new(pac.WATCHDOG);
    let clocks = init_clocks_and_plls(
        CRYSTAL_HZ,
        pac.XOSC,
        pac.CLOCKS,
        pac.PLL_SYS,
        pac.PLL_USB,
        &mut pac.RESETS,
        &mut watchdog,
    );
    let Ok(clocks) = clocks else { stopped() };
    watchdog.start(1_000_000.micros());
    let timer = Timer::new(pac.TIMER, &mut pac.RESETS, &clocks);
    let sio = Sio::new(pac.SIO);
    let pins = Pins::new(pac.IO_BANK0, pac.PADS_BANK0, sio.gpio_bank0, &mut pac.RESETS);

    let (Ok(forward), Ok(reverse)) = (
        AdcPin::new(pins.gpio26.into_floating_input()),
        AdcPin::new(pins.gpio27.into_floating_input()),
    ) else {
        stopped()
    };
    let front = Diodes {
        adc: Adc::new(pac.ADC, &mut pac.RESETS),
        forward,
        reverse,
    };
    let bus = RefCell::new(I2C::i2c0(
        pac.I2C0,
        pins.gpio4.reconfigure::<FunctionI2C, PullUp>(),
        pins.gpio5.reconfigure::<FunctionI2C, PullUp>(),
        400.kHz(),
        &mut pac.RESETS,
        clocks.system_clock.freq(),
    ));
    let instrument = Instrument::<Fixed32, _, _, _, _, _>::new(
        BUILT_IN,
        front,
        pins.gpio15.into_push_pull_output(),
        Polarity::High,
        Panel::new(RefCellDevice::new(&bus)),
        BusMemory::<_, _, 32>::new(RefCellDevice::new(&bus), timer, 0x50, 5),
        pins.gpio14.into_pull_up_input(),
    );
    let Ok(mut instrument) = instrument else { stopped() };

    let mut before = timer.get_counter().ticks();
    loop {
        watchdog.feed();
        let now = timer.get_counter().ticks();
        let elapsed = now.wrapping_sub(before) / 1000;
        if elapsed >= u64::from(STEP_MS) {
            before = before.wrapping_add(elapsed * 1000);
            instrument.step(u32::try_from(elapsed).unwrap_or(u32::MAX));
        }
    }
}
