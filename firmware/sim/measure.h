/* What the program costs: interrupt lengths, the capture's latency, the stack's deepest reach. */
#ifndef SIM_MEASURE_H
#define SIM_MEASURE_H

#include <stdio.h>
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>

void measure_start(avr_t *avr, const elf_firmware_t *firmware);
void measure_edge(const avr_t *avr); /* pin A changes now */
void measure_report(const avr_t *avr, FILE *out);

#endif
