#ifndef OHMWRIGHT_H
#define OHMWRIGHT_H

/* Made by cbindgen from examples/c_interface/src; change it there. */

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

// Room for dips, for bands and for crossings X = 0 in a report.
#define OHMWRIGHT_ROOM 4

// Bytes of the readouts of either family. The header checks these with the compiler of the firmware.
#define OHMWRIGHT_READOUTS_BYTES 36

// Bytes of the error terms.
#define OHMWRIGHT_ERROR_TERMS_BYTES 24

// Bytes of the settings.
#define OHMWRIGHT_SETTINGS_BYTES 16

// Bytes of a dip.
#define OHMWRIGHT_DIP_BYTES 24

// Bytes of a band.
#define OHMWRIGHT_BAND_BYTES 24

// Bytes of a report.
#define OHMWRIGHT_REPORT_BYTES 264

// Bytes of a report before what it says of the target.
#define OHMWRIGHT_REPORT_TARGET_AT 240

// Bytes of what is built.
#define OHMWRIGHT_BUILT_BYTES 20

// Bytes of a next step.
#define OHMWRIGHT_NEXT_STEP_BYTES 64

// Bytes of what is said of the readings.
#define OHMWRIGHT_QUALITY_BYTES 32

// How many words of 64 bits an analyser takes at most, in either family.
#define OHMWRIGHT_WORDS 414

// Bytes of the storage of an analyser: those words, and one that says what they are.
#define OHMWRIGHT_STORAGE_BYTES (8 * (OHMWRIGHT_WORDS + 1))

// What became of a call. 32 bits wide, whatever the compiler makes of an enumeration.
enum OhmwrightStatus
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // It was done.
  OHMWRIGHT_STATUS_DONE = 0,
  // A pointer is null.
  OHMWRIGHT_STATUS_NULL_POINTER = 1,
  // A number is not finite, or beyond its range: a reference of 0, an SWR limit below 1, a NaN, an element that is none.
  OHMWRIGHT_STATUS_BAD_NUMBER = 2,
  // The frequency repeats the last one, or the sweep changed its direction. The point was left out.
  OHMWRIGHT_STATUS_OUT_OF_ORDER = 3,
  // The analyser was not started.
  OHMWRIGHT_STATUS_NOT_STARTED = 4,
  // The buffer is too short for the line, and blank.
  OHMWRIGHT_STATUS_NO_ROOM = 5,
  // Nothing comes back through the fixture: its tracking is 0, or too small to say anything of the load.
  OHMWRIGHT_STATUS_NO_TRACKING = 6,
  // No load within the range of the numbers gives this reading: it lies at the pole of the correction, or next to it.
  OHMWRIGHT_STATUS_AT_POLE = 7,
  // A pointer is not aligned as its type is.
  OHMWRIGHT_STATUS_MISALIGNED = 8,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OhmwrightStatus OhmwrightStatus;
#else
typedef uint32_t OhmwrightStatus;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// What an analyser says of the target. 32 bits wide, whatever the compiler makes of an enumeration.
enum OhmwrightTarget
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // No target was set.
  OHMWRIGHT_TARGET_NOT_ASKED = 0,
  // The sweep does not reach it.
  OHMWRIGHT_TARGET_NOT_COVERED = 1,
  // The SWR there is at or under the limit.
  OHMWRIGHT_TARGET_PASS = 2,
  // The SWR there is over the limit.
  OHMWRIGHT_TARGET_FAIL = 3,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OhmwrightTarget OhmwrightTarget;
#else
typedef uint32_t OhmwrightTarget;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// What to do.
enum OhmwrightStepKind
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // Leave it as it is.
  OHMWRIGHT_STEP_KIND_LEAVE = 0,
  // Move the element: multiply it by the factor.
  OHMWRIGHT_STEP_KIND_MOVE = 1,
  // Wind other turns: in place of the winding that was named, or else a further transformer, primary towards the source.
  OHMWRIGHT_STEP_KIND_TURNS = 2,
  // Add the part at the plane of the measurement, on the source's side of everything that is there.
  OHMWRIGHT_STEP_KIND_PART = 3,
  // Wind other turns and add the part on the source's side of them.
  OHMWRIGHT_STEP_KIND_TURNS_AND_PART = 4,
  // Sweep wider, as far as `until_hz`.
  OHMWRIGHT_STEP_KIND_SWEEP_WIDER = 5,
  // Nothing: there is no dip to move.
  OHMWRIGHT_STEP_KIND_NO_DIP = 6,
  // Measure again, after what the reason says.
  OHMWRIGHT_STEP_KIND_MEASURE_AGAIN = 7,
  // Take the cable out of the reading, then ask again.
  OHMWRIGHT_STEP_KIND_TAKE_OUT_LINE = 8,
  // What this interface has no word for yet; the line of text has one.
  OHMWRIGHT_STEP_KIND_OTHER = 9,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OhmwrightStepKind OhmwrightStepKind;
