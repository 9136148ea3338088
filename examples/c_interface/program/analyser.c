/* An antenna analyser on the library: it calibrates with open, short and load, keeps the calibration as bytes, sweeps, and
 * says in text what it found and what to do next. Counts and figures are invented (figures.h), and made apart from the library.
 * It checks its own answers.
 *
 * Care: whoever transmits to measure needs a licence for it; RF burns. Local rules and licensed practice come first. */
#include "board.h"
#include "figures.h"
#include "units.h"

unsigned asked, wrong;

void ask(int is_so, const char *what) {
  asked++;
  if (is_so) return;
  wrong++;
  say("not so: ");
  say(what);
  say("\n");
}

int same_text(const char *one, const char *other) {
  while (*one && *one == *other) one++, other++;
  return *one == *other;
}

int begins(const char *line, const char *start) {
  while (*start && *line == *start) line++, start++;
  return !*start;
}

static OhmwrightFixedCalibrationPoint points[CAL_POINTS + 1]; /* room for one more */
static uint8_t flash[24 + 34 * CAL_POINTS]; /* stands for a page of flash */
static OhmwrightStorage storage;
static char line[21]; /* twenty columns, and the end of a string */

/* What the front end gives: the counts of both receivers. */
static OhmwrightStatus read(const int16_t counts[2], OhmwrightFixedReflection *raw) {
  OhmwrightFixedVectorSettings converter = {32767, 0, 0}; /* 16 bits */
  OhmwrightFixedCounts both = {REFERENCE_I, REFERENCE_Q, counts[0], counts[1]};
  OhmwrightFixedVectorReading reading;
  OhmwrightStatus status = ohmwright_fixed_vector_read(converter, both, &reading);
  if (status == OHMWRIGHT_STATUS_DONE) *raw = reading.reflection;
  return status;
}

static void show(const char *what) {
  say(what);
  say("\n");
}

/* Each standard is connected in turn at all frequencies; their readings give the terms. */
static void calibrate(void) {
  for (int k = 0; k < CAL_POINTS; k++) {
    uint64_t hertz = CAL_START + (uint64_t)k * CAL_STEP;
    OhmwrightFixedStandard open = {OHMWRIGHT_STANDARD_KIND_OPEN, 0, 0, 0, 0};
    OhmwrightFixedStandard shorted = {OHMWRIGHT_STANDARD_KIND_SHORT, 0, 0, 0, 0};
    OhmwrightFixedStandard load = {OHMWRIGHT_STANDARD_KIND_LOAD, 0, 0, 0, 0};
    OhmwrightFixedOpenShortLoad known, raw;
    OhmwrightStatus status = ohmwright_fixed_standard(open, hertz, OHMS(50), &known.open);
    if (!status) status = ohmwright_fixed_standard(shorted, hertz, OHMS(50), &known.shorted);
    if (!status) status = ohmwright_fixed_standard(load, hertz, OHMS(50), &known.load);
    if (!status) status = read(open_counts[k], &raw.open);
    if (!status) status = read(short_counts[k], &raw.shorted);
    if (!status) status = read(load_counts[k], &raw.load);
    points[k].frequency_hz = hertz;
    if (!status) status = ohmwright_fixed_solve(known, raw, &points[k].terms);
    ask(status == OHMWRIGHT_STATUS_DONE, "a point of the calibration is done");
  }
  /* The terms that the counts were made with (make_figures.py), at the first point. A count is 4e-5 of the reference. */
  ask(NEAR(points[0].terms.directivity.re, COMPONENT(0.05), COMPONENT(6e-5)), "directivity");
  ask(NEAR(points[0].terms.source_match.im, COMPONENT(0.06), COMPONENT(2e-4)), "source match");
  ask(NEAR(points[0].terms.tracking.re, COMPONENT(0.8), COMPONENT(2e-4)), "tracking");
}

/* To flash and back, as at the next start. */
static void keep(void) {
  size_t written = 0, found = 0, needed = 0;
  OhmwrightFixedConditions made = {OHMS(50), DECIBELS(-10)}, back;
  ask(ohmwright_fixed_calibration_bytes(points, CAL_POINTS, &needed) == OHMWRIGHT_STATUS_DONE, "bytes");
  ask(needed <= sizeof flash, "at most 24 bytes, and 34 for each point");
  ask(ohmwright_fixed_calibration_store(points, CAL_POINTS, made, flash, needed - 1, &written) ==
          OHMWRIGHT_STATUS_NO_ROOM && !written, "a byte too few");
  ask(ohmwright_fixed_calibration_store(points, CAL_POINTS, made, flash, sizeof flash, &written) ==
          OHMWRIGHT_STATUS_DONE && written == needed, "stored");
  int32_t was = (int32_t)points[3].terms.tracking.re;
  for (int k = 0; k < CAL_POINTS; k++) points[k].frequency_hz = 0;
  flash[40] ^= 4;
  ask(ohmwright_fixed_calibration_load(flash, sizeof flash, points, CAL_POINTS, &found, &back) ==
          OHMWRIGHT_STATUS_DAMAGED && !found, "a bit that fell over is noticed");
  flash[40] ^= 4;
  ask(ohmwright_fixed_calibration_load(flash, sizeof flash, points, CAL_POINTS - 1, &found, &back) ==
          OHMWRIGHT_STATUS_NO_ROOM, "a point too few");
  ask(ohmwright_fixed_calibration_load(flash, sizeof flash, points, CAL_POINTS + 1, &found, &back) ==
          OHMWRIGHT_STATUS_DONE, "loaded");
  ask(found == CAL_POINTS && back.reference == made.reference && back.power_dbm == made.power_dbm, "as it was stored");
  ask(points[3].frequency_hz == CAL_START + 3 * CAL_STEP && (int32_t)points[3].terms.tracking.re == was,
      "the points as they were stored");
}

