// From reset to firmwareBegin, on every ARM processor. Included once, by the file of the processor.
#pragma once
#include <stdint.h>

extern "C" {
extern uint32_t data[], dataEnd[], dataSource[], bss[], bssEnd[], stackTop[];
typedef void (*Routine)();
extern Routine constructors[], constructorsEnd[];

__attribute__((noreturn, used)) void startUp() {
  uint32_t *from = dataSource;
  for (uint32_t *to = data; to < dataEnd; to++) *to = *from++;
  for (uint32_t *to = bss; to < bssEnd; to++) *to = 0;
  for (Routine *constructor = constructors; constructor < constructorsEnd; constructor++) (*constructor)();
  firmwareBegin();
  for (;;) firmwareTurn();
}

// A fault: hangs until the watchdog bites.
static void hang() {
  for (;;) {
  }
}
}
