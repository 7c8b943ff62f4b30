#include "app/json_file.h"

#include <stdlib.h>

dw_status dw__json_load(const char *path, size_t limit_bytes, json_t **out, dw_error *err) {
  char *text = NULL;
  size_t n;
  json_error_t fault;
  dw_status status = dw_file_read(path, limit_bytes, &text, &n, err);
  if (status != DW_OK) return status;
  *out = json_loadb(text, n, JSON_REJECT_DUPLICATES, &fault);
  if (!*out)
    status = dw_fail(err, DW_BAD_INPUT, "%s, line %d is not JSON: %s.", path, fault.line, fault.text);
  free(text);
  return status;
}
