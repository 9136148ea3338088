/* A whole instrument in C: the analyser (analyser.c), a power meter, the plan of a network, and a tuner on a small simulated
 * bank. It checks its own answers against figures made apart from the library (figures.h). All values are invented.
 *
 * Care: in a tuner and in a mismatched network the voltage is high even at low power. The tuner is no safety device. Transmit only
 * where you are licensed to; local rules and licensed practice come first. */
#include "board.h"
#include "figures.h"
#include "units.h"

static char line[21];

static void show(void) {
  say(line);
  say("\n");
}

/* Two diodes on a coupler: one count per millivolt. */
static void power_meter(void) {
  static const OhmwrightFixedLevel levels[] = {{10, VOLTS(0.01)}, {4000, VOLTS(4.0)}};
  OhmwrightFixedScalarSettings settings = {OHMS(50), DECIBELS(20), DECIBELS(30), 4095, VOLTS(0.05)};
  OhmwrightFixedScalarReading reading;
  ask(ohmwright_fixed_scalar_read(settings, levels, 2, levels, 2, 2000, 400, &reading) == OHMWRIGHT_STATUS_DONE, "power");
  ask(NEAR(reading.forward, WATTS(SCALAR_FORWARD), WATTS(0.02)), "forward power");
  ask(NEAR(reading.delivered, WATTS(SCALAR_FORWARD * 0.96), WATTS(0.02)), "delivered power: 1 - 0.2^2 of it");
  ask(NEAR(reading.swr, RATIO(SCALAR_SWR), RATIO(0.002)), "SWR of the diodes");
  ask(NEAR(reading.swr_low, RATIO(SCALAR_LOW), RATIO(0.002)), "its lower end");
  ask(NEAR(reading.swr_high, RATIO(SCALAR_HIGH), RATIO(0.002)), "its upper end");
  ask(!reading.swr_unlimited && reading.marks.phase_ambiguous && !reading.marks.upper_limit, "its marks");
  ask(ohmwright_fixed_scalar_read(settings, levels, 2, levels, 2, 2000, 5, &reading) == OHMWRIGHT_STATUS_DONE &&
          reading.marks.upper_limit == 1 && reading.swr_low == RATIO(1.0), "a match below the table is an upper limit");
  ask(ohmwright_fixed_scalar_read(settings, levels, 2, levels, 2, 2000, 1980, &reading) == OHMWRIGHT_STATUS_DONE &&
          reading.swr_unlimited == 1, "an open may reflect everything");
  ask(ohmwright_fixed_scalar_read(settings, levels, 2, levels, 2, 4095, 400, &reading) == OHMWRIGHT_STATUS_OVERLOAD,
      "overload");
  ask(ohmwright_fixed_scalar_read(settings, levels, 2, levels, 2, 4050, 400, &reading) == OHMWRIGHT_STATUS_ABOVE_TABLE,
      "above the table");
  ask(ohmwright_fixed_scalar_read(settings, levels, 2, levels, 2, 9, 9, &reading) == OHMWRIGHT_STATUS_BELOW_TABLE,
      "below the table");
  ask(ohmwright_fixed_scalar_read(settings, levels, 2, levels, 2, 40, 20, &reading) == OHMWRIGHT_STATUS_TOO_WEAK,
      "too weak");
  ask(ohmwright_fixed_scalar_read(settings, levels, 1, levels, 2, 2000, 400, &reading) ==
          OHMWRIGHT_STATUS_TABLE_TOO_SHORT, "a table of one level");
  static const OhmwrightFixedLevel falling[] = {{10, VOLTS(1.0)}, {20, VOLTS(0.5)}};
  ask(ohmwright_fixed_scalar_read(settings, levels, 2, falling, 2, 2000, 15, &reading) == OHMWRIGHT_STATUS_NOT_RISING,
      "a table that falls");
}

static int near_part(double want, double got) { return want - got < 0.001 * want && got - want < 0.001 * want; }

#if defined(USE_FLOAT)
#define SMALL_UNITS(inductance, capacitance) ((inductance) * 1e12 + (capacitance) * 1e15)
#else
#define SMALL_UNITS(inductance, capacitance) ((double)(inductance) + (double)(capacitance))
#endif

