//! The meter on an STM32F405. README.md of the meter has the wiring.
#![no_std]
#![no_main]
#![forbid(unsafe_code)]

use core::cell::RefCell;
use core::convert::Infallible;
use core::panic::PanicInfo;

use cortex_m::peripheral::DWT;
use cortex_m_rt::entry;
use embedded_hal_bus::i2c::RefCellDevice;
use stm32f4xx_hal::adc::Adc;
use stm32f4xx_hal::adc::config::{AdcConfig, SampleTime};
use stm32f4xx_hal::gpio::{Analog, PA1, PA2};
use stm32f4xx_hal::i2c::I2c;
use stm32f4xx_hal::pac::{self, ADC1};
use stm32f4xx_hal::prelude::*;
use stm32f4xx_hal::rcc::Config;
use stm32f4xx_hal::watchdog::IndependentWatchdog;
use swr_meter::memory::BusMemory;
use swr_meter::{Counts, FrontEnd, Instrument, Panel, Polarity, Setup, demo};

/// **Invented; put your own here:** see "How to make the level table" in the README of the meter.
const BUILT_IN: Setup = demo::DEMO;
const STEP_MS: u32 = 5;

/// The mean of eight conversions of each channel, one after the other.
struct Diodes {
    adc: Adc<ADC1>,
    forward: PA1<Analog>,
    reverse: PA2<Analog>,
}

impl FrontEnd for Diodes {
    type Error = Infallible;

    fn read(&mut self) -> Result<Counts, Infallible> {
        let (mut forward, mut reverse) = (0u16, 0u16);
        for _ in 0..8 {
            forward += self.adc.convert(&self.forward, SampleTime::Cycles_84).min(4_095);
            reverse += self.adc.convert(&self.reverse, SampleTime::Cycles_84).min(4_095);
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
    let (Some(device), Some(mut core)) = (pac::Peripherals::take(), cortex_m::Peripherals::take()) else {
        stopped()
    };
    let mut watchdog = IndependentWatchdog::new(device.IWDG);
    watchdog.start(1.secs());
    // The internal oscillator: whatever crystal a board has.
    let mut rcc = device.RCC.freeze(Config::hsi().sysclk(84.MHz()));
    let (port_a, port_b) = (device.GPIOA.split(&mut rcc), device.GPIOB.split(&mut rcc));
    let port_c = device.GPIOC.split(&mut rcc);
    let front = Diodes {
        adc: Adc::new(device.ADC1, true, AdcConfig::default(), &mut rcc),
        forward: port_a.pa1.into_analog(),
        reverse: port_a.pa2.into_analog(),
    };
    let bus = RefCell::new(I2c::new(
        device.I2C1,
        (port_b.pb8, port_b.pb9),
        400.kHz(),
        &mut rcc,
    ));
    let waiting = device.TIM2.delay_us(&mut rcc);
    // The time is counted in cycles, so that a long step is not taken for a short one.
    core.DCB.enable_trace();
    core.DWT.enable_cycle_counter();
    let cycles_per_ms = (rcc.clocks.hclk().raw() / 1_000).max(1);
    let instrument = Instrument::<f32, _, _, _, _, _>::new(
        BUILT_IN,
        front,
        port_b.pb0.into_push_pull_output(),
        Polarity::High,
        Panel::new(RefCellDevice::new(&bus)),
        BusMemory::<_, _, 32>::new(RefCellDevice::new(&bus), waiting, 0x50, 5),
        port_c.pc13.into_pull_up_input(),
    );
    let Ok(mut instrument) = instrument else { stopped() };

    let mut before = DWT::cycle_count();
    loop {
        watchdog.feed();
        let elapsed_ms = DWT::cycle_count().wrapping_sub(before) / cycles_per_ms;
        if elapsed_ms >= STEP_MS {
            before = before.wrapping_add(elapsed_ms * cycles_per_ms);
            instrument.step(elapsed_ms);
        }
    }
}
