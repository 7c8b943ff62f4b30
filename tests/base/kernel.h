/* Kernels that lack something, played by a filter of system calls. */
#ifndef DROPWISE_TESTS_KERNEL_H
#define DROPWISE_TESTS_KERNEL_H

#include <stdbool.h>

typedef enum kernel { AS_IT_IS, NO_LANDLOCK, NO_SECCOMP } kernel;

/* From here on, for good, this process and all it starts run on such a kernel; exits with 9 if it can't be
 * played.
 */
void kernel_play(kernel which);
/* The kernel that all this runs on. */
bool kernel_has_landlock(void);

#endif
