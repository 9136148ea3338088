/* What firmware in C does with the library, and a check of it: all that it says must be what the same calls in Rust say
 * (src/bin/expected.rs), to the bit. The readings are invented. */
#include "board.h"
#include "ohmwright.h"

static uint32_t state = 0x2545f491;

/* Any number at all (xorshift). */
static uint32_t any(void) {
  state ^= state << 13;
  state ^= state >> 17;
  state ^= state << 5;
  return state;
}

/* A component of a reflection coefficient, below 1 in size, in units of 2^-30. */
static int32_t component(void) { return (int32_t)any() >> 1; }

static void say_line(const char *line) {
  say("\"");
  say(line);
  say("\"\n");
}

static OhmwrightStorage storage; /* for one sweep after the other */
static char line[21]; /* twenty columns, and the end of a string */

static int fixed_readouts(void) {
  for (int turn = 0; turn < 200; turn++) {
    OhmwrightFixedReflection gamma = {component(), component()};
    OhmwrightFixedReadouts all;
    if (ohmwright_fixed_readouts(gamma, 50 << 12, &all) != OHMWRIGHT_STATUS_DONE) return 1;
    say("fixed");
    say_word((uint32_t)all.magnitude);
    say_word(all.swr);
    say_word((uint32_t)all.return_loss);
    say_word((uint32_t)all.mismatch_loss);
    say_word((uint32_t)all.resistance);
    say_word((uint32_t)all.reactance);
    say_word((uint32_t)all.impedance_magnitude);
    say_word((uint32_t)all.phase);
    say_word(all.q);
    say("\n");
  }
  return 0;
}

static int say_quality(const OhmwrightStorage *storage) {
  OhmwrightFixedQuality quality;
  if (ohmwright_fixed_sweep_quality(storage, &quality) != OHMWRIGHT_STATUS_DONE) return 1;
  say("quality");
  say_word((uint32_t)quality.ripple_period_hz);
  say_word((uint32_t)quality.noise);
  say_word((uint32_t)quality.ripple_size);
  say_word(quality.spoilt);
  say_word(quality.beyond_rim);
  say_word(quality.unresolved);
  say_word(quality.too_coarse);
  say_word(quality.uncorrected);
  say("\n");
  if (ohmwright_fixed_text_quality(storage, line, sizeof line) != OHMWRIGHT_STATUS_DONE) return 1;
  say_line(line);
  return 0;
}

static int fixed_sweep(void) {
  static OhmwrightFixedReport report;
  OhmwrightFixedErrorTerms fixture = {{10 << 20, -(20 << 20)}, {30 << 20, 5 << 20}, {900 << 20, 100 << 20}};
  OhmwrightFixedSettings settings = {0, 0, 70200000, 0, 0};
  if (ohmwright_fixed_sweep_start(&storage, settings) != OHMWRIGHT_STATUS_DONE) return 1;
  for (int step = 0; step <= 100; step++) {
    OhmwrightFixedReflection raw = {(step - 60) * 8000000, 70000000 - step * 900000}, gamma;
    if (ohmwright_fixed_correct(raw, fixture, &gamma) != OHMWRIGHT_STATUS_DONE) return 1;
    uint64_t hertz = 66000000 + (uint64_t)step * 80000;
    if (ohmwright_fixed_sweep_push(&storage, hertz, gamma) != OHMWRIGHT_STATUS_DONE) return 1;
    if (step == 50) {
      ohmwright_fixed_text_swr(gamma, line, sizeof line);
      say_line(line);
      ohmwright_fixed_text_return_loss(gamma, line, sizeof line);
      say_line(line);
      ohmwright_fixed_text_impedance(gamma, 50 << 12, line, sizeof line);
      say_line(line);
    }
  }
  if (ohmwright_fixed_sweep_report(&storage, &report) != OHMWRIGHT_STATUS_DONE) return 1;
  say("sweep");
  say_word(report.points);
  say_word((uint32_t)report.best.frequency_hz);
  say_word((uint32_t)report.best.reflection.re);
  say_word((uint32_t)report.best.reflection.im);
  say_word(report.dip_count);
  say_word(report.band_count);
  say_word((uint32_t)report.bands[0].low_hz);
  say_word((uint32_t)report.bands[0].high_hz);
  say_word(report.target);
  say_word((uint32_t)report.target_reflection.re);
  say_word((uint32_t)report.target_reflection.im);
  say("\n");
  if (ohmwright_fixed_text_verdict(&storage, line, sizeof line) != OHMWRIGHT_STATUS_DONE) return 1;
  say_line(line);
  return say_quality(&storage);
}

