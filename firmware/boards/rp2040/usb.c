/* The controller answers the bus by itself: it takes and sends one packet at each end, and refuses more
 * until it is handed a buffer again. So nothing here is urgent, and the main loop does it all. The
 * interrupt only ends the loop's sleep. */
#include "usb.h"

#include "interrupts.h"
#include "memory.h"
#include "usb_chip.h"
#include "usb_requests.h"

enum { NOBODY_US = 300000 };

/* Where the ends' buffers lie in the controller's memory. */
enum { CONTROL_AT = 0x100, NOTICE_AT = 0x180, IN_AT = 0x1C0, OUT_AT = 0x200 };

static bool configured;
static uint8_t new_address; /* holds from the end of the request on that gives it */
static uint32_t next_pid[DATA_OUT + 1];

static const uint8_t *answer; /* what is left of it */
static uint8_t answer_left;
static bool takes_line_coding;

static bool in_busy;
static bool in_full;  /* the last packet was a full one, so the reader waits for its end */
static bool in_blank; /* the one that waits to be taken says nothing */
static uint32_t in_since;
static bool out_handed_over;
static uint8_t in_length, out_length, out_taken;

static volatile uint8_t *memory_at(uint32_t offset)
{
    return (volatile uint8_t *)(uintptr_t)(USB_MEMORY + offset);
}

/* The last bit must come some cycles after the others, which the controller sees by another clock. */
static void hand_over(enum usb_end end, uint32_t word)
{
    word |= next_pid[end];
    next_pid[end] ^= END_DATA_1;
    END_WORD(end) = word;
    __asm__ volatile("b 1f\n1: b 1f\n1: b 1f\n1: b 1f\n1: b 1f\n1: b 1f\n1:");
    END_WORD(end) = word | END_AVAILABLE;
}

static void send_control(const uint8_t *data, uint8_t length)
{
    for (uint8_t i = 0; i < length; i++)
        memory_at(CONTROL_AT)[i] = data[i];
    hand_over(CONTROL_IN, END_FULL | length);
}

static void send_answer(void)
{
    uint8_t length = answer_left < PACKET ? answer_left : PACKET;
    send_control(answer, length);
    answer += length;
    answer_left = (uint8_t)(answer_left - length);
}

static void receive_control(void)
{
    next_pid[CONTROL_OUT] = END_DATA_1;
    hand_over(CONTROL_OUT, PACKET);
}

static void refuse(void)
{
    USB_EP_STALL_ARM = BIT(CONTROL_IN) | BIT(CONTROL_OUT);
    END_WORD(CONTROL_IN) = END_STALL;
    END_WORD(CONTROL_OUT) = END_STALL;
}

static void receive_data(void)
{
    out_length = out_taken = 0;
    out_handed_over = true;
    hand_over(DATA_OUT, PACKET);
}

static void set_up_ends(void)
{
    END_SET_UP(NOTICE_IN) = END_ON | END_INTERRUPT | NOTICE_AT;
    END_SET_UP(DATA_IN) = END_ON | END_BULK | IN_AT;
    END_SET_UP(DATA_OUT) = END_ON | END_BULK | OUT_AT;
    next_pid[DATA_IN] = next_pid[DATA_OUT] = 0;
    in_busy = in_full = false;
    in_length = 0;
    receive_data();
    configured = true;
}

static struct usb_setup read_setup(void)
{
    uint8_t bytes[8];
    for (uint8_t i = 0; i < sizeof bytes; i++)
        bytes[i] = USB_SETUP[i];
    struct usb_setup setup;
    memcpy(&setup, bytes, sizeof setup);
    return setup;
}

static void answer_request(const struct usb_setup *setup)
{
    answer = usb_answer(setup, &answer_left);
    if (!answer) {
        refuse();
        return;
    }
    if (answer_left > setup->length)
        answer_left = (uint8_t)setup->length;
    send_answer();
}

/* Both sides begin with DATA0 again. */
static void clear_halt(uint16_t endpoint)
{
    enum usb_end end = (endpoint & TO_HOST) ? DATA_IN : DATA_OUT;
    next_pid[end] = 0;
    if (end == DATA_OUT)
        receive_data();
    else if (in_busy)
        hand_over(end, END_WORD(end) & (END_FULL | END_LENGTH));
}

/* False if the board knows no such request. */
static bool carry_out(const struct usb_setup *setup)
{
    if (setup->request == SET_ADDRESS)
        new_address = (uint8_t)setup->value;
    else if (setup->request == SET_CONFIGURATION)
        set_up_ends();
    else if (setup->request == SET_CONTROL_LINE_STATE)
        in_since = TIMERAWL; /* a program opened the port, or closed it */
    else if (setup->request == CLEAR_FEATURE && setup->type == OF_ENDPOINT)
        clear_halt(setup->index);
    else
        return false;
    return true;
}

