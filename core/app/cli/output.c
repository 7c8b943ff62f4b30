#include "app/cli/cli.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>

static pt_status finish(pt_error *err) {
  if (fflush(stdout) == 0 && !ferror(stdout)) return PT_OK;
  return pt_fail(err, PT_IO, "The result can't be written to the standard output: %s.", strerror(errno));
}

pt_status cli_print_json(json_t *root, pt_error *err) {
  if (!root) return pt_fail_memory(err, "the JSON result");
  char *text = json_dumps(root, JSON_INDENT(2) | JSON_REAL_PRECISION(10));
  json_decref(root);
  if (!text) return pt_fail_memory(err, "the JSON result");
  puts(text);
  free(text);
  return finish(err);
}

pt_status cli_print_text(pt_text *text, pt_error *err) {
  pt_status status = PT_OK;
  if (text->failed)
    status = pt_fail_memory(err, "the result");
  else if (text->length)
    fwrite(text->data, 1, text->length, stdout);
  pt_text_free(text);
  return status == PT_OK ? finish(err) : status;
}
