/* ohmwright for firmware in C: from the counts of a front end to a calibrated reflection coefficient, to SWR and
 * impedance, to a sweep with its report and the next step; networks of two elements; the decisions of an antenna tuner.
 *
 * Order of the calls
 *
 *   calibrate   at each frequency, with open, short and load connected in turn:
 *               ..._vector_read of each, ..._standard for what each reflects, ..._solve; the terms go into a table that you own
 *   keep        ..._calibration_store to bytes for flash, ..._calibration_load at the next start
 *   sweep       ..._sweep_start; at each frequency, rising or falling: ..._vector_read, ..._correct_at, ..._sweep_push
 *   report      ..._sweep_report, ..._sweep_resonances, ..._sweep_quality, at any moment; ..._readouts of what they found
 *   next step   ..._sweep_next_step with what is built; ..._retune for two frequencies of your own
 *   text        ohmwright_text_... and ..._text_..., one line each, for a small screen
 *   meter       ..._scalar_read: powers and SWR with its range, from two diode detectors
 *   match       ..._two_element: every network of two parts, with values
 *   tuner       ..._tuner_start with the bank, ..._tuner_run at a frequency; then ..._tuner_step again and again: it says the
 *               one thing to do, you do it and tell what came of it, until OHMWRIGHT_COMMAND_KIND_DONE
 *
 * Each call is there twice, with "fixed" and with "float" in its name; take one kind for everything. Fixed point gives
 * the same bits on every core; float is for cores with a floating-point unit, and works without one, by integers
 * inside.
 *
 * Numbers. Frequencies are whole hertz in 64 bits. In fixed point a number counts steps: ohms, volts and watts of 2^-12
 * (50 ohms are 50 << 12), reflection coefficients and their parts of 2^-30, SWR, ratios, Q, decibels and degrees of
 * 2^-16; inductance is in whole picohenries, capacitance in whole femtofarads. In float these are ohms, volts, watts,
 * dB, degrees, henries, farads. A result beyond its number saturates: an SWR of the largest value is total reflection
 * (float: infinity). A float that is not finite is refused where it comes in.
 *
 * Reflection coefficients are of voltage, (Z - Z0)/(Z + Z0) with a real Z0, the reference. Return loss is positive for
 * a passive load. Inductive reactance is positive. A ratio of turns is primary : secondary, primary towards the source.
 *
 * Status. Every call returns one; 0 is OHMWRIGHT_STATUS_DONE. After any other one the places for answers are as they
 * were, unless the call says otherwise. Null pointers and pointers that are not aligned are refused. Nothing panics,
 * nothing is allocated.
 *
 * Memory. All of it is yours: the storages, the tables, the lines of text. The library keeps no pointer after a call
 * and has no state of its own. A storage may be static, on the stack or copied as bytes; it needs no end. Tables may be
 * in flash.
 *
 * Threads and interrupts. Any call may come from an interrupt or a thread, beside any other, as long as no two at once
 * use the same storage or the same place for an answer, one of them writing. Without that care, call from one place
 * only. A push that finds something, a report, a next step and a tuner's step with a reading take the longest: not in
 * an interrupt with a deadline.
 *
 * Fields that are 0 take a default where it is said so: begin with {0}.
 *
 * Care. Whoever transmits to measure needs a licence for it. RF burns; a mismatched network carries high voltage even
 * at low power. Nothing here is a safety device: local rules and licensed practice come first. */

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
#define OHMWRIGHT_SETTINGS_BYTES 24

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

// Bytes of a point of a calibration.
#define OHMWRIGHT_CALIBRATION_POINT_BYTES 32

// Bytes of a standard.
#define OHMWRIGHT_STANDARD_BYTES 20

// Bytes of a vector reading.
#define OHMWRIGHT_VECTOR_READING_BYTES 20

// Bytes of the settings of a scalar detector.
#define OHMWRIGHT_SCALAR_SETTINGS_BYTES 20

// Bytes of a scalar reading.
#define OHMWRIGHT_SCALAR_READING_BYTES 36

// Bytes of the crossings of a sweep.
#define OHMWRIGHT_RESONANCES_BYTES 104

// Bytes of the networks of two elements.
#define OHMWRIGHT_NETWORKS_BYTES 144

// Bytes of a bank.
#define OHMWRIGHT_BANK_BYTES 156

// Bytes of the settings of a tuner.
#define OHMWRIGHT_TUNER_SETTINGS_BYTES 56

// Bytes of an event.
#define OHMWRIGHT_EVENT_BYTES 12

// Bytes of a command.
#define OHMWRIGHT_COMMAND_BYTES 32

// Coils of the tuner's bank. For another bank change this and what is below it in `src/lib.rs`, then `run --header`.
#define OHMWRIGHT_COILS 8

// Capacitors of the tuner's bank.
#define OHMWRIGHT_CAPACITORS 8

// The most taps of the transformer of a bank.
#define OHMWRIGHT_TAPS 4

// How many words of 64 bits a tuner of this bank takes at most, in either family.
#define OHMWRIGHT_TUNER_WORDS 152

// Bytes of the storage of a tuner: those words, and one that says what they are.
#define OHMWRIGHT_TUNER_STORAGE_BYTES (8 * (OHMWRIGHT_TUNER_WORDS + 1))

// How many words of 64 bits an analyser takes at most, in either family.
#define OHMWRIGHT_WORDS 415

// Bytes of the storage of an analyser: those words, and one that says what they are.
#define OHMWRIGHT_STORAGE_BYTES (8 * (OHMWRIGHT_WORDS + 1))

// The tap of `Relays` between two taps: none is connected.
#define OHMWRIGHT_NO_TAP 255

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
  // A number is not finite, or beyond its range: a reference of 0, an SWR limit below 1, a NaN, an element that is
  // none.
  OHMWRIGHT_STATUS_BAD_NUMBER = 2,
  // The frequency repeats the last one, or the sweep changed its direction. The point was left out.
  OHMWRIGHT_STATUS_OUT_OF_ORDER = 3,
  // The analyser was not started.
  OHMWRIGHT_STATUS_NOT_STARTED = 4,
  // The buffer is too short for the line, and blank.
  OHMWRIGHT_STATUS_NO_ROOM = 5,
  // Nothing comes back through the fixture: its tracking is 0, or too small to say anything of the load.
  OHMWRIGHT_STATUS_NO_TRACKING = 6,
  // No load within the range of the numbers gives this reading: it lies at the pole of the correction, or next to
  // it.
  OHMWRIGHT_STATUS_AT_POLE = 7,
  // A pointer is not aligned as its type is.
  OHMWRIGHT_STATUS_MISALIGNED = 8,
  // Two standards reflect the same, within a thousandth: the second says nothing.
  OHMWRIGHT_STATUS_EQUAL_STANDARDS = 9,
  // Two standards read the same: one was not connected, or nothing comes through the fixture.
  OHMWRIGHT_STATUS_EQUAL_READINGS = 10,
  // A source match of 1 or more, which no fixture has: the load was exchanged with the open or the short.
  OHMWRIGHT_STATUS_IMPOSSIBLE_SOURCE_MATCH = 11,
  // The result is beyond the range of its number.
  OHMWRIGHT_STATUS_OUT_OF_RANGE = 12,
  // A table has fewer than two rows.
  OHMWRIGHT_STATUS_TABLE_TOO_SHORT = 13,
  // A row of a table is not above the one before.
  OHMWRIGHT_STATUS_NOT_RISING = 14,
  // The frequency is outside the calibration.
  OHMWRIGHT_STATUS_OUTSIDE_TABLE = 15,
  // A count is at the converter's limit: the true value may be larger. Less power, or more attenuation.
  OHMWRIGHT_STATUS_OVERLOAD = 16,
  // The signal that is divided by is too weak: no source, or a broken connection.
  OHMWRIGHT_STATUS_TOO_WEAK = 17,
  // The forward count is below the first row of its table.
  OHMWRIGHT_STATUS_BELOW_TABLE = 18,
  // A count is above the last row of its table.
  OHMWRIGHT_STATUS_ABOVE_TABLE = 19,
  // Nothing, or something else, is stored there.
  OHMWRIGHT_STATUS_FOREIGN = 20,
  // It was stored in a form that this library does not know.
  OHMWRIGHT_STATUS_OTHER_VERSION = 21,
  // It was stored in the other kind of numbers (fixed point or float).
  OHMWRIGHT_STATUS_OTHER_FAMILY = 22,
  // The checksum does not fit the stored bytes.
  OHMWRIGHT_STATUS_DAMAGED = 23,
  // Values that do not go together, or stored content that breaks a rule.
  OHMWRIGHT_STATUS_CONTRADICTION = 24,
  // Load or source have no resistance above 0: no network brings power into them.
  OHMWRIGHT_STATUS_NO_RESISTANCE = 25,
  // A run of the tuner is under way.
  OHMWRIGHT_STATUS_BUSY = 26,
  // The bank does not have this setting.
  OHMWRIGHT_STATUS_NOT_IN_BANK = 27,
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

// Whether a network of two elements exists. 32 bits wide, whatever the compiler makes of an enumeration.
enum OhmwrightNetworkState
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // It exists, and its values hold.
  OHMWRIGHT_NETWORK_STATE_EXISTS = 0,
  // No shunt element at the load raises its resistance to that of the source.
  OHMWRIGHT_NETWORK_STATE_RESISTANCE_TOO_LOW = 1,
  // No series element at the load lowers its resistance to that of the source.
  OHMWRIGHT_NETWORK_STATE_RESISTANCE_TOO_HIGH = 2,
  // Both solutions of this orientation are one: it is the one before.
  OHMWRIGHT_NETWORK_STATE_SAME_AS_OTHER = 3,
  // The network exists, but a value is beyond the range of its number: more than 4.29 mH or 4.29 uF in fixed point.
  OHMWRIGHT_NETWORK_STATE_BEYOND_RANGE = 4,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OhmwrightNetworkState OhmwrightNetworkState;
