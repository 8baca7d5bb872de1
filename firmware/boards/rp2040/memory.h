#ifndef BOARD_MEMORY_H
#define BOARD_MEMORY_H

#include <stddef.h>

void *memcpy(void *to, const void *from, size_t count);
void *memset(void *to, int value, size_t count);

#endif
