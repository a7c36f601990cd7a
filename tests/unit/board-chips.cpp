// Runs the board's drivers over a bus of registers, and writes every transaction (standard input: what to do).
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <iostream>
#include <sstream>
#include <string>
#include <vector>

#include "../../firmware-proto/board/src/processor.h"
#include "../../firmware-proto/board/src/sensors.h"

static uint8_t registers[128][256];
static bool isPresent[128], isStuck, isLogging;
static std::string transactions;

static void log(const char *format, int chip, int address, int value) {
  char text[40];
  snprintf(text, sizeof text, format, chip, address, value);
  if (isLogging) transactions += text;
}

bool busWrite(uint8_t chip, uint8_t address, uint8_t value) {
  log("W %02X %02X %02X; ", chip, address, value);
  if (!isPresent[chip] || isStuck) return false;
  registers[chip][address] = value;
  return true;
}
bool busRead(uint8_t chip, uint8_t address, uint8_t *bytes, uint8_t length) {
  log("R %02X %02X %d; ", chip, address, length);
  if (!isPresent[chip] || isStuck) return false;
  memcpy(bytes, registers[chip] + (address & 0x7F), length);
  return true;
}
bool busStuck() { return isStuck; }
void busRecover() {}

static Chip named(const std::string &kind, const std::string &name) {
  for (const Chip *const *at = kind == "acc" ? accelerometers : magnetometers; *at != nullptr; at++)
    if (name == (*at)->name) return **at;
  std::cerr << "no chip " << name << '\n';
  exit(1);
}

static void list(const char *kind, const Chip *const *at) {
  for (; *at != nullptr; at++) {
    const Chip &chip = **at;
    std::cout << kind << ' ' << chip.name << ' ' << (int)chip.addresses[0] << ' ' << (int)chip.id << ' ' << chip.perCount << ' '
              << (chip.dpsPerCount[0] ? chip.dpsPerCount : "-") << ' ' << (chip.celsiusPerCount[0] ? chip.celsiusPerCount : "0") << ' '
              << (chip.celsiusPerCount[0] ? chip.celsiusAtZero : "20") << '\n';
  }
}

static void three(const char *name, const int16_t *values) {
  std::cout << ' ' << name << ' ' << values[0] << ' ' << values[1] << ' ' << values[2];
}

static void tell(const Part &part) { std::cout << part.chip.name << ' ' << std::hex << (int)part.address << ' ' << (int)part.id << std::dec << '\n'; }

int main() {
  Events events;
  Sensors sensors(events);
  std::string line;
  while (std::getline(std::cin, line)) {
    std::istringstream words(line);
    std::string what, kind, name;
    words >> what;
    transactions.clear();
    isLogging = false;
    if (what == "list") {
      list("acc", accelerometers);
      list("mag", magnetometers);
    } else if (what == "clear") {
      memset(registers, 0, sizeof registers);
      memset(isPresent, 0, sizeof isPresent);
      isStuck = false;
    } else if (what == "stuck") {
      isStuck = true;
    } else if (what == "set") {  // chip, first register, values
      int chip, at, value;
      words >> std::hex >> chip >> at;
      isPresent[chip] = true;
      while (words >> value) registers[chip][at++] = (uint8_t)value;
    } else if (what == "configure") {
      std::string push;
      words >> kind >> name >> push;
      Chip chip = named(kind, name);
      isLogging = true;
      bool isDone = chip.configure(chip.addresses[0], push == "push");
      std::cout << (isDone ? "done " : "failed ") << transactions << '\n';
    } else if (what == "read") {
      words >> kind >> name;
      Chip chip = named(kind, name);
      Reading reading = {};
      isLogging = true;
      bool isDone = chip.read(chip.addresses[0], reading);
      std::cout << (isDone ? "done" : "failed");
      three("accel", reading.accel);
      three("field", reading.field);
      three("rate", reading.rate);
      std::cout << " temperature " << reading.temperature << " fresh " << reading.accelFresh << reading.fieldFresh << ' ' << transactions
                << '\n';
    } else if (what == "start") {
      sensors.start();
      tell(sensors.accelerometer);
      tell(sensors.magnetometer);
    } else if (what == "measure") {
      Reading reading = {};
      std::cout << (sensors.measure(reading) ? "reading" : "none") << '\n';
    }
  }
}
