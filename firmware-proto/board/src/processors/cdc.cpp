#ifdef LODEPOLE_RP2040

#include "cdc.h"

#include "../processor.h"
#include "../ring.h"

static const uint8_t notifyEndpoint = 1, dataEndpoint = 2;
static const uint8_t packetBytes = 64;

static const uint8_t deviceDescriptor[] = {
    18, 1, 0x00, 0x02,       // USB 2.0
    2, 0, 0, packetBytes,    // Communications Device Class
    0x8A, 0x2E, 0x0A, 0x00,  // 2E8A:000A, Raspberry Pi's for a serial port of a program on the RP2040
    0x00, 0x01, 1, 2, 3, 1,  // strings: maker, product, number
};

static const uint8_t configurationDescriptor[] = {
    9, 2, 67, 0, 2, 1, 0, 0x80, 50,                       // 67 bytes, two interfaces, 100 mA from the bus
    9, 4, 0, 0, 1, 2, 2, 0, 0,                            // interface 0: Abstract Control Model
    5, 0x24, 0, 0x10, 0x01,                               // header, 1.10
    5, 0x24, 1, 0, 1,                                     // call management: none
    4, 0x24, 2, 0x02,                                     // line coding and control line state
    5, 0x24, 6, 0, 1,                                     // union of both interfaces
    7, 5, 0x80 | notifyEndpoint, 3, 8, 0, 255,            // interrupt
    9, 4, 1, 0, 2, 10, 0, 0, 0,                           // interface 1: data
    7, 5, dataEndpoint, 2, packetBytes, 0, 0,             // bulk, from the host
    7, 5, 0x80 | dataEndpoint, 2, packetBytes, 0, 0,      // bulk, to the host
};

static Ring<uint32_t, 1024> toHost;
static Ring<uint32_t, 256> fromHost;
static bool isOpen, isSending, sendsData1, expectsData1;
// The control transfer under way: what is left to send, and what is to be done after its status stage.
static uint8_t answer[packetBytes];
static const uint8_t *answerAt;
static uint8_t answerLeft;
static bool answerData1;
static uint8_t newAddress;
static uint8_t lineCoding[7] = {0x00, 0xC2, 0x01, 0x00, 0, 0, 8};  // 115200 8N1; nothing hangs on it

static void sendNext() {
  uint8_t length = answerLeft < packetBytes ? answerLeft : packetBytes;
  usbSend(0, answerAt, length, answerData1);
  answerData1 = !answerData1;
  answerAt += length;
  answerLeft = (uint8_t)(answerLeft - length);
}

static void reply(const uint8_t *bytes, uint8_t length, uint16_t asked) {
  answerAt = bytes;
  answerLeft = asked < length ? (uint8_t)asked : length;
  answerData1 = true;
  sendNext();
  usbExpect(0, true);  // the status stage
}

static void acknowledge() {
  answerLeft = 0;
  usbSend(0, nullptr, 0, true);
}

// A string descriptor: its length, 3, and 16-bit characters.
static void replyText(const char *text, uint16_t asked) {
  uint8_t length = 2;
  for (; *text != '\0' && length < sizeof answer; text++) {
    answer[length++] = (uint8_t)*text;
    answer[length++] = 0;
  }
  answer[0] = length;
  answer[1] = 3;
  reply(answer, length, asked);
}

// The board's number, where it has one already: it is made before the host can ask.
static const char *numberText() {
  static char text[9];
  uint8_t record[4];
  storageRead(0, record, 4);
  for (uint8_t i = 0; i < 8; i++) text[i] = "0123456789ABCDEF"[record[3 - i / 2] >> (i % 2 == 0 ? 4 : 0) & 0xF];
  return text;
}

static void replyDescriptor(uint8_t type, uint8_t index, uint16_t asked) {
  static const uint8_t english[] = {4, 3, 0x09, 0x04};
  if (type == 1) {
    reply(deviceDescriptor, sizeof deviceDescriptor, asked);
  } else if (type == 2) {
    reply(configurationDescriptor, sizeof configurationDescriptor, asked);
  } else if (type == 3 && index == 0) {
    reply(english, sizeof english, asked);
  } else if (type == 3 && index <= 3) {
    replyText(index == 1 ? "Lodepole" : index == 2 ? "Lodepole board" : numberText(), asked);
  } else {
    usbStall();
  }
}