static int say_step(const OhmwrightStorage *storage, OhmwrightFixedBuilt built) {
  OhmwrightFixedNextStep step;
  if (ohmwright_fixed_sweep_next_step(storage, built, &step) != OHMWRIGHT_STATUS_DONE) return 1;
  say("step");
  say_word(step.kind);
  say_word(step.reason);
  say_word(step.element);
  say_word(step.direction);
  say_word(step.factor);
  say_word(step.primary_turns);
  say_word(step.secondary_turns);
  say_word(step.part_place);
  say_word(step.part_kind);
  say_word(step.part_value);
  say_word(step.toward);
  say_word((uint32_t)step.until_hz);
  say_word(step.swr_expected);
  say_word(step.swr_least);
  say_word(step.swr_most);
  say("\n");
  if (ohmwright_fixed_text_next_step(storage, built, line, sizeof line) != OHMWRIGHT_STATUS_DONE) return 1;
  say_line(line);
  if (ohmwright_fixed_text_expected(storage, built, line, sizeof line) != OHMWRIGHT_STATUS_DONE) return 1;
  say_line(line);
  return 0;
}

/* Sweeps that ask for one step each: a dip that is high, resistances that are too small and too large, nothing connected,
 * and a dip that the sweep does not reach. */
static int next_steps(void) {
  OhmwrightFixedSettings settings = {0, 78643, 70200000, 0, 0}; /* an SWR of 1.2 */
  for (int turn = 0; turn < 5; turn++) {
    if (ohmwright_fixed_sweep_start(&storage, settings) != OHMWRIGHT_STATUS_DONE) return 1;
    for (int step = 0; step <= 100; step++) {
      OhmwrightFixedReflection gamma;
      switch (turn) {
        case 0: gamma = (OhmwrightFixedReflection){60000000, (step - 75) * 12000000}; break;
        case 1: gamma = (OhmwrightFixedReflection){-650000000, 40000000 + step * 1000000}; break;
        case 2: gamma = (OhmwrightFixedReflection){650000000, -(40000000 + step * 3000000)}; break;
        case 3: gamma = (OhmwrightFixedReflection){(1 << 30) - 1000 * step, -(20000000 + step * 100000)}; break;
        default: gamma = (OhmwrightFixedReflection){200000000 - step * 1500000, -900000000 + step * 5000000}; break;
      }
      uint64_t hertz = 66000000 + (uint64_t)step * 80000;
      if (ohmwright_fixed_sweep_push(&storage, hertz, gamma) != OHMWRIGHT_STATUS_DONE) return 1;
    }
    OhmwrightFixedBuilt built = {.element = OHMWRIGHT_ELEMENT_CAPACITANCE, .most_primary = 16, .most_secondary = 2};
    if (say_step(&storage, built)) return 1;
    built.winding_primary = 4;
    built.winding_secondary = 1;
    if (say_step(&storage, built)) return 1;
  }
  return 0;
}