#else
typedef uint32_t OhmwrightStepKind;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// Why.
enum OhmwrightStepReason
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // The SWR at the target is within the limit.
  OHMWRIGHT_STEP_REASON_MATCHED = 0,
  // Nothing that can be changed leaves distinctly less.
  OHMWRIGHT_STEP_REASON_NOTHING_GAINS = 1,
  // The dip stands below the target.
  OHMWRIGHT_STEP_REASON_DIP_BELOW = 2,
  // The dip stands above the target.
  OHMWRIGHT_STEP_REASON_DIP_ABOVE = 3,
  // The ratio is wrong.
  OHMWRIGHT_STEP_REASON_RATIO = 4,
  // Reactance is left.
  OHMWRIGHT_STEP_REASON_REACTANCE = 5,
  // Both are wrong.
  OHMWRIGHT_STEP_REASON_RATIO_AND_REACTANCE = 6,
  // The sweep does not reach the target, and has no dip to move.
  OHMWRIGHT_STEP_REASON_TARGET_NOT_SWEPT = 7,
  // The sweep has no dip inside that could be moved to the target.
  OHMWRIGHT_STEP_REASON_DIP_OUTSIDE = 8,
  // Nothing is connected: an open at all frequencies.
  OHMWRIGHT_STEP_REASON_OPEN = 9,
  // A short at all frequencies.
  OHMWRIGHT_STEP_REASON_SHORT = 10,
  // The load is the same at all frequencies.
  OHMWRIGHT_STEP_REASON_FLAT_LOAD = 11,
  // A cable with an open or short end.
  OHMWRIGHT_STEP_REASON_CABLE_END = 12,
  // Samples at what matters fit none of their neighbours.
  OHMWRIGHT_STEP_REASON_SPOILT = 13,
  // The reflection coefficient is above 1 in size by more than the noise.
  OHMWRIGHT_STEP_REASON_BEYOND_RIM = 14,
  // The noise is too large for an answer.
  OHMWRIGHT_STEP_REASON_NOISE = 15,
  // The steps of the sweep are too coarse for an answer.
  OHMWRIGHT_STEP_REASON_TOO_COARSE = 16,
  // The readings look as if they had not been corrected.
  OHMWRIGHT_STEP_REASON_UNCORRECTED = 17,
  // A line is between the instrument and the load.
  OHMWRIGHT_STEP_REASON_LINE = 18,
  // The load has no resistance that power could go into.
  OHMWRIGHT_STEP_REASON_NO_RESISTANCE = 19,
  // No point has been measured yet.
  OHMWRIGHT_STEP_REASON_NO_SWEEP = 20,
  // What this interface has no word for yet.
  OHMWRIGHT_STEP_REASON_OTHER = 21,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OhmwrightStepReason OhmwrightStepReason;
#else
typedef uint32_t OhmwrightStepReason;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// The part that can be adjusted.
enum OhmwrightElement
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // The inductance that resonates.
  OHMWRIGHT_ELEMENT_INDUCTANCE = 0,
  // The capacitance that resonates.
  OHMWRIGHT_ELEMENT_CAPACITANCE = 1,
  // The turns of a coil of fixed length and diameter.
  OHMWRIGHT_ELEMENT_TURNS = 2,
  // The length of a wire antenna.
  OHMWRIGHT_ELEMENT_LENGTH = 3,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OhmwrightElement OhmwrightElement;
#else
typedef uint32_t OhmwrightElement;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// Which way to move the element.
enum OhmwrightStepDirection
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // Not at all.
  OHMWRIGHT_STEP_DIRECTION_KEEP = 0,
  // Less of it; shorter.
  OHMWRIGHT_STEP_DIRECTION_LESS = 1,
  // More of it; longer.
  OHMWRIGHT_STEP_DIRECTION_MORE = 2,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OhmwrightStepDirection OhmwrightStepDirection;
