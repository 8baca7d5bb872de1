/* Lengths run from the processor's answer to the end of reti. libsimavr says when a vector is entered
 * and when reti begins, but takes no time for the answer. Both take 4 cycles (datasheet, "Interrupt
 * Response Time").
 *
 * The stack's reach is read from paint: bytes above the static data that never changed. A start
 * leaves RAM alone, so it covers resets too. */
#include "measure.h"

#include "board.h"

#include <stdlib.h>
#include <string.h>

enum {
    VECTORS = 57, /* of the largest chip */
    ANSWER_AND_RETI = 8,
    ANSWER = 4,
    PAINT = 0xc5,
    RAM_IN_ELF = 0x800000,
};

static avr_t *chip;
static struct {
    avr_cycle_count_t entered, longest;
} vectors[VECTORS];
static avr_cycle_count_t edge_at, latency;
static int edge_open;
static unsigned stack_from;

static avr_cycle_count_t longer(avr_cycle_count_t a, avr_cycle_count_t b)
{
    return a > b ? a : b;
}

static void running(avr_irq_t *irq, uint32_t on, void *param)
{
    (void)irq;
    intptr_t v = (intptr_t)param;
    if (!on) {
        vectors[v].longest = longer(vectors[v].longest,
                                    chip->cycle - vectors[v].entered + ANSWER_AND_RETI);
        return;
    }
    vectors[v].entered = chip->cycle;
    if (v == board->capture_vector && edge_open)
        latency = longer(latency, chip->cycle - edge_at + ANSWER);
    if (v == board->capture_vector)
        edge_open = 0;
}

void measure_edge(const avr_t *avr)
{
    if (!edge_open)
        edge_at = avr->cycle;
    edge_open = 1;
}

static unsigned end_of_static(const elf_firmware_t *firmware)
{
    for (uint32_t i = 0; i < firmware->symbolcount; ++i)
        if (strcmp(firmware->symbol[i]->symbol, "_end") == 0)
            return firmware->symbol[i]->addr - RAM_IN_ELF;
    fprintf(stderr, "The firmware has no symbol _end, so its stack cannot be measured.\n");
    exit(2);
}

void measure_start(avr_t *avr, const elf_firmware_t *firmware)
{
    chip = avr;
    stack_from = end_of_static(firmware);
    memset(avr->data + stack_from, PAINT, avr->ramend + 1u - stack_from);
    for (intptr_t v = 1; v < VECTORS; ++v) {
        avr_irq_t *irq = avr_get_interrupt_irq(avr, (uint8_t)v);
        if (irq)
            avr_irq_register_notify(irq + AVR_INT_IRQ_RUNNING, running, (void *)v);
    }
}

void measure_report(const avr_t *avr, FILE *out)
{
    unsigned untouched = 0;
    while (stack_from + untouched <= avr->ramend && avr->data[stack_from + untouched] == PAINT)
        ++untouched;
    fprintf(out, "report cycles %llu\n", (unsigned long long)avr->cycle);
    fprintf(out, "report stack_bytes %u\n", avr->ramend + 1u - stack_from - untouched);
    fprintf(out, "report stack_room_bytes %u\n", untouched);
    fprintf(out, "report capture_latency_cycles %llu\n", (unsigned long long)latency);
    for (int v = 1; v < VECTORS; ++v)
        if (vectors[v].longest)
            fprintf(out, "report interrupt_%d_cycles %llu\n", v,
                    (unsigned long long)vectors[v].longest);
}
