//! RISC-V: the counter of retired instructions counts, the debugger's breakpoint talks.

use core::arch::{asm, global_asm};

global_asm!(
    r#"
    .section .vectors, "ax"
    .global start
start:
    la sp, STACK_TOP
    la t0, fault
    csrw mtvec, t0
    call run
    .balign 4
fault:
    call faulted

    .text
    # a0 kernel, a1 output, a2 input, a3 context: the instructions between two looks at the counter.
    .global ticks
ticks:
    addi sp, sp, -16
    sw ra, 0(sp)
    sw s0, 4(sp)
    mv t0, a0
    mv a0, a1
    mv a1, a2
    mv a2, a3
    csrr s0, minstret
    jalr t0
    csrr a0, minstret
    sub a0, a0, s0
    lw ra, 0(sp)
    lw s0, 4(sp)
    addi sp, sp, 16
    ret

    # The same arguments: the bytes of stack that the call overwrites.
    .global stack
stack:
    addi sp, sp, -16
    sw ra, 0(sp)
    mv t0, a0
    mv a0, a1
    mv a1, a2
    mv a2, a3
    la t1, BSS_END
    li t2, 0x5AA5C33C
1:  sw t2, 0(t1)
    addi t1, t1, 4
    bltu t1, sp, 1b
    jalr t0
    la t1, BSS_END
    li t2, 0x5AA5C33C
2:  lw a0, 0(t1)
    bne a0, t2, 3f
    addi t1, t1, 4
    bltu t1, sp, 2b
3:  sub a0, sp, t1
    lw ra, 0(sp)
    addi sp, sp, 16
    ret

    .global empty
empty:
    ret
"#
);

#[cfg(feature = "calibration")]
global_asm!(
    r#"
    .macro sled name, length
    .global \name
\name:
    .rept \length
    nop
    .endr
    ret
    .endm
    sled sled_0, 0
    sled sled_1, 1
    sled sled_10, 10
    sled sled_100, 100
    sled sled_1000, 1000
    .macro turns name, length
    .global \name
\name:
    lui a0, %hi(\length)
    addi a0, a0, %lo(\length)
1:  addi a0, a0, -1
    bnez a0, 1b
    ret
    .endm
    turns turns_5000, 5000
    turns turns_5000000, 5000000
"#
);

/// # Safety
/// `argument` must be what the operation expects.
pub unsafe fn host_call(operation: u32, argument: usize) {
    // SAFETY: the caller's. The three instructions must stand as they are, uncompressed and within one page.
    unsafe {
        asm!(
            ".balign 16",
            ".option push",
            ".option norvc",
            "slli zero, zero, 0x1f",
            "ebreak",
            "srai zero, zero, 7",
            ".option pop",
            inout("a0") operation => _,
            in("a1") argument,
        );
    }
}
