/* Inside base/: the kernel's filter of system calls behind a seal. */
#ifndef DROPWISE_BASE_SEAL_FILTER_H
#define DROPWISE_BASE_SEAL_FILTER_H

#include <stdbool.h>

typedef enum dw__sealed_for {
  DW__FOR_DECODING, /* what is open already, memory, an answer through the channel */
  DW__FOR_A_LIBRARY /* the same, and code mapped from a file; a file asked for by name raises SIGSYS */
} dw__sealed_for;

/* The kernel has such filters; asking changes nothing. */
bool dw__filter_there(void);

/* For good. False when it can't be set: nothing is changed then.
 * channel   the only file that may be written to, and received from
 * messages  another that may be written to, or the channel again */
bool dw__filter_set(dw__sealed_for what, int channel, int messages);

#endif