/* More dips and bands than a report has room for: every third reading is a match, the others are shorts. */
static int left_out(void) {
  static OhmwrightFixedReport report;
  OhmwrightFixedSettings settings = {0, 0, 0, 0, 0};
  if (ohmwright_fixed_sweep_start(&storage, settings) != OHMWRIGHT_STATUS_DONE) return 1;
  for (int step = 0; step < 40; step++) {
    OhmwrightFixedReflection gamma = {step % 3 == 1 ? 0 : -(1 << 30), 0};
    if (ohmwright_fixed_sweep_push(&storage, 1000000 + (uint64_t)step * 1000, gamma) != OHMWRIGHT_STATUS_DONE) return 1;
  }
  if (ohmwright_fixed_sweep_report(&storage, &report) != OHMWRIGHT_STATUS_DONE) return 1;
  if (report.dips_left_out == 0 || report.bands_left_out == 0) return 1;
  say("left out");
  say_word(report.dip_count);
  say_word(report.dips_left_out);
  say_word(report.band_count);
  say_word(report.bands_left_out);
  say("\n");
  return 0;
}

/* Samples that fit none of their neighbours, one beyond the rim, and a dip between two points: all of it is told. */
static int doubtful(void) {
  static OhmwrightFixedReport report;
  OhmwrightFixedSettings settings = {0, 0, 0, 0, 0};
  if (ohmwright_fixed_sweep_start(&storage, settings) != OHMWRIGHT_STATUS_DONE) return 1;
  for (int step = 0; step < 60; step++) {
    OhmwrightFixedReflection gamma = {
        step == 20 || step == 21 ? -(900 << 20) : (step - 30) * 30000000,
        step == 59 ? 1200 << 20 : 500 << 20,
    };
    if (ohmwright_fixed_sweep_push(&storage, 1000000 + (uint64_t)step * 1000, gamma) != OHMWRIGHT_STATUS_DONE) return 1;
    if (step == 40 && say_quality(&storage)) return 1;
  }
  if (ohmwright_fixed_sweep_report(&storage, &report) != OHMWRIGHT_STATUS_DONE) return 1;
  if (report.spoilt == 0 || report.beyond_rim == 0) return 1;
  uint32_t unresolved = 0;
  for (uint32_t i = 0; i < report.dip_count; i++) unresolved += report.dips[i].unresolved;
  say("doubtful");
  say_word(report.spoilt);
  say_word(report.beyond_rim);
  say_word(report.fast_turns);
  say_word(report.best.unresolved);
  say_word(unresolved);
  say("\n");
  if (say_quality(&storage)) return 1;

  if (ohmwright_fixed_sweep_start(&storage, settings) != OHMWRIGHT_STATUS_DONE) return 1;
  for (int step = 0; step < 40; step++) {
    /* A circle, of which a step takes most. */
    int32_t off = 4 * (step - 20) + 1, part = 1500000000 / (1 + off * off);
    OhmwrightFixedReflection gamma = {(1 << 30) - part, part * off};
    if (ohmwright_fixed_sweep_push(&storage, 1000000 + (uint64_t)step * 1000, gamma) != OHMWRIGHT_STATUS_DONE) return 1;
  }
  if (ohmwright_fixed_sweep_report(&storage, &report) != OHMWRIGHT_STATUS_DONE) return 1;
  if (!report.best.unresolved) return 1;
  say("narrow");
  say_word((uint32_t)report.best.frequency_hz);
  say_word(report.best.unresolved);
  say("\n");
  return 0;
}

