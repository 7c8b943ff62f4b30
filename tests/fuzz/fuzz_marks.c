/* Any bytes as a marks file: read or refused; what was read is written and read back the same. */
#include "fuzz.h"

#include "dropwise/read.h"

#include <string.h>

/* The set is given, so that no file is opened by a name in the input. */
static const char set[] = "grid24";

static void promise_same(const dw_marks *one, const dw_marks *two) {
  char a[DW_SHAPE_TEXT_MAX], b[DW_SHAPE_TEXT_MAX];
  promise(one->n == two->n && one->method == two->method, "as many marks, and the same light");
  for (size_t i = 0; i < one->n; i++) {
    promise(strcmp(one->layer[i].name, two->layer[i].name) == 0, "the same name");
    dw_shape_format(&one->layer[i].shape, a, sizeof a);
    dw_shape_format(&two->layer[i].shape, b, sizeof b);
    promise(strcmp(a, b) == 0, "the same shape");
  }
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  static dw_marks marks, again;
  dw_error err;
  json_t *root = json_loadb((const char *)bytes, n, JSON_REJECT_DUPLICATES, NULL), *written = NULL;
  if (root && promised(dw_marks_from_json(root, "the file", set, &marks, &err), &err)) {
    written = dw_marks_json(&marks);
    promise(written != NULL, "marks can be written");
    if (!promised(dw_marks_from_json(written, "what was written", set, &again, &err), &err))
      promise(false, err.text);
    promise_same(&marks, &again);
  }
  json_decref(written);
  json_decref(root);
  return 0;
}
