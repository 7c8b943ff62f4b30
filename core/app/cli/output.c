#include "app/cli/cli.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

static dw_status finish(dw_error *err) {
  if (fflush(stdout) == 0 && !ferror(stdout)) return DW_OK;
  return dw_fail(err, DW_IO, "The result can't be written to the standard output: %s.", strerror(errno));
}

dw_status cli_print_json(json_t *root, dw_error *err) {
  if (!root) return dw_fail_memory(err, "the JSON result");
  char *text = json_dumps(root, JSON_INDENT(2) | JSON_REAL_PRECISION(10));
  json_decref(root);
  if (!text) return dw_fail_memory(err, "the JSON result");
  puts(text);
  free(text);
  return finish(err);
}

dw_status cli_print_text(dw_text *text, dw_error *err) {
  dw_status status = DW_OK;
  if (text->failed)
    status = dw_fail_memory(err, "the result");
  else if (text->length)
    fwrite(text->data, 1, text->length, stdout);
  dw_text_free(text);
  return status == DW_OK ? finish(err) : status;
}
