//! No call in `f32` can panic: the image links.

#![no_std]
#![no_main]

use ohmwright_proofs::{device, networks, plans};

ohmwright_proofs::a_panic_breaks_the_link!();
ohmwright_proofs::start!({
    device::everything::<f32>();
    networks::ranked::<f32>();
    plans::windings::<f32>();
});
