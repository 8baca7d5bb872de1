/* One byte says which copies hold: while a kept copy is brought up to date, its working copy does. */
#include "ends.h"

#include "cold.h"
#include "crc16.h"
#include "kept.h"
#include "order.h"

KEPT struct tail tail;
KEPT struct head head;
KEPT static struct tail kept_tail;
KEPT static struct head kept_head;
KEPT static uint16_t kept_tail_sum;
KEPT static uint16_t kept_head_crc;
KEPT static uint8_t keeping; /* parts whose kept copy is being written; their working copy holds */

COLD void ends_init(void)
{
    tail = (struct tail){.crc = CRC16_START};
    head = (struct head){0};
    ends_keep(KEEP_TAIL | KEEP_HEAD);
}

static uint16_t sum(const struct tail *of)
{
    return (uint16_t)(of->length + of->edges + of->crc + of->unused_bits + of->last);
}

/* One by one, since the compiler copies a whole struct in a loop, which takes twice the time. */
static void copy_tail(void)
{
    kept_tail.length = tail.length;
    kept_tail.edges = tail.edges;
    kept_tail.crc = tail.crc;
    kept_tail.unused_bits = tail.unused_bits;
    kept_tail.last = tail.last;
    kept_tail_sum = sum(&tail);
}

COLD static uint16_t crc_of(const struct head *of)
{
    return crc16(CRC16_START, (const uint8_t *)of, sizeof *of);
}

COLD static void copy_head(void)
{
    kept_head = head;
    kept_head_crc = crc_of(&head);
}

void ends_keep(uint8_t parts)
{
    keep_order();
    keeping = parts;
    keep_order();
    if (parts & KEEP_TAIL)
        copy_tail();
    if (parts & KEEP_HEAD)
        copy_head();
    keep_order();
    keeping = 0;
    keep_order();
}

COLD bool ends_resume(void)
{
    if (!(keeping & KEEP_TAIL)) {
        tail = kept_tail;
        if (sum(&tail) != kept_tail_sum)
            return false;
    }
    if (keeping & KEEP_HEAD)
        return true;
    head = kept_head;
    return crc_of(&head) == kept_head_crc;
}
