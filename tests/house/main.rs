//! What must agree with itself: the README, the guide, and the inputs that the fuzzer has found.

mod fuzz_corpus;
mod guide;
mod readme;
