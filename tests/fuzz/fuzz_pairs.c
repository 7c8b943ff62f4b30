/* Any bytes as pairs of colors: the command itself, as text and as JSON. */
#include "fuzz.h"

#include "app/cli/cli.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  static FILE *nowhere;
  char json[] = "--json", pairs[] = "--pairs", path[64];
  char *const words[] = {pairs, path, json};
  dw_error err;
  if (!nowhere) nowhere = freopen("/dev/null", "w", stdout);
  promise(nowhere != NULL, "what is printed can be thrown away");
  for (int with = 2; with <= 3; with++) {
    snprintf(path, sizeof path, "%s", fuzz_path(bytes, n));
    promised(cli_run(&cli_compare, with, (char **)words, &err), &err);
  }
  return 0;
}
