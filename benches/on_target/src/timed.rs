//! The chosen kernel on the chosen path.

use core::mem::{MaybeUninit, transmute};

use crate::kernels::{self, Answer, Kernel, Path};
use crate::machine::{self, Call, Line};

#[cfg(feature = "f32_baseline")]
type Chosen = crate::baseline::Baseline;
#[cfg(feature = "f32")]
type Chosen = kernels::Library<f32>;
#[cfg(feature = "fixed32")]
type Chosen = kernels::Library<ohmwright::arithmetic::Fixed32>;
#[cfg(feature = "fixed16")]
type Chosen = kernels::Library<ohmwright::arithmetic::Fixed16>;

/// One `cfg` for every kernel; none chosen is the empty image.
macro_rules! choose {
    ($($feature:literal => $kernel:ident,)*) => {
        $( #[cfg(feature = $feature)]
        type Timed = kernels::$kernel<Chosen>; )*
        #[cfg(not(any($(feature = $feature),*)))]
        type Timed = kernels::Nothing<Chosen>;
    };
}

choose! {
    "magnitude" => Magnitude,
    "swr" => Swr,
    "return_loss" => ReturnLoss,
    "mismatch_loss" => MismatchLoss,
    "impedance" => ImpedanceOf,
    "impedance_magnitude" => ImpedanceMagnitude,
    "phase" => Phase,
    "q" => Q,
    "all_readouts" => AllReadouts,
    "all_readouts_fifty" => AllReadoutsFifty,
    "readouts_and_swr" => ReadoutsAndSwr,
    "reflection" => ReflectionOf,
    "correction" => Correction,
    "table_correction" => TableCorrection,
    "calibration_solve" => CalibrationSolve,
    "ladder_step" => LadderStep,
    "two_element" => TwoElement,
    "sweep_push" => SweepPush,
    "sweep_job" => SweepJob,
    "sweep_report" => SweepReport,
    "whole_job" => WholeJob,
    "light_push" => LightPush,
    "light_report" => LightReport,
    "light_job" => LightJob,
    "sweep_survey" => SweepSurvey,
    "next_step" => NextStep,
    "demodulate" => Demodulate,
    "demodulate_quarter" => DemodulateQuarter,
    "vector_reflection" => VectorReflection,
    "scalar_reflection" => ScalarReflection,
    "text_impedance" => TextImpedance,
    "text_summary" => TextSummary,
    "summary_readouts" => SummaryReadouts,
    "tuner_decision" => TunerDecision,
}

type Input = <Timed as Kernel>::Input;
type Context = <Timed as Kernel>::Context;
type Output = <Timed as Kernel>::Output;
type Last = <Timed as Kernel>::Last;

/// An answer at a place that the caller names: whatever its size, the machine's convention hands over that place as a
/// hidden first argument. So a call stores its answer where it belongs, as a program that keeps it would have it, and no
/// copy of it is counted as the kernel's.
#[repr(C)]
struct Placed<T> {
    answer: T,
    never_written: MaybeUninit<[u32; 5]>,
}

impl<T> Placed<T> {
    #[inline(always)]
    fn new(answer: T) -> Self {
        Self {
            answer,
            never_written: MaybeUninit::uninit(),
        }
    }
}

#[allow(improper_ctypes_definitions, reason = "both sides are compiled together")]
extern "C" fn call(input: &Input, context: &mut Context) -> Placed<Output> {
    Placed::new(Timed::run(input, context))
}

#[allow(improper_ctypes_definitions, reason = "as above")]
extern "C" fn last_call(_: &Input, context: &mut Context) -> Placed<Last> {
    Placed::new(Timed::end(context))
}

unsafe fn tell<T: Answer>(line: &mut Line, output: *const u8) {
    // SAFETY: a call has just written a `T` there.
    let answer = unsafe { &*output.cast::<T>() };
    answer.words(&mut |word| line.word(word));
}

