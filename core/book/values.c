/* What may be written into the book. */
#include "book/sql.h"
#include "dropwise/json.h"

#include <math.h>
#include <string.h>
#include <time.h>

void dw__book_now(char out[DW_TIME_ROOM]) {
  time_t now = time(NULL);
  struct tm utc;
  gmtime_r(&now, &utc);
  strftime(out, DW_TIME_ROOM, "%Y-%m-%dT%H:%M:%SZ", &utc);
}

/* No control characters but those in `allowed`. */
static bool printable(const char *text, const char *allowed) {
  for (const char *p = text; *p; p++)
    if (((unsigned char)*p < 0x20 || *p == 0x7f) && !strchr(allowed, *p)) return false;
  return true;
}

bool dw__utf8_valid(const char *text) {
  for (size_t left = strlen(text), length; left > 0; text += length, left -= length)
    if ((length = dw_utf8_character(text, left, NULL)) == 0) return false;
  return true;
}

dw_status dw__name_check(const char *what, const char *name, size_t room, dw_error *err) {
  size_t n = strlen(name);
  if (!printable(name, "") || !dw__utf8_valid(name))
    return dw_fail(err, DW_BAD_INPUT, "The name of a %s holds a control character or broken UTF-8.", what);
  if (n == 0 || n >= room)
    return dw_fail(err, DW_BAD_INPUT, "The name of a %s needs 1 to %zu bytes: \"%.80s\".", what, room - 1,
                   name);
  if (name[0] == ' ' || name[n - 1] == ' ')
    return dw_fail(err, DW_BAD_INPUT, "The name \"%s\" begins or ends with a blank.", name);
  return DW_OK;
}

dw_status dw__note_check(const char *note, dw_error *err) {
  if (strlen(note) >= DW_BOOK_NOTE_ROOM)
    return dw_fail(err, DW_BAD_INPUT, "A note has at most %d bytes; this one has %zu.", DW_BOOK_NOTE_ROOM - 1,
                   strlen(note));
  if (!printable(note, "\n\t") || !dw__utf8_valid(note))
    return dw_fail(err, DW_BAD_INPUT, "A note holds a control character or broken UTF-8.");
  return DW_OK;
}

dw_status dw__number_check(const char *what, double value, double min, double max, dw_error *err) {
  if (value >= min && value <= max) return DW_OK; /* false for NAN */
  return dw_fail(err, DW_BAD_INPUT, "%s must lie between %g and %g, not %g.", what, min, max, value);
}

dw_status dw__lab_check(const char *what, dw_lab lab, dw_error *err) {
  if (lab.L >= 0 && lab.L <= 110 && fabs(lab.a) <= 200 && fabs(lab.b) <= 200) return DW_OK;
  return dw_fail(err, DW_BAD_INPUT,
                 "%s: %g,%g,%g is no color; L* lies between 0 and 110, a* and b* between -200 and 200.", what,
                 lab.L, lab.a, lab.b);
}

dw_status dw__json_check(const char *what, const char *text, char kind, dw_error *err) {
  if (!text) return DW_OK;
  size_t n = strlen(text);
  if (n > DW__JSON_MAX) return dw_fail(err, DW_TOO_LARGE, "%s: %zu bytes of JSON are too many.", what, n);
  json_t *root = NULL;
  dw_status status = dw_json_parse(text, n, what, &root, err);
  bool right = kind == '{' ? json_is_object(root) : json_is_array(root);
  if (status == DW_OK && !right)
    status =
        dw_fail(err, DW_BAD_INPUT, "%s: the JSON must be %s.", what, kind == '{' ? "an object" : "an array");
  json_decref(root);
  return status;
}

dw_status dw__time_check(const char *time, dw_error *err) {
  struct tm parts = {0};
  char again[DW_TIME_ROOM];
  const char *end = strptime(time, "%Y-%m-%dT%H:%M:%SZ", &parts);
  if (end && *end == '\0' && timegm(&parts) != (time_t)-1 &&
      strftime(again, sizeof again, "%Y-%m-%dT%H:%M:%SZ", &parts) && strcmp(again, time) == 0)
    return DW_OK;
  return dw_fail(err, DW_BAD_INPUT, "\"%.40s\" is not a time; write it as 2026-05-01T14:03:22Z.", time);
}

dw_status dw__layer_of_batch(dw_book *book, int64_t batch, int64_t layer, dw_error *err) {
  int64_t same = 0;
  dw_status status =
      dw__book_integer(book, &same, "There is no such batch in the book.", err,
                       "SELECT EXISTS (SELECT 1 FROM layer WHERE id = ? AND pattern = b.pattern)"
                       " FROM batch b WHERE b.id = ?",
                       "ii", layer, batch);
  if (status == DW_OK && !same)
    status = dw_fail(err, DW_BAD_INPUT, "The layer is not one of the batch's pattern.");
  return status;
}