/* 12 - j30 ohms to 50 ohms, with two parts: all four ways. */
static void plan(void) {
  OhmwrightFixedImpedance load = {OHMS(12), OHMS(-30)}, source = {OHMS(50), 0}, large = {OHMS(200), 0};
  OhmwrightFixedNetworks found;
  ask(ohmwright_fixed_two_element(load, source, TARGET, &found) == OHMWRIGHT_STATUS_DONE, "networks");
  for (int k = 0; k < 4; k++) {
    const OhmwrightFixedNetwork *one = &found.all[k];
    const double *want = networks[k];
    ask(one->state == OHMWRIGHT_NETWORK_STATE_EXISTS && one->across_at_load == (int)want[0], "the network exists");
    ask((int)one->series_kind == (int)want[1] && (int)one->across_kind == (int)want[3], "its kinds of parts");
    ask(near_part(want[2], SMALL_UNITS(one->series_inductance, one->series_capacitance)), "its part in series");
    ask(near_part(want[4], SMALL_UNITS(one->across_inductance, one->across_capacitance)), "its part across");
  }
  ohmwright_fixed_text_inductance(found.all[0].series_inductance, line, sizeof line);
  show();
  ask(same_text(line, "L           97.51 nH"), "the coil as text");
  ohmwright_fixed_text_capacitance(found.all[2].across_capacitance, line, sizeof line);
  show();
  ask(same_text(line, "C           80.69 pF"), "the capacitor as text");
  ask(ohmwright_fixed_two_element(large, source, TARGET, &found) == OHMWRIGHT_STATUS_DONE &&
          found.all[2].state == OHMWRIGHT_NETWORK_STATE_RESISTANCE_TOO_HIGH &&
          found.all[0].state == OHMWRIGHT_NETWORK_STATE_EXISTS, "200 ohms: only from across the load");
  load.resistance = 0;
  ask(ohmwright_fixed_two_element(load, source, TARGET, &found) == OHMWRIGHT_STATUS_NO_RESISTANCE, "no resistance");
  load.resistance = OHMS(12);
  ask(ohmwright_fixed_two_element(load, source, 0, &found) == OHMWRIGHT_STATUS_BAD_NUMBER, "no frequency");
}

/* The simulated bank: what the relays connect really, in complex numbers. */
typedef struct { double re, im; } Complex;

static Complex inverse(Complex z) {
  double square = z.re * z.re + z.im * z.im;
  Complex inverse = {z.re / square, -z.im / square};
  return inverse;
}

static Complex reflected(OhmwrightRelays relays) {
  const double omega = 2 * 3.14159265358979 * TUNER_HERTZ;
  double x = 0, b = 0;
  for (int k = 0; k < OHMWRIGHT_COILS; k++)
    if (relays.coils >> k & 1) x += omega * coil_nh[k] * (1000 + coil_off[k]) * 1e-12;
  for (int k = 0; k < OHMWRIGHT_CAPACITORS; k++)
    if (relays.capacitors >> k & 1) b += omega * capacitor_pf[k] * (1000 + capacitor_off[k]) * 1e-15;
  Complex z = {ANTENNA_R, ANTENNA_X};
  if (relays.at_load) {
    Complex y = inverse(z);
    y.im += b;
    z = inverse(y);
    z.im += x;
  } else {
    z.im += x;
    Complex y = inverse(z);
    y.im += b;
    z = inverse(y);
  }
  Complex below = {z.re + 50, z.im}, over = inverse(below), above = {z.re - 50, z.im};
  Complex gamma = {above.re * over.re - above.im * over.im, above.re * over.im + above.im * over.re};
  return gamma;
}

static double root(double square) {
  double root = square > 1 ? square : 1;
  for (int k = 0; k < 40; k++) root = (root + square / root) / 2;
  return root;
}

static double size(OhmwrightRelays relays) {
  Complex gamma = reflected(relays);
  return root(gamma.re * gamma.re + gamma.im * gamma.im);
}

static OhmwrightTunerStorage tuner;

