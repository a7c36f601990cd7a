// The RP2040's USB device controller (4.1), as cdc.h asks for it. RP2040 Datasheet, Raspberry Pi Ltd: registers, bits and section numbers.
#ifdef LODEPOLE_RP2040

#include "cdc.h"
#include "rp2040.h"

static const uint8_t usbInterrupt = 5;

static const uint32_t USB_MEMORY = 0x50100000, USB = 0x50110000;
static const uint32_t MAIN_CTRL = USB + 0x40, SIE_CTRL = USB + 0x4C, SIE_STATUS = USB + 0x50, BUFF_STATUS = USB + 0x58,
                      EP_STALL_ARM = USB + 0x68, USB_MUXING = USB + 0x74, USB_PWR = USB + 0x78, INTE = USB + 0x90;
static const uint32_t BUS_RESET = 1 << 19, SETUP_REC = 1 << 17;
static const uint32_t bufferFull = 1 << 15, bufferData1 = 1 << 13, bufferStall = 1 << 11, bufferAvailable = 1 << 10;

static uint32_t bufferControl(uint8_t endpoint, bool isIn) {
  return USB_MEMORY + 0x80 + 8 * endpoint + (isIn ? 0 : 4);
}
static uint32_t bufferOffset(uint8_t endpoint, bool isIn) {
  return endpoint == 0 ? 0x100 : 0x180 + 128 * (endpoint - 1) + (isIn ? 0 : 64);
}

// "Concurrent access" (4.1.2.5.1): the buffer is made available some cycles after the rest of its control word.
static void makeAvailable(uint8_t endpoint, bool isIn, uint32_t control) {
  at(bufferControl(endpoint, isIn)) = control;
  asm volatile("nop; nop; nop; nop; nop; nop; nop; nop; nop; nop; nop; nop");
  at(bufferControl(endpoint, isIn)) = control | bufferAvailable;
}

void usbSend(uint8_t endpoint, const uint8_t *bytes, uint8_t length, bool isData1) {
  volatile uint8_t *to = (volatile uint8_t *)(USB_MEMORY + bufferOffset(endpoint, true));
  for (uint8_t i = 0; i < length; i++) to[i] = bytes[i];
  makeAvailable(endpoint, true, length | bufferFull | (isData1 ? bufferData1 : 0));
}

void usbExpect(uint8_t endpoint, bool isData1) { makeAvailable(endpoint, false, 64 | (isData1 ? bufferData1 : 0)); }

void usbStall() {
  at(EP_STALL_ARM) = 3;
  at(bufferControl(0, true)) = bufferStall;
  at(bufferControl(0, false)) = bufferStall;
}

void usbSetAddress(uint8_t address) { at(USB) = address; }

void usbOpen(uint8_t endpoint, bool isIn, UsbType type) {
  at(USB_MEMORY + 8 * endpoint + (isIn ? 0 : 4)) =
      1UL << 31 | 1UL << 29 | (uint32_t)type << 26 | bufferOffset(endpoint, isIn);
}

extern "C" void usbHandler() {
  uint32_t status = at(SIE_STATUS);
  if (status & BUS_RESET) {
    at(SIE_STATUS) = BUS_RESET;
    usbSetAddress(0);
    cdcReset();
  }
  if (status & SETUP_REC) {
    at(SIE_STATUS) = SETUP_REC;
    uint8_t setup[8];
    for (uint8_t i = 0; i < 8; i++) setup[i] = ((volatile uint8_t *)USB_MEMORY)[i];
    cdcSetup(setup);
  }
  uint32_t done = at(BUFF_STATUS);
  at(BUFF_STATUS) = done;
  for (uint8_t endpoint = 0; endpoint < 3; endpoint++) {
    if (done & 1UL << (2 * endpoint)) cdcSent(endpoint);
    if (done & 2UL << (2 * endpoint)) {
      uint8_t length = at(bufferControl(endpoint, false)) & 0x7F;
      cdcReceived(endpoint, (const volatile uint8_t *)(USB_MEMORY + bufferOffset(endpoint, false)), length);
    }
  }
}

// cdc.cpp starts a transfer from the program; the interrupt would get in its way.
void usbHold() {
  at(NVIC_ICER) = 1 << usbInterrupt;
}
void usbResume() { at(NVIC_ISER) = 1 << usbInterrupt; }

void usbBegin() {
  for (uint32_t offset = 0; offset < 0x100; offset += 4) at(USB_MEMORY + offset) = 0;
  at(USB_MUXING) = 1 << 3 | 1;      // SOFTCON, TO_PHY
  at(USB_PWR) = 1 << 3 | 1 << 2;    // VBUS is taken as there
  at(MAIN_CTRL) = 1;                // device
  at(SIE_CTRL) = 1 << 29;           // EP0_INT_1BUF
  at(INTE) = 1 << 4 | 1 << 12 | 1 << 16;  // BUFF_STATUS, BUS_RESET, SETUP_REQ
  at(NVIC_ISER) = 1 << usbInterrupt;
  setBits(SIE_CTRL, 1 << 16);       // PULLUP_EN: shows itself to the host
}

#endif
