// Runs an image for the ATmega328P on simavr, with chips on its two-wire bus that hold what they are given, and writes what the
// image sends; what it writes to a chip goes to standard error. Arguments: image (Intel HEX), seconds. Standard input, by lines:
//   eeprom BYTE ...                       hexadecimal, from 0 on
//   chip ADDRESS BY_BIT_7 REGISTER ...    hexadecimal, from 0 on; whether only bit 7 of a register's address asks for auto-increment
//   send SECONDS TEXT                     sent to the image then, with a line feed
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <simavr/avr_eeprom.h>
#include <simavr/avr_ioport.h>
#include <simavr/avr_twi.h>
#include <simavr/avr_uart.h>
#include <simavr/sim_avr.h>
#include <simavr/sim_hex.h>

enum { clockHz = 16000000, statusRegister = 0xB9, mostRequests = 16 };

static struct {
  uint8_t registers[128];
  int isPresent, incrementsByBit7;
} chips[128];

static struct {
  double atS;
  char text[40];
} requests[mostRequests];

static avr_t *avr;
static avr_irq_t *bus;
static uint8_t talkingTo, pointer;
static int isIncrementing, expectsPointer, isAddress, requestCount;

static void toProcessor(uint8_t message, uint8_t data) {
  avr_raise_irq(bus + TWI_IRQ_INPUT, avr_twi_irq_msg(message, talkingTo << 1, data));
}

static void advance(void) {
  if (isIncrementing) pointer = (pointer + 1) & 0x7F;
}

static void onBus(struct avr_irq_t *irq, uint32_t value, void *parameter) {
  (void)irq, (void)parameter;
  avr_twi_msg_irq_t message;
  message.u.v = value;
  const uint8_t kind = message.u.twi.msg, address = message.u.twi.addr >> 1, data = message.u.twi.data;
  if (kind & (TWI_COND_STOP | TWI_COND_START)) talkingTo = 0;
  if (kind & TWI_COND_START) {
    isAddress = 1;
    if (chips[address].isPresent) {
      talkingTo = address;
      expectsPointer = !(message.u.twi.addr & 1);
      toProcessor(TWI_COND_ACK, 1);
    }
  }
  if (talkingTo == 0) return;
  if (kind & TWI_COND_WRITE) {
    toProcessor(TWI_COND_ACK, 1);
    if (expectsPointer) {
      expectsPointer = 0;
      pointer = data & 0x7F;
      isIncrementing = !chips[talkingTo].incrementsByBit7 || data & 0x80;
    } else {
      fprintf(stderr, "%02X %02X %02X\n", talkingTo, pointer, data);
      advance();
    }
  }
  if (kind & TWI_COND_READ) {
    toProcessor(TWI_COND_READ, chips[talkingTo].registers[pointer]);
    advance();
  }
}

// simavr 1.6 tells an address for writing with the status of a data byte: 28h and 30h in place of 18h and 20h (ATmega328P datasheet,
// "Status codes for Master Transmitter Mode").
static void onStatus(struct avr_irq_t *irq, uint32_t value, void *parameter) {
  (void)irq, (void)parameter;
  const int isOfByte = value != 0x08 && value != 0x10 && value != 0xF8;
  if (isAddress && (value == 0x28 || value == 0x30))
    avr->data[statusRegister] = (uint8_t)((avr->data[statusRegister] & 3) | (value - 0x10));
  if (isOfByte) isAddress = 0;
}

static void onByte(struct avr_irq_t *irq, uint32_t value, void *parameter) {
  (void)irq, (void)parameter;
  putchar((int)value);
}

static int bytesOf(uint8_t *bytes, int most) {
  char *word;
  int count = 0;
  while (count < most && (word = strtok(NULL, " \n"))) bytes[count++] = (uint8_t)strtoul(word, NULL, 16);
  return count;
}

static void readWhatIsGiven(void) {
  static char line[8192];
  static uint8_t eeprom[1024];
  while (fgets(line, sizeof line, stdin)) {
    const char *kind = strtok(line, " \n");
    if (kind == NULL) continue;
    if (strcmp(kind, "eeprom") == 0) {
      avr_eeprom_desc_t all = {eeprom, 0, (uint32_t)bytesOf(eeprom, sizeof eeprom)};
      avr_ioctl(avr, AVR_IOCTL_EEPROM_SET, &all);
    } else if (strcmp(kind, "chip") == 0) {
      unsigned long address = strtoul(strtok(NULL, " \n"), NULL, 16) & 0x7F;
      chips[address].isPresent = 1;
      chips[address].incrementsByBit7 = atoi(strtok(NULL, " \n"));
      bytesOf(chips[address].registers, 128);
    } else if (requestCount < mostRequests) {
      requests[requestCount].atS = atof(strtok(NULL, " \n"));
      snprintf(requests[requestCount++].text, sizeof requests[0].text, "%s\n", strtok(NULL, "\n"));
    }
  }
}

int main(int count, char **arguments) {
  if (count != 3) return 64;
  uint32_t start, size;
  uint8_t *program = read_ihex_file(arguments[1], &size, &start);
  avr = avr_make_mcu_by_name("atmega328p");
  if (program == NULL || avr == NULL) return 74;
  avr_init(avr);
  avr->frequency = clockHz;
  avr->log = LOG_ERROR;
  memcpy(avr->flash + start, program, size);
  avr->pc = start;
  avr->codeend = avr->flashend;
  readWhatIsGiven();

  uint32_t flags = 0;  // neither echoed nor slowed down
  avr_ioctl(avr, AVR_IOCTL_UART_SET_FLAGS('0'), &flags);
  avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUTPUT), onByte, NULL);
  avr_irq_t *toUart = avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_INPUT);
  bus = avr_io_getirq(avr, AVR_IOCTL_TWI_GETIRQ(0), 0);
  avr_irq_register_notify(bus + TWI_IRQ_OUTPUT, onBus, NULL);
  avr_irq_register_notify(bus + TWI_IRQ_STATUS, onStatus, NULL);
  for (int line = 4; line <= 5; line++)  // SDA and SCL, pulled up
    avr_raise_irq(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('C'), line), 1);

  const double seconds = atof(arguments[2]);
  int state = cpu_Running, next = 0;
  while ((double)avr->cycle < seconds * clockHz && state != cpu_Done && state != cpu_Crashed) {
    if (next < requestCount && (double)avr->cycle >= requests[next].atS * clockHz) {
      for (const char *byte = requests[next].text; *byte; byte++) avr_raise_irq(toUart, (uint8_t)*byte);
      next++;
    }
    state = avr_run(avr);
  }
  return state == cpu_Crashed ? 70 : 0;
}