#else
typedef uint32_t OhmwrightNetworkState;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// What a tuner asks for. 32 bits wide, whatever the compiler makes of an enumeration.
enum OhmwrightCommandKind
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // Nothing: no run is under way.
  OHMWRIGHT_COMMAND_KIND_IDLE = 0,
  // Call again at `until_ms`, or later, with a tick.
  OHMWRIGHT_COMMAND_KIND_WAIT = 1,
  // Reduce the forward power to `power` or less, then call again with a tick.
  OHMWRIGHT_COMMAND_KIND_REDUCE_POWER = 2,
  // Raise the forward power to `power` or more, then call again with a tick.
  OHMWRIGHT_COMMAND_KIND_RAISE_POWER = 3,
  // Set the relays as `relays` says at once, and answer `SWITCHED` or `SWITCH_FAILED`.
  OHMWRIGHT_COMMAND_KIND_SWITCH = 4,
  // Take a reading, and answer `VECTOR`, `MAGNITUDE` or `SENSOR_FAILED`.
  OHMWRIGHT_COMMAND_KIND_MEASURE = 5,
  // The run is over: `outcome` and what follows it hold.
  OHMWRIGHT_COMMAND_KIND_DONE = 6,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OhmwrightCommandKind OhmwrightCommandKind;
#else
typedef uint32_t OhmwrightCommandKind;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// How a tuner's run ended. 32 bits wide, whatever the compiler makes of an enumeration.
enum OhmwrightOutcome
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // The best setting of the bank is set, and its SWR is good.
  OHMWRIGHT_OUTCOME_MATCHED = 0,
  // The best setting of the bank is set, but the bank cannot match this load well.
  OHMWRIGHT_OUTCOME_BEST_AVAILABLE = 1,
  // The budget of readings or relay operations is spent; the best setting found is set.
  OHMWRIGHT_OUTCOME_BUDGET_SPENT = 2,
  // There was not enough power for a reading.
  OHMWRIGHT_OUTCOME_TOO_LITTLE_POWER = 3,
  // The power stayed above the switching limit of the relays.
  OHMWRIGHT_OUTCOME_TOO_MUCH_POWER = 4,
  // The sensor failed, or gave impossible readings.
  OHMWRIGHT_OUTCOME_SENSOR_FAULT = 5,
  // The relays failed, or did not answer.
  OHMWRIGHT_OUTCOME_BANK_FAULT = 6,
  // The load changed during the run.
  OHMWRIGHT_OUTCOME_DRIFTING = 7,
  // The load takes no power: an open, a short, or a cable without a load.
  OHMWRIGHT_OUTCOME_LOAD_WITHOUT_RESISTANCE = 8,
  // The run took too long.
  OHMWRIGHT_OUTCOME_TIMED_OUT = 9,
  // It was stopped by a call.
  OHMWRIGHT_OUTCOME_CANCELLED = 10,
  // Bypass was asked for, and is set.
  OHMWRIGHT_OUTCOME_BYPASSED = 11,
  // What this interface has no word for yet.
  OHMWRIGHT_OUTCOME_OTHER = 12,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OhmwrightOutcome OhmwrightOutcome;
#else
typedef uint32_t OhmwrightOutcome;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// A device whose reflection is known. 32 bits wide, whatever the compiler makes of an enumeration.
enum OhmwrightStandardKind
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // An open, with a fringing capacitance.
  OHMWRIGHT_STANDARD_KIND_OPEN = 0,
  // A short, with an inductance.
  OHMWRIGHT_STANDARD_KIND_SHORT = 1,
  // A load, with a resistance.
  OHMWRIGHT_STANDARD_KIND_LOAD = 2,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OhmwrightStandardKind OhmwrightStandardKind;
#else
typedef uint32_t OhmwrightStandardKind;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// Where the capacitors of a bank are. 32 bits wide, whatever the compiler makes of an enumeration.
enum OhmwrightCapacitors
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // All at the transmitter's end of the coils.
  OHMWRIGHT_CAPACITORS_AT_SOURCE = 0,
  // All at the antenna's end of the coils.
  OHMWRIGHT_CAPACITORS_AT_LOAD = 1,
  // A relay connects all of them at one end or at the other.
  OHMWRIGHT_CAPACITORS_CHANGEOVER = 2,
  // The first `at_source` of the list at the transmitter's end, the others at the antenna's end.
  OHMWRIGHT_CAPACITORS_BOTH_ENDS = 3,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OhmwrightCapacitors OhmwrightCapacitors;
#else
typedef uint32_t OhmwrightCapacitors;
#endif // __STDC_VERSION__ >= 202311L
#endif // __cplusplus

// What has happened since the last step of a tuner. 32 bits wide, whatever the compiler makes of an enumeration.
enum OhmwrightEventKind
#if defined(__cplusplus) || __STDC_VERSION__ >= 202311L
  : uint32_t
#endif // defined(__cplusplus) || __STDC_VERSION__ >= 202311L
 {
  // Time has passed, nothing else.
  OHMWRIGHT_EVENT_KIND_TICK = 0,
  // The relays have been set as the command required.
  OHMWRIGHT_EVENT_KIND_SWITCHED = 1,
  // The relays could not be set.
  OHMWRIGHT_EVENT_KIND_SWITCH_FAILED = 2,
  // A reading with magnitude and phase, in `reading`.
  OHMWRIGHT_EVENT_KIND_VECTOR = 3,
  // A reading of the magnitude alone, in `reading.re`; `reading.im` is ignored.
  OHMWRIGHT_EVENT_KIND_MAGNITUDE = 4,
  // The sensor could not read.
  OHMWRIGHT_EVENT_KIND_SENSOR_FAILED = 5,
};
#ifndef __cplusplus
#if __STDC_VERSION__ >= 202311L
typedef enum OhmwrightEventKind OhmwrightEventKind;
#else
typedef uint32_t OhmwrightEventKind;
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

// A component or a magnitude of a reflection coefficient, in units of 2^-30.
typedef int32_t OhmwrightFixedComponent;

