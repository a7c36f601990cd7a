// The board's program as an Arduino library: call firmwareBegin() from setup() and firmwareTurn() from loop().
#pragma once
#include "firmware.h"
