// The board's own number, made at the first start and kept. Portable.
#pragma once
#include <stdint.h>

uint32_t boardNumber();
