/* What the program needs of the board: a word to the outside, and an end. Over semihosting, which QEMU understands. */
#ifndef BOARD_H
#define BOARD_H

#include <stdint.h>

void say(const char *text);
void say_word(uint32_t word); /* a blank and eight hexadecimal digits */
void stop(int failed);

#endif
