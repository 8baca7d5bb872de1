/* Reads the script and carries it out at the exact cycle. See script.h. */
#include "script.h"

#include "board.h"
#include "chip.h"
#include "serial.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum {
    QUEUE_SIZE = 1 << 14,
    LINE_SIZE = 2048,
    ROOM_FOR_A_LINE = 2,
};

enum kind { EDGE_A, PIN_B, PINS, RX, BATTERY, RESET, HANG, MARK };

struct event {
    avr_cycle_count_t at;
    enum kind kind;
    unsigned value;
    char *text;
};

static struct event queue[QUEUE_SIZE];
static size_t head, tail;
static char input[1 << 16];
static size_t input_used;
static int paced, at_end;
static void (*on_mark)(avr_t *);
/* What the sensors will show, and when A last changed, once all queued lines have happened. */
static int planned_a, planned_b;
static avr_cycle_count_t last_at, last_edge_at;

static size_t waiting(void)
{
    return head - tail;
}

static void add(avr_cycle_count_t at, enum kind kind, unsigned value, char *text)
{
    queue[head++ % QUEUE_SIZE] = (struct event){at, kind, value, text};
}

static void refuse(const char *line, const char *expected)
{
    fprintf(stderr, "script: cannot use the line \"%s\": expected %s\n", line, expected);
    exit(2);
}

static void add_edge(avr_cycle_count_t at, int forward)
{
    planned_a = !planned_a;
    int b = forward ? !planned_a : planned_a;
    if (b != planned_b)
        add(last_edge_at + (at - last_edge_at) / 2, PIN_B, (unsigned)b, NULL);
    planned_b = b;
    last_edge_at = at;
    add(at, EDGE_A, (unsigned)planned_a, NULL);
}

static void add_pins(avr_cycle_count_t at, const char *levels, const char *line)
{
    if (strlen(levels) != 2 || strspn(levels, "01") != 2)
        refuse(line, "two levels such as 10");
    planned_a = levels[0] == '1';
    planned_b = levels[1] == '1';
    last_edge_at = at;
    add(at, PINS, (unsigned)(planned_a << 1 | planned_b), NULL);
}

static void add_reset(avr_cycle_count_t at, const char *cause, const char *line)
{
    static const char *const names[] = {"external", "power", "brownout"};
    for (unsigned i = 0; i < 3; ++i)
        if (strcmp(cause, names[i]) == 0) {
            add(at, RESET, i, NULL);
            return;
        }
    refuse(line, "reset external, power or brownout");
}

static void add_action(avr_cycle_count_t at, const char *action, char *value, const char *line)
{
    if (strcmp(action, "+") == 0 || strcmp(action, "-") == 0)
        add_edge(at, action[0] == '+');
    else if (strcmp(action, "pins") == 0)
        add_pins(at, value, line);
    else if (strcmp(action, "rx") == 0)
        add(at, RX, 0, strdup(value));
    else if (strcmp(action, "battery") == 0)
        add(at, BATTERY, (unsigned)strtoul(value, NULL, 10), NULL);
    else if (strcmp(action, "reset") == 0)
        add_reset(at, value, line);
    else if (strcmp(action, "hang") == 0)
        add(at, HANG, 0, NULL);
    else if (strcmp(action, ".") == 0)
        add(at, MARK, 0, NULL);
    else
        refuse(line, "+, -, pins, rx, battery, reset, hang or .");
}

static void carry_out(avr_t *avr, const struct event *event)
{
    switch (event->kind) {
    case EDGE_A: chip_set_a(avr, (int)event->value); break;
    case PIN_B: chip_set_b(avr, (int)event->value); break;
    case PINS:
        chip_set_b(avr, event->value & 1);
        chip_set_a(avr, event->value >> 1);
        break;
    case RX: serial_receive_hex(avr, event->text); break;
    case BATTERY: chip_battery(avr, event->value); break;
    case RESET: chip_ask_reset((enum chip_reset)event->value); break;
    case HANG: chip_ask_hang(); break;
    case MARK: on_mark(avr); break;
    }
    free(event->text);
}

