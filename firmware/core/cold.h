/* Marks functions that do not run for each edge: they are compiled for size, and stay out of the
 * functions that call them, whose stack would grow by theirs. */
#ifndef COLD_H
#define COLD_H

#define COLD __attribute__((cold, noinline))

#endif
