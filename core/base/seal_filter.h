/* Inside base/: what closes a seal, the kernel's filter of system calls above all. */
#ifndef DROPWISE_BASE_SEAL_FILTER_H
#define DROPWISE_BASE_SEAL_FILTER_H

#include <stdbool.h>

typedef enum dw__sealed_for {
  DW__FOR_DECODING, /* what is open already, memory, an answer through the channel */
  DW__FOR_A_LIBRARY /* the same, and code mapped from a file; a file asked for by name raises SIGSYS */
} dw__sealed_for;

/* The kernel has such filters; asking changes nothing. */
bool dw__filter_there(void);

/* What every seal ends with, for good: nothing for other processes to look into, no new privileges, Landlock,
 * and the filter. False when one of them can't be set: nothing foreign may be read or run then.
 * channel   the only file that may be written to, and received from
 * messages  another that may be written to, or the channel again */
bool dw__seal_close(dw__sealed_for what, int channel, int messages);

#endif
