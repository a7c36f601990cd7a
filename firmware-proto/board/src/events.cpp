#include "events.h"

static const char *const codes[] = {"bus-stuck", "chip-silent", "late", "watchdog", "brownout"};

void Events::note(Event event, uint8_t times) {
  counts_[(uint8_t)event] += times;
  news_[(uint8_t)event] = true;
}

bool Events::report(Line &line, uint8_t number) {
  if (number >= kinds || !news_[number]) return false;
  news_[number] = false;
  line.begin('E');
  line.text(codes[number]);
  line.natural(counts_[number]);
  return true;
}