/* What must be refused, and leave the answer alone. */
static int refusals(void) {
  static OhmwrightStorage fresh; /* not started yet */
  static OhmwrightFixedReport report;
  OhmwrightFixedReflection gamma = {1, 2};
  OhmwrightFixedReadouts all = {.magnitude = 7};
  OhmwrightFixedSettings too_low = {0, 1 << 15, 0, 0, 0}, plain = {0};
  OhmwrightFloatReflection nan = {0.0f / 0.0f, 0.0f};
  if (ohmwright_fixed_readouts(gamma, 50 << 12, NULL) != OHMWRIGHT_STATUS_NULL_POINTER) return 1;
  if (ohmwright_fixed_readouts(gamma, 0, &all) != OHMWRIGHT_STATUS_BAD_NUMBER || all.magnitude != 7) return 2;
  if (ohmwright_fixed_sweep_report(&fresh, &report) != OHMWRIGHT_STATUS_NOT_STARTED) return 3;
  if (ohmwright_fixed_sweep_start(&fresh, too_low) != OHMWRIGHT_STATUS_BAD_NUMBER) return 4;
  if (ohmwright_fixed_sweep_start(&fresh, plain) != OHMWRIGHT_STATUS_DONE) return 5;
  if (ohmwright_fixed_sweep_push(&fresh, 5, gamma) != OHMWRIGHT_STATUS_DONE) return 6;
  if (ohmwright_fixed_sweep_push(&fresh, 5, gamma) != OHMWRIGHT_STATUS_OUT_OF_ORDER) return 7;
  if (ohmwright_float_sweep_push(&fresh, 6, (OhmwrightFloatReflection){0, 0}) != OHMWRIGHT_STATUS_NOT_STARTED) return 8;
  if (ohmwright_float_text_swr(nan, line, sizeof line) != OHMWRIGHT_STATUS_BAD_NUMBER) return 9;
  if (ohmwright_fixed_text_swr(gamma, line, 3) != OHMWRIGHT_STATUS_NO_ROOM) return 10;
  if (ohmwright_fixed_text_swr(gamma, NULL, 20) != OHMWRIGHT_STATUS_NULL_POINTER) return 11;
  for (int i = 0; i < 3; i++) line[i] = '#';
  if (ohmwright_fixed_text_swr(gamma, line, 3) != OHMWRIGHT_STATUS_NO_ROOM) return 12;
  if (line[0] != ' ' || line[1] != ' ' || line[2] != 0) return 13;

  /* 1 + 0.5 * (-2): the pole. And a fixture that lets nothing through, in which all loads are alike. */
  OhmwrightFixedErrorTerms pole = {{0, 0}, {1 << 29, 0}, {1 << 30, 0}}, blind = {{0, 0}, {1 << 29, 0}, {0, 0}};
  OhmwrightFixedReflection raw = {-2147483647 - 1, 0}, loaded = {3, 4};
  if (ohmwright_fixed_correct(raw, pole, &loaded) != OHMWRIGHT_STATUS_AT_POLE) return 14;
  if (ohmwright_fixed_correct(raw, blind, &loaded) != OHMWRIGHT_STATUS_NO_TRACKING) return 15;
  if (loaded.re != 3 || loaded.im != 4) return 16;
  OhmwrightFloatErrorTerms float_pole = {{0, 0}, {0.5f, 0}, {1, 0}}, float_blind = {{0, 0}, {0.5f, 0}, {0, 0}};
  OhmwrightFloatReflection float_raw = {-2, 0}, float_loaded = {3, 4};
  if (ohmwright_float_correct(float_raw, float_pole, &float_loaded) != OHMWRIGHT_STATUS_AT_POLE) return 17;
  if (ohmwright_float_correct(float_raw, float_blind, &float_loaded) != OHMWRIGHT_STATUS_NO_TRACKING) return 18;

  /* Built of nothing that there is: no such element, a winding of one half, factors that exclude what is there. */
  OhmwrightFixedBuilt no_element = {.element = 4}, half = {.winding_primary = 3}, away = {.least_factor = 65537};
  OhmwrightFixedNextStep step = {.until_hz = 7};
  if (ohmwright_fixed_sweep_start(&fresh, plain) != OHMWRIGHT_STATUS_DONE) return 24;
  if (ohmwright_fixed_sweep_next_step(&fresh, no_element, &step) != OHMWRIGHT_STATUS_BAD_NUMBER) return 25;
  if (ohmwright_fixed_sweep_next_step(&fresh, half, &step) != OHMWRIGHT_STATUS_BAD_NUMBER) return 26;
  if (ohmwright_fixed_sweep_next_step(&fresh, away, &step) != OHMWRIGHT_STATUS_BAD_NUMBER) return 27;
  if (ohmwright_fixed_text_next_step(&fresh, away, line, sizeof line) != OHMWRIGHT_STATUS_BAD_NUMBER) return 28;
  if (ohmwright_fixed_sweep_next_step(&fresh, no_element, NULL) != OHMWRIGHT_STATUS_NULL_POINTER) return 29;
  if (step.until_hz != 7) return 30;
  OhmwrightFixedBuilt usual = {0};
  if (ohmwright_fixed_sweep_next_step(&fresh, usual, &step) != OHMWRIGHT_STATUS_DONE) return 31;
  if (step.kind != OHMWRIGHT_STEP_KIND_MEASURE_AGAIN || step.reason != OHMWRIGHT_STEP_REASON_NO_SWEEP) return 32;
  OhmwrightFloatQuality quality;
  if (ohmwright_float_sweep_quality(&fresh, &quality) != OHMWRIGHT_STATUS_NOT_STARTED) return 33;

  /* A place that is not aligned, as one inside of a buffer of bytes may be; what stands there stays. */
  const unsigned char *bytes = (const unsigned char *)&storage;
  uint32_t before = 0, after = 0;
  for (unsigned i = 0; i < sizeof storage; i++) before = before * 31 + bytes[i];
  for (int odd = 1; odd < 8; odd++) {
    char *place = (char *)&storage + odd;
    if (ohmwright_fixed_sweep_start((OhmwrightStorage *)place, plain) != OHMWRIGHT_STATUS_MISALIGNED) return 19;
    if (ohmwright_fixed_sweep_push((OhmwrightStorage *)place, 5, gamma) != OHMWRIGHT_STATUS_MISALIGNED) return 20;
    if (ohmwright_fixed_sweep_report(&fresh, (OhmwrightFixedReport *)place) != OHMWRIGHT_STATUS_MISALIGNED) return 21;
    if (odd % 4 && ohmwright_fixed_readouts(gamma, 50 << 12, (OhmwrightFixedReadouts *)place) !=
                       OHMWRIGHT_STATUS_MISALIGNED) return 22;
  }
  for (unsigned i = 0; i < sizeof storage; i++) after = after * 31 + bytes[i];
  if (before != after) return 23;
  return 0;
}