// What an analyser is to look for.
typedef struct OhmwrightFixedSettings {
  // The reference, ohms, in units of 2^-12; 0 for 50 ohms.
  int32_t reference;
  // A match is good enough at this SWR, in units of 2^-16; 0 for 2.
  uint32_t swr_limit;
  // The frequency that matters, hertz; 0 for none.
  uint64_t target_hz;
  // How far the magnitude of the reflection coefficient must rise on both sides of a dip; 0 for 0.01, a negative
  // value for every minimum. About ten times the noise is a good choice.
  OhmwrightFixedComponent prominence;
  // The noise of a component of the reflection coefficient, its standard deviation; 0 for 0.01, a negative value for
  // none.
  OhmwrightFixedComponent noise;
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
  // How many samples have a reflection coefficient above 1 in size by more than 0.02: check calibration and
  // reference.
  uint32_t beyond_rim;
  // Over how many steps the reflection coefficient turns by more than a third of a circle; where these are more than
  // an eighth of the points, the sweep is too coarse.
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

// Ohms, in units of 2^-12.
typedef int32_t OhmwrightFixedOhms;

// A standard, by the values that belong to it. With all of them 0 it is ideal.
typedef struct OhmwrightFixedStandard {
  // Which one: a value of `OhmwrightStandardKind`.
  uint32_t kind;
  // The fringing capacitance of an open, attofarads (50 fF are 50000). Not used by the others.
  int32_t attofarads;
  // The inductance of a short, femtohenries (50 pH are 50000). Not used by the others.
  int32_t femtohenries;
  // The delay, one way, of the line in front of it, femtoseconds; taken as without loss and of the reference.
  int32_t femtoseconds;
  // The resistance of a load; 0 for one equal to the reference. Not used by the others.
  OhmwrightFixedOhms resistance;
} OhmwrightFixedStandard;

// One value for each of the three standards.
typedef struct OhmwrightFixedOpenShortLoad {
  // Of the open.
  struct OhmwrightFixedReflection open;
  // Of the short.
  struct OhmwrightFixedReflection shorted;
  // Of the load.
  struct OhmwrightFixedReflection load;
} OhmwrightFixedOpenShortLoad;

// The error terms of a fixture at one frequency of a calibration.
typedef struct OhmwrightFixedCalibrationPoint {
  // The frequency, hertz.
  uint64_t frequency_hz;
  // The terms there.
  struct OhmwrightFixedErrorTerms terms;
} OhmwrightFixedCalibrationPoint;

// Decibels, in units of 2^-16.
typedef int32_t OhmwrightFixedDecibels;

// What a calibration was made with; kept with it.
typedef struct OhmwrightFixedConditions {
  // The reference; above 0.
  OhmwrightFixedOhms reference;
  // The power of the source, dBm.
  OhmwrightFixedDecibels power_dbm;
} OhmwrightFixedConditions;

// A ratio or a Q, 0 or more, in units of 2^-16.
typedef uint32_t OhmwrightFixedRatio;

// The converter of a vector detector.
typedef struct OhmwrightFixedVectorSettings {
  // The size of a count at the converter's limit, which counts as overload: 2047 with 12 bits and a sign; 1 to 2^24.
  uint32_t full_scale;
  // The least amplitude of the reference channel that is divided by, counts; 0 for a 32nd of the full scale.
  uint32_t weakest;
  // The standard deviation of a count, counts; 0 for one count.
  OhmwrightFixedRatio noise;
} OhmwrightFixedVectorSettings;

// The counts of two receivers behind quadrature mixers: with A*cos(wt + phi) as signal, in phase A*cos(phi) and in
// quadrature A*sin(phi).
typedef struct OhmwrightFixedCounts {
  // The incident wave, in phase.
  int32_t reference_i;
  // The incident wave, in quadrature.
  int32_t reference_q;
  // The reflected wave, in phase.
  int32_t reflected_i;
  // The reflected wave, in quadrature.
  int32_t reflected_q;
} OhmwrightFixedCounts;

// The marks of a reading that is right within its error, but should be looked at: each is 1 where it applies,
// otherwise 0.
typedef struct OhmwrightMarks {
  // A channel is above seven eighths of the converter's range.
  uint8_t near_overload;
  // The signal that is divided by is below four times the least that is accepted.
  uint8_t weak;
  // The phase is not known: always with a scalar detector; with a vector detector where the error reaches 0.
  uint8_t phase_ambiguous;
  // The reflected wave reads larger than the incident one.
  uint8_t above_unity;
  // The reverse detector is below its table: magnitude, reflected power and SWR are upper limits.
  uint8_t upper_limit;
} OhmwrightMarks;

// A raw reflection coefficient, and its quality.
typedef struct OhmwrightFixedVectorReading {
  // Reflected over incident wave, not corrected yet.
  struct OhmwrightFixedReflection reflection;
  // Its standard error, from the noise of both channels.
  OhmwrightFixedComponent error;
  // What is to be said of it.
  struct OhmwrightMarks marks;
} OhmwrightFixedVectorReading;

// Volts, in units of 2^-12.
typedef int32_t OhmwrightFixedVolts;

// A directional coupler with two diode detectors, and their converter.
typedef struct OhmwrightFixedScalarSettings {
  // The resistance for which the coupler is made; 0 for 50 ohms.
  OhmwrightFixedOhms reference;
  // The power at its ports below that of the line, dB, 0 to 200.
  OhmwrightFixedDecibels coupling;
  // The least directivity of the coupler, dB, above 0 and at most 200: the range of the SWR depends on it.
  OhmwrightFixedDecibels directivity;
  // The count at the converter's limit, which counts as overload; above 0.
  int32_t full_scale;
  // The least forward voltage at the detector that is divided by; above 0.
  OhmwrightFixedVolts weakest;
} OhmwrightFixedScalarSettings;

// A count of a diode detector and what it stands for.
typedef struct OhmwrightFixedLevel {
  // The count.
  int32_t counts;
  // The voltage at the detector's input, root mean square; 0 or more.
  OhmwrightFixedVolts volts;
} OhmwrightFixedLevel;

// Watts, in units of 2^-12.
typedef int32_t OhmwrightFixedWatts;

// An SWR, 1 or more, in units of 2^-16.
typedef uint32_t OhmwrightFixedSwr;

// Powers and SWR from two diode detectors, and the range of the SWR that the coupler leaves open.
typedef struct OhmwrightFixedScalarReading {
  // The power towards the load.
  OhmwrightFixedWatts forward;
  // The power that comes back.
  OhmwrightFixedWatts reflected;
  // The power that the load takes: the difference.
  OhmwrightFixedWatts delivered;
  // The magnitude of the reflection coefficient.
  OhmwrightFixedComponent magnitude;
  // The SWR; the largest value at total reflection.
  OhmwrightFixedSwr swr;
  // The lowest SWR that agrees with the reading.
  OhmwrightFixedSwr swr_low;
  // The highest SWR that does; the largest value where there is no limit (`swr_unlimited`).
  OhmwrightFixedSwr swr_high;
  // 1 where the load may reflect everything. Otherwise 0.
  uint8_t swr_unlimited;
  // What is to be said of it.
  struct OhmwrightMarks marks;
} OhmwrightFixedScalarReading;

// How to bring a dip to another frequency.
typedef struct OhmwrightFixedRetune {
  // Which way.
  OhmwrightStepDirection direction;
  // New value over old.
  OhmwrightFixedRatio factor;
} OhmwrightFixedRetune;

// A crossing of the reactance through 0.
typedef struct OhmwrightFixedResonance {
  // Where, hertz.
  uint64_t frequency_hz;
  // The resistance there; the largest value at an open.
  OhmwrightFixedOhms resistance;
  // Its Q by the slope of the reactance, of the load at this port with nothing else connected.
  OhmwrightFixedRatio q;
  // 1 where the reactance rises with frequency, as in a series circuit; 0 where it falls.
  uint8_t rising;
} OhmwrightFixedResonance;

// The crossings that a sweep has shown so far.
typedef struct OhmwrightFixedResonances {
  // The crossings, by frequency.
  struct OhmwrightFixedResonance found[OHMWRIGHT_ROOM];
  // How many of `found` hold.
  uint32_t count;
  // How many there was no room for.
  uint32_t left_out;
} OhmwrightFixedResonances;

// An inductance, whole picohenries, up to 4.29 mH.
typedef uint32_t OhmwrightFixedInductance;

// A capacitance, whole femtofarads, up to 4.29 uF.
typedef uint32_t OhmwrightFixedCapacitance;

// An impedance.
typedef struct OhmwrightFixedImpedance {
  // The resistance.
  OhmwrightFixedOhms resistance;
  // The reactance; positive is inductive.
  OhmwrightFixedOhms reactance;
} OhmwrightFixedImpedance;

// One network of two elements. What is said of an element holds where `state` is `EXISTS`.
typedef struct OhmwrightFixedNetwork {
  // Whether it exists, and if not, why.
  OhmwrightNetworkState state;
  // What the element in series is; `NONE` where none is needed.
  OhmwrightPartKind series_kind;
  // What the element across is; `NONE` where none is needed.
  OhmwrightPartKind across_kind;
  // The inductance of the element in series, where it is a coil; otherwise 0.
  OhmwrightFixedInductance series_inductance;
  // The capacitance of the element in series, where it is a capacitor; otherwise 0.
  OhmwrightFixedCapacitance series_capacitance;
  // The inductance of the element across, where it is a coil; otherwise 0.
  OhmwrightFixedInductance across_inductance;
  // The capacitance of the element across, where it is a capacitor; otherwise 0.
  OhmwrightFixedCapacitance across_capacitance;
  // The Q of the transformation: larger means a narrower band and more loss.
  OhmwrightFixedRatio q;
  // 1 where the element across is at the load, 0 where it is at the source.
  uint8_t across_at_load;
} OhmwrightFixedNetwork;

// The networks of two elements: with the element across at the load, both roots; then at the source, both roots.
typedef struct OhmwrightFixedNetworks {
  // In the order that is said above.
  struct OhmwrightFixedNetwork all[4];
} OhmwrightFixedNetworks;

// Room for a tuner; only the library looks inside. It may be copied as bytes, and moved.
typedef struct OhmwrightTunerStorage {
  // Says that the rest is a tuner, and of which family.
  uint64_t started;
  // The tuner.
  uint64_t words[OHMWRIGHT_TUNER_WORDS];
} OhmwrightTunerStorage;

// A coil of a bank, with a relay across it.
typedef struct OhmwrightFixedBankCoil {
  // Its real value, measured in the circuit if possible; above 0.
  OhmwrightFixedInductance inductance;
  // Its Q, taken as the same at every frequency; 0 for a coil without loss.
  OhmwrightFixedRatio q;
} OhmwrightFixedBankCoil;

// A capacitor of a bank, with a relay in series.
typedef struct OhmwrightFixedBankCapacitor {
  // Its real value; above 0.
  OhmwrightFixedCapacitance capacitance;
  // Its Q, taken as the same at every frequency; 0 for a capacitor without loss.
  OhmwrightFixedRatio q;
} OhmwrightFixedBankCapacitor;

// The switched parts of a tuner. In order from the transmitter: capacitors at the source's end, coils in series,
// capacitors at the load's end, the transformer if there is one, the antenna.
typedef struct OhmwrightFixedBank {
  // The coils. Bit 0 of a code is the first.
  struct OhmwrightFixedBankCoil coils[OHMWRIGHT_COILS];
  // The capacitors. Bit 0 of a code is the first.
  struct OhmwrightFixedBankCapacitor capacitors[OHMWRIGHT_CAPACITORS];
  // Where the capacitors are: a value of `OhmwrightCapacitors`.
  uint32_t place;
  // How many of the capacitors are at the transmitter's end, with `BOTH_ENDS`; otherwise not used.
  uint32_t at_source;
  // What remains in series with every relay at rest.
  OhmwrightFixedInductance stray_series;
  // What remains across the line at the transmitter's end.
  OhmwrightFixedCapacitance stray_at_source;
  // What remains across the line at the antenna's end.
  OhmwrightFixedCapacitance stray_at_load;
  // The turns of the transformer's taps towards the bank; all 0 without a transformer. The first tap is the rest
  // position.
  uint8_t tap_primary[OHMWRIGHT_TAPS];
  // The turns of the taps towards the antenna.
  uint8_t tap_secondary[OHMWRIGHT_TAPS];
} OhmwrightFixedBank;

// Limits, times and budgets of a tuner. A field that is 0 takes its default. The defaults are for small relays and a
// transmitter that can be reduced to a few watts: check each of them.
typedef struct OhmwrightFixedTunerSettings {
  // The resistance to match; 50 ohms by default.
  OhmwrightFixedOhms reference;
  // No relay moves above this forward power: take it from the data of the relays (what they may switch, not carry).
  // 1 W by default; a negative value means that the power must be off.
  OhmwrightFixedWatts switching_limit;
  // A reading needs at least this forward power; 0.1 W by default.
  OhmwrightFixedWatts measuring_minimum;
  // The standard deviation of the sensor, as a share of its reading; 0.01 by default, at most 0.5.
  OhmwrightFixedComponent sensor_noise;
  // The tolerance of the parts, as a share of their values; 0.05 by default, at most 0.5.
  OhmwrightFixedComponent value_error;
  // At or under this SWR it is a match; 1.5 by default.
  OhmwrightFixedSwr good_swr;
  // Above this SWR a match counts as lost; 2 by default, not below `good_swr`.
  OhmwrightFixedSwr retune_swr;
  // How long it must be lost before a run starts by itself, milliseconds; 0, the default: none ever does.
  uint32_t retune_after_ms;
  // The least time between two such runs, milliseconds; 10000 by default.
  uint32_t rest_ms;
  // The longest wait for the power that was asked for, milliseconds; 5000 by default.
  uint32_t power_timeout_ms;
  // The longest wait for relays or sensor, milliseconds; 500 by default.
  uint32_t reply_timeout_ms;
  // The longest run, milliseconds; 60000 by default.
  uint32_t run_timeout_ms;
  // The time that relays need to come to rest, milliseconds; 15 by default.
  uint16_t settle_ms;
  // The most relay operations in a run, with the way to the safe state; 300 by default, at least three times what
  // the bank may need at once.
  uint16_t most_operations;
  // The most readings in a run; 24 by default.
  uint8_t most_readings;
} OhmwrightFixedTunerSettings;

// The relays of a bank at one moment. Bit k of a code stands for part k of the bank's list.
typedef struct OhmwrightRelays {
  // The coils that are in the path: the relay across each of them is open.
  uint16_t coils;
  // The capacitors that are connected.
  uint16_t capacitors;
  // 1 where the capacitors are at the antenna's end, in a bank with a changeover; otherwise 0.
  uint8_t at_load;
  // The tap of the transformer, from 0; `OHMWRIGHT_NO_TAP` between two. 0 without a transformer.
  uint8_t tap;
} OhmwrightRelays;

// What has happened since the last step of a tuner.
typedef struct OhmwrightFixedEvent {
  // What: a value of `OhmwrightEventKind`.
  uint32_t kind;
  // The reading, with the kinds that have one: corrected for the sensor's own errors, at the transmitter's end of
  // the bank.
  struct OhmwrightFixedReflection reading;
} OhmwrightFixedEvent;

// What a tuner asks for. Where a field says nothing it is 0.
typedef struct OhmwrightFixedCommand {
  // What.
  OhmwrightCommandKind kind;
  // With `WAIT`: when to call again, milliseconds on the caller's clock.
  uint32_t until_ms;
  // With `REDUCE_POWER` and `RAISE_POWER`: the limit.
  OhmwrightFixedWatts power;
  // With `DONE`: how the run ended.
  OhmwrightOutcome outcome;
  // With `DONE`: the SWR in this setting, from readings and bank; 0 where it is not known.
  OhmwrightFixedSwr swr;
  // With `SWITCH`: how the relays must stand. With `DONE`: the setting, where it is known.
  struct OhmwrightRelays relays;
  // With `DONE`: relay operations of this run.
  uint16_t operations;
  // With `DONE`: readings of this run.
  uint8_t readings;
  // With `DONE`: 1 where the setting is known. 0 where the relays may be anywhere: transmit no power through them.
  uint8_t is_set;
} OhmwrightFixedCommand;

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

// A component or a magnitude of a reflection coefficient.
typedef float OhmwrightFloatComponent;

// What an analyser is to look for.
typedef struct OhmwrightFloatSettings {
  // The reference, ohms; 0 for 50 ohms.
  float reference;
  // A match is good enough at this SWR; 0 for 2.
  float swr_limit;
  // The frequency that matters, hertz; 0 for none.
  uint64_t target_hz;
  // How far the magnitude of the reflection coefficient must rise on both sides of a dip; 0 for 0.01, a negative
  // value for every minimum. About ten times the noise is a good choice.
  OhmwrightFloatComponent prominence;
  // The noise of a component of the reflection coefficient, its standard deviation; 0 for 0.01, a negative value for
  // none.
  OhmwrightFloatComponent noise;
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
  // How many samples have a reflection coefficient above 1 in size by more than 0.02: check calibration and
  // reference.
  uint32_t beyond_rim;
  // Over how many steps the reflection coefficient turns by more than a third of a circle; where these are more than
  // an eighth of the points, the sweep is too coarse.
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

// Ohms.
typedef float OhmwrightFloatOhms;

// A standard, by the values that belong to it. With all of them 0 it is ideal.
typedef struct OhmwrightFloatStandard {
  // Which one: a value of `OhmwrightStandardKind`.
  uint32_t kind;
  // The fringing capacitance of an open, attofarads (50 fF are 50000). Not used by the others.
  int32_t attofarads;
  // The inductance of a short, femtohenries (50 pH are 50000). Not used by the others.
  int32_t femtohenries;
  // The delay, one way, of the line in front of it, femtoseconds; taken as without loss and of the reference.
  int32_t femtoseconds;
  // The resistance of a load; 0 for one equal to the reference. Not used by the others.
  OhmwrightFloatOhms resistance;
} OhmwrightFloatStandard;

// One value for each of the three standards.
typedef struct OhmwrightFloatOpenShortLoad {
  // Of the open.
  struct OhmwrightFloatReflection open;
  // Of the short.
  struct OhmwrightFloatReflection shorted;
  // Of the load.
  struct OhmwrightFloatReflection load;
} OhmwrightFloatOpenShortLoad;

// The error terms of a fixture at one frequency of a calibration.
typedef struct OhmwrightFloatCalibrationPoint {
  // The frequency, hertz.
  uint64_t frequency_hz;
  // The terms there.
  struct OhmwrightFloatErrorTerms terms;
} OhmwrightFloatCalibrationPoint;

// Decibels.
typedef float OhmwrightFloatDecibels;

// What a calibration was made with; kept with it.
typedef struct OhmwrightFloatConditions {
  // The reference; above 0.
  OhmwrightFloatOhms reference;
  // The power of the source, dBm.
  OhmwrightFloatDecibels power_dbm;
} OhmwrightFloatConditions;

// A ratio or a Q, 0 or more.
typedef float OhmwrightFloatRatio;

// The converter of a vector detector.
typedef struct OhmwrightFloatVectorSettings {
  // The size of a count at the converter's limit, which counts as overload: 2047 with 12 bits and a sign; 1 to 2^24.
  uint32_t full_scale;
  // The least amplitude of the reference channel that is divided by, counts; 0 for a 32nd of the full scale.
  uint32_t weakest;
  // The standard deviation of a count, counts; 0 for one count.
  OhmwrightFloatRatio noise;
} OhmwrightFloatVectorSettings;

// The counts of two receivers behind quadrature mixers: with A*cos(wt + phi) as signal, in phase A*cos(phi) and in
// quadrature A*sin(phi).
typedef struct OhmwrightFloatCounts {
  // The incident wave, in phase.
  int32_t reference_i;
  // The incident wave, in quadrature.
  int32_t reference_q;
  // The reflected wave, in phase.
  int32_t reflected_i;
  // The reflected wave, in quadrature.
  int32_t reflected_q;
} OhmwrightFloatCounts;

// A raw reflection coefficient, and its quality.
typedef struct OhmwrightFloatVectorReading {
  // Reflected over incident wave, not corrected yet.
  struct OhmwrightFloatReflection reflection;
  // Its standard error, from the noise of both channels.
  OhmwrightFloatComponent error;
  // What is to be said of it.
  struct OhmwrightMarks marks;
} OhmwrightFloatVectorReading;

// Volts.
typedef float OhmwrightFloatVolts;

// A directional coupler with two diode detectors, and their converter.
typedef struct OhmwrightFloatScalarSettings {
  // The resistance for which the coupler is made; 0 for 50 ohms.
  OhmwrightFloatOhms reference;
  // The power at its ports below that of the line, dB, 0 to 200.
  OhmwrightFloatDecibels coupling;
  // The least directivity of the coupler, dB, above 0 and at most 200: the range of the SWR depends on it.
  OhmwrightFloatDecibels directivity;
  // The count at the converter's limit, which counts as overload; above 0.
  int32_t full_scale;
  // The least forward voltage at the detector that is divided by; above 0.
  OhmwrightFloatVolts weakest;
} OhmwrightFloatScalarSettings;

// A count of a diode detector and what it stands for.
typedef struct OhmwrightFloatLevel {
  // The count.
  int32_t counts;
  // The voltage at the detector's input, root mean square; 0 or more.
  OhmwrightFloatVolts volts;
} OhmwrightFloatLevel;

// Watts.
typedef float OhmwrightFloatWatts;

// An SWR, 1 or more.
typedef float OhmwrightFloatSwr;

// Powers and SWR from two diode detectors, and the range of the SWR that the coupler leaves open.
typedef struct OhmwrightFloatScalarReading {
  // The power towards the load.
  OhmwrightFloatWatts forward;
  // The power that comes back.
  OhmwrightFloatWatts reflected;
  // The power that the load takes: the difference.
  OhmwrightFloatWatts delivered;
  // The magnitude of the reflection coefficient.
  OhmwrightFloatComponent magnitude;
  // The SWR; the largest value at total reflection.
  OhmwrightFloatSwr swr;
  // The lowest SWR that agrees with the reading.
  OhmwrightFloatSwr swr_low;
  // The highest SWR that does; the largest value where there is no limit (`swr_unlimited`).
  OhmwrightFloatSwr swr_high;
  // 1 where the load may reflect everything. Otherwise 0.
  uint8_t swr_unlimited;
  // What is to be said of it.
  struct OhmwrightMarks marks;
} OhmwrightFloatScalarReading;

// How to bring a dip to another frequency.
typedef struct OhmwrightFloatRetune {
  // Which way.
  OhmwrightStepDirection direction;
  // New value over old.
  OhmwrightFloatRatio factor;
} OhmwrightFloatRetune;

// A crossing of the reactance through 0.
typedef struct OhmwrightFloatResonance {
  // Where, hertz.
  uint64_t frequency_hz;
  // The resistance there; the largest value at an open.
  OhmwrightFloatOhms resistance;
  // Its Q by the slope of the reactance, of the load at this port with nothing else connected.
  OhmwrightFloatRatio q;
  // 1 where the reactance rises with frequency, as in a series circuit; 0 where it falls.
  uint8_t rising;
} OhmwrightFloatResonance;

// The crossings that a sweep has shown so far.
typedef struct OhmwrightFloatResonances {
  // The crossings, by frequency.
  struct OhmwrightFloatResonance found[OHMWRIGHT_ROOM];
  // How many of `found` hold.
  uint32_t count;
  // How many there was no room for.
  uint32_t left_out;
} OhmwrightFloatResonances;

// An inductance, henries.
typedef float OhmwrightFloatInductance;

// A capacitance, farads.
typedef float OhmwrightFloatCapacitance;

// An impedance.
typedef struct OhmwrightFloatImpedance {
  // The resistance.
  OhmwrightFloatOhms resistance;
  // The reactance; positive is inductive.
  OhmwrightFloatOhms reactance;
} OhmwrightFloatImpedance;

// One network of two elements. What is said of an element holds where `state` is `EXISTS`.
typedef struct OhmwrightFloatNetwork {
  // Whether it exists, and if not, why.
  OhmwrightNetworkState state;
  // What the element in series is; `NONE` where none is needed.
  OhmwrightPartKind series_kind;
  // What the element across is; `NONE` where none is needed.
  OhmwrightPartKind across_kind;
  // The inductance of the element in series, where it is a coil; otherwise 0.
  OhmwrightFloatInductance series_inductance;
  // The capacitance of the element in series, where it is a capacitor; otherwise 0.
  OhmwrightFloatCapacitance series_capacitance;
  // The inductance of the element across, where it is a coil; otherwise 0.
  OhmwrightFloatInductance across_inductance;
  // The capacitance of the element across, where it is a capacitor; otherwise 0.
  OhmwrightFloatCapacitance across_capacitance;
  // The Q of the transformation: larger means a narrower band and more loss.
  OhmwrightFloatRatio q;
  // 1 where the element across is at the load, 0 where it is at the source.
  uint8_t across_at_load;
} OhmwrightFloatNetwork;

// The networks of two elements: with the element across at the load, both roots; then at the source, both roots.
typedef struct OhmwrightFloatNetworks {
  // In the order that is said above.
  struct OhmwrightFloatNetwork all[4];
} OhmwrightFloatNetworks;

// A coil of a bank, with a relay across it.
typedef struct OhmwrightFloatBankCoil {
  // Its real value, measured in the circuit if possible; above 0.
  OhmwrightFloatInductance inductance;
  // Its Q, taken as the same at every frequency; 0 for a coil without loss.
  OhmwrightFloatRatio q;
} OhmwrightFloatBankCoil;

// A capacitor of a bank, with a relay in series.
typedef struct OhmwrightFloatBankCapacitor {
  // Its real value; above 0.
  OhmwrightFloatCapacitance capacitance;
  // Its Q, taken as the same at every frequency; 0 for a capacitor without loss.
  OhmwrightFloatRatio q;
} OhmwrightFloatBankCapacitor;

// The switched parts of a tuner. In order from the transmitter: capacitors at the source's end, coils in series,
// capacitors at the load's end, the transformer if there is one, the antenna.
typedef struct OhmwrightFloatBank {
  // The coils. Bit 0 of a code is the first.
  struct OhmwrightFloatBankCoil coils[OHMWRIGHT_COILS];
  // The capacitors. Bit 0 of a code is the first.
  struct OhmwrightFloatBankCapacitor capacitors[OHMWRIGHT_CAPACITORS];
  // Where the capacitors are: a value of `OhmwrightCapacitors`.
  uint32_t place;
  // How many of the capacitors are at the transmitter's end, with `BOTH_ENDS`; otherwise not used.
  uint32_t at_source;
  // What remains in series with every relay at rest.
  OhmwrightFloatInductance stray_series;
  // What remains across the line at the transmitter's end.
  OhmwrightFloatCapacitance stray_at_source;
  // What remains across the line at the antenna's end.
  OhmwrightFloatCapacitance stray_at_load;
  // The turns of the transformer's taps towards the bank; all 0 without a transformer. The first tap is the rest
  // position.
  uint8_t tap_primary[OHMWRIGHT_TAPS];
  // The turns of the taps towards the antenna.
  uint8_t tap_secondary[OHMWRIGHT_TAPS];
} OhmwrightFloatBank;

// Limits, times and budgets of a tuner. A field that is 0 takes its default. The defaults are for small relays and a
// transmitter that can be reduced to a few watts: check each of them.
typedef struct OhmwrightFloatTunerSettings {
  // The resistance to match; 50 ohms by default.
  OhmwrightFloatOhms reference;
  // No relay moves above this forward power: take it from the data of the relays (what they may switch, not carry).
  // 1 W by default; a negative value means that the power must be off.
  OhmwrightFloatWatts switching_limit;
  // A reading needs at least this forward power; 0.1 W by default.
  OhmwrightFloatWatts measuring_minimum;
  // The standard deviation of the sensor, as a share of its reading; 0.01 by default, at most 0.5.
  OhmwrightFloatComponent sensor_noise;
  // The tolerance of the parts, as a share of their values; 0.05 by default, at most 0.5.
  OhmwrightFloatComponent value_error;
  // At or under this SWR it is a match; 1.5 by default.
  OhmwrightFloatSwr good_swr;
  // Above this SWR a match counts as lost; 2 by default, not below `good_swr`.
  OhmwrightFloatSwr retune_swr;
  // How long it must be lost before a run starts by itself, milliseconds; 0, the default: none ever does.
  uint32_t retune_after_ms;
  // The least time between two such runs, milliseconds; 10000 by default.
  uint32_t rest_ms;
  // The longest wait for the power that was asked for, milliseconds; 5000 by default.
  uint32_t power_timeout_ms;
  // The longest wait for relays or sensor, milliseconds; 500 by default.
  uint32_t reply_timeout_ms;
  // The longest run, milliseconds; 60000 by default.
  uint32_t run_timeout_ms;
  // The time that relays need to come to rest, milliseconds; 15 by default.
  uint16_t settle_ms;
  // The most relay operations in a run, with the way to the safe state; 300 by default, at least three times what
  // the bank may need at once.
  uint16_t most_operations;
  // The most readings in a run; 24 by default.
  uint8_t most_readings;
} OhmwrightFloatTunerSettings;

// What has happened since the last step of a tuner.
typedef struct OhmwrightFloatEvent {
  // What: a value of `OhmwrightEventKind`.
  uint32_t kind;
  // The reading, with the kinds that have one: corrected for the sensor's own errors, at the transmitter's end of
  // the bank.
  struct OhmwrightFloatReflection reading;
} OhmwrightFloatEvent;

// What a tuner asks for. Where a field says nothing it is 0.
typedef struct OhmwrightFloatCommand {
  // What.
  OhmwrightCommandKind kind;
  // With `WAIT`: when to call again, milliseconds on the caller's clock.
  uint32_t until_ms;
  // With `REDUCE_POWER` and `RAISE_POWER`: the limit.
  OhmwrightFloatWatts power;
  // With `DONE`: how the run ended.
  OhmwrightOutcome outcome;
  // With `DONE`: the SWR in this setting, from readings and bank; 0 where it is not known.
  OhmwrightFloatSwr swr;
  // With `SWITCH`: how the relays must stand. With `DONE`: the setting, where it is known.
  struct OhmwrightRelays relays;
  // With `DONE`: relay operations of this run.
  uint16_t operations;
  // With `DONE`: readings of this run.
  uint8_t readings;
  // With `DONE`: 1 where the setting is known. 0 where the relays may be anywhere: transmit no power through them.
  uint8_t is_set;
} OhmwrightFloatCommand;

#ifdef __cplusplus
extern "C" {
#endif // __cplusplus

// All readouts of a reflection coefficient, referred to `reference` (ohms in units of 2^-12), above 0. At total
// reflection SWR, and at an open the resistance, are the largest values of their numbers. `BAD_NUMBER` for a reference
// not above 0, and in float for a number that is not finite.
//
// Pointers:
// `readouts` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_fixed_readouts(struct OhmwrightFixedReflection gamma,
                                         int32_t reference,
                                         struct OhmwrightFixedReadouts *readouts);

// The load behind a raw reading of a fixture, at the frequency that the terms belong to (`ohmwright_fixed_correct_at`
// takes them from a table). `NO_TRACKING` and `AT_POLE` say that there is none; `BAD_NUMBER` in float for a number
// that is not finite.
//
// Pointers:
// `corrected` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_fixed_correct(struct OhmwrightFixedReflection raw,
                                        struct OhmwrightFixedErrorTerms terms,
                                        struct OhmwrightFixedReflection *corrected);

// Begins a sweep in a caller's storage, which need hold nothing before; a sweep that is in it is dropped. `BAD_NUMBER`
// for an SWR limit below 1, a reference not above 0 or a number that is not finite: the storage is as it was then.
//
// Pointers:
// `storage` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_fixed_sweep_start(struct OhmwrightStorage *storage, struct OhmwrightFixedSettings settings);

// Takes the next point of a sweep, hertz and corrected reflection coefficient, in rising or in falling order. Any
// number of them: the memory stays the same. `OUT_OF_ORDER` for a frequency again, or back; `NOT_STARTED`;
// `BAD_NUMBER` in float for a number that is not finite. The sweep is unchanged then. Takes longest where a dip, an
// edge or a crossing is found.
//
// Pointers:
// `storage` is null, misaligned, or points to one that the caller may write and nobody else uses meanwhile.
OhmwrightStatus ohmwright_fixed_sweep_push(struct OhmwrightStorage *storage,
                                           uint64_t frequency_hz,
                                           struct OhmwrightFixedReflection gamma);

// What the points so far say, in places between them as a rule. The sweep may go on afterwards. Without a point
// `points` is 0 and nothing else holds. `NOT_STARTED`, also for a storage of the other kind of numbers.
//
// Pointers:
// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
OhmwrightStatus ohmwright_fixed_sweep_report(const struct OhmwrightStorage *storage,
                                             struct OhmwrightFixedReport *report);

// `SWR             1.64` in a buffer of `size` bytes, the last of which is the 0 that ends a string. The line fills
// the rest, label on the left and value on the right, blank between: 21 bytes hold every line. `NO_ROOM` where the
// buffer is too short; it holds blanks and the end of the string then.
//
// Pointers:
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_swr(struct OhmwrightFixedReflection gamma, char *line, size_t size);

// `RL           12.3 dB`: return loss; otherwise like `ohmwright_fixed_text_swr`.
//
// Pointers:
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_return_loss(struct OhmwrightFixedReflection gamma, char *line, size_t size);

// `Z    50.0 +j25.0 ohm`: the impedance; otherwise like `ohmwright_fixed_text_swr`.
//
// Pointers:
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_impedance(struct OhmwrightFixedReflection gamma,
                                               int32_t reference,
                                               char *line,
                                               size_t size);

// `pass        SWR 1.12`: what the sweep so far says of its target; otherwise like `ohmwright_fixed_text_swr`.
//
// Pointers:
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_verdict(const struct OhmwrightStorage *storage, char *line, size_t size);

// What to do next after the sweep so far, at the target of its settings (without one: at its best point), from what is
// built. `BAD_NUMBER` for an element that is none, a least factor not above 0 or above 1, a most factor below 1, or
// one winding with turns and the other without; `NOT_STARTED`. Where nothing can be advised, the step's kind and
// reason say why.
//
// Pointers:
// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
OhmwrightStatus ohmwright_fixed_sweep_next_step(const struct OhmwrightStorage *storage,
                                                struct OhmwrightFixedBuilt built,
                                                struct OhmwrightFixedNextStep *step);

// How far the readings of the sweep so far can be trusted. All 0 is well, but for the noise. `NOT_STARTED`.
//
// Pointers:
// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
OhmwrightStatus ohmwright_fixed_sweep_quality(const struct OhmwrightStorage *storage,
                                              struct OhmwrightFixedQuality *quality);

// `more C       x 1.158`: what to do next after the sweep so far, decided anew; otherwise like
// `ohmwright_fixed_text_swr`.
//
// Pointers:
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_next_step(const struct OhmwrightStorage *storage,
                                               struct OhmwrightFixedBuilt built,
                                               char *line,
                                               size_t size);

// `for SWR 1.05 to 1.13`: what that step leaves at the target, blank where it is not known; otherwise like
// `ohmwright_fixed_text_swr`.
//
// Pointers:
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_expected(const struct OhmwrightStorage *storage,
                                              struct OhmwrightFixedBuilt built,
                                              char *line,
                                              size_t size);

// `left out    2 points`: what is to be said of the readings of the sweep so far, blank where all is well; otherwise
// like `ohmwright_fixed_text_swr`.
//
// Pointers:
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_quality(const struct OhmwrightStorage *storage, char *line, size_t size);

// What a standard reflects at a frequency: what `ohmwright_fixed_solve` is to know of it. `reference` above 0. Error
// 1e-8. `BAD_NUMBER` for a kind that is none, or a resistance below 0.
//
// Pointers:
// `gamma` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_fixed_standard(struct OhmwrightFixedStandard standard,
                                         uint64_t frequency_hz,
                                         OhmwrightFixedOhms reference,
                                         struct OhmwrightFixedReflection *gamma);

