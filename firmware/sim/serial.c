/* The board's UART at the far end of the wire. See serial.h.
 *
 * libsimavr counts eleven bits a byte, since it always adds a parity bit. So the length of a byte is
 * set right here, and bytes to the board are spaced by it as well. */
#include "board.h"
#include "chip.h"
#include "serial.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>
#include <simavr/avr_uart.h>

enum {
    BITS_PER_BYTE = 10,
    RX_SIZE = 1 << 16,
    BYTES_A_LINE = 64,
    POLL_MS = 10,
};

static int pty = -1;
static int dtr_resets, has_rate;
static volatile sig_atomic_t waits;
static uint8_t rx[RX_SIZE];
static size_t rx_head, rx_tail;
static uint8_t line[BYTES_A_LINE];
static size_t line_used;
static avr_cycle_count_t line_at;
static unsigned long long sent, dropped;

static avr_uart_t *uart(const avr_t *avr)
{
    for (avr_io_t *io = avr->io_port; io; io = io->next)
        if (strcmp(io->kind, "uart") == 0 && ((avr_uart_t *)io)->name == '0')
            return (avr_uart_t *)io;
    return NULL;
}

static avr_cycle_count_t byte_length(avr_t *avr)
{
    avr_uart_t *u = uart(avr);
    unsigned divider = avr_regbit_get(avr, u->ubrrl) | avr_regbit_get(avr, u->ubrrh) << 8;
    return (divider + 1u) * (avr_regbit_get(avr, u->u2x) ? 8u : 16u) * BITS_PER_BYTE;
}

/* The terminal would keep some bytes for the next program that opens it; a cable does not. */
static int host_is_there(void)
{
    struct pollfd port = {.fd = pty};
    return poll(&port, 1, 0) >= 0 && !(port.revents & POLLHUP);
}

/* A pseudo-terminal passes bytes at any rate; a cable does so only if both ends agree. */
static int rates_agree(avr_t *avr)
{
    struct termios settings;
    if (!has_rate || tcgetattr(pty, &settings) != 0)
        return 1;
    speed_t speed = cfgetospeed(&settings);
    double host = speed == B115200 ? 115200 : speed == B57600 ? 57600 : 0;
    double own = 1e6 * board->cycles_per_us * BITS_PER_BYTE / (double)byte_length(avr);
    return host > 0.96 * own && host < 1.04 * own;
}

static void write_pty(uint8_t byte)
{
    while (!host_is_there() || write(pty, &byte, 1) != 1) {
        if (!waits) {
            ++dropped;
            return;
        }
        poll(NULL, 0, POLL_MS);
    }
}

void serial_flush_lines(void)
{
    if (!line_used)
        return;
    printf("tx %.4f ", (double)line_at / board->cycles_per_us);
    for (size_t i = 0; i < line_used; ++i)
        printf("%02x", line[i]);
    printf("\n");
    line_used = 0;
}

static void write_line(avr_t *avr, uint8_t byte)
{
    if (!line_used)
        line_at = avr->cycle;
    line[line_used++] = byte;
    if (line_used == BYTES_A_LINE)
        serial_flush_lines();
}

static void from_board(avr_irq_t *irq, uint32_t value, void *param)
{
    (void)irq;
    avr_t *avr = param;
    uart(avr)->cycles_per_byte = byte_length(avr);
    ++sent;
    if (pty >= 0)
        write_pty(rates_agree(avr) ? (uint8_t)value : (uint8_t)~value);
    else
        write_line(avr, (uint8_t)value);
}

static avr_cycle_count_t to_board(avr_t *avr, avr_cycle_count_t when, void *param)
{
    (void)param;
    if (rx_head == rx_tail)
        return 0;
    avr_raise_irq(avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_INPUT),
                  rx[rx_tail++ % RX_SIZE]);
    return when + byte_length(avr);
}

void serial_schedule(avr_t *avr)
{
    avr_cycle_timer_register(avr, byte_length(avr), to_board, NULL);
}

static void queue_byte(avr_t *avr, uint8_t byte)
{
    if (rx_head - rx_tail == RX_SIZE)
        return;
    rx[rx_head++ % RX_SIZE] = byte;
    if (avr_cycle_timer_status(avr, to_board, NULL) == 0)
        serial_schedule(avr);
}

void serial_receive_hex(avr_t *avr, const char *hex)
{
    unsigned byte;
    for (; sscanf(hex, "%2x", &byte) == 1; hex += 2)
        queue_byte(avr, (uint8_t)byte);
}

/* A host that opens the port raises DTR, and on most boards a capacitor takes that to RESET. */
static void watch_dtr(void)
{
    static int was_open;
    int is_open = host_is_there();
    if (dtr_resets && is_open && !was_open)
        chip_ask_reset(RESET_EXTERNAL);
    was_open = is_open;
}

void serial_poll(avr_t *avr)
{
    uint8_t bytes[256];
    if (pty >= 0)
        watch_dtr();
    if (pty < 0 || rx_head != rx_tail)
        return;
    ssize_t count = read(pty, bytes, sizeof bytes);
    for (ssize_t i = 0; i < count; ++i)
        queue_byte(avr, rates_agree(avr) ? bytes[i] : (uint8_t)~bytes[i]);
}

void serial_listen(avr_t *avr)
{
    uint32_t quiet = 0;
    avr_ioctl(avr, AVR_IOCTL_UART_SET_FLAGS('0'), &quiet); /* no echo, no naps while polled */
    avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUTPUT),
                            from_board, avr);
}

/* The far end is opened once to set it raw, and closed again: from then on it shows whether a host
 * has it open. */
static void make_raw(const char *path)
{
    struct termios settings;
    int far_end = open(path, O_RDWR | O_NOCTTY);
    if (far_end < 0 || tcgetattr(far_end, &settings) != 0) {
        perror("the board's pseudo-terminal cannot be set up");
        exit(1);
    }
    cfmakeraw(&settings);
    tcsetattr(far_end, TCSANOW, &settings);
    close(far_end);
}

void serial_dtr_resets(void)
{
    dtr_resets = 1;
}

void serial_minds_rate(void)
{
    has_rate = 1;
}

void serial_do_not_wait(void)
{
    waits = 0;
}

void serial_open_pty(int wait)
{
    waits = wait;
    pty = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK);
    if (pty < 0 || grantpt(pty) != 0 || unlockpt(pty) != 0) {
        perror("no pseudo-terminal for the board");
        exit(1);
    }
    make_raw(ptsname(pty));
    printf("pty %s\n", ptsname(pty));
    fflush(stdout);
}

void serial_report(FILE *out)
{
    fprintf(out, "report uart_bytes %llu\n", sent);
    fprintf(out, "report uart_unread_bytes %llu\n", dropped);
}
