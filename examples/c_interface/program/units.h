/* Numbers as the library has them, from constants: in fixed point, or with USE_FLOAT in float. */
#ifndef UNITS_H
#define UNITS_H

#include "ohmwright.h"

#define SIGNED(value, one) ((int32_t)((value) * (one) + ((value) < 0 ? -0.5 : 0.5)))

#if defined(USE_FLOAT)
#define OHMS(value) ((float)(value))
#define VOLTS(value) ((float)(value))
#define WATTS(value) ((float)(value))
#define DECIBELS(value) ((float)(value))
#define COMPONENT(value) ((float)(value))
#define RATIO(value) ((float)(value))
#define PICOHENRIES(value) ((float)((value) * 1e-12))
#define FEMTOFARADS(value) ((float)((value) * 1e-15))
#else
#define OHMS(value) SIGNED(value, 4096.0)
#define VOLTS(value) SIGNED(value, 4096.0)
#define WATTS(value) SIGNED(value, 4096.0)
#define DECIBELS(value) SIGNED(value, 65536.0)
#define COMPONENT(value) SIGNED(value, 1073741824.0)
#define RATIO(value) ((uint32_t)((value) * 65536.0 + 0.5))
#define PICOHENRIES(value) ((uint32_t)((value) + 0.5))
#define FEMTOFARADS(value) ((uint32_t)((value) + 0.5))
#endif

/* Whether two numbers of the same kind are so near. */
#define NEAR(one, other, apart) (((one) > (other) ? (one) - (other) : (other) - (one)) <= (apart))

/* Counts what was asked, and says what is not so. */
extern unsigned asked, wrong;
void ask(int is_so, const char *what);
int same_text(const char *one, const char *other);
/* Whether `line` begins with `start`. */
int begins(const char *line, const char *start);

/* Calibrates, sweeps, reports, says the next step. */
void analyse(void);
/* After it: whether the settings of a sweep are heard. */
void settings_count(void);

#endif