#else
typedef uint32_t OhmwrightStepDirection;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// Where a part is added.
enum OhmwrightPartPlace
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // No part is added.
  OHMWRIGHT_PART_PLACE_NONE = 0,
  // In series.
  OHMWRIGHT_PART_PLACE_SERIES = 1,
  // Across.
  OHMWRIGHT_PART_PLACE_ACROSS = 2,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OhmwrightPartPlace OhmwrightPartPlace;
#else
typedef uint32_t OhmwrightPartPlace;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// What part is added.
enum OhmwrightPartKind
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // None.
  OHMWRIGHT_PART_KIND_NONE = 0,
  // A coil.
  OHMWRIGHT_PART_KIND_INDUCTOR = 1,
  // A capacitor.
  OHMWRIGHT_PART_KIND_CAPACITOR = 2,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OhmwrightPartKind OhmwrightPartKind;
#else
typedef uint32_t OhmwrightPartKind;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// Where to look for a dip that the sweep does not show.
enum OhmwrightSweepToward
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // Nowhere.
  OHMWRIGHT_SWEEP_TOWARD_NOWHERE = 0,
  // Below the sweep.
  OHMWRIGHT_SWEEP_TOWARD_LOWER = 1,
  // Above the sweep.
  OHMWRIGHT_SWEEP_TOWARD_HIGHER = 2,
  // On both sides.
  OHMWRIGHT_SWEEP_TOWARD_BOTH = 3,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OhmwrightSweepToward OhmwrightSweepToward;
#else
typedef uint32_t OhmwrightSweepToward;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// A reflection coefficient: two numbers in units of 2^-30, from -2 to just below 2.
typedef struct OhmwrightFixedReflection {
  // The real part.
  int32_t re;
  // The imaginary part.
  int32_t im;
} OhmwrightFixedReflection;

// The nine readouts of one reflection coefficient.
typedef struct OhmwrightFixedReadouts {
  // The magnitude, in units of 2^-30.
  int32_t magnitude;
  // SWR, in units of 2^-16; the largest value at total reflection.
  uint32_t swr;
  // Return loss, dB, in units of 2^-16.
  int32_t return_loss;
  // Mismatch loss, dB, in units of 2^-16.
  int32_t mismatch_loss;
  // Resistance, ohms, in units of 2^-12; the largest value where there is none to speak of (an open).
  int32_t resistance;
  // Reactance, ohms, in units of 2^-12.
  int32_t reactance;
  // The magnitude of the impedance, ohms, in units of 2^-12.
  int32_t impedance_magnitude;
  // The angle of the reflection coefficient, degrees, in units of 2^-16.
  int32_t phase;
  // The size of reactance over resistance, in units of 2^-16.
  uint32_t q;
} OhmwrightFixedReadouts;

// The error terms of a fixture at one frequency.
typedef struct OhmwrightFixedErrorTerms {
  // What is read with nothing coming back from the load.
  struct OhmwrightFixedReflection directivity;
  // What the fixture sends back towards the load.
  struct OhmwrightFixedReflection source_match;
  // The product of the transmissions there and back; 1 for a perfect fixture.
  struct OhmwrightFixedReflection tracking;
} OhmwrightFixedErrorTerms;

// Room for an analyser; only the library looks inside. It may be copied as bytes, and moved.
typedef struct OhmwrightStorage {
  // Says that the rest is an analyser, and of which family.
  uint64_t started;
  // The analyser.
  uint64_t words[OHMWRIGHT_WORDS];
} OhmwrightStorage;

// What an analyser is to look for.
typedef struct OhmwrightFixedSettings {
  // The reference, ohms, in units of 2^-12; 0 for 50 ohms.
  int32_t reference;
  // A match is good enough at this SWR, in units of 2^-16; 0 for 2.
  uint32_t swr_limit;
  // The frequency that matters, hertz; 0 for none.
  uint64_t target_hz;
} OhmwrightFixedSettings;

// A dip: where the load comes nearest to the reference.
typedef struct OhmwrightFixedDip {
  // Where, hertz; between the measured points as a rule.
  uint64_t frequency_hz;
  // The reflection coefficient there.
  struct OhmwrightFixedReflection reflection;
  // 1 where the best point is the first or the last of the sweep: the real dip lies outside. Otherwise 0.
  uint8_t at_edge;
  // 1 where the sweep is too coarse for this dip: how deep it is, only a finer one near it shows. Otherwise 0.
  uint8_t unresolved;
} OhmwrightFixedDip;