/* A run with one kind of sensor, to its end. The bench obeys; it must never be asked to switch above 1 W. */
static OhmwrightFixedCommand run(uint32_t sensor, const OhmwrightRelays *suggestion, int *switched_hot) {
  static uint32_t now = 4294967000u; /* a clock that will wrap */
  OhmwrightFixedCommand command = {0};
  OhmwrightFixedEvent event = {OHMWRIGHT_EVENT_KIND_TICK, {0, 0}};
  static OhmwrightRelays relays; /* they stay where they are between runs */
  OhmwrightFixedWatts power = WATTS(5);
  *switched_hot = 0;
  ask(ohmwright_fixed_tuner_run(&tuner, now, TUNER_HERTZ, suggestion) == OHMWRIGHT_STATUS_DONE, "a run begins");
  for (int turn = 0; turn < 2000; turn++) {
    if (ohmwright_fixed_tuner_step(&tuner, now, power, event, &command) != OHMWRIGHT_STATUS_DONE) break;
    event.kind = OHMWRIGHT_EVENT_KIND_TICK;
    now++;
    switch (command.kind) {
      case OHMWRIGHT_COMMAND_KIND_WAIT: now = command.until_ms; break;
      case OHMWRIGHT_COMMAND_KIND_REDUCE_POWER:
      case OHMWRIGHT_COMMAND_KIND_RAISE_POWER: power = command.power; break;
      case OHMWRIGHT_COMMAND_KIND_SWITCH:
        if (power > WATTS(1)) *switched_hot = 1;
        relays = command.relays;
        event.kind = OHMWRIGHT_EVENT_KIND_SWITCHED;
        break;
      case OHMWRIGHT_COMMAND_KIND_MEASURE: {
        Complex gamma = reflected(relays);
        event.kind = sensor;
        event.reading.re = COMPONENT(gamma.re);
        event.reading.im = COMPONENT(gamma.im);
        if (sensor == OHMWRIGHT_EVENT_KIND_MAGNITUDE) event.reading.re = COMPONENT(size(relays));
        break;
      }
      case OHMWRIGHT_COMMAND_KIND_DONE: return command;
      default: break;
    }
  }
  ask(0, "the run ends");
  return command;
}

static OhmwrightFixedBank bank;

