// Tables and texts that stay in flash: on an AVR a constant would fill the memory otherwise, and is not read like memory. Portable.
#pragma once

// Its bytes are not to be read as memory.
class FlashText;

#ifdef __AVR__
#include <avr/pgmspace.h>
#define IN_FLASH PROGMEM
// A string that stays in flash, for Line::more and Line::text.
#define FLASH_TEXT(string) (reinterpret_cast<const FlashText *>(PSTR(string)))
inline void fromFlash(void *to, const void *from, unsigned size) { memcpy_P(to, from, size); }
#else
#include <string.h>
#define IN_FLASH
#define FLASH_TEXT(string) (reinterpret_cast<const FlashText *>(string))
inline void fromFlash(void *to, const void *from, unsigned size) { memcpy(to, from, size); }
#endif