// A stretch of frequencies at or under the SWR limit.
typedef struct OhmwrightFixedBand {
  // The lower edge, hertz.
  uint64_t low_hz;
  // The upper edge, hertz.
  uint64_t high_hz;
  // 1 where the sweep begins inside the band, otherwise 0.
  uint8_t low_open;
  // 1 where the sweep ends inside the band, otherwise 0.
  uint8_t high_open;
} OhmwrightFixedBand;

// What a sweep has shown so far.
typedef struct OhmwrightFixedReport {
  // How many points were taken; without any, nothing below holds.
  uint32_t points;
  // The best point.
  struct OhmwrightFixedDip best;
  // How many of `dips` hold.
  uint32_t dip_count;
  // How many dips there was no room for; the deepest are kept.
  uint32_t dips_left_out;
  // The dips, by frequency.
  struct OhmwrightFixedDip dips[OHMWRIGHT_ROOM];
  // How many of `bands` hold.
  uint32_t band_count;
  // How many bands there was no room for; the first are kept.
  uint32_t bands_left_out;
  // The bands, by frequency.
  struct OhmwrightFixedBand bands[OHMWRIGHT_ROOM];
  // What became of the target.
  OhmwrightTarget target;
  // The reflection coefficient at the target, where that was reached.
  struct OhmwrightFixedReflection target_reflection;
  // How many samples fit none of their neighbours and were left out: measure again, or finer.
  uint32_t spoilt;
  // How many samples have a reflection coefficient above 1 in size by more than 0.02: check calibration and reference.
  uint32_t beyond_rim;
  // Over how many steps the reflection coefficient turns by more than a third of a circle; where these are more than an
  // eighth of the points, the sweep is too coarse.
  uint32_t fast_turns;
} OhmwrightFixedReport;

// What is built: what can be moved and how far, and the transformer that the load is measured through.
typedef struct OhmwrightFixedBuilt {
  // What can be adjusted: a value of `OhmwrightElement`.
  uint32_t element;
  // The smallest factor that it can be changed by, in units of 2^-16, at most 1; 0 for one half.
  uint32_t least_factor;
  // The largest factor, in units of 2^-16, at least 1; 0 for two.
  uint32_t most_factor;
  // Turns towards the source of the transformer that is there; both 0 for none.
  uint8_t winding_primary;
  // Its turns at the load.
  uint8_t winding_secondary;
  // The most turns that the primary can have; both 0 for 12 each.
  uint8_t most_primary;
  // The most turns that the secondary can have.
  uint8_t most_secondary;
  // 1 where the readings are those of the load itself: there is no line, or it was taken out. Otherwise 0.
  uint8_t is_at_load;
} OhmwrightFixedBuilt;

// One next step. What does not belong to its kind is 0.
typedef struct OhmwrightFixedNextStep {
  // How far to sweep, hertz; the lower end where both sides are meant.
  uint64_t until_hz;
  // What to do.
  OhmwrightStepKind kind;
  // Why.
  OhmwrightStepReason reason;
  // What can be adjusted, as it was given.
  OhmwrightElement element;
  // Which way to move it.
  OhmwrightStepDirection direction;
  // Where the part goes.
  OhmwrightPartPlace part_place;
  // What part it is.
  OhmwrightPartKind part_kind;
  // Which way to sweep wider.
  OhmwrightSweepToward toward;
  // New value over old of what is moved, in units of 2^-16.
  uint32_t factor;
  // The value of the part, picohenries or femtofarads.
  uint32_t part_value;
  // The SWR at the target after it, in units of 2^-16; 0 where that is not known before the next sweep.
  uint32_t swr_expected;
  // The best that noise and ripple allow.
  uint32_t swr_least;
  // The worst that noise and ripple allow.
  uint32_t swr_most;
  // Turns towards the source.
  uint8_t primary_turns;
  // Turns at the load.
  uint8_t secondary_turns;
} OhmwrightFixedNextStep;