static void tune(void) {
  for (int k = 0; k < OHMWRIGHT_COILS; k++) bank.coils[k].inductance = PICOHENRIES(coil_nh[k] * 1000.0);
  for (int k = 0; k < OHMWRIGHT_CAPACITORS; k++) bank.capacitors[k].capacitance = FEMTOFARADS(capacitor_pf[k] * 1000.0);
  bank.place = OHMWRIGHT_CAPACITORS_CHANGEOVER;
  OhmwrightFixedTunerSettings settings = {0};
  OhmwrightFixedCommand end;
  int hot;
  ask(ohmwright_fixed_tuner_start(&tuner, &bank, settings) == OHMWRIGHT_STATUS_DONE, "a tuner");
  end = run(OHMWRIGHT_EVENT_KIND_VECTOR, 0, &hot);
  ask(end.outcome == OHMWRIGHT_OUTCOME_MATCHED && end.is_set == 1 && !hot, "matched, and never switched under power");
  /* Against every setting of the real bank, tried one by one. */
  ask(size(end.relays) < BEST_SIZE + 0.03, "as good as the bank's best setting, nearly");
  ask(NEAR(end.swr, RATIO((1 + size(end.relays)) / (1 - size(end.relays))), RATIO(0.03)), "it says the SWR that is there");
  ask(end.readings >= 2 && end.readings <= 24 && end.operations > 0, "its readings");
  say("vector sensor:");
  say_word(end.readings);
  say_word(end.operations);
  say("\n");

  OhmwrightRelays good = end.relays;
  end = run(OHMWRIGHT_EVENT_KIND_VECTOR, &good, &hot);
  ask(end.outcome == OHMWRIGHT_OUTCOME_MATCHED && end.readings <= 2 && !hot, "the setting that worked is tried first");

  ask(ohmwright_fixed_tuner_start(&tuner, &bank, settings) == OHMWRIGHT_STATUS_DONE, "a tuner anew");
  end = run(OHMWRIGHT_EVENT_KIND_MAGNITUDE, 0, &hot);
  ask(end.outcome == OHMWRIGHT_OUTCOME_MATCHED && !hot && size(end.relays) < 0.2, "with a magnitude alone: under 1.5");
  say("magnitude alone:");
  say_word(end.readings);
  say_word(end.operations);
  say("\n");

  end = run(OHMWRIGHT_EVENT_KIND_SENSOR_FAILED, 0, &hot);
  ask(end.outcome == OHMWRIGHT_OUTCOME_SENSOR_FAULT && end.is_set == 1 && !end.relays.coils && !end.relays.capacitors,
      "a sensor that fails ends in bypass");

  OhmwrightFixedEvent tick = {OHMWRIGHT_EVENT_KIND_TICK, {0, 0}};
  OhmwrightRelays none = {0x100, 0, 0, 0};
  ask(ohmwright_fixed_tuner_run(&tuner, 0, TUNER_HERTZ, &none) == OHMWRIGHT_STATUS_NOT_IN_BANK, "no such setting");
  ask(ohmwright_fixed_tuner_run(&tuner, 0, 0, 0) == OHMWRIGHT_STATUS_BAD_NUMBER, "no frequency");
  ask(ohmwright_fixed_tuner_bypass(&tuner, 0) == OHMWRIGHT_STATUS_DONE, "to bypass");
  ask(ohmwright_fixed_tuner_bypass(&tuner, 0) == OHMWRIGHT_STATUS_BUSY, "busy");
  ask(ohmwright_fixed_tuner_cancel(&tuner, 0) == OHMWRIGHT_STATUS_DONE, "cancelled");
  ask(ohmwright_fixed_tuner_step(&tuner, 1, WATTS(0.5), tick, &end) == OHMWRIGHT_STATUS_DONE, "a step");
  tick.kind = 6;
  ask(ohmwright_fixed_tuner_step(&tuner, 1, WATTS(0.5), tick, &end) == OHMWRIGHT_STATUS_BAD_NUMBER, "no such event");
  settings.switching_limit = WATTS(0.25);
  settings.measuring_minimum = WATTS(2);
  OhmwrightFixedWatts reduced = 0, raised = 0;
  ask(ohmwright_fixed_tuner_start(&tuner, &bank, settings) == OHMWRIGHT_STATUS_DONE &&
          ohmwright_fixed_tuner_run(&tuner, 0, TUNER_HERTZ, 0) == OHMWRIGHT_STATUS_DONE, "with other limits");
  tick.kind = OHMWRIGHT_EVENT_KIND_TICK;
  OhmwrightFixedWatts power = WATTS(5);
  for (uint32_t now = 0; now < 200 && !raised; now++) {
    if (ohmwright_fixed_tuner_step(&tuner, now, power, tick, &end) != OHMWRIGHT_STATUS_DONE) break;
    tick.kind = end.kind == OHMWRIGHT_COMMAND_KIND_SWITCH ? OHMWRIGHT_EVENT_KIND_SWITCHED : OHMWRIGHT_EVENT_KIND_TICK;
    if (end.kind == OHMWRIGHT_COMMAND_KIND_REDUCE_POWER) power = reduced = end.power;
    if (end.kind == OHMWRIGHT_COMMAND_KIND_RAISE_POWER) raised = end.power;
  }
  ask(reduced == WATTS(0.25) && raised == WATTS(2), "the limits that were set");
  OhmwrightFixedTunerSettings plain = {0};
  settings = plain;
  settings.sensor_noise = COMPONENT(0.6);
  ask(ohmwright_fixed_tuner_start(&tuner, &bank, settings) == OHMWRIGHT_STATUS_BAD_NUMBER, "too much noise");
  settings = plain;
  settings.value_error = COMPONENT(0.6);
  ask(ohmwright_fixed_tuner_start(&tuner, &bank, settings) == OHMWRIGHT_STATUS_BAD_NUMBER, "too much tolerance");
  settings = plain;
  settings.good_swr = RATIO(0.5);
  ask(ohmwright_fixed_tuner_start(&tuner, &bank, settings) == OHMWRIGHT_STATUS_BAD_NUMBER, "an SWR below 1");
  settings.good_swr = RATIO(1.7);
  settings.retune_swr = RATIO(1.6);
  ask(ohmwright_fixed_tuner_start(&tuner, &bank, settings) == OHMWRIGHT_STATUS_CONTRADICTION, "lost while good");
  settings = plain;
  settings.settle_ms = 100;
  settings.run_timeout_ms = 50;
  ask(ohmwright_fixed_tuner_start(&tuner, &bank, settings) == OHMWRIGHT_STATUS_CONTRADICTION, "no time to settle");
  settings = plain;
  settings.reference = OHMS(-50);
  ask(ohmwright_fixed_tuner_start(&tuner, &bank, settings) == OHMWRIGHT_STATUS_BAD_NUMBER, "a negative reference");
  settings = plain;
  bank.tap_primary[0] = 1;
  ask(ohmwright_fixed_tuner_start(&tuner, &bank, settings) == OHMWRIGHT_STATUS_BAD_NUMBER, "a tap of 1 : 0");
  bank.tap_secondary[0] = 1;
  bank.tap_primary[1] = 1;
  bank.tap_secondary[1] = 2;
  OhmwrightRelays second = {0, 0, 0, 1}, third = {0, 0, 0, 2};
  ask(ohmwright_fixed_tuner_start(&tuner, &bank, settings) == OHMWRIGHT_STATUS_DONE &&
          ohmwright_fixed_tuner_run(&tuner, 0, TUNER_HERTZ, &third) == OHMWRIGHT_STATUS_NOT_IN_BANK &&
          ohmwright_fixed_tuner_run(&tuner, 0, TUNER_HERTZ, &second) == OHMWRIGHT_STATUS_DONE, "two taps");
  bank.tap_primary[0] = bank.tap_secondary[0] = bank.tap_primary[1] = bank.tap_secondary[1] = 0;
  bank.place = 4;
  ask(ohmwright_fixed_tuner_start(&tuner, &bank, settings) == OHMWRIGHT_STATUS_BAD_NUMBER, "no such place");
  bank.place = OHMWRIGHT_CAPACITORS_BOTH_ENDS;
  bank.at_source = 9;
  ask(ohmwright_fixed_tuner_start(&tuner, &bank, settings) == OHMWRIGHT_STATUS_CONTRADICTION, "nine of eight");
  bank.at_source = 4;
  settings.most_operations = 5;
  ask(ohmwright_fixed_tuner_start(&tuner, &bank, settings) == OHMWRIGHT_STATUS_CONTRADICTION, "too small a budget");
  bank.coils[3].inductance = 0;
  settings.most_operations = 0;
  ask(ohmwright_fixed_tuner_start(&tuner, &bank, settings) == OHMWRIGHT_STATUS_BAD_NUMBER, "no coil");
}

