#include "pourtone/base.h"

#include <string.h>

static const struct {
  const char *name, *meaning;
  int exit_code;
} status_table[PT_STATUS_COUNT] = {
#define PT_STATUS_ROW(name, exit_code, meaning) [name] = {#name, meaning, exit_code},
    PT_STATUS_TABLE(PT_STATUS_ROW)
#undef PT_STATUS_ROW
};

static bool status_known(pt_status status) {
  return (unsigned)status < PT_STATUS_COUNT;
}

const char *pt_status_name(pt_status status) {
  return status_known(status) ? status_table[status].name : "PT_UNKNOWN";
}

const char *pt_status_meaning(pt_status status) {
  return status_known(status) ? status_table[status].meaning : "an unknown status";
}

int pt_status_exit_code(pt_status status) {
  return status_known(status) ? status_table[status].exit_code : 3;
}

pt_status pt_fail(pt_error *err, pt_status code, const char *format, ...) {
  if (!err) return code;
  /* The old text may be among the arguments, so the new one is built apart. */
  char text[sizeof err->text];
  va_list args;
  va_start(args, format);
  vsnprintf(text, sizeof text, format, args);
  va_end(args);
  err->code = code;
  memcpy(err->text, text, sizeof text);
  return code;
}

pt_status pt_fail_memory(pt_error *err, const char *what) {
  return pt_fail(err, PT_NO_MEMORY, "There is not enough memory for %s.", what);
}

void pt_note(pt_notes *notes, const char *format, ...) {
  if (!notes) return;
  char text[PT_NOTE_TEXT];
  va_list args;
  va_start(args, format);
  vsnprintf(text, sizeof text, format, args);
  va_end(args);
  for (size_t i = 0; i < notes->n; i++)
    if (strcmp(notes->text[i], text) == 0) return;
  if (notes->n < PT_NOTES_MAX) memcpy(notes->text[notes->n++], text, sizeof text);
}
