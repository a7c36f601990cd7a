// The magnetometer RM3100.
// Registers, rates and scale: PNI RM3100 user manual, revision 8, sections 4 and 5 (75 counts per uT at 200 cycles). Checked
// against ArduPilot's public driver AP_Compass_RM3100 (axes as they come). Self-test (BIST, section 5.7, from memory): each polled
// measurement tells whether the three oscillators run, as in ArduPilot's example RM3100_self_test.lua; told as 10000 counts.
#include "../chip.h"

namespace {

const uint8_t POLL = 0x00, CMM = 0x01, CCX1 = 0x04, TMRC = 0x0B, MX2 = 0x24, BIST = 0x33, STATUS = 0x34, REVID = 0x36;
const uint8_t DRDY = 0x80;

const Setting settings[] IN_FLASH = {
    {CMM, 0x00},  // it may run with other settings
    {BIST, 0x0F},
    {CCX1, 0}, {CCX1 + 1, 200}, {CCX1 + 2, 0}, {CCX1 + 3, 200}, {CCX1 + 4, 0}, {CCX1 + 5, 200},
    {TMRC, 0x94},  // 150 Hz, the fastest with 200 cycles
    {CMM, 0x71},   // three axes, continuous; DRDY when all are measured
};

const Setting pushing[] IN_FLASH = {{CMM, 0x00}, {BIST, 0x8F}, {POLL, 0x70}};  // STE; three axes
const uint8_t XOK = 0x10;
const int16_t whereSound = 10000;

bool isPushed;
uint8_t result;
int16_t before[3];

bool configure(uint8_t address, bool push) {
  isPushed = push;
  result = 0;
  return busWriteAll(address, settings, 10) && (!push || busWriteAll(address, pushing, 3));
}

void tellSound(int16_t *values) {
  for (uint8_t i = 0; i < 3; i++) values[i] = result & (XOK << i) ? whereSound : 0;
}

bool read(uint8_t address, Reading &reading) {
  uint8_t bytes[9];  // x, y, z: three bytes each, the high one first
  if (!busRead(address, STATUS, bytes, 1)) return false;
  reading.fieldFresh = bytes[0] & DRDY;
  if (!busRead(address, MX2, bytes, 9)) return false;
  for (uint8_t i = 0; i < 3; i++) {
    const uint8_t *axis = bytes + 3 * i;
    reading.field[i] = within16((int32_t)(int8_t)axis[0] * 65536 + (uint16_t)bigEndian(axis + 1));
  }
  if (isPushed && reading.fieldFresh && !(busRead(address, BIST, &result, 1) && busWrite(address, POLL, 0x70))) return false;
  if (isPushed) tellSound(reading.field);
  onTopOf(before, reading.field, isPushed);
  return true;
}

}  // namespace

extern "C" const Chip rm3100 IN_FLASH = {
    "RM3100", {0x20, 0x21, 0x22, 0x23}, REVID, 0x22, nullptr, configure, read,
    "13.3333",  // 75 per uT
    "", "", "", 9000, 11000, 0, 0,
};
