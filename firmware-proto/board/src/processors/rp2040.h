// Of every file of the RP2040.
#pragma once
#include "arm.h"

// Registers answer to atomic set and clear at these offsets (2.1.2).
static inline void setBits(uint32_t address, uint32_t bits) { at(address + 0x2000) = bits; }
static inline void clearBits(uint32_t address, uint32_t bits) { at(address + 0x3000) = bits; }

// rp2040usb.cpp
void usbBegin();
