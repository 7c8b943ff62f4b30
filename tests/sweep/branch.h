/* In a swept program: a copy of it goes on from an allocation, with that allocation failed, and the program waits. So
 * that what lies before an allocation is done once, not once for each. */
#ifndef DROPWISE_TESTS_SWEEP_BRANCH_H
#define DROPWISE_TESTS_SWEEP_BRANCH_H

#include <stdbool.h>

/* Whether the driver asks for copies. */
bool branch_start(void);
/* At the n-th allocation, which may be one that the driver wants: true in the copy, whose allocation fails. The program
 * itself returns when its copy has ended, with all that the copy changed put back by the driver. Nothing is done where a
 * copy would be less than the whole: while threads, other processes or connections to them are there. */
bool branch_here(long n);

#endif
