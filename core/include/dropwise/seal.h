/* The seal: what a process gives up, for good, before it reads foreign bytes.
 *
 * Afterwards it can read what is open already, take and give back memory, answer through one socket, and end.
 * Every other system call fails with EPERM: no file by name, no network, no signal to another process, no
 * process or thread, no program, no memory that can be executed. Done by the kernel's filter of system calls
 * (seccomp, on x86-64 and arm64) and, where the kernel has it, by Landlock as a second wall. */
#ifndef DROPWISE_SEAL_H
#define DROPWISE_SEAL_H

#include "dropwise/base.h"

/* Limits of the process, before the seal: they can't be raised behind it. */
typedef struct dw_seal_limits {
  size_t data_bytes;      /* of memory of its own */
  size_t all_bytes;       /* of everything mapped, shared memory and libraries included */
  unsigned cpu_s, life_s; /* of processor time, and by the clock: then a signal ends it */
} dw_seal_limits;

/* For a process of one thread, with everything it needs loaded.
 * channel  the socket it answers through: written to, and memory received from, by no other number
 * Errors   DW_IO the kernel can't set the seal: then nothing foreign may be read */
dw_status dw_seal(int channel, const dw_seal_limits *limits, dw_error *err);

#endif
