// What went wrong on the board (WIRE.md, event codes): counted since start-up. Portable.
#pragma once
#include <stdint.h>

#include "line.h"

enum class Event : uint8_t { busStuck, chipSilent, late, watchdog, brownout };

class Events {
 public:
  void note(Event event, uint8_t times = 1);
  // Writes the line of the event with this number, if there is news of it.
  bool report(Line &line, uint8_t number);

 private:
  static const uint8_t kinds = 5;
  uint32_t counts_[kinds] = {};
  bool news_[kinds] = {};
};