static void take_request(void)
{
    struct usb_setup setup = read_setup();
    USB_SIE_STATUS = SIE_SETUP;
    next_pid[CONTROL_IN] = END_DATA_1;
    answer = NULL;
    answer_left = 0;
    takes_line_coding = setup.request == SET_LINE_CODING && (setup.type & OF_CLASS);
    if (setup.type & TO_HOST)
        answer_request(&setup);
    else if (takes_line_coding)
        receive_control();
    else if (carry_out(&setup))
        send_control(NULL, 0);
    else
        refuse();
}

static void control_sent(void)
{
    if (new_address) {
        USB_ADDRESS = new_address;
        new_address = 0;
    } else if (answer_left) {
        send_answer();
    } else if (answer) {
        answer = NULL;
        receive_control(); /* the empty packet that ends a request for an answer */
    }
}

static void control_received(void)
{
    if (!takes_line_coding)
        return;
    takes_line_coding = false;
    for (uint8_t i = 0; i < LINE_CODING_BYTES; i++)
        usb_line_coding[i] = memory_at(CONTROL_AT)[i];
    send_control(NULL, 0);
}

static void take_packets(void)
{
    uint32_t ends = USB_BUFF_STATUS;
    USB_BUFF_STATUS = ends;
    if (ends & BIT(CONTROL_IN))
        control_sent();
    if (ends & BIT(CONTROL_OUT))
        control_received();
    if (ends & BIT(DATA_IN))
        in_busy = false;
    if (ends & BIT(DATA_OUT)) {
        out_handed_over = false;
        out_length = END_WORD(DATA_OUT) & END_LENGTH;
    }
}

static void take_bus_reset(void)
{
    USB_SIE_STATUS = SIE_RESET;
    USB_ADDRESS = 0;
    new_address = 0;
    configured = false;
}

static void send_data(void)
{
    in_full = in_length == PACKET;
    in_busy = true;
    in_blank = false;
    in_since = TIMERAWL;
    hand_over(DATA_IN, END_FULL | in_length);
    in_length = 0;
}

/* A packet that nobody took is still in the controller's hands. Who opens the port much later must not
 * take it for news, so it becomes empty frames. */
static void blank_stale_packet(void)
{
    if (!configured || usb_listens() || in_blank)
        return;
    for (uint8_t i = 0; i < PACKET; i++)
        memory_at(IN_AT)[i] = 0;
    in_blank = true;
}

/* A packet that the loop did not fill in its last round goes now. */
static void flush(void)
{
    if (configured && !in_busy && (in_length || in_full))
        send_data();
}

IN_RAM(usb) void usb_interrupt(void)
{
    NVIC_ICER = BIT(IRQ_USB); /* until usb_task has been */
}

void usb_init(void)
{
    for (uint32_t at = 0; at < USB_MEMORY_CONTROL; at += 4)
        REGISTER(USB_MEMORY + at) = 0;
    USB_MUXING = BIT(3) | BIT(0); /* to the chip's own pins */
    USB_PWR = BIT(3) | BIT(2);    /* the bus's voltage counts as seen */
    USB_MAIN_CTRL = 1;
    USB_SIE_CTRL = SIE_EACH_EP0_BUFFER;
    USB_INTE = INT_BUFFER | INT_RESET | INT_SETUP;
    SET(USB + 0x4C) = SIE_PULL_UP;
}

bool usb_due(void)
{
    return USB_INTS;
}

void usb_task(void)
{
    uint32_t due = USB_INTS;
    if (due & INT_RESET)
        take_bus_reset();
    if (due & INT_SETUP)
        take_request();
    if (due & INT_BUFFER)
        take_packets();
    flush();
    blank_stale_packet();
    if (configured && !out_handed_over && out_taken == out_length)
        receive_data();
    NVIC_ISER = BIT(IRQ_USB);
}

bool usb_listens(void)
{
    return configured && !(in_busy && TIMERAWL - in_since > NOBODY_US);
}

bool usb_waits(void)
{
    return out_taken < out_length;
}

bool usb_take(uint8_t *byte)
{
    if (!usb_waits())
        return false;
    *byte = memory_at(OUT_AT)[out_taken++];
    return true;
}

bool usb_room(void)
{
    return !in_busy;
}

void usb_put(uint8_t byte)
{
    memory_at(IN_AT)[in_length++] = byte;
    if (in_length == PACKET)
        send_data();
}
