/* The C library's allocations, in its place: those that who links this wants to fail do. */
#ifndef SWEEP_ALLOC_H
#define SWEEP_ALLOC_H

#include <stdbool.h>

/* Whether the allocation at hand fails. Given by who links this; asked once for each. */
bool sweep_fails(void);

#endif
