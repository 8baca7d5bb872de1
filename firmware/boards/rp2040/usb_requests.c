/* A serial port by the class that every system has a driver for (USB CDC 1.2, "abstract control
 * model"; from memory). The vendor's number is that of a registry for open hardware. The product's is
 * one that it leaves to trials. */
#include "usb_requests.h"

#include "memory.h"
#include "usb_chip.h"

enum {
    GET_STATUS = 0,
    GET_DESCRIPTOR = 6,
    GET_CONFIGURATION = 8,
    GET_LINE_CODING = 0x21,
};

/* Kinds of descriptor. */
enum { DEVICE = 1, CONFIGURATION, STRING, INTERFACE, ENDPOINT, OF_CDC = 0x24 };

enum { CONFIGURATION_BYTES = 67, CDC = 2, CDC_DATA = 10, BULK = 2, INTERRUPT = 3 };

#define TWO(value) (uint8_t)(value), (uint8_t)((value) >> 8)

static const uint8_t device[] = {
    18, DEVICE, TWO(0x0200), CDC, 0, 0, PACKET, TWO(0x1209), TWO(0x0001), TWO(0x0100), 1, 2, 0, 1,
};

static const uint8_t configuration[CONFIGURATION_BYTES] = {
    9, CONFIGURATION, TWO(CONFIGURATION_BYTES), 2, 1, 0, 0x80, 50, /* powered by the bus, 100 mA */
    9, INTERFACE, 0, 0, 1, CDC, 2, 0, 0,
    5, OF_CDC, 0, TWO(0x0120),
    5, OF_CDC, 1, 0, 1,
    4, OF_CDC, 2, 2, /* line coding and line state */
    5, OF_CDC, 6, 0, 1,
    7, ENDPOINT, 0x81, INTERRUPT, TWO(8), 255,
    9, INTERFACE, 1, 0, 2, CDC_DATA, 0, 0, 0,
    7, ENDPOINT, 0x82, BULK, TWO(PACKET), 0,
    7, ENDPOINT, 0x02, BULK, TWO(PACKET), 0,
};

static const uint8_t languages[] = {4, STRING, TWO(0x0409)};
static const uint8_t maker[] = {16, STRING, 'u', 0, 'n', 0, 's', 0, 'p', 0, 'o', 0, 'o', 0, 'l', 0};
static const uint8_t product[] = {14, STRING, 'R', 0, 'P', 0, '2', 0, '0', 0, '4', 0, '0', 0};
static const uint8_t nothing[2];
static const uint8_t one[] = {1};

uint8_t usb_line_coding[LINE_CODING_BYTES] = {TWO(0xC200), 1, 0, 0, 0, 8}; /* 115,200 baud, 8N1 */

static const uint8_t *string(uint8_t number, uint8_t *length)
{
    static const uint8_t *const strings[] = {languages, maker, product};
    if (number >= sizeof strings / sizeof *strings)
        return NULL;
    *length = strings[number][0];
    return strings[number];
}

static const uint8_t *descriptor(uint16_t which, uint8_t *length)
{
    switch (which >> 8) {
    case DEVICE:
        *length = sizeof device;
        return device;
    case CONFIGURATION:
        *length = sizeof configuration;
        return configuration;
    case STRING:
        return string((uint8_t)which, length);
    default:
        return NULL;
    }
}

const uint8_t *usb_answer(const struct usb_setup *setup, uint8_t *length)
{
    *length = 0;
    switch (setup->request) {
    case GET_DESCRIPTOR:
        return descriptor(setup->value, length);
    case GET_STATUS:
        *length = sizeof nothing;
        return nothing;
    case GET_CONFIGURATION:
        *length = sizeof one;
        return one;
    case GET_LINE_CODING:
        *length = LINE_CODING_BYTES;
        return usb_line_coding;
    default:
        return NULL;
    }
}