/* Pointers that are null or misaligned, and values that are impossible: a status, and nothing written. */
static void refusals(void) {
  static OhmwrightTunerStorage fresh;
  static uint64_t room[sizeof(OhmwrightTunerStorage) / 8 + 1];
  static OhmwrightFixedCalibrationPoint points[2]; /* both at 0 Hz */
  OhmwrightFixedOpenShortLoad known = {{COMPONENT(1), 0}, {COMPONENT(-1), 0}, {0, 0}}, raw = known;
  OhmwrightFixedErrorTerms terms;
  OhmwrightFixedReflection gamma;
  OhmwrightFixedVectorReading reading;
  OhmwrightFixedCommand command;
  OhmwrightFixedConditions made = {OHMS(50), 0};
  OhmwrightFixedEvent tick = {OHMWRIGHT_EVENT_KIND_TICK, {0, 0}};
  OhmwrightFixedVectorSettings converter = {2047, 0, 0};
  OhmwrightFixedCounts counts = {1500, 0, 0, -750};
  OhmwrightFixedStandard standard = {3, 0, 0, 0, 0};
  OhmwrightFixedTunerSettings settings = {0};
  OhmwrightFixedRetune retune;
  uint8_t bytes[100];
  size_t size = 77;
  const OhmwrightStatus null = OHMWRIGHT_STATUS_NULL_POINTER, askew = OHMWRIGHT_STATUS_MISALIGNED;

  ask(ohmwright_fixed_solve(known, raw, 0) == null, "null: solve");
  ask(ohmwright_fixed_solve(known, raw, &terms) == OHMWRIGHT_STATUS_DONE, "a perfect fixture");
  ask(NEAR(terms.tracking.re, COMPONENT(1), COMPONENT(1e-6)) && NEAR(terms.directivity.re, 0, COMPONENT(1e-6)),
      "its terms");
  raw.open = raw.shorted;
  ask(ohmwright_fixed_solve(known, raw, &terms) == OHMWRIGHT_STATUS_EQUAL_READINGS, "equal readings");
  known.open = known.load;
  ask(ohmwright_fixed_solve(known, raw, &terms) == OHMWRIGHT_STATUS_EQUAL_STANDARDS, "equal standards");
  ask(ohmwright_fixed_standard(standard, 1000000, OHMS(50), &gamma) == OHMWRIGHT_STATUS_BAD_NUMBER, "no such standard");
  standard.kind = OHMWRIGHT_STANDARD_KIND_LOAD;
  standard.resistance = OHMS(75);
  ask(ohmwright_fixed_standard(standard, 1000000, OHMS(50), &gamma) == OHMWRIGHT_STATUS_DONE &&
          NEAR(gamma.re, COMPONENT(0.2), COMPONENT(1e-6)) && NEAR(gamma.im, 0, COMPONENT(1e-6)), "75 ohms reflect 0.2");
  /* (1 - jb)/(1 + jb) with b = 2 pi 28 MHz 1 pF 50 ohms = 0.0087965: an angle of -2 arctan(b). */
  OhmwrightFixedStandard open = {OHMWRIGHT_STANDARD_KIND_OPEN, 1000000, 0, 0, 0};
  ask(ohmwright_fixed_standard(open, 28000000, OHMS(50), &gamma) == OHMWRIGHT_STATUS_DONE &&
          NEAR(gamma.re, COMPONENT(0.999845), COMPONENT(2e-6)) && NEAR(gamma.im, COMPONENT(-0.0175915), COMPONENT(2e-6)),
      "an open of 1 pF");
  /* -(1 - jb)/(1 + jb) with b = 2 pi 79.577472 MHz 1 nH / 50 ohms = 0.01. */
  OhmwrightFixedStandard shorted = {OHMWRIGHT_STANDARD_KIND_SHORT, 0, 1000000, 0, 0};
  ask(ohmwright_fixed_standard(shorted, 79577472, OHMS(50), &gamma) == OHMWRIGHT_STATUS_DONE &&
          NEAR(gamma.re, COMPONENT(-0.99980002), COMPONENT(2e-6)) && NEAR(gamma.im, COMPONENT(0.019998), COMPONENT(2e-6)),
      "a short of 1 nH");
  /* 100 ps there and 100 ps back at 250 MHz are a twentieth of a circle. */
  shorted.femtohenries = 0;
  shorted.femtoseconds = 100000;
  ask(ohmwright_fixed_standard(shorted, 250000000, OHMS(50), &gamma) == OHMWRIGHT_STATUS_DONE &&
          NEAR(gamma.re, COMPONENT(-0.95105652), COMPONENT(2e-6)) && NEAR(gamma.im, COMPONENT(0.30901699), COMPONENT(2e-6)),
      "a short behind a line");
  ask(ohmwright_fixed_standard(standard, 1000000, 0, &gamma) == OHMWRIGHT_STATUS_BAD_NUMBER, "no reference");

  ask(ohmwright_fixed_vector_read(converter, counts, 0) == null, "null: vector");
  ask(ohmwright_fixed_vector_read(converter, counts, &reading) == OHMWRIGHT_STATUS_DONE &&
          NEAR(reading.reflection.im, COMPONENT(-0.5), COMPONENT(1e-6)), "-750 of 1500, a quarter turn late");
  /* 2 s/(a sqrt(n)) sqrt(1 + |gamma|^2), with s = 1 count, a = 1500, n = 2. */
  ask(NEAR(reading.error, COMPONENT(0.0010541), COMPONENT(1e-6)) && !reading.marks.near_overload && !reading.marks.weak,
      "its error");
  counts.reflected_q = -1900;
  ask(ohmwright_fixed_vector_read(converter, counts, &reading) == OHMWRIGHT_STATUS_DONE && reading.marks.near_overload &&
          reading.marks.above_unity, "near overload, and above 1");
  counts.reflected_q = -2047;
  ask(ohmwright_fixed_vector_read(converter, counts, &reading) == OHMWRIGHT_STATUS_OVERLOAD, "overload");
  counts.reflected_q = 0;
  counts.reference_i = 20;
  ask(ohmwright_fixed_vector_read(converter, counts, &reading) == OHMWRIGHT_STATUS_TOO_WEAK, "too weak");
  converter.full_scale = 0;
  ask(ohmwright_fixed_vector_read(converter, counts, &reading) == OHMWRIGHT_STATUS_BAD_NUMBER, "no full scale");

  ask(ohmwright_fixed_correct_at(0, 2, 5, gamma, &gamma) == null, "null: points");
  ask(ohmwright_fixed_correct_at(points, 2, 5, gamma, 0) != OHMWRIGHT_STATUS_DONE, "null: corrected");
  ask(ohmwright_fixed_correct_at(points, 1, 0, gamma, &gamma) == OHMWRIGHT_STATUS_TABLE_TOO_SHORT, "one point");
  ask(ohmwright_fixed_correct_at(points, 2, 0, gamma, &gamma) == OHMWRIGHT_STATUS_NOT_RISING, "two at one frequency");
  ask(ohmwright_fixed_correct_at(points, (size_t)-1, 0, gamma, &gamma) == OHMWRIGHT_STATUS_BAD_NUMBER, "too many");
  ask(ohmwright_fixed_calibration_store(points, 2, made, bytes, sizeof bytes, &size) == OHMWRIGHT_STATUS_NOT_RISING &&
          size == 77, "not to be stored");
  points[1].frequency_hz = 1000;
  ask(ohmwright_fixed_calibration_store(points, 2, made, 0, sizeof bytes, &size) == null, "null: bytes");
  ask(ohmwright_fixed_calibration_store(points, 2, made, bytes, sizeof bytes, 0) == null, "null: written");
  ask(ohmwright_fixed_correct_at(points, 2, 5, gamma, &gamma) == OHMWRIGHT_STATUS_NO_TRACKING, "nothing comes through");
  for (unsigned k = 0; k < sizeof bytes; k++) bytes[k] = 0xff;
  ask(ohmwright_fixed_calibration_load(bytes, sizeof bytes, points, 2, &size, &made) == OHMWRIGHT_STATUS_FOREIGN,
      "a blank page of flash");
  ask(ohmwright_fixed_calibration_load(bytes, 5, points, 2, &size, &made) != OHMWRIGHT_STATUS_DONE, "five bytes");
  ask(ohmwright_fixed_calibration_load(0, 5, points, 2, &size, &made) == null, "null: load");
  ask(size == 77, "nothing was written");

  ask(ohmwright_fixed_retune(4, 5, 5, &retune) == OHMWRIGHT_STATUS_BAD_NUMBER, "no such element");
  ask(ohmwright_fixed_retune(0, 0, 5, &retune) == OHMWRIGHT_STATUS_BAD_NUMBER, "a dip at 0 Hz");
  ask(ohmwright_text_frequency(5, 0, 20) == null, "null: line");
  ask(ohmwright_text_frequency(5, line, 0) == OHMWRIGHT_STATUS_NO_ROOM, "no line");

  ask(ohmwright_fixed_tuner_start(0, &bank, settings) != OHMWRIGHT_STATUS_DONE, "null: tuner");
  ask(ohmwright_fixed_tuner_start(&fresh, 0, settings) == null, "null: bank");
  ask(ohmwright_fixed_tuner_run(&fresh, 0, 1000000, 0) == OHMWRIGHT_STATUS_NOT_STARTED, "not started: run");
  ask(ohmwright_fixed_tuner_step(&fresh, 0, 0, tick, &command) == OHMWRIGHT_STATUS_NOT_STARTED, "not started: step");
  ask(ohmwright_fixed_tuner_step(&fresh, 0, 0, tick, 0) == null, "null: command");
  ask(ohmwright_fixed_tuner_cancel(0, 0) == null, "null: cancel");
  for (int odd = 1; odd < 8; odd++) {
    char *place = (char *)room + odd;
    ask(ohmwright_fixed_tuner_bypass((OhmwrightTunerStorage *)place, 0) == askew, "askew: tuner");
    ask(ohmwright_fixed_correct_at((OhmwrightFixedCalibrationPoint *)place, 2, 5, gamma, &gamma) == askew, "askew: points");
    if (odd % 4) {
      ask(ohmwright_fixed_solve(known, raw, (OhmwrightFixedErrorTerms *)place) == askew, "askew: terms");
      ask(ohmwright_fixed_tuner_step(&tuner, 0, 0, tick, (OhmwrightFixedCommand *)place) == askew, "askew: command");
    }
  }
  for (unsigned k = 0; k < sizeof room / sizeof room[0]; k++) ask(!room[k], "nothing was written askew");
}

int main(void) {
  analyse();
  settings_count();
  power_meter();
  plan();
  tune();
  refusals();
  say("asked, wrong:");
  say_word(asked);
  say_word(wrong);
  say("\n");
  return wrong != 0;
}
