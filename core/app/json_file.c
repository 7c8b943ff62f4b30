#include "app/json_file.h"

#include <stdlib.h>

pt_status pt__json_load(const char *path, size_t limit_bytes, json_t **out, pt_error *err) {
  char *text = NULL;
  size_t n;
  json_error_t fault;
  pt_status status = pt_file_read(path, limit_bytes, &text, &n, err);
  if (status != PT_OK) return status;
  *out = json_loadb(text, n, JSON_REJECT_DUPLICATES, &fault);
  if (!*out)
    status = pt_fail(err, PT_BAD_INPUT, "%s, line %d is not JSON: %s.", path, fault.line, fault.text);
  free(text);
  return status;
}
