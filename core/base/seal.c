/* The seal of a process (dropwise/seal.h): limits, Landlock, and a filter with a short list of what is
 * needed. */
#include "dropwise/seal.h"

#include "base/sanitized.h"
#include "base/seal_filter.h"

#include <sys/resource.h>
#include <unistd.h>

/* ---- limits -------------------------------------------------------------------------------------------- */

static bool limit_set(int what, size_t value) {
  struct rlimit now;
  if (getrlimit((__rlimit_resource_t)what, &now)) return false;
  rlim_t most = value;
  if (now.rlim_max != RLIM_INFINITY && most > now.rlim_max) most = now.rlim_max;
  return setrlimit((__rlimit_resource_t)what, &(struct rlimit){most, most}) == 0;
}

static bool limits_set(const dw_seal_limits *limits) {
  enum { FILES = 16 };
  alarm(limits->life_s);
  bool set = limit_set(RLIMIT_CORE, 0) && limit_set(RLIMIT_FSIZE, 0) && limit_set(RLIMIT_NOFILE, FILES) &&
             limit_set(RLIMIT_CPU, limits->cpu_s);
#ifndef DW__SANITIZER /* the sanitizers' shadow alone takes terabytes */
  set = set && limit_set(RLIMIT_DATA, limits->data_bytes) && limit_set(RLIMIT_AS, limits->all_bytes);
#endif
  return set;
}

dw_status dw_seal(int channel, const dw_seal_limits *limits, dw_error *err) {
  if (limits_set(limits) && dw__seal_close(DW__FOR_DECODING, channel, channel)) return DW_OK;
  return dw_fail(err, DW_IO, "The kernel's filter of system calls (seccomp) can't be set on this system.");
}
