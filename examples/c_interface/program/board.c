#include "board.h"

#include <stddef.h>

extern int main(void);
extern uint32_t stack_top, data_start, data_end, data_load, bss_start, bss_end;

/* The operations of Arm's semihosting interface. */
enum { WRITE_STRING = 0x04, EXIT = 0x18 };
enum { APPLICATION_EXIT = 0x20026, RUN_TIME_ERROR = 0x20023 };

static void call_host(int operation, const void *argument) {
  register int r0 __asm__("r0") = operation;
  register const void *r1 __asm__("r1") = argument;
  __asm__ volatile("bkpt 0xab" : "+r"(r0) : "r"(r1) : "memory");
}

void say(const char *text) { call_host(WRITE_STRING, text); }

void say_word(uint32_t word) {
  char text[10] = " ";
  for (int digit = 0; digit < 8; digit++) {
    text[8 - digit] = "0123456789abcdef"[word & 15];
    word >>= 4;
  }
  text[9] = 0;
  say(text);
}

void stop(int failed) {
  call_host(EXIT, (const void *)(uintptr_t)(failed ? RUN_TIME_ERROR : APPLICATION_EXIT));
  for (;;) {
  }
}

/* The compiler may call these two for structures; there is no C library here. */
void *memcpy(void *to, const void *from, size_t size) {
  char *t = to;
  const char *f = from;
  while (size--) *t++ = *f++;
  return to;
}

void *memset(void *place, int value, size_t size) {
  char *p = place;
  while (size--) *p++ = (char)value;
  return place;
}

static void reset(void) {
#if defined(__ARM_FP)
  *(volatile uint32_t *)0xe000ed88 |= 0xfu << 20; /* the floating-point unit, for everyone */
  __asm__ volatile("dsb\nisb");
#endif
  for (uint32_t *to = &data_start, *from = &data_load; to < &data_end;) *to++ = *from++;
  for (uint32_t *to = &bss_start; to < &bss_end;) *to++ = 0;
  stop(main());
}

static void fault(void) { stop(1); }

__attribute__((section(".vectors"), used)) static const void *const vectors[16] = {
    &stack_top, reset, fault, fault, fault, fault, fault, fault, fault, fault, fault, fault, fault, fault, fault, fault,
};