// How far the readings of a sweep can be trusted.
typedef struct OhmwrightFixedQuality {
  // From one crest of a regular ripple to the next, hertz; 0 where there is none.
  uint64_t ripple_period_hz;
  // The noise: the standard deviation of a component of the reflection coefficient, in units of 2^-30.
  int32_t noise;
  // The size of the ripple, in units of 2^-30.
  int32_t ripple_size;
  // How many samples fit none of their neighbours.
  uint32_t spoilt;
  // How many samples have a reflection coefficient above 1 in size by more than the noise.
  uint32_t beyond_rim;
  // How many dips are too narrow for the steps of the sweep.
  uint32_t unresolved;
  // 1 where the reflection coefficient turns too fast for the steps. Otherwise 0.
  uint8_t too_coarse;
  // 1 where the readings look as if they had not been corrected. Otherwise 0.
  uint8_t uncorrected;
} OhmwrightFixedQuality;

// A reflection coefficient: two numbers up to 2^20 in size.
typedef struct OhmwrightFloatReflection {
  // The real part.
  float re;
  // The imaginary part.
  float im;
} OhmwrightFloatReflection;

// The nine readouts of one reflection coefficient.
typedef struct OhmwrightFloatReadouts {
  // The magnitude, a pure number.
  float magnitude;
  // SWR; the largest value at total reflection.
  float swr;
  // Return loss, dB.
  float return_loss;
  // Mismatch loss, dB.
  float mismatch_loss;
  // Resistance, ohms; the largest value where there is none to speak of (an open).
  float resistance;
  // Reactance, ohms.
  float reactance;
  // The magnitude of the impedance, ohms.
  float impedance_magnitude;
  // The angle of the reflection coefficient, degrees.
  float phase;
  // The size of reactance over resistance.
  float q;
} OhmwrightFloatReadouts;

// The error terms of a fixture at one frequency.
typedef struct OhmwrightFloatErrorTerms {
  // What is read with nothing coming back from the load.
  struct OhmwrightFloatReflection directivity;
  // What the fixture sends back towards the load.
  struct OhmwrightFloatReflection source_match;
  // The product of the transmissions there and back; 1 for a perfect fixture.
  struct OhmwrightFloatReflection tracking;
} OhmwrightFloatErrorTerms;

// What an analyser is to look for.
typedef struct OhmwrightFloatSettings {
  // The reference, ohms; 0 for 50 ohms.
  float reference;
  // A match is good enough at this SWR; 0 for 2.
  float swr_limit;
  // The frequency that matters, hertz; 0 for none.
  uint64_t target_hz;
} OhmwrightFloatSettings;

// A dip: where the load comes nearest to the reference.
typedef struct OhmwrightFloatDip {
  // Where, hertz; between the measured points as a rule.
  uint64_t frequency_hz;
  // The reflection coefficient there.
  struct OhmwrightFloatReflection reflection;
  // 1 where the best point is the first or the last of the sweep: the real dip lies outside. Otherwise 0.
  uint8_t at_edge;
  // 1 where the sweep is too coarse for this dip: how deep it is, only a finer one near it shows. Otherwise 0.
  uint8_t unresolved;
} OhmwrightFloatDip;

// A stretch of frequencies at or under the SWR limit.
typedef struct OhmwrightFloatBand {
  // The lower edge, hertz.
  uint64_t low_hz;
  // The upper edge, hertz.
  uint64_t high_hz;
  // 1 where the sweep begins inside the band, otherwise 0.
  uint8_t low_open;
  // 1 where the sweep ends inside the band, otherwise 0.
  uint8_t high_open;
} OhmwrightFloatBand;

// What a sweep has shown so far.
typedef struct OhmwrightFloatReport {
  // How many points were taken; without any, nothing below holds.
  uint32_t points;
  // The best point.
  struct OhmwrightFloatDip best;
  // How many of `dips` hold.
  uint32_t dip_count;
  // How many dips there was no room for; the deepest are kept.
  uint32_t dips_left_out;
  // The dips, by frequency.
  struct OhmwrightFloatDip dips[OHMWRIGHT_ROOM];
  // How many of `bands` hold.
  uint32_t band_count;
  // How many bands there was no room for; the first are kept.
  uint32_t bands_left_out;
  // The bands, by frequency.
  struct OhmwrightFloatBand bands[OHMWRIGHT_ROOM];
  // What became of the target.
  OhmwrightTarget target;
  // The reflection coefficient at the target, where that was reached.
  struct OhmwrightFloatReflection target_reflection;
  // How many samples fit none of their neighbours and were left out: measure again, or finer.
  uint32_t spoilt;
  // How many samples have a reflection coefficient above 1 in size by more than 0.02: check calibration and reference.
  uint32_t beyond_rim;
  // Over how many steps the reflection coefficient turns by more than a third of a circle; where these are more than an
  // eighth of the points, the sweep is too coarse.
  uint32_t fast_turns;
} OhmwrightFloatReport;

