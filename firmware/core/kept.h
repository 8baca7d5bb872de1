/* Memory that outlives a reset: no start-up code writes to it, so it holds what was there before, or
 * garbage after the power was off. */
#ifndef KEPT_H
#define KEPT_H

#ifndef KEPT_SECTION
#define KEPT_SECTION ".noinit"
#endif
#define KEPT __attribute__((section(KEPT_SECTION)))

#endif
