/* Where the program itself lies. */
#include "dropwise/base.h"

#include <libgen.h>
#include <limits.h>
#include <unistd.h>

bool dw_beside_program(const char *name, char *out, size_t room) {
  char exe[PATH_MAX];
  ssize_t n = readlink("/proc/self/exe", exe, sizeof exe - 1);
  if (n <= 0) return false;
  exe[n] = '\0';
  int length = snprintf(out, room, "%s/%s", dirname(exe), name);
  return length > 0 && (size_t)length < room && access(out, R_OK | X_OK) == 0;
}
