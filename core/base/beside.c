/* Where the program itself lies, and what is the user's own. */
#include "dropwise/base.h"

#include <libgen.h>
#include <limits.h>
#include <stdlib.h>
#include <unistd.h>

bool dw_beside_program(const char *name, char *out, size_t room) {
  char exe[PATH_MAX];
  ssize_t n = readlink("/proc/self/exe", exe, sizeof exe - 1);
  if (n <= 0) return false;
  exe[n] = '\0';
  int length = snprintf(out, room, "%s/%s", dirname(exe), name);
  return length > 0 && (size_t)length < room && access(out, R_OK | X_OK) == 0;
}

dw_status dw_user_data_path(const char *name, char *out, size_t room, dw_error *err) {
  const char *data = getenv("XDG_DATA_HOME"), *home = getenv("HOME");
  int n = -1;
  if (data && *data == '/') /* the specification has a relative one ignored */
    n = snprintf(out, room, "%s/dropwise/%s", data, name);
  else if (home && *home)
    n = snprintf(out, room, "%s/.local/share/dropwise/%s", home, name);
  if (n < 0) return dw_fail(err, DW_NOT_FOUND, "There is no home folder to look for %s in.", name);
  if ((size_t)n >= room) return dw_fail(err, DW_USAGE, "The home folder's path is too long for %s.", name);
  return DW_OK;
}
