// What every ARM processor of ours shares: registers by their address, and the switch of all interrupts.
#pragma once
#include <stdint.h>

static const uint32_t NVIC_ISER = 0xE000E100, NVIC_ICER = 0xE000E180;

static inline volatile uint32_t &at(uint32_t address) { return *(volatile uint32_t *)address; }

static inline void enableInterrupts() { asm volatile("cpsie i" ::: "memory"); }
static inline void disableInterrupts() { asm volatile("cpsid i" ::: "memory"); }
