// A USB serial port: Communications Device Class, Abstract Control Model (USB-IF, "Universal Serial Bus Class Definitions for
// Communications Devices", 1.2, and "... PSTN Devices", 1.2; requests and descriptors: USB 2.0, chapter 9). Portable over the
// device controller of a processor.
#pragma once
#include <stdint.h>

// --- For the program.
// A byte that nobody takes is dropped: no port is open, or its reader is slow.
void cdcWrite(char byte);
// -1 when there is none.
int16_t cdcRead();

// --- For the processor's interrupt.
void cdcReset();
void cdcSetup(const uint8_t *setup);
void cdcSent(uint8_t endpoint);
void cdcReceived(uint8_t endpoint, const volatile uint8_t *bytes, uint8_t length);

// --- What the processor must do. A packet has at most 64 bytes.
enum class UsbType : uint8_t { control, isochronous, bulk, interrupt };
void usbOpen(uint8_t endpoint, bool isIn, UsbType type);
void usbSend(uint8_t endpoint, const uint8_t *bytes, uint8_t length, bool isData1);
// Lets the host send one packet.
void usbExpect(uint8_t endpoint, bool isData1);
void usbStall();
void usbSetAddress(uint8_t address);
// Keeps the interrupt off for a moment.
void usbHold();
void usbResume();