// What is built: what can be moved and how far, and the transformer that the load is measured through.
typedef struct OhmwrightFloatBuilt {
  // What can be adjusted: a value of `OhmwrightElement`.
  uint32_t element;
  // The smallest factor that it can be changed by, at most 1; 0 for one half.
  float least_factor;
  // The largest factor, at least 1; 0 for two.
  float most_factor;
  // Turns towards the source of the transformer that is there; both 0 for none.
  uint8_t winding_primary;
  // Its turns at the load.
  uint8_t winding_secondary;
  // The most turns that the primary can have; both 0 for 12 each.
  uint8_t most_primary;
  // The most turns that the secondary can have.
  uint8_t most_secondary;
  // 1 where the readings are those of the load itself: there is no line, or it was taken out. Otherwise 0.
  uint8_t is_at_load;
} OhmwrightFloatBuilt;

// One next step. What does not belong to its kind is 0.
typedef struct OhmwrightFloatNextStep {
  // How far to sweep, hertz; the lower end where both sides are meant.
  uint64_t until_hz;
  // What to do.
  OhmwrightStepKind kind;
  // Why.
  OhmwrightStepReason reason;
  // What can be adjusted, as it was given.
  OhmwrightElement element;
  // Which way to move it.
  OhmwrightStepDirection direction;
  // Where the part goes.
  OhmwrightPartPlace part_place;
  // What part it is.
  OhmwrightPartKind part_kind;
  // Which way to sweep wider.
  OhmwrightSweepToward toward;
  // New value over old of what is moved.
  float factor;
  // The value of the part, henries or farads.
  float part_value;
  // The SWR at the target after it; 0 where that is not known before the next sweep.
  float swr_expected;
  // The best that noise and ripple allow.
  float swr_least;
  // The worst that noise and ripple allow.
  float swr_most;
  // Turns towards the source.
  uint8_t primary_turns;
  // Turns at the load.
  uint8_t secondary_turns;
} OhmwrightFloatNextStep;

// How far the readings of a sweep can be trusted.
typedef struct OhmwrightFloatQuality {
  // From one crest of a regular ripple to the next, hertz; 0 where there is none.
  uint64_t ripple_period_hz;
  // The noise: the standard deviation of a component of the reflection coefficient.
  float noise;
  // The size of the ripple.
  float ripple_size;
  // How many samples fit none of their neighbours.
  uint32_t spoilt;
  // How many samples have a reflection coefficient above 1 in size by more than the noise.
  uint32_t beyond_rim;
  // How many dips are too narrow for the steps of the sweep.
  uint32_t unresolved;
  // 1 where the reflection coefficient turns too fast for the steps. Otherwise 0.
  uint8_t too_coarse;
  // 1 where the readings look as if they had not been corrected. Otherwise 0.
  uint8_t uncorrected;
} OhmwrightFloatQuality;

#ifdef __cplusplus
extern "C" {
#endif // __cplusplus

// All readouts of a reflection coefficient, referred to `reference` ohms, in units of 2^-12.
//
// # Safety
// `readouts` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_fixed_readouts(struct OhmwrightFixedReflection gamma,
                                         int32_t reference,
                                         struct OhmwrightFixedReadouts *readouts);

// The load behind a raw reading of a fixture. `NO_TRACKING` and `AT_POLE` say that there is none.
//
// # Safety
// `corrected` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_fixed_correct(struct OhmwrightFixedReflection raw,
                                        struct OhmwrightFixedErrorTerms terms,
                                        struct OhmwrightFixedReflection *corrected);

// Begins a sweep in a caller's storage.
//
// # Safety
// `storage` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_fixed_sweep_start(struct OhmwrightStorage *storage, struct OhmwrightFixedSettings settings);

// Takes the next point of a sweep, in rising or in falling order.
//
// # Safety
// `storage` is null, misaligned, or points to one that the caller may write and nobody else uses meanwhile.
OhmwrightStatus ohmwright_fixed_sweep_push(struct OhmwrightStorage *storage,
                                           uint64_t frequency_hz,
                                           struct OhmwrightFixedReflection gamma);