// The error terms of a fixture at one frequency, from what the three standards reflect (`known`; 1, -1 and 0 for ideal
// ones) and what was read of them (`raw`). `EQUAL_STANDARDS`, `EQUAL_READINGS` (one was not connected),
// `IMPOSSIBLE_SOURCE_MATCH` (the load was exchanged with another one) and `OUT_OF_RANGE` refuse them. An exchange of
// open and short cannot be seen here: each corrected reading is then that of the inverse impedance.
//
// Pointers:
// `solved` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_fixed_solve(struct OhmwrightFixedOpenShortLoad known,
                                      struct OhmwrightFixedOpenShortLoad raw,
                                      struct OhmwrightFixedErrorTerms *solved);

// The load behind a raw reading, by a calibration of `count` points (at least two) in rising order of frequency, which
// the caller owns and may have in flash. Between two points the terms are interpolated, along a straight line. The
// time goes with the logarithm of `count`; only the points beside the frequency are looked at. `OUTSIDE_TABLE` for a
// frequency outside (nothing is extrapolated), `TABLE_TOO_SHORT`, `NOT_RISING` where those points are not in order;
// otherwise like `ohmwright_fixed_correct`.
//
// Pointers:
// `points` is null, misaligned, or points to `count` of them; `corrected` to one that the caller may write.
OhmwrightStatus ohmwright_fixed_correct_at(const struct OhmwrightFixedCalibrationPoint *points,
                                           size_t count,
                                           uint64_t frequency_hz,
                                           struct OhmwrightFixedReflection raw,
                                           struct OhmwrightFixedReflection *corrected);

