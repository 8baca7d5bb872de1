/* Shows a test where the core's kept memory lies: built with -DKEPT_SECTION='"outlives"'. */
#include <stddef.h>

extern unsigned char __start_outlives[], __stop_outlives[];
void *kept_memory(void);
size_t kept_bytes(void);

void *kept_memory(void)
{
    return __start_outlives;
}

size_t kept_bytes(void)
{
    return (size_t)(__stop_outlives - __start_outlives);
}
