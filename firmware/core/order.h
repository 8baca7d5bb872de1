/* Keeps plain memory and the index that publishes it in order.
 *
 * The compiler keeps volatile accesses in order among themselves only, and may move a plain one past
 * them. So a byte could reach its buffer after the index that says that it is there, or its place be
 * given back before it is read. The processor needs no fence: it has one core and no cache.
 *
 * The main loop needs this on both of its sides. An interrupt needs it on none, because the main
 * loop never sees an interrupt half done. */
#ifndef ORDER_H
#define ORDER_H

#include <stdatomic.h>

/* What stands before this happens before what stands after it, as an interrupt sees it. */
static inline void keep_order(void)
{
    atomic_signal_fence(memory_order_seq_cst);
}

#endif
