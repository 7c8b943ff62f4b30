#include "dropwise/base.h"

#include <string.h>

static const struct {
  const char *name;
  int exit_code;
} status_table[DW_STATUS_COUNT] = {
#define DW_STATUS_ROW(name, exit_code, meaning) [name] = {#name, exit_code},
    DW_STATUS_TABLE(DW_STATUS_ROW)
#undef DW_STATUS_ROW
};

static bool status_known(dw_status status) {
  return (unsigned)status < DW_STATUS_COUNT;
}

const char *dw_status_name(dw_status status) {
  return status_known(status) ? status_table[status].name : "DW_UNKNOWN";
}

int dw_status_exit_code(dw_status status) {
  return status_known(status) ? status_table[status].exit_code : 3;
}

/* Control characters, which a terminal would obey, and those that turn the direction of the text behind them. */
static bool unfit(uint32_t code) {
  return code < 0x20 || (code >= 0x7F && code < 0xA0) || (code >= 0x202A && code <= 0x202E) ||
         (code >= 0x2066 && code <= 0x2069);
}

/* A sentence as it can be printed anywhere: cut between characters, '?' for each byte that is no UTF-8 (a
 * file's name, or a word that a precision cut) and for unfit characters. */
static void format_plain(char *out, size_t room, const char *format, va_list args) {
  int wanted = vsnprintf(out, room, format, args);
  if (wanted < 0) out[0] = '\0';
  size_t n = strlen(out), length;
  if (wanted > 0 && (size_t)wanted > n) out[n = dw_utf8_cut(out, n)] = '\0';
  for (size_t i = 0; i < n; i += length) {
    uint32_t code = 0;
    length = dw_utf8_character(out + i, n - i, &code);
    if (length > 0 && !unfit(code)) continue;
    if (length == 0) length = 1;
    memset(out + i, '?', length);
  }
}

/* A message that ends in a value or an example gets its full stop. */
static void end_sentence(char *text, size_t room) {
  size_t n = strlen(text);
  if (n == 0 || n + 1 >= room || strchr(".!?)", text[n - 1])) return;
  memcpy(text + n, ".", 2);
}

/* In brackets: tests/analyze.h has macros of these two names. */
dw_status(dw_fail)(dw_error *err, dw_status code, const char *format, ...) {
  if (!err) return code;
  /* The old text may be among the arguments, so the new one is built apart. */
  char text[sizeof err->text] = "";
  va_list args;
  va_start(args, format);
  format_plain(text, sizeof text, format, args);
  va_end(args);
  end_sentence(text, sizeof text);
  err->code = code;
  memcpy(err->text, text, sizeof text);
  return code;
}

dw_status(dw_fail_memory)(dw_error *err, const char *what) {
  return dw_fail(err, DW_NO_MEMORY, "There is not enough memory for %s.", what);
}

void dw_note(dw_notes *notes, const char *format, ...) {
  if (!notes) return;
  char text[DW_NOTE_TEXT] = "";
  va_list args;
  va_start(args, format);
  format_plain(text, sizeof text, format, args);
  va_end(args);
  for (size_t i = 0; i < notes->n; i++)
    if (strcmp(notes->text[i], text) == 0) return;
  if (notes->n < DW_NOTES_MAX) memcpy(notes->text[notes->n++], text, sizeof text);
}

void dw_notes_add(dw_notes *notes, const dw_notes *more) {
  for (size_t i = 0; i < more->n && i < DW_NOTES_MAX; i++) dw_note(notes, "%s", more->text[i]);
}
