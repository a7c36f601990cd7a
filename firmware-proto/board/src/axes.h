// How a chip sits on the board (WIRE.md, hello): the chip's axis that points along the board's x, then y, then z. Portable.
#pragma once
#include <stdint.h>

const uint8_t axesLength = 6;

// True for the 24 spellings such as "-Y+X+Z" that are right-handed; the text ends after them.
bool areProperAxes(const char *text);