/// Brings the code that tells any answer of a point into every image, the empty one too: what an image has more is its
/// kernel.
#[used]
#[unsafe(link_section = ".keep")]
static TELLERS: [unsafe fn(&mut Line, *const u8); 11] = [
    tell::<<Chosen as Path>::Component>,
    tell::<<Chosen as Path>::Swr>,
    tell::<<Chosen as Path>::QFactor>,
    tell::<<Chosen as Path>::Decibels>,
    tell::<<Chosen as Path>::Degrees>,
    tell::<<Chosen as Path>::Ohms>,
    tell::<(<Chosen as Path>::Ohms, <Chosen as Path>::Ohms)>,
    tell::<<Chosen as Path>::Gamma>,
    tell::<<Chosen as Path>::Readouts>,
    tell::<kernels::Summary<Chosen>>,
    tell::<[(<Chosen as Path>::Ohms, <Chosen as Path>::Siemens); 4]>,
];

/// The host writes the components one after the other, without knowing the structures. Their order is seen in the
/// answers, their size here.
const _: () = {
    let component = size_of::<<Chosen as Path>::Component>();
    assert!(size_of::<<Chosen as Path>::Gamma>() == 2 * component);
    assert!(size_of::<<Chosen as Path>::Terms>() == 6 * component);
    assert!(size_of::<<Chosen as Path>::Load>() == 2 * size_of::<<Chosen as Path>::Ohms>());
};

static mut CONTEXT: MaybeUninit<Context> = MaybeUninit::uninit();
static mut OUTPUT: MaybeUninit<Placed<Output>> = MaybeUninit::uninit();
static mut LAST: MaybeUninit<Placed<Last>> = MaybeUninit::uninit();

/// Runs `each` with every input, and in the end `last`.
unsafe fn go_through(inputs: &machine::Inputs, mut each: impl FnMut(Call, *const u8, bool)) {
    // SAFETY: the host has loaded a reference and as many inputs as it says, and nothing else touches the context. A call
    // gets its answer's place, an input and the context: just what these two take, one of them unseen.
    unsafe {
        let call: Call =
            transmute(call as extern "C" fn(&'static Input, &'static mut Context) -> Placed<Output>);
        let last_call: Call =
            transmute(last_call as extern "C" fn(&'static Input, &'static mut Context) -> Placed<Last>);
        let reference = inputs.reference.cast::<<Timed as Kernel>::Ohms>().read();
        (&raw mut CONTEXT)
            .cast::<Context>()
            .write(Timed::context(reference));
        let mut input = inputs.first;
        for _ in 0..inputs.count {
            Timed::prepare(&*input.cast(), &mut *(&raw mut CONTEXT).cast());
            each(call, input, false);
            input = input.add(inputs.stride);
        }
        if Timed::ENDS {
            each(last_call, input, true);
        }
    }
}

#[unsafe(no_mangle)]
pub extern "C" fn run() -> ! {
    let inputs = machine::inputs();
    if inputs.stride != size_of::<Input>() {
        machine::say(b"the inputs are not those of this kernel\n\0");
        machine::exit(false);
    }
    let context = (&raw mut CONTEXT).cast::<u8>();
    let place = |last: bool| {
        if last {
            (&raw mut LAST).cast::<u8>()
        } else {
            (&raw mut OUTPUT).cast::<u8>()
        }
    };
    // SAFETY: each call gets pointers to what it expects.
    unsafe {
        let mut line = Line::new(b'e');
        line.word(machine::ticks(
            machine::empty,
            place(false),
            inputs.first,
            context,
        ));
        line.word(machine::stack(
            machine::empty,
            place(false),
            inputs.first,
            context,
        ));
        line.send();

        go_through(&inputs, |call, input, last| {
            let output = place(last);
            let mut line = Line::new(if last { b'l' } else { b'p' });
            line.word(machine::ticks(call, output, input, context));
            if last {
                tell::<Last>(&mut line, output);
            } else {
                tell::<Output>(&mut line, output);
                Timed::left(&*context.cast(), &mut |word| line.word(word));
            }
            line.send();
        });

        // Once more from the start, so that watching the stack does not disturb the counts.
        let (mut of_point, mut of_last) = (0, 0);
        go_through(&inputs, |call, input, last| {
            let bytes = machine::stack(call, place(last), input, context);
            let deepest = if last { &mut of_last } else { &mut of_point };
            let is_measured = last || Timed::is_measured(&*input.cast());
            if is_measured && bytes > *deepest {
                *deepest = bytes;
            }
        });
        let mut line = Line::new(b's');
        line.word(of_point);
        line.word(of_last);
        line.send();
    }
    machine::exit(true)
}
