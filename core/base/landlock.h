/* Inside base/: everything that the running kernel's Landlock can forbid. */
#ifndef DROPWISE_BASE_LANDLOCK_H
#define DROPWISE_BASE_LANDLOCK_H

#include <stdbool.h>

/* For good; no_new_privs is set. True also where the kernel has no Landlock: the filter stands without it. */
bool dw__landlock_set(void);

#endif
