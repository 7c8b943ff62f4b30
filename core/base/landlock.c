#include "base/landlock.h"

#include <errno.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/syscall.h>
#include <unistd.h>

#ifndef SYS_landlock_create_ruleset
#define SYS_landlock_create_ruleset 444
#define SYS_landlock_restrict_self 446
#endif

/* linux/landlock.h of Linux 6.12; older headers have the first field only. */
typedef struct rules {
  uint64_t files, network, scopes;
} rules;

/* Everything that the running kernel's Landlock can forbid, by its version (from 1). */
static size_t rules_of(long version, rules *out) {
  *out = (rules){.files = version >= 5   ? 0xFFFF
                          : version >= 3 ? 0x7FFF
                          : version == 2 ? 0x3FFF
                                         : 0x1FFF,
                 .network = version >= 4 ? 3 : 0,
                 .scopes = version >= 6 ? 3 : 0};
  return version >= 6 ? 24 : version >= 4 ? 16 : 8;
}

bool dw__landlock_set(void) {
  long version = syscall(SYS_landlock_create_ruleset, NULL, 0, 1);
  if (version < 0) return errno == ENOSYS || errno == EOPNOTSUPP;
  rules all;
  size_t bytes = rules_of(version, &all);
  long fd = syscall(SYS_landlock_create_ruleset, &all, bytes, 0);
  if (fd < 0) return false;
  bool set = syscall(SYS_landlock_restrict_self, fd, 0) == 0; /* no rule allows anything */
  close((int)fd);
  return set;
}