static void configure() {
  usbOpen(notifyEndpoint, true, UsbType::interrupt);
  usbOpen(dataEndpoint, true, UsbType::bulk);
  usbOpen(dataEndpoint, false, UsbType::bulk);
  sendsData1 = expectsData1 = isSending = false;
  usbExpect(dataEndpoint, false);
  acknowledge();
}

void cdcReset() {
  isOpen = isSending = false;
  newAddress = 0;
  toHost.clear();
}

void cdcSetup(const uint8_t *setup) {
  uint16_t asked = setup[6] | (uint16_t)setup[7] << 8;
  bool isOfClass = (setup[0] & 0x60) == 0x20;  // whatever it is addressed to, the interface is meant
  switch ((setup[0] | (isOfClass ? 1 : 0)) << 8 | setup[1]) {
    case 0x8006:  // GET_DESCRIPTOR
      replyDescriptor(setup[3], setup[2], asked);
      break;
    case 0x0005:  // SET_ADDRESS: holds after the status stage
      newAddress = setup[2];
      acknowledge();
      break;
    case 0x0009:  // SET_CONFIGURATION
      configure();
      break;
    case 0x8000:  // GET_STATUS of the device: powered by the bus
    case 0x8100:
    case 0x8200:
      answer[0] = answer[1] = 0;
      reply(answer, 2, asked);
      break;
    case 0x8008:  // GET_CONFIGURATION
      answer[0] = 1;
      reply(answer, 1, asked);
      break;
    case 0x0201:  // CLEAR_FEATURE of an endpoint: a halt, which starts its data toggle anew
      if (setup[4] == (0x80 | dataEndpoint)) sendsData1 = false;
      acknowledge();
      break;
    case 0x2120:  // SET_LINE_CODING: its seven bytes follow, and are passed over
      usbExpect(0, true);
      break;
    case 0xA121:  // GET_LINE_CODING
      reply(lineCoding, sizeof lineCoding, asked);
      break;
    case 0x2122:  // SET_CONTROL_LINE_STATE: bit 0, DTR, tells that the port is open
      if (!(setup[2] & 1)) toHost.clear();
      isOpen = setup[2] & 1;
      acknowledge();
      break;
    case 0x010B:  // SET_INTERFACE
    case 0x2123:  // SEND_BREAK
      acknowledge();
      break;
    default:
      usbStall();
  }
}

static void sendPacket() {
  if (isSending || !isOpen || toHost.used() == 0) return;
  static uint8_t packet[packetBytes];
  uint8_t length = 0;
  // One byte less than a whole packet, so that no packet of nothing need follow.
  while (length < packetBytes - 1 && toHost.used() > 0) packet[length++] = (uint8_t)toHost.take();
  isSending = true;
  usbSend(dataEndpoint, packet, length, sendsData1);
  sendsData1 = !sendsData1;
}

void cdcSent(uint8_t endpoint) {
  if (endpoint == dataEndpoint) {
    isSending = false;
    sendPacket();
  } else if (endpoint == 0) {
    if (newAddress != 0) usbSetAddress(newAddress);
    newAddress = 0;
    if (answerLeft > 0) sendNext();
  }
}

void cdcReceived(uint8_t endpoint, const volatile uint8_t *bytes, uint8_t length) {
  if (endpoint == 0) {
    if (length > 0) acknowledge();  // the data of SET_LINE_CODING
    return;
  }
  for (uint8_t i = 0; i < length; i++) {
    if (fromHost.room() > 0) fromHost.put((char)bytes[i]);
  }
  expectsData1 = !expectsData1;
  usbExpect(dataEndpoint, expectsData1);
}

void cdcWrite(char byte) {
  if (!isOpen || toHost.room() == 0) return;
  toHost.put(byte);
  if (byte != '\n') return;
  usbHold();
  sendPacket();
  usbResume();
}

int16_t cdcRead() { return fromHost.used() > 0 ? (uint8_t)fromHost.take() : -1; }

#endif