#if defined(__ARM_FP)
static uint32_t bits(float value) {
  uint32_t word;
  __builtin_memcpy(&word, &value, sizeof word);
  return word;
}

static int float_readouts(void) {
  for (int turn = 0; turn < 200; turn++) {
    OhmwrightFloatReflection gamma = {(float)component() / 1073741824.0f, (float)component() / 1073741824.0f};
    OhmwrightFloatReadouts all;
    if (ohmwright_float_readouts(gamma, 50.0f, &all) != OHMWRIGHT_STATUS_DONE) return 1;
    say("float");
    say_word(bits(all.magnitude));
    say_word(bits(all.swr));
    say_word(bits(all.return_loss));
    say_word(bits(all.mismatch_loss));
    say_word(bits(all.resistance));
    say_word(bits(all.reactance));
    say_word(bits(all.impedance_magnitude));
    say_word(bits(all.phase));
    say_word(bits(all.q));
    say("\n");
  }
  return 0;
}
#endif

int main(void) {
  if (fixed_readouts()) return 1;
  if (fixed_sweep()) return 1;
  if (next_steps()) return 1;
  if (left_out()) return 1;
  if (doubtful()) return 1;
  int refused = refusals();
  if (refused) {
    say("not refused:");
    say_word((uint32_t)refused);
    say("\n");
    return 1;
  }
#if defined(__ARM_FP)
  if (float_readouts()) return 1;
#endif
  return 0;
}