static void sweep(void) {
  OhmwrightFixedSettings settings = {OHMS(50), RATIO(1.5), TARGET, COMPONENT(0.01), COMPONENT(0.001)};
  OhmwrightFixedReflection raw, gamma;
  ask(ohmwright_fixed_sweep_start(&storage, settings) == OHMWRIGHT_STATUS_DONE, "the sweep begins");
  int refused = 0;
  for (int k = 0; k < POINTS; k++) {
    uint64_t hertz = START + (uint64_t)k * STEP;
    OhmwrightStatus status = read(sweep_counts[k], &raw);
    if (!status) status = ohmwright_fixed_correct_at(points, CAL_POINTS, hertz, raw, &gamma);
    if (!status) status = ohmwright_fixed_sweep_push(&storage, hertz, gamma);
    refused += status != OHMWRIGHT_STATUS_DONE;
  }
  ask(!refused, "each point is taken");
  ask(ohmwright_fixed_correct_at(points, CAL_POINTS, CAL_START - 1, raw, &gamma) == OHMWRIGHT_STATUS_OUTSIDE_TABLE,
      "nothing below the calibration");
  uint64_t last = CAL_START + (uint64_t)(CAL_POINTS - 1) * CAL_STEP;
  ask(ohmwright_fixed_correct_at(points, CAL_POINTS, last + 1, raw, &gamma) == OHMWRIGHT_STATUS_OUTSIDE_TABLE,
      "nothing above it");
  ask(ohmwright_fixed_correct_at(points, CAL_POINTS, last, raw, &gamma) == OHMWRIGHT_STATUS_DONE, "its last point");
}

/* The report, against closed formulas. */
static void report(void) {
  static OhmwrightFixedReport all;
  OhmwrightFixedReadouts readouts;
  OhmwrightFixedResonances crossings;
  ask(ohmwright_fixed_sweep_report(&storage, &all) == OHMWRIGHT_STATUS_DONE, "report");
  ask(all.points == POINTS && all.dip_count == 1 && all.band_count == 1, "one dip, one band");
  ask(NEAR(all.best.frequency_hz, (uint64_t)DIP_HERTZ, 5000), "the dip's frequency");
  ask(ohmwright_fixed_readouts(all.best.reflection, OHMS(50), &readouts) == OHMWRIGHT_STATUS_DONE, "readouts");
  ask(NEAR(readouts.swr, RATIO(DIP_SWR), RATIO(0.001)), "the dip's SWR");
  ask(NEAR(all.bands[0].low_hz, (uint64_t)BAND_LOW, 3000) && NEAR(all.bands[0].high_hz, (uint64_t)BAND_HIGH, 3000),
      "the band's edges");
  ask(all.target == OHMWRIGHT_TARGET_FAIL, "the target fails");
  ask(NEAR(all.target_reflection.re, COMPONENT(TARGET_RE), COMPONENT(3e-4)), "the target's real part");
  ask(NEAR(all.target_reflection.im, COMPONENT(TARGET_IM), COMPONENT(3e-4)), "the target's imaginary part");
  ask(ohmwright_fixed_sweep_resonances(&storage, &crossings) == OHMWRIGHT_STATUS_DONE, "crossings");
  ask(crossings.count == 1 && crossings.found[0].rising == 1, "one crossing, rising");
  ask(NEAR(crossings.found[0].frequency_hz, (uint64_t)DIP_HERTZ, 3000), "the crossing's frequency");
  ask(NEAR(crossings.found[0].resistance, OHMS(CROSSING_OHMS), OHMS(0.05)), "its resistance");
  ask(NEAR(crossings.found[0].q, RATIO(CROSSING_Q), RATIO(0.02)), "its Q");

  ask(ohmwright_text_frequency(all.best.frequency_hz, line, sizeof line) == OHMWRIGHT_STATUS_DONE, "text of a frequency");
  show(line);
  ask(begins(line, "f        67.37"), "the dip as text");
  ohmwright_fixed_text_swr(all.target_reflection, line, sizeof line);
  show(line);
  ask(same_text(line, TARGET_LINE), "the SWR as text");
  ohmwright_text_band_low(all.bands[0].low_hz, all.bands[0].low_open, line, sizeof line);
  show(line);
  ask(begins(line, "from     " LOW_MHZ), "the band as text");
  ohmwright_text_band_high(all.bands[0].high_hz, all.bands[0].high_open, line, sizeof line);
  show(line);
  ask(begins(line, "to       69.09"), "the band's upper edge as text");
  ask(ohmwright_text_band_low(65702327, 1, line, sizeof line) == OHMWRIGHT_STATUS_DONE && begins(line, "from <   65.7023"),
      "an open edge");
  ask(ohmwright_text_band_low(65702327, 1, line, 16) == OHMWRIGHT_STATUS_NO_ROOM && begins(line, "               "),
      "a line that is too short");
  ohmwright_fixed_text_verdict(&storage, line, sizeof line);
  show(line);
  ask(same_text(line, VERDICT_LINE), "the verdict as text");
}

