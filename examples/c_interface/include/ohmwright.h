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

// How many words of 64 bits an analyser takes at most, in either family.
#define OHMWRIGHT_WORDS 178

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
  // A number is not finite, or beyond its range: a reference of 0, an SWR limit below 1, a NaN.
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

// `left out    2 points`: what is doubtful in the sweep so far, blank where all is well; otherwise like `ohmwright_fixed_text_swr`.
//
// # Safety
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_doubt(const struct OhmwrightStorage *storage,
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

// `left out    2 points`: what is doubtful in the sweep so far, blank where all is well; otherwise like `ohmwright_float_text_swr`.
//
// # Safety
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_doubt(const struct OhmwrightStorage *storage,
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
OHMWRIGHT_SAME(sizeof(OhmwrightStorage) == OHMWRIGHT_STORAGE_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedReflection) == 8);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedReadouts) == OHMWRIGHT_READOUTS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedErrorTerms) == OHMWRIGHT_ERROR_TERMS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedSettings) == OHMWRIGHT_SETTINGS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedDip) == OHMWRIGHT_DIP_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedBand) == OHMWRIGHT_BAND_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedReport) == OHMWRIGHT_REPORT_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatReflection) == 8);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatReadouts) == OHMWRIGHT_READOUTS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatErrorTerms) == OHMWRIGHT_ERROR_TERMS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatSettings) == OHMWRIGHT_SETTINGS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatDip) == OHMWRIGHT_DIP_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatBand) == OHMWRIGHT_BAND_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatReport) == OHMWRIGHT_REPORT_BYTES);
OHMWRIGHT_SAME(offsetof(OhmwrightFixedReport, target) == OHMWRIGHT_REPORT_TARGET_AT);
OHMWRIGHT_SAME(offsetof(OhmwrightFloatReport, target) == OHMWRIGHT_REPORT_TARGET_AT);
#undef OHMWRIGHT_SAME
