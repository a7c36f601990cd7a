// Tables that stay in flash: on an AVR a constant would fill the memory otherwise, and is not read like memory. Portable.
#pragma once

#ifdef __AVR__
#include <avr/pgmspace.h>
#define IN_FLASH PROGMEM
inline void fromFlash(void *to, const void *from, unsigned size) { memcpy_P(to, from, size); }
#else
#include <string.h>
#define IN_FLASH
inline void fromFlash(void *to, const void *from, unsigned size) { memcpy(to, from, size); }
#endif
