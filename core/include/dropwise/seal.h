/* The seal: what a process gives up, for good, before foreign bytes are read or foreign code is run in it.
 *
 * Afterwards it can read what is open already, take and give back memory, answer through one file, and end.
 * Every other system call fails with EPERM: no file by name, no network, no signal to another process, no
 * process or thread, no program, no memory that can be written and executed. Done by the kernel's filter of
 * system calls (seccomp, on x86-64 and arm64) and, where the kernel has it, by Landlock as a second wall. One
 * piece for the decoders of photos and for plugins. */
#ifndef DROPWISE_SEAL_H
#define DROPWISE_SEAL_H

#include "dropwise/base.h"

/* Limits of the process, before the seal: they can't be raised behind it. */
typedef struct dw_seal_limits {
  size_t data_bytes;      /* of memory of its own */
  size_t all_bytes;       /* of everything mapped, shared memory and libraries included */
  unsigned cpu_s, life_s; /* of processor time, and by the clock: then a signal ends it */
} dw_seal_limits;

/* For a process that decodes: of one thread, with everything it needs loaded. No memory can be executed.
 * channel  the socket it answers through: written to, and memory received from, by no other number
 * Errors   DW_IO the kernel can't set the seal: then nothing foreign may be read */
dw_status dw_seal(int channel, const dw_seal_limits *limits, dw_error *err);

/* For a process of one thread that will load one library, and is limited already. That file can still be
 * opened by its path, for reading, and so can what the C and C++ compilers have a library load (libm,
 * libstdc++, libgcc_s); code can be mapped out of a file.
 * path      absolute; kept, so it must outlive the process
 * channel   the only file that can be written to; messages  another, or the channel again
 * Errors    DW_UNSUPPORTED the system has no such filter: nothing was given up; DW_IO it can't be set */
dw_status dw_seal_for_library(const char *path, int channel, int messages, dw_error *err);

#endif
