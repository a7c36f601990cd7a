// I2C-bus specification UM10204, 3.1.16 "Bus clear": up to nine clock pulses, then a STOP. `Lines` pulls SDA or SCL low or lets it
// go, and both are let go before.
#pragma once
#include "instants.h"

template <typename Lines>
static inline void clearBus(Lines lines) {
  for (uint8_t i = 0; i < 9 && !lines.sdaIsHigh(); i++) {
    lines.pullScl(true);
    pause(5);
    lines.pullScl(false);
    pause(5);
  }
  lines.pullScl(true);
  lines.pullSda(true);
  pause(5);
  lines.pullScl(false);
  pause(5);
  lines.pullSda(false);
}