// How many bytes `ohmwright_fixed_calibration_store` writes for these points: at most 24 and 34 for each of them.
// `TABLE_TOO_SHORT` below two, `NOT_RISING` where a frequency is not above the one before.
//
// Pointers:
// `points` is null, misaligned, or points to `count` of them; `bytes` to one that the caller may write.
OhmwrightStatus ohmwright_fixed_calibration_bytes(const struct OhmwrightFixedCalibrationPoint *points,
                                                  size_t count,
                                                  size_t *bytes);

// Writes a calibration as bytes, for flash or a file, with a checksum: `size` bytes from `bytes` on are the caller's,
// `written` says how many of them were used. The bytes are the same on every core, and those that the library reads in
// Rust. `NO_ROOM` where they are too few, and otherwise as `ohmwright_fixed_calibration_bytes`; nothing is written
// then.
//
// Pointers:
// Each pointer is null, misaligned, or points to what the caller may use: `count` points, `size` bytes, one number.
OhmwrightStatus ohmwright_fixed_calibration_store(const struct OhmwrightFixedCalibrationPoint *points,
                                                  size_t count,
                                                  struct OhmwrightFixedConditions made,
                                                  uint8_t *bytes,
                                                  size_t size,
                                                  size_t *written);

// Reads a calibration from bytes that `ohmwright_fixed_calibration_store` has written, into `capacity` points of the
// caller. `found` says how many, `made` what it was made with. Bytes after it are ignored. `FOREIGN` where nothing, or
// something else, is stored there, `DAMAGED` where the checksum does not fit, `OTHER_FAMILY` for one of the other kind
// of numbers, `OTHER_VERSION`, `CONTRADICTION`; `NO_ROOM` for more points than `capacity`, and for bytes that end
// before the calibration does. After an error the points may have changed; the rest has not.
//
// Pointers:
// Each pointer is null, misaligned, or points to what the caller may use: `size` bytes, `capacity` points, one of
// each.
OhmwrightStatus ohmwright_fixed_calibration_load(const uint8_t *bytes,
                                                 size_t size,
                                                 struct OhmwrightFixedCalibrationPoint *points,
                                                 size_t capacity,
                                                 size_t *found,
                                                 struct OhmwrightFixedConditions *made);