/* What to do: the trimmer, from half to twice of what it is. */
static void next(void) {
  OhmwrightFixedBuilt built = {OHMWRIGHT_ELEMENT_CAPACITANCE, 0, 0, 0, 0, 0, 0, 0};
  OhmwrightFixedNextStep step;
  OhmwrightFixedRetune retune;
  ask(ohmwright_fixed_sweep_next_step(&storage, built, &step) == OHMWRIGHT_STATUS_DONE, "next step");
  ask(step.kind == OHMWRIGHT_STEP_KIND_MOVE && step.reason == OHMWRIGHT_STEP_REASON_DIP_BELOW &&
          step.direction == OHMWRIGHT_STEP_DIRECTION_LESS, "less capacitance");
  ask(NEAR(step.factor, RATIO(FACTOR), RATIO(0.0005)), "by that factor");
  ask(step.swr_least <= step.swr_expected && step.swr_expected <= step.swr_most, "the SWR to expect lies in its range");
  ask(NEAR(step.swr_expected, RATIO(DIP_SWR), RATIO(0.02)), "the SWR to expect");
  ohmwright_fixed_text_next_step(&storage, built, line, sizeof line);
  show(line);
  ask(same_text(line, STEP_LINE), "the step as text");
  ohmwright_fixed_text_expected(&storage, built, line, sizeof line);
  show(line);
  ohmwright_fixed_text_quality(&storage, line, sizeof line);
  show(line);
  ask(begins(line, "          "), "nothing against the readings");
  ask(ohmwright_fixed_retune(OHMWRIGHT_ELEMENT_CAPACITANCE, DIP_HERTZ, TARGET, &retune) == OHMWRIGHT_STATUS_DONE &&
          retune.direction == OHMWRIGHT_STEP_DIRECTION_LESS && NEAR(retune.factor, RATIO(FACTOR), RATIO(0.00002)),
      "the same from two frequencies");
}

void analyse(void) {
  calibrate();
  keep();
  sweep();
  report();
  next();
}

/* That prominence and noise are heard: the size of gamma is 0.04 in the dip, and nowhere so much as 1.2 above that. */
void settings_count(void) {
  const OhmwrightFixedComponent deep = COMPONENT(1.2), small = COMPONENT(0.3), every = COMPONENT(-0.1);
  const OhmwrightFixedComponent prominences[3] = {deep, small, every};
  static OhmwrightFixedReport all;
  OhmwrightFixedReflection raw, gamma, outside = {COMPONENT(1.01), 0};
  for (int kind = 0; kind < 3; kind++) {
    OhmwrightFixedSettings settings = {0, 0, 0, prominences[kind], kind ? COMPONENT(0.001) : 0};
    int refused = ohmwright_fixed_sweep_start(&storage, settings) != OHMWRIGHT_STATUS_DONE;
    for (int k = 0; k < POINTS; k++) {
      uint64_t hertz = START + (uint64_t)k * STEP;
      refused += read(sweep_counts[k], &raw) || ohmwright_fixed_correct_at(points, CAL_POINTS, hertz, raw, &gamma) ||
                 ohmwright_fixed_sweep_push(&storage, hertz, gamma);
    }
    refused += ohmwright_fixed_sweep_push(&storage, 100000000, outside) != OHMWRIGHT_STATUS_DONE;
    ask(!refused && ohmwright_fixed_sweep_report(&storage, &all) == OHMWRIGHT_STATUS_DONE, "another sweep");
    ask(kind ? all.dip_count >= 1 : all.dip_count == 0, "how deep a dip must be");
    ask(all.beyond_rim == (kind ? 1u : 0u), "1.01 is beyond the rim by more than twice a noise of 0.001, and not of 0.01");
  }
}

#if defined(ANALYSER_ALONE)
int main(void) {
  analyse();
  return wrong != 0;
}
#endif
