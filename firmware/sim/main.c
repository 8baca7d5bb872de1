/* The virtual board: the firmware's own ELF on a simulated chip.
 *
 *     virtual-board [options] FIRMWARE.elf
 *       --board NAME     as in boards/; atmega328p unless given.
 *       --real           time passes as on the wall clock; without it, as fast as it goes, and
 *                        only up to the last line of the script (see script.h).
 *       --lines          the UART as lines on standard input and output, not on a pseudo-terminal.
 *       --lamp           says "lamp TIME LEVEL" at each change of the lamp.
 *       --dtr            a host that opens the pseudo-terminal resets the board.
 *       --rate           the pseudo-terminal's baud rate must be the board's.
 *       --eeprom FILE    the EEPROM's bytes: read at the start if there are any, written at the end.
 *       --battery MV     the supply, 5000 unless given.
 *
 * The script comes on standard input. Its end ends the board, in real time at once. Standard output
 * says "pty PATH", "tx TIME HEX" (with --lines), "at TIME" for each "." of the script, and
 * "report NAME VALUE" at the end. */
#include "board.h"
#include "chip.h"
#include "lamp.h"
#include "script.h"
#include "serial.h"

#include <getopt.h>
#include <signal.h>
#include <stdlib.h>
#include <time.h>

enum { PUMP_US = 1000 };

static int real_time, lines, dtr, lamp, rate;
static const char *elf, *eeprom;
static unsigned battery_mv = 5000;
static struct timespec begin;
static volatile sig_atomic_t stopped;

static void stop(int signal)
{
    (void)signal;
    stopped = 1;
    serial_do_not_wait();
}

static void wait_for_wall_clock(const avr_t *avr)
{
    unsigned long long us = avr->cycle / board->cycles_per_us + (unsigned long long)begin.tv_nsec / 1000;
    struct timespec until = {begin.tv_sec + (time_t)(us / 1000000), (long)(us % 1000000) * 1000};
    clock_nanosleep(CLOCK_MONOTONIC, TIMER_ABSTIME, &until, NULL);
}

static avr_cycle_count_t pump(avr_t *avr, avr_cycle_count_t when, void *param)
{
    (void)param;
    if (real_time) {
        wait_for_wall_clock(avr);
        script_poll(avr);
    }
    serial_poll(avr);
    return when + PUMP_US * board->cycles_per_us;
}

static void started(avr_t *avr)
{
    avr_cycle_timer_register(avr, PUMP_US * board->cycles_per_us, pump, NULL);
    serial_schedule(avr);
    script_schedule(avr);
}

static void mark(avr_t *avr)
{
    serial_flush_lines();
    printf("at %.4f\n", (double)avr->cycle / board->cycles_per_us);
    fflush(stdout);
}

static void usage(void)
{
    fprintf(stderr, "virtual-board [--board NAME] [--real] [--lines] [--dtr] [--rate] [--lamp] [--eeprom FILE] "
                    "[--battery MV] ELF\n");
    exit(2);
}

static void refuse_board(const char *name)
{
    fprintf(stderr, "%s is no board that can be simulated\n", name);
    exit(2);
}

static void read_options(int argc, char **argv)
{
    static const struct option options[] = {
        {"real", no_argument, &real_time, 1},
        {"lines", no_argument, &lines, 1},
        {"dtr", no_argument, &dtr, 1},
        {"lamp", no_argument, &lamp, 1},
        {"rate", no_argument, &rate, 1},
        {"board", required_argument, NULL, 'n'},
        {"eeprom", required_argument, NULL, 'e'},
        {"battery", required_argument, NULL, 'b'},
        {0},
    };
    for (int option; (option = getopt_long(argc, argv, "", options, NULL)) != -1;) {
        if (option == 'n' && !board_choose(optarg))
            refuse_board(optarg);
        else if (option == 'e')
            eeprom = optarg;
        else if (option == 'b')
            battery_mv = (unsigned)strtoul(optarg, NULL, 10);
        else if (option && option != 'n')
            usage();
    }
    if (optind != argc - 1)
        usage();
    elf = argv[optind];
}

static int run(avr_t *avr)
{
    int state = cpu_Running;
    while (!stopped && !script_ended() && state != cpu_Done && state != cpu_Crashed)
        state = chip_run(avr);
    serial_flush_lines();
    chip_report(avr, stdout);
    serial_report(stdout);
    chip_save(avr, eeprom);
    return stopped || script_ended() ? 0 : 1;
}

int main(int argc, char **argv)
{
    read_options(argc, argv);
    signal(SIGTERM, stop);
    signal(SIGINT, stop);
    if (!lines)
        serial_open_pty(!real_time); /* first of all: the script may wait for it */
    if (dtr)
        serial_dtr_resets();
    if (rate)
        serial_minds_rate();
    clock_gettime(CLOCK_MONOTONIC, &begin);
    script_start(real_time, mark);
    avr_t *avr = chip_load(elf, eeprom, battery_mv, started);
    if (!avr) {
        fprintf(stderr, "%s is no firmware for the board %s\n", elf, board->name);
        return 2;
    }
    serial_listen(avr);
    if (lamp)
        lamp_watch(avr);
    return run(avr);
}
