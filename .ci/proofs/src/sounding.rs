//! Distances of what reflects, and cables.

use ohmwright::measure::calibration::Delay;
use ohmwright::measure::line::{
    CableEnd, CableReport, CableSettings, CableSweep, DistanceSettings, DistanceSweep, DistanceWindow,
};
use ohmwright::quantity::{Component, Hertz, VelocityFactor};

use crate::given::{Words, gamma, reference};
use crate::unknown::{any, beginning, keep, one_of, show};

/// Errors are shown, as a device would.
fn told<T, E: core::fmt::Display>(result: Result<T, E>) -> Option<T> {
    result.map_err(show).ok()
}

#[inline(never)]
pub fn everything<A: Words>() {
    distances::<A>();
    cables::<A>();
}

#[inline(never)]
fn distances<A: Words>() {
    let settings = DistanceSettings::<A>::new(any(), any(), any(), any::<VelocityFactor<A>>());
    let Some(settings) = told(settings) else { return };
    let window = one_of(
        [DistanceWindow::Uniform, DistanceWindow::Hann],
        DistanceWindow::Blackman,
    );
    let settings = settings
        .with_window(window)
        .with_nearest(any())
        .with_spacing(any());
    let Some(mut sweep) = told(DistanceSweep::<A, 9>::new(settings)) else {
        return;
    };
    while any() {
        keep(told(sweep.push(any(), gamma())));
    }
    keep((
        sweep.points(),
        sweep.resolution(),
        sweep.separable(),
        sweep.unambiguous_range(),
    ));
    keep((sweep.distance(any()), sweep.magnitude(any()), told(sweep.mean())));
    if let Some(faults) = told(sweep.faults(any::<Component<A>>())) {
        for fault in faults {
            keep(fault);
        }
    }
}

fn report<A: Words>(report: CableReport<A>) {
    keep((
        report.end(),
        report.delay(),
        report.end_reflection(),
        report.impedance(),
    ));
    keep((
        report.loss(any()),
        told(report.length(any::<VelocityFactor<A>>())),
    ));
}

#[inline(never)]
fn cables<A: Words>() {
    let settings = CableSettings::<A> {
        start: any(),
        stop: any(),
        points: any(),
        reference: reference(),
        end: one_of([CableEnd::Open, CableEnd::Short], CableEnd::Load),
    };
    if let Some(mut sweep) = told(CableSweep::new(settings, Delay::from_femtoseconds(any()))) {
        while any() {
            keep(told(sweep.push(any(), gamma())));
        }
        keep(sweep.points());
        if let Some(found) = told(sweep.report()) {
            report(found);
        }
    }
    let points = [0; 4].map(|_| (any::<Hertz>(), gamma::<A>()));
    let points = beginning(&points).iter().copied();
    if let Some(found) = told(CableSweep::measure(settings, points)) {
        report(found);
    }
}