// What the points so far say. The sweep may go on afterwards.
//
// # Safety
// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
OhmwrightStatus ohmwright_fixed_sweep_report(const struct OhmwrightStorage *storage,
                                             struct OhmwrightFixedReport *report);

// `SWR             1.64` in a buffer of `size` bytes, the last of which is the 0 that ends a string.
//
// # Safety
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_swr(struct OhmwrightFixedReflection gamma, char *line, size_t size);

// `RL           12.3 dB`: return loss; otherwise like `ohmwright_fixed_text_swr`.
//
// # Safety
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_return_loss(struct OhmwrightFixedReflection gamma, char *line, size_t size);

// `Z    50.0 +j25.0 ohm`: the impedance; otherwise like `ohmwright_fixed_text_swr`.
//
// # Safety
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_impedance(struct OhmwrightFixedReflection gamma,
                                               int32_t reference,
                                               char *line,
                                               size_t size);

// `pass        SWR 1.12`: what the sweep so far says of its target; otherwise like `ohmwright_fixed_text_swr`.
//
// # Safety
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_verdict(const struct OhmwrightStorage *storage, char *line, size_t size);

// What to do next after the sweep so far.
//
// # Safety
// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
OhmwrightStatus ohmwright_fixed_sweep_next_step(const struct OhmwrightStorage *storage,
                                                struct OhmwrightFixedBuilt built,
                                                struct OhmwrightFixedNextStep *step);

// How far the readings of the sweep so far can be trusted.
//
// # Safety
// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
OhmwrightStatus ohmwright_fixed_sweep_quality(const struct OhmwrightStorage *storage,
                                              struct OhmwrightFixedQuality *quality);

// `more C       x 1.158`: what to do next after the sweep so far, decided anew; otherwise like `ohmwright_fixed_text_swr`.
//
// # Safety
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_next_step(const struct OhmwrightStorage *storage,
                                               struct OhmwrightFixedBuilt built,
                                               char *line,
                                               size_t size);

// `for SWR 1.05 to 1.13`: what that step leaves at the target, blank where it is not known; otherwise like
// `ohmwright_fixed_text_swr`.
//
// # Safety
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_expected(const struct OhmwrightStorage *storage,
                                              struct OhmwrightFixedBuilt built,
                                              char *line,
                                              size_t size);

// `left out    2 points`: what is to be said of the readings of the sweep so far, blank where all is well; otherwise like
// `ohmwright_fixed_text_swr`.
//
// # Safety
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_quality(const struct OhmwrightStorage *storage,
                                             char *line,
                                             size_t size);

// All readouts of a reflection coefficient, referred to `reference` ohms.
//
// # Safety
// `readouts` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_float_readouts(struct OhmwrightFloatReflection gamma,
                                         float reference,
                                         struct OhmwrightFloatReadouts *readouts);

// The load behind a raw reading of a fixture. `NO_TRACKING` and `AT_POLE` say that there is none.
//
// # Safety
// `corrected` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_float_correct(struct OhmwrightFloatReflection raw,
                                        struct OhmwrightFloatErrorTerms terms,
                                        struct OhmwrightFloatReflection *corrected);

// Begins a sweep in a caller's storage.
//
// # Safety
// `storage` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_float_sweep_start(struct OhmwrightStorage *storage, struct OhmwrightFloatSettings settings);

// Takes the next point of a sweep, in rising or in falling order.
//
// # Safety
// `storage` is null, misaligned, or points to one that the caller may write and nobody else uses meanwhile.
OhmwrightStatus ohmwright_float_sweep_push(struct OhmwrightStorage *storage,
                                           uint64_t frequency_hz,
                                           struct OhmwrightFloatReflection gamma);

// What the points so far say. The sweep may go on afterwards.
//
// # Safety
// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
OhmwrightStatus ohmwright_float_sweep_report(const struct OhmwrightStorage *storage,
                                             struct OhmwrightFloatReport *report);

// `SWR             1.64` in a buffer of `size` bytes, the last of which is the 0 that ends a string.
//
// # Safety
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_swr(struct OhmwrightFloatReflection gamma, char *line, size_t size);

// `RL           12.3 dB`: return loss; otherwise like `ohmwright_float_text_swr`.
//
// # Safety
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_return_loss(struct OhmwrightFloatReflection gamma, char *line, size_t size);