// A raw reflection coefficient from the counts of two receivers: reflected over incident wave. Error 1.2e-8 of it
// beside that of the counts. `OVERLOAD` for a count at the limit, `TOO_WEAK` where the reference is below the least,
// `OUT_OF_RANGE` for a quotient beyond a reflection coefficient of this family, `BAD_NUMBER` for settings that are
// impossible.
//
// Pointers:
// `reading` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_fixed_vector_read(struct OhmwrightFixedVectorSettings settings,
                                            struct OhmwrightFixedCounts counts,
                                            struct OhmwrightFixedVectorReading *reading);

// Powers and SWR from the counts of the two diode detectors of a directional coupler. Each has a table of at least two
// levels, counts and volts both rising (twice the same table where they are alike), which the caller owns; between two
// of them it goes along a straight line. A reverse count below its table is no error: it makes the reading an upper
// limit.
//
// The true SWR lies from `swr_low` to `swr_high`, whatever the phase of what the coupler leaks; errors of tables,
// diodes and connectors come on top. `OVERLOAD`, `ABOVE_TABLE`, and for the forward detector `BELOW_TABLE` and
// `TOO_WEAK`, refuse counts; `TABLE_TOO_SHORT`, `NOT_RISING` and `BAD_NUMBER` refuse tables and settings.
//
// Pointers:
// Each table is null, misaligned, or points to so many levels; `reading` to one that the caller may write.
OhmwrightStatus ohmwright_fixed_scalar_read(struct OhmwrightFixedScalarSettings settings,
                                            const struct OhmwrightFixedLevel *forward_table,
                                            size_t forward_levels,
                                            const struct OhmwrightFixedLevel *reverse_table,
                                            size_t reverse_levels,
                                            int32_t forward_counts,
                                            int32_t reverse_counts,
                                            struct OhmwrightFixedScalarReading *reading);

// Which way, and by what factor, to change an element (a value of `OhmwrightElement`) so that a dip at `dip_hz` comes
// to `wanted_hz`: as (dip/wanted)^2 for inductance and capacitance, as dip/wanted for turns and length. The factor
// saturates. `BAD_NUMBER` for 0 Hz or an element that is none. What a whole sweep asks for,
// `ohmwright_fixed_sweep_next_step` says.
//
// Pointers:
// `retune` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_fixed_retune(uint32_t element,
                                       uint64_t dip_hz,
                                       uint64_t wanted_hz,
                                       struct OhmwrightFixedRetune *retune);

// Where the reactance of the load crossed 0 in the sweep so far. The sweep may go on afterwards.
//
// Pointers:
// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
OhmwrightStatus ohmwright_fixed_sweep_resonances(const struct OhmwrightStorage *storage,
                                                 struct OhmwrightFixedResonances *resonances);

// `L           38.98 nH`: a coil in four digits; otherwise like `ohmwright_fixed_text_swr`. `BAD_NUMBER` below 0 or
// not finite.
//
// Pointers:
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_inductance(OhmwrightFixedInductance inductance, char *line, size_t size);

// `C           22.28 pF`: a capacitor in four digits; otherwise like `ohmwright_fixed_text_inductance`.
//
// Pointers:
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_fixed_text_capacitance(OhmwrightFixedCapacitance capacitance, char *line, size_t size);

// Every network of two reactances that shows the source the conjugate of its own impedance (a real source its own
// resistance) with this load, at one frequency: up to four, with the values of their parts, and of the others the
// reason. `NO_RESISTANCE` where load or source have no resistance above 0, `BAD_NUMBER` at 0 Hz or for a number that
// is not finite.
//
// Care: a mismatched network carries high voltage even at low power.
//
// Pointers:
// `networks` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_fixed_two_element(struct OhmwrightFixedImpedance load,
                                            struct OhmwrightFixedImpedance source,
                                            uint64_t frequency_hz,
                                            struct OhmwrightFixedNetworks *networks);

// Makes a tuner for a bank in a caller's storage. It knows nothing of the relays yet: its first run sets bypass first.
// The bank is copied. `BAD_NUMBER` for a value beyond its range, `CONTRADICTION` for settings that do not go together.
//
// Pointers:
// `storage` is null, misaligned, or points to one that the caller may write; `bank` to one that the caller may read.
OhmwrightStatus ohmwright_fixed_tuner_start(struct OhmwrightTunerStorage *storage,
                                            const struct OhmwrightFixedBank *bank,
                                            struct OhmwrightFixedTunerSettings settings);

// Begins a run at a frequency: ask `ohmwright_fixed_tuner_step` what to do from now on. `now_ms` is the caller's clock
// in milliseconds, which may wrap. `suggestion` is null, or a setting that worked there before and is tried first.
// `BUSY` during a run, `BAD_NUMBER` at 0 Hz, `NOT_IN_BANK` for a suggestion that the bank does not have; no run begins
// then.
//
// Pointers:
// `storage` as for the step; `suggestion` is null, misaligned, or points to one that the caller may read.
OhmwrightStatus ohmwright_fixed_tuner_run(struct OhmwrightTunerStorage *storage,
                                          uint32_t now_ms,
                                          uint64_t frequency_hz,
                                          const struct OhmwrightRelays *suggestion);

// Begins a run that only sets bypass, the safe state to begin with. `BUSY` during a run.
//
// Pointers:
// `storage` as for the step.
OhmwrightStatus ohmwright_fixed_tuner_bypass(struct OhmwrightTunerStorage *storage, uint32_t now_ms);

