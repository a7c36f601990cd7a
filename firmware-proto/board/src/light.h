// What the light tells, apart from each other in the dark: short flashes, so that they are dim. Portable.
#pragma once
#include <stdint.h>

#include "processor.h"

enum class LightState : uint8_t {
  looking,    // two flashes every two seconds: no host has asked for anything yet
  streaming,  // one flash every two seconds
  trouble,    // five flashes a second: no readings
  blinking,   // half a second on, half a second off: the host asked which board this is
};

// Whether the light is on in this instant.
inline bool lightIsOn(LightState state, uint32_t instant) {
  uint8_t ofTwoSeconds = instant % (2 * instantsPerSecond);
  switch (state) {
    case LightState::looking:
      return ofTwoSeconds < 2 || (ofTwoSeconds >= 30 && ofTwoSeconds < 32);
    case LightState::streaming:
      return ofTwoSeconds < 2;
    case LightState::trouble:
      return ofTwoSeconds % 20 < 2;
    case LightState::blinking:
      return ofTwoSeconds % 100 < 50;
  }
  return false;
}