static avr_cycle_count_t moment(const char *word, const char *line)
{
    char *end;
    double us = strtod(word, &end);
    if (*end || !(us >= 0) || us > 1e13)
        refuse(line, "a time in microseconds");
    avr_cycle_count_t at = (avr_cycle_count_t)llround(us * board->cycles_per_us);
    if (at < last_at)
        refuse(line, "a time that is not before the line above");
    return at;
}

static void carry_out_now(avr_t *avr, const char *action, char *value, const char *line)
{
    size_t first_new = head;
    if (strchr("+-p", action[0]))
        refuse(line, "a time with the sensors' edges and levels");
    add_action(avr->cycle, action, value, line);
    struct event event = queue[first_new % QUEUE_SIZE];
    head = first_new;
    carry_out(avr, &event);
}

static void take_line(avr_t *avr, char *line)
{
    char word[32], action[16], value[LINE_SIZE] = "";
    if (line[0] == '#' || line[strspn(line, " \t\r")] == '\0')
        return;
    if (strlen(line) >= LINE_SIZE || sscanf(line, "%31s %15s %2047s", word, action, value) < 2)
        refuse(line, "a time and an action");
    if (strcmp(word, "now") == 0) {
        carry_out_now(avr, action, value, line);
        return;
    }
    last_at = moment(word, line);
    add_action(last_at, action, value, line);
}

/* Whole lines in `input`, as many as the queue has room for. */
static void take_lines(avr_t *avr)
{
    char *from = input, *end;
    while (QUEUE_SIZE - waiting() >= ROOM_FOR_A_LINE
           && (end = memchr(from, '\n', input_used - (size_t)(from - input)))) {
        *end = '\0';
        take_line(avr, from);
        from = end + 1;
    }
    input_used -= (size_t)(from - input);
    memmove(input, from, input_used);
}

static void read_more(void)
{
    if (input_used == sizeof input) {
        if (!memchr(input, '\n', input_used))
            refuse("(too long to show)", "lines of at most 2047 characters");
        return;
    }
    ssize_t count = read(STDIN_FILENO, input + input_used, sizeof input - input_used);
    if (count == 0 || (count < 0 && errno != EAGAIN && errno != EINTR))
        at_end = 1;
    if (count > 0)
        input_used += (size_t)count;
}

static int next_known(avr_t *avr)
{
    if (!waiting())
        take_lines(avr);
    while (!paced && !waiting() && !at_end) {
        read_more();
        take_lines(avr);
    }
    return waiting() > 0;
}

/* A timer is called after the instruction in which it was due; the clock is set back meanwhile, so
 * that the capture sees the very cycle of the edge. */
static avr_cycle_count_t due(avr_t *avr, avr_cycle_count_t when, void *param)
{
    (void)param;
    avr_cycle_count_t now = avr->cycle;
    while (next_known(avr)) {
        const struct event *event = &queue[tail % QUEUE_SIZE];
        if (event->at > when)
            return event->at;
        avr->cycle = when;
        carry_out(avr, event);
        avr->cycle = now;
        ++tail;
    }
    return 0;
}

void script_schedule(avr_t *avr)
{
    avr_cycle_count_t at = next_known(avr) ? queue[tail % QUEUE_SIZE].at : avr->cycle;
    avr_cycle_timer_register(avr, at > avr->cycle ? at - avr->cycle : 1, due, NULL);
}

void script_poll(avr_t *avr)
{
    size_t before = waiting();
    read_more();
    take_lines(avr);
    if (!before && waiting())
        script_schedule(avr);
}

void script_start(int with_clock, void (*mark)(avr_t *))
{
    paced = with_clock;
    on_mark = mark;
    if (paced)
        fcntl(STDIN_FILENO, F_SETFL, fcntl(STDIN_FILENO, F_GETFL) | O_NONBLOCK);
}

int script_ended(void)
{
    return at_end && (paced || !waiting());
}
