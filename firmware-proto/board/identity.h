// The board's own number, made at the first start and kept in EEPROM.
#pragma once
#include <stdint.h>

uint32_t boardId();
