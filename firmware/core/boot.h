/* Whose log is in memory: which boot wrote it, and whether this program can read it. */
#ifndef BOOT_H
#define BOOT_H

#include "messages.h"

#include <stdint.h>

uint16_t boot_resume(enum reset_cause cause); /* goes on with the log; its boot, 0 if there is none */
void boot_begin(uint16_t boot);               /* with an empty one */

#endif
