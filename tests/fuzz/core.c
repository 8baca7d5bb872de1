/* Fuzzes the firmware's core: edges, samples, time, and a host that says anything.
 *
 * Each input is a script of steps. With clang's libFuzzer (`-fsanitize=fuzzer`) it is guided by
 * coverage. Without it, -DOWN_DRIVER gives a main that mutates inputs at random:
 *     core SEED COUNT
 * What must hold after each step: every byte sent belongs to a frame whose CRC holds, edges are
 * counted without a hole, and the log stays inside its memory. The sanitizers see to the rest. */
#include "check.h"
#include "cobs.h"
#include "core.h"
#include "crc16.h"
#include "log.h"

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BOOT = 0x1234, LONGEST_FRAME = MAX_PAYLOAD + 5 };

static const uint8_t *script;
static size_t left;
static uint32_t now;
static uint32_t counted; /* edges given, missed ones too */
static uint8_t said[LONGEST_FRAME];
static uint8_t said_length;

static void must(int holds, const char *what)
{
    if (holds)
        return;
    fprintf(stderr, "broken: %s\n", what);
    abort();
}

static uint8_t next(void)
{
    if (left == 0)
        return 0;
    left--;
    return *script++;
}

static void judge_frame(void)
{
    if (said_length == 0)
        return;
    uint8_t length = cobs_decode(said, said_length);
    must(length >= 3, "a frame has a head and a CRC");
    must(crc16(CRC16_START, said, length) == 0, "the CRC of each frame holds");
    must(said[0] >> 4 == PROTOCOL, "a frame is of this protocol");
    said_length = 0;
}

static void drain(unsigned most)
{
    uint8_t byte;
    while (most-- && core_next_byte(&byte)) {
        if (byte == 0) {
            judge_frame();
            continue;
        }
        must(said_length < LONGEST_FRAME - 1, "no frame is longer than the longest");
        said[said_length++] = byte;
    }
}

static void hand_over(uint32_t stamp, uint8_t levels)
{
    if (!core_checks()) {
        core_edge(stamp, levels & 1);
        counted++;
    } else if (core_takes()) {
        core_sample(stamp, levels & (SAMPLE_A | SAMPLE_B));
    } else {
        core_missed(1);
    }
}

static void edges(void)
{
    unsigned count = next();
    uint32_t between = (uint32_t)next() << (next() % 18);
    uint8_t turn = next();
    for (unsigned i = 0; i < count; i++) {
        now += between + (turn ? i % turn : 0);
        hand_over(now, (uint8_t)(turn && i / turn % 2));
    }
}

/* Where the CRC begins of a frame that names this board, or now and then another. */
static uint16_t named(uint8_t kind)
{
    uint32_t identity = core_identity() + (kind & 0x10);
    uint8_t name[] = {(uint8_t)identity,         (uint8_t)(identity >> 8),
                      (uint8_t)(identity >> 16), (uint8_t)(identity >> 24),
                      BOOT & 0xFF,               BOOT >> 8};
    return crc16(CRC16_START, name, sizeof name);
}

/* A frame of the host with any fields, its CRC right and its board mostly too. */
static void frame(void)
{
    static const uint8_t heads[] = {HEAD_HELLO_REQUEST, HEAD_ACKNOWLEDGE, HEAD_CONFIGURE,
                                    HEAD_CHECK, HEAD_IDENTIFY, HEAD_HELLO, HEAD_EDGES};
    static const uint8_t sizes[] = {HELLO_REQUEST_BYTES, ACKNOWLEDGE_BYTES, CONFIGURE_BYTES,
                                    CHECK_BYTES, IDENTIFY_BYTES, 3, 12};
    uint8_t kind = next();
    uint8_t line[1 + 1 + 12 + 2];
    uint8_t size = sizes[kind % sizeof sizes];
    line[1] = heads[kind % sizeof heads];
    for (uint8_t i = 0; i < size; i++)
        line[2 + i] = kind & 0x40 && i > 2 ? 0 : next();
    if (kind & 0x80 && line[1] == HEAD_HELLO_REQUEST) {
        line[2] = BOOT & 0xFF;
        line[3] = BOOT >> 8;
    }
    uint16_t start = NAMES_A_BOARD(line[1]) ? named(kind) : CRC16_START;
    uint16_t crc = crc16(start, line + 1, (uint8_t)(size + 1));
    line[2 + size] = (uint8_t)(crc >> 8);
    line[3 + size] = (uint8_t)crc;
    cobs_encode(line, (uint8_t)(size + 3));
    for (uint8_t i = 0; i < size + 4; i++)
        core_receive(line[i]);
    core_receive(0);
}

static void noise(void)
{
    for (unsigned count = next(); count; count--)
        core_receive(next());
}

static void miss(void)
{
    uint16_t count = (uint16_t)(next() << 8 | 1);
    if (!core_checks())
        counted += count;
    core_missed(count);
}

static void pass_time(void)
{
    now += (uint32_t)(next() + 1) << (next() % 23);
    core_now(now);
    if (core_wants_sample())
        core_sample(now, SAMPLE_A);
}

static void step(void)
{
    switch (next() % 7) {
    case 0: edges(); break;
    case 1: frame(); break;
    case 2: noise(); break;
    case 3: miss(); break;
    case 4: pass_time(); break;
    case 5: drain(next()); break;
    default: drain(100000); break;
    }
    must(log_next_edge() == counted, "each edge has its number");
    must(log_fill_percent() <= 100, "the log stays inside its memory");
    must(log_oldest().edge <= counted, "the oldest edge is one that was");
    must(log_edges_lost() <= counted, "no more is lost than there was");
    must(log_acknowledged_edge() <= counted, "no edge is acknowledged before it was");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    script = data;
    left = size;
    now = counted = said_length = 0;
    core_init(&(struct core_setup){"fuzz", BOOT, RESET_POWER_ON, next(), 0, next() & 1});
    while (left)
        step();
    core_now(now += 4000000);
    drain(100000);
    return 0;
}

#ifdef OWN_DRIVER
enum { LONGEST = 600, KEPT = 64 };

static uint64_t random_state;

static uint32_t any(uint32_t below)
{
    random_state = random_state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)(random_state >> 33) % below;
}

static size_t mutate(uint8_t *input, size_t size)
{
    for (uint32_t changes = 1 + any(8); changes; changes--) {
        size_t at = any((uint32_t)size);
        switch (any(4)) {
        case 0: input[at] = (uint8_t)any(256); break;
        case 1: input[at] ^= (uint8_t)(1u << any(8)); break;
        case 2: size = 1 + any(LONGEST); break;
        default:
            memmove(input + any(LONGEST / 2), input + at / 2, LONGEST / 4);
        }
    }
    return size;
}

int main(int argc, char **argv)
{
    static uint8_t kept[KEPT][LONGEST];
    if (argc != 3)
        return 2;
    random_state = strtoull(argv[1], NULL, 10);
    for (size_t i = 0; i < sizeof kept; i++)
        kept[i / LONGEST][i % LONGEST] = (uint8_t)any(256);
    size_t size = LONGEST;
    unsigned long count = strtoul(argv[2], NULL, 10);
    for (unsigned long i = 0; i < count; i++) {
        uint8_t *input = kept[any(KEPT)];
        size = mutate(input, size);
        LLVMFuzzerTestOneInput(input, size);
    }
    printf("%lu inputs\n", count);
    return 0;
}
#endif
