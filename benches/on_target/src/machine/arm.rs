//! Cortex-M: SysTick counts, the debugger's breakpoint talks.

use core::arch::{asm, global_asm};

global_asm!(
    r#"
    .syntax unified
    .section .vectors, "a"
    .word STACK_TOP
    .word start
    .rept 14
    .word fault
    .endr

    .text
    .thumb_func
    .global start
start:
    bl prepare
    bl run
    .thumb_func
fault:
    bl faulted

    @ r0 kernel, r1 output, r2 input, r3 context: the ticks between two looks at the counter, which counts down. It is set
    @ to zero before, which also clears the flag that it has reached zero: where the flag is up again after the call, the
    @ counter has gone all the way round, and the answer is all ones.
    .thumb_func
    .global ticks
ticks:
    push {{r4, r5, r6, lr}}
    mov r6, r0
    mov r0, r1
    mov r1, r2
    mov r2, r3
    ldr r4, =0xE000E010
    str r4, [r4, #8]
    ldr r5, [r4, #8]
    blx r6
    ldr r0, [r4, #8]
    ldr r1, [r4]
    lsls r1, r1, #15
    bmi 1f
    subs r0, r5, r0
    lsls r0, r0, #8
    lsrs r0, r0, #8
    pop {{r4, r5, r6, pc}}
1:  movs r0, #0
    mvns r0, r0
    pop {{r4, r5, r6, pc}}

    @ The same arguments: the bytes of stack that the call overwrites.
    .thumb_func
    .global stack
stack:
    push {{r4, r5, r6, lr}}
    mov r6, r0
    mov r0, r1
    mov r1, r2
    mov r2, r3
    ldr r3, =0x5AA5C33C
    mov r5, sp
    ldr r4, =BSS_END
1:  str r3, [r4]
    adds r4, r4, #4
    cmp r4, r5
    blo 1b
    blx r6
    ldr r3, =0x5AA5C33C
    ldr r4, =BSS_END
2:  ldr r0, [r4]
    cmp r0, r3
    bne 3f
    adds r4, r4, #4
    cmp r4, r5
    blo 2b
3:  subs r0, r5, r4
    pop {{r4, r5, r6, pc}}

    .thumb_func
    .global empty
empty:
    bx lr
    .ltorg
"#
);

#[cfg(feature = "calibration")]
global_asm!(
    r#"
    .syntax unified
    .macro sled name, length
    .thumb_func
    .global \name
\name:
    .rept \length
    nop
    .endr
    bx lr
    .endm
    sled sled_0, 0
    sled sled_1, 1
    sled sled_10, 10
    sled sled_100, 100
    sled sled_1000, 1000
    .macro turns name, length
    .thumb_func
    .global \name
\name:
    ldr r0, =\length
1:  subs r0, r0, #1
    bne 1b
    bx lr
    .endm
    turns turns_5000, 5000
    turns turns_5000000, 5000000
    .ltorg
"#
);

/// Runs before everything else: the floating-point unit, if there is one, and the counter.
#[unsafe(no_mangle)]
extern "C" fn prepare() {
    // SAFETY: registers of the core.
    unsafe {
        #[cfg(target_abi = "eabihf")]
        {
            (0xE000_ED88 as *mut u32).write_volatile(0xF << 20);
            asm!("dsb", "isb");
        }
        let control = 0xE000_E010 as *mut u32;
        control.add(1).write_volatile(0x00FF_FFFF);
        control.add(2).write_volatile(0);
        // On, from the processor's clock, no interrupt.
        control.write_volatile(5);
    }
}

/// # Safety
/// `argument` must be what the operation expects.
pub unsafe fn host_call(operation: u32, argument: usize) {
    // SAFETY: the caller's.
    unsafe { asm!("bkpt 0xAB", inout("r0") operation => _, in("r1") argument) };
}