// `Z    50.0 +j25.0 ohm`: the impedance; otherwise like `ohmwright_float_text_swr`.
//
// # Safety
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_impedance(struct OhmwrightFloatReflection gamma,
                                               float reference,
                                               char *line,
                                               size_t size);

// `pass        SWR 1.12`: what the sweep so far says of its target; otherwise like `ohmwright_float_text_swr`.
//
// # Safety
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_verdict(const struct OhmwrightStorage *storage, char *line, size_t size);

// What to do next after the sweep so far.
//
// # Safety
// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
OhmwrightStatus ohmwright_float_sweep_next_step(const struct OhmwrightStorage *storage,
                                                struct OhmwrightFloatBuilt built,
                                                struct OhmwrightFloatNextStep *step);

// How far the readings of the sweep so far can be trusted.
//
// # Safety
// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
OhmwrightStatus ohmwright_float_sweep_quality(const struct OhmwrightStorage *storage,
                                              struct OhmwrightFloatQuality *quality);

// `more C       x 1.158`: what to do next after the sweep so far, decided anew; otherwise like `ohmwright_float_text_swr`.
//
// # Safety
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_next_step(const struct OhmwrightStorage *storage,
                                               struct OhmwrightFloatBuilt built,
                                               char *line,
                                               size_t size);

// `for SWR 1.05 to 1.13`: what that step leaves at the target, blank where it is not known; otherwise like
// `ohmwright_float_text_swr`.
//
// # Safety
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_expected(const struct OhmwrightStorage *storage,
                                              struct OhmwrightFloatBuilt built,
                                              char *line,
                                              size_t size);

// `left out    2 points`: what is to be said of the readings of the sweep so far, blank where all is well; otherwise like
// `ohmwright_float_text_swr`.
//
// # Safety
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_quality(const struct OhmwrightStorage *storage,
                                             char *line,
                                             size_t size);

#ifdef __cplusplus
}  // extern "C"
#endif  // __cplusplus

#endif  /* OHMWRIGHT_H */

#if defined(__cplusplus)
#define OHMWRIGHT_SAME(what) static_assert(what, #what)
#elif defined(__STDC_VERSION__) && __STDC_VERSION__ >= 201112L
#define OHMWRIGHT_SAME(what) _Static_assert(what, #what)
#else
#define OHMWRIGHT_SAME(what) extern char ohmwright_same[(what) ? 1 : -1]
#endif
OHMWRIGHT_SAME(sizeof(OhmwrightStatus) == 4);
OHMWRIGHT_SAME(sizeof(OhmwrightTarget) == 4);
OHMWRIGHT_SAME(sizeof(OhmwrightStepKind) == 4);
OHMWRIGHT_SAME(sizeof(OhmwrightElement) == 4);
OHMWRIGHT_SAME(sizeof(OhmwrightStorage) == OHMWRIGHT_STORAGE_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedReflection) == 8);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedReadouts) == OHMWRIGHT_READOUTS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedErrorTerms) == OHMWRIGHT_ERROR_TERMS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedSettings) == OHMWRIGHT_SETTINGS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedDip) == OHMWRIGHT_DIP_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedBand) == OHMWRIGHT_BAND_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedReport) == OHMWRIGHT_REPORT_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedBuilt) == OHMWRIGHT_BUILT_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedNextStep) == OHMWRIGHT_NEXT_STEP_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedQuality) == OHMWRIGHT_QUALITY_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatReflection) == 8);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatReadouts) == OHMWRIGHT_READOUTS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatErrorTerms) == OHMWRIGHT_ERROR_TERMS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatSettings) == OHMWRIGHT_SETTINGS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatDip) == OHMWRIGHT_DIP_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatBand) == OHMWRIGHT_BAND_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatReport) == OHMWRIGHT_REPORT_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatBuilt) == OHMWRIGHT_BUILT_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatNextStep) == OHMWRIGHT_NEXT_STEP_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatQuality) == OHMWRIGHT_QUALITY_BYTES);
OHMWRIGHT_SAME(offsetof(OhmwrightFixedReport, target) == OHMWRIGHT_REPORT_TARGET_AT);
OHMWRIGHT_SAME(offsetof(OhmwrightFloatReport, target) == OHMWRIGHT_REPORT_TARGET_AT);
#undef OHMWRIGHT_SAME