// Stops a run, if there is one: it goes to bypass, and ends as `CANCELLED`. Go on with the steps until it is over.
//
// Pointers:
// `storage` as for the step.
OhmwrightStatus ohmwright_fixed_tuner_cancel(struct OhmwrightTunerStorage *storage, uint32_t now_ms);

// The tuner's decision: takes what has happened, and says the one thing to do next. It does no input or output itself.
//
// `forward_power` is the transmitter's power **now**, read just before the call: relays may move because of it. A
// negative one (or one that is not a number) means that it is not known. `SWITCH` and `MEASURE` come only as the
// answer to a tick, and `SWITCH` only with a power at or under the switching limit. Call this at least once in ten
// days. A step with a reading takes the longest: it computes the best setting. `BAD_NUMBER` for a kind of event that
// is none, or a reading that is not a number; the tuner is unchanged then.
//
// Care: in a tuner the voltage is high even at low power. This is no safety device: local rules and licensed practice
// come first.
//
// Pointers:
// `storage` is null, misaligned, or points to one that the caller may write and nobody else uses meanwhile; `command`
// to one that the caller may write.
OhmwrightStatus ohmwright_fixed_tuner_step(struct OhmwrightTunerStorage *storage,
                                           uint32_t now_ms,
                                           OhmwrightFixedWatts forward_power,
                                           struct OhmwrightFixedEvent event,
                                           struct OhmwrightFixedCommand *command);

// All readouts of a reflection coefficient, referred to `reference` (ohms), above 0. At total reflection SWR, and
// at an open the resistance, are the largest values of their numbers. `BAD_NUMBER` for a reference not above 0, and
// in float for a number that is not finite.
//
// Pointers:
// `readouts` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_float_readouts(struct OhmwrightFloatReflection gamma,
                                         float reference,
                                         struct OhmwrightFloatReadouts *readouts);

// The load behind a raw reading of a fixture, at the frequency that the terms belong to (`ohmwright_float_correct_at`
// takes them from a table). `NO_TRACKING` and `AT_POLE` say that there is none; `BAD_NUMBER` in float for a number
// that is not finite.
//
// Pointers:
// `corrected` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_float_correct(struct OhmwrightFloatReflection raw,
                                        struct OhmwrightFloatErrorTerms terms,
                                        struct OhmwrightFloatReflection *corrected);

// Begins a sweep in a caller's storage, which need hold nothing before; a sweep that is in it is dropped. `BAD_NUMBER`
// for an SWR limit below 1, a reference not above 0 or a number that is not finite: the storage is as it was then.
//
// Pointers:
// `storage` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_float_sweep_start(struct OhmwrightStorage *storage, struct OhmwrightFloatSettings settings);

// Takes the next point of a sweep, hertz and corrected reflection coefficient, in rising or in falling order. Any
// number of them: the memory stays the same. `OUT_OF_ORDER` for a frequency again, or back; `NOT_STARTED`;
// `BAD_NUMBER` in float for a number that is not finite. The sweep is unchanged then. Takes longest where a dip, an
// edge or a crossing is found.
//
// Pointers:
// `storage` is null, misaligned, or points to one that the caller may write and nobody else uses meanwhile.
OhmwrightStatus ohmwright_float_sweep_push(struct OhmwrightStorage *storage,
                                           uint64_t frequency_hz,
                                           struct OhmwrightFloatReflection gamma);

// What the points so far say, in places between them as a rule. The sweep may go on afterwards. Without a point
// `points` is 0 and nothing else holds. `NOT_STARTED`, also for a storage of the other kind of numbers.
//
// Pointers:
// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
OhmwrightStatus ohmwright_float_sweep_report(const struct OhmwrightStorage *storage,
                                             struct OhmwrightFloatReport *report);

// `SWR             1.64` in a buffer of `size` bytes, the last of which is the 0 that ends a string. The line fills
// the rest, label on the left and value on the right, blank between: 21 bytes hold every line. `NO_ROOM` where the
// buffer is too short; it holds blanks and the end of the string then.
//
// Pointers:
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_swr(struct OhmwrightFloatReflection gamma, char *line, size_t size);

// `RL           12.3 dB`: return loss; otherwise like `ohmwright_float_text_swr`.
//
// Pointers:
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_return_loss(struct OhmwrightFloatReflection gamma, char *line, size_t size);

// `Z    50.0 +j25.0 ohm`: the impedance; otherwise like `ohmwright_float_text_swr`.
//
// Pointers:
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_impedance(struct OhmwrightFloatReflection gamma,
                                               float reference,
                                               char *line,
                                               size_t size);

// `pass        SWR 1.12`: what the sweep so far says of its target; otherwise like `ohmwright_float_text_swr`.
//
// Pointers:
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_verdict(const struct OhmwrightStorage *storage, char *line, size_t size);

// What to do next after the sweep so far, at the target of its settings (without one: at its best point), from what is
// built. `BAD_NUMBER` for an element that is none, a least factor not above 0 or above 1, a most factor below 1, or
// one winding with turns and the other without; `NOT_STARTED`. Where nothing can be advised, the step's kind and
// reason say why.
//
// Pointers:
// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
OhmwrightStatus ohmwright_float_sweep_next_step(const struct OhmwrightStorage *storage,
                                                struct OhmwrightFloatBuilt built,
                                                struct OhmwrightFloatNextStep *step);

// How far the readings of the sweep so far can be trusted. All 0 is well, but for the noise. `NOT_STARTED`.
//
// Pointers:
// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
OhmwrightStatus ohmwright_float_sweep_quality(const struct OhmwrightStorage *storage,
                                              struct OhmwrightFloatQuality *quality);

// `more C       x 1.158`: what to do next after the sweep so far, decided anew; otherwise like
// `ohmwright_float_text_swr`.
//
// Pointers:
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_next_step(const struct OhmwrightStorage *storage,
                                               struct OhmwrightFloatBuilt built,
                                               char *line,
                                               size_t size);

// `for SWR 1.05 to 1.13`: what that step leaves at the target, blank where it is not known; otherwise like
// `ohmwright_float_text_swr`.
//
// Pointers:
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_expected(const struct OhmwrightStorage *storage,
                                              struct OhmwrightFloatBuilt built,
                                              char *line,
                                              size_t size);

// `left out    2 points`: what is to be said of the readings of the sweep so far, blank where all is well; otherwise
// like `ohmwright_float_text_swr`.
//
// Pointers:
// `storage` as for the report; `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_quality(const struct OhmwrightStorage *storage, char *line, size_t size);

// What a standard reflects at a frequency: what `ohmwright_float_solve` is to know of it. `reference` above 0. Error
// 1e-8. `BAD_NUMBER` for a kind that is none, or a resistance below 0.
//
// Pointers:
// `gamma` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_float_standard(struct OhmwrightFloatStandard standard,
                                         uint64_t frequency_hz,
                                         OhmwrightFloatOhms reference,
                                         struct OhmwrightFloatReflection *gamma);

// The error terms of a fixture at one frequency, from what the three standards reflect (`known`; 1, -1 and 0 for ideal
// ones) and what was read of them (`raw`). `EQUAL_STANDARDS`, `EQUAL_READINGS` (one was not connected),
// `IMPOSSIBLE_SOURCE_MATCH` (the load was exchanged with another one) and `OUT_OF_RANGE` refuse them. An exchange of
// open and short cannot be seen here: each corrected reading is then that of the inverse impedance.
//
// Pointers:
// `solved` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_float_solve(struct OhmwrightFloatOpenShortLoad known,
                                      struct OhmwrightFloatOpenShortLoad raw,
                                      struct OhmwrightFloatErrorTerms *solved);

// The load behind a raw reading, by a calibration of `count` points (at least two) in rising order of frequency, which
// the caller owns and may have in flash. Between two points the terms are interpolated, along a straight line. The
// time goes with the logarithm of `count`; only the points beside the frequency are looked at. `OUTSIDE_TABLE` for a
// frequency outside (nothing is extrapolated), `TABLE_TOO_SHORT`, `NOT_RISING` where those points are not in order;
// otherwise like `ohmwright_float_correct`.
//
// Pointers:
// `points` is null, misaligned, or points to `count` of them; `corrected` to one that the caller may write.
OhmwrightStatus ohmwright_float_correct_at(const struct OhmwrightFloatCalibrationPoint *points,
                                           size_t count,
                                           uint64_t frequency_hz,
                                           struct OhmwrightFloatReflection raw,
                                           struct OhmwrightFloatReflection *corrected);

// How many bytes `ohmwright_float_calibration_store` writes for these points: at most 24 and 34 for each of them.
// `TABLE_TOO_SHORT` below two, `NOT_RISING` where a frequency is not above the one before.
//
// Pointers:
// `points` is null, misaligned, or points to `count` of them; `bytes` to one that the caller may write.
OhmwrightStatus ohmwright_float_calibration_bytes(const struct OhmwrightFloatCalibrationPoint *points,
                                                  size_t count,
                                                  size_t *bytes);

// Writes a calibration as bytes, for flash or a file, with a checksum: `size` bytes from `bytes` on are the caller's,
// `written` says how many of them were used. The bytes are the same on every core, and those that the library reads in
// Rust. `NO_ROOM` where they are too few, and otherwise as `ohmwright_float_calibration_bytes`; nothing is written
// then.
//
// Pointers:
// Each pointer is null, misaligned, or points to what the caller may use: `count` points, `size` bytes, one number.
OhmwrightStatus ohmwright_float_calibration_store(const struct OhmwrightFloatCalibrationPoint *points,
                                                  size_t count,
                                                  struct OhmwrightFloatConditions made,
                                                  uint8_t *bytes,
                                                  size_t size,
                                                  size_t *written);

// Reads a calibration from bytes that `ohmwright_float_calibration_store` has written, into `capacity` points of the
// caller. `found` says how many, `made` what it was made with. Bytes after it are ignored. `FOREIGN` where nothing, or
// something else, is stored there, `DAMAGED` where the checksum does not fit, `OTHER_FAMILY` for one of the other kind
// of numbers, `OTHER_VERSION`, `CONTRADICTION`; `NO_ROOM` for more points than `capacity`, and for bytes that end
// before the calibration does. After an error the points may have changed; the rest has not.
//
// Pointers:
// Each pointer is null, misaligned, or points to what the caller may use: `size` bytes, `capacity` points, one of
// each.
OhmwrightStatus ohmwright_float_calibration_load(const uint8_t *bytes,
                                                 size_t size,
                                                 struct OhmwrightFloatCalibrationPoint *points,
                                                 size_t capacity,
                                                 size_t *found,
                                                 struct OhmwrightFloatConditions *made);

// A raw reflection coefficient from the counts of two receivers: reflected over incident wave. Error 1.2e-8 of it
// beside that of the counts. `OVERLOAD` for a count at the limit, `TOO_WEAK` where the reference is below the least,
// `OUT_OF_RANGE` for a quotient beyond a reflection coefficient of this family, `BAD_NUMBER` for settings that are
// impossible.
//
// Pointers:
// `reading` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_float_vector_read(struct OhmwrightFloatVectorSettings settings,
                                            struct OhmwrightFloatCounts counts,
                                            struct OhmwrightFloatVectorReading *reading);

// Powers and SWR from the counts of the two diode detectors of a directional coupler. Each has a table of at least two
// levels, counts and volts both rising (twice the same table where they are alike), which the caller owns; between two
// of them it goes along a straight line. A reverse count below its table is no error: it makes the reading an upper
// limit.
//
// The true SWR lies from `swr_low` to `swr_high`, whatever the phase of what the coupler leaks; errors of tables,
// diodes and connectors come on top. `OVERLOAD`, `ABOVE_TABLE`, and for the forward detector `BELOW_TABLE` and
// `TOO_WEAK`, refuse counts; `TABLE_TOO_SHORT`, `NOT_RISING` and `BAD_NUMBER` refuse tables and settings.
//
// Pointers:
// Each table is null, misaligned, or points to so many levels; `reading` to one that the caller may write.
OhmwrightStatus ohmwright_float_scalar_read(struct OhmwrightFloatScalarSettings settings,
                                            const struct OhmwrightFloatLevel *forward_table,
                                            size_t forward_levels,
                                            const struct OhmwrightFloatLevel *reverse_table,
                                            size_t reverse_levels,
                                            int32_t forward_counts,
                                            int32_t reverse_counts,
                                            struct OhmwrightFloatScalarReading *reading);

// Which way, and by what factor, to change an element (a value of `OhmwrightElement`) so that a dip at `dip_hz` comes
// to `wanted_hz`: as (dip/wanted)^2 for inductance and capacitance, as dip/wanted for turns and length. The factor
// saturates. `BAD_NUMBER` for 0 Hz or an element that is none. What a whole sweep asks for,
// `ohmwright_float_sweep_next_step` says.
//
// Pointers:
// `retune` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_float_retune(uint32_t element,
                                       uint64_t dip_hz,
                                       uint64_t wanted_hz,
                                       struct OhmwrightFloatRetune *retune);

// Where the reactance of the load crossed 0 in the sweep so far. The sweep may go on afterwards.
//
// Pointers:
// Each pointer is null, misaligned, or points to one that the caller may use; nobody else writes there meanwhile.
OhmwrightStatus ohmwright_float_sweep_resonances(const struct OhmwrightStorage *storage,
                                                 struct OhmwrightFloatResonances *resonances);

// `L           38.98 nH`: a coil in four digits; otherwise like `ohmwright_float_text_swr`. `BAD_NUMBER` below 0 or
// not finite.
//
// Pointers:
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_inductance(OhmwrightFloatInductance inductance, char *line, size_t size);

// `C           22.28 pF`: a capacitor in four digits; otherwise like `ohmwright_float_text_inductance`.
//
// Pointers:
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_float_text_capacitance(OhmwrightFloatCapacitance capacitance, char *line, size_t size);

// Every network of two reactances that shows the source the conjugate of its own impedance (a real source its own
// resistance) with this load, at one frequency: up to four, with the values of their parts, and of the others the
// reason. `NO_RESISTANCE` where load or source have no resistance above 0, `BAD_NUMBER` at 0 Hz or for a number that
// is not finite.
//
// Care: a mismatched network carries high voltage even at low power.
//
// Pointers:
// `networks` is null, misaligned, or points to one that the caller may write.
OhmwrightStatus ohmwright_float_two_element(struct OhmwrightFloatImpedance load,
                                            struct OhmwrightFloatImpedance source,
                                            uint64_t frequency_hz,
                                            struct OhmwrightFloatNetworks *networks);

// Makes a tuner for a bank in a caller's storage. It knows nothing of the relays yet: its first run sets bypass first.
// The bank is copied. `BAD_NUMBER` for a value beyond its range, `CONTRADICTION` for settings that do not go together.
//
// Pointers:
// `storage` is null, misaligned, or points to one that the caller may write; `bank` to one that the caller may read.
OhmwrightStatus ohmwright_float_tuner_start(struct OhmwrightTunerStorage *storage,
                                            const struct OhmwrightFloatBank *bank,
                                            struct OhmwrightFloatTunerSettings settings);

// Begins a run at a frequency: ask `ohmwright_float_tuner_step` what to do from now on. `now_ms` is the caller's clock
// in milliseconds, which may wrap. `suggestion` is null, or a setting that worked there before and is tried first.
// `BUSY` during a run, `BAD_NUMBER` at 0 Hz, `NOT_IN_BANK` for a suggestion that the bank does not have; no run begins
// then.
//
// Pointers:
// `storage` as for the step; `suggestion` is null, misaligned, or points to one that the caller may read.
OhmwrightStatus ohmwright_float_tuner_run(struct OhmwrightTunerStorage *storage,
                                          uint32_t now_ms,
                                          uint64_t frequency_hz,
                                          const struct OhmwrightRelays *suggestion);

// Begins a run that only sets bypass, the safe state to begin with. `BUSY` during a run.
//
// Pointers:
// `storage` as for the step.
OhmwrightStatus ohmwright_float_tuner_bypass(struct OhmwrightTunerStorage *storage, uint32_t now_ms);

// Stops a run, if there is one: it goes to bypass, and ends as `CANCELLED`. Go on with the steps until it is over.
//
// Pointers:
// `storage` as for the step.
OhmwrightStatus ohmwright_float_tuner_cancel(struct OhmwrightTunerStorage *storage, uint32_t now_ms);

// The tuner's decision: takes what has happened, and says the one thing to do next. It does no input or output itself.
//
// `forward_power` is the transmitter's power **now**, read just before the call: relays may move because of it. A
// negative one (or one that is not a number) means that it is not known. `SWITCH` and `MEASURE` come only as the
// answer to a tick, and `SWITCH` only with a power at or under the switching limit. Call this at least once in ten
// days. A step with a reading takes the longest: it computes the best setting. `BAD_NUMBER` for a kind of event that
// is none, or a reading that is not a number; the tuner is unchanged then.
//
// Care: in a tuner the voltage is high even at low power. This is no safety device: local rules and licensed practice
// come first.
//
// Pointers:
// `storage` is null, misaligned, or points to one that the caller may write and nobody else uses meanwhile; `command`
// to one that the caller may write.
OhmwrightStatus ohmwright_float_tuner_step(struct OhmwrightTunerStorage *storage,
                                           uint32_t now_ms,
                                           OhmwrightFloatWatts forward_power,
                                           struct OhmwrightFloatEvent event,
                                           struct OhmwrightFloatCommand *command);

// `f        71.0000 MHz`: a frequency, hertz, in six digits, in a buffer of `size` bytes, the last of which is the 0
// that ends a string. `NO_ROOM` where the buffer is too short (21 bytes hold every line); the line is then blank.
//
// Pointers:
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_text_frequency(uint64_t frequency_hz, char *line, size_t size);

// `from     69.8000 MHz`: the lower edge of a band, hertz; `from <` where `is_open` is not 0, since the sweep began
// inside the band. Otherwise like `ohmwright_text_frequency`.
//
// Pointers:
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_text_band_low(uint64_t low_hz, uint8_t is_open, char *line, size_t size);

// `to       70.6000 MHz`: the upper edge of a band, hertz; `to >` where `is_open` is not 0, since the sweep ended
// inside the band. Otherwise like `ohmwright_text_frequency`.
//
// Pointers:
// `line` is null, or points to `size` bytes that the caller may write.
OhmwrightStatus ohmwright_text_band_high(uint64_t high_hz, uint8_t is_open, char *line, size_t size);

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
OHMWRIGHT_SAME(sizeof(OhmwrightFixedCalibrationPoint) == OHMWRIGHT_CALIBRATION_POINT_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedStandard) == OHMWRIGHT_STANDARD_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedVectorReading) == OHMWRIGHT_VECTOR_READING_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedScalarSettings) == OHMWRIGHT_SCALAR_SETTINGS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedScalarReading) == OHMWRIGHT_SCALAR_READING_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedResonances) == OHMWRIGHT_RESONANCES_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedNetworks) == OHMWRIGHT_NETWORKS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedBank) == OHMWRIGHT_BANK_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedTunerSettings) == OHMWRIGHT_TUNER_SETTINGS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedEvent) == OHMWRIGHT_EVENT_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFixedCommand) == OHMWRIGHT_COMMAND_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatCalibrationPoint) == OHMWRIGHT_CALIBRATION_POINT_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatStandard) == OHMWRIGHT_STANDARD_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatVectorReading) == OHMWRIGHT_VECTOR_READING_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatScalarSettings) == OHMWRIGHT_SCALAR_SETTINGS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatScalarReading) == OHMWRIGHT_SCALAR_READING_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatResonances) == OHMWRIGHT_RESONANCES_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatNetworks) == OHMWRIGHT_NETWORKS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatBank) == OHMWRIGHT_BANK_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatTunerSettings) == OHMWRIGHT_TUNER_SETTINGS_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatEvent) == OHMWRIGHT_EVENT_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightFloatCommand) == OHMWRIGHT_COMMAND_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightTunerStorage) == OHMWRIGHT_TUNER_STORAGE_BYTES);
OHMWRIGHT_SAME(sizeof(OhmwrightNetworkState) == 4);
OHMWRIGHT_SAME(sizeof(OhmwrightCommandKind) == 4);
OHMWRIGHT_SAME(sizeof(OhmwrightOutcome) == 4);
OHMWRIGHT_SAME(offsetof(OhmwrightFixedReport, target) == OHMWRIGHT_REPORT_TARGET_AT);
OHMWRIGHT_SAME(offsetof(OhmwrightFloatReport, target) == OHMWRIGHT_REPORT_TARGET_AT);
#undef OHMWRIGHT_SAME
