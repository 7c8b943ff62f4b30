#include "dropwise/json.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

dw_status dw_json_load(const char *path, size_t limit_bytes, json_t **out, dw_error *err) {
  char *text = NULL;
  size_t n = 0;
  dw_status status = dw_file_read(path, limit_bytes, &text, &n, err);
  if (status == DW_OK) status = dw_json_parse(text, n, path, out, err);
  free(text);
  return status;
}

json_t *dw_json_round(double value, int decimals) {
  return isfinite(value) ? json_real(dw_rounded(value, decimals)) : json_null();
}

json_t *dw_json_and(json_t *list, json_t *item) {
  if (json_array_append_new(list, item) == 0) return list;
  json_decref(list);
  return NULL;
}

json_t *dw_json_with(json_t *object, const char *key, json_t *value) {
  if (json_object_set_new(object, key, value) == 0) return object;
  json_decref(object);
  return NULL;
}

json_t *dw_json_text(const char *bytes) {
  size_t n = strlen(bytes), length;
  dw_text text = {0};
  for (size_t i = 0; i < n; i += length) {
    length = dw_utf8_character(bytes + i, n - i, NULL);
    if (length > 0)
      dw_text_put(&text, bytes + i, length);
    else
      dw_text_put(&text, "\xEF\xBF\xBD", 3); /* U+FFFD, the replacement character */
    if (length == 0) length = 1;
  }
  json_t *json = text.failed ? NULL : json_stringn(text.data ? text.data : "", text.length);
  dw_text_free(&text);
  return json;
}

static int write_on(const char *bytes, size_t n, void *text) {
  dw_text_put(text, bytes, n);
  return ((dw_text *)text)->failed ? -1 : 0;
}

char *dw_json_write(const json_t *json, size_t flags) {
  dw_text text = {0};
  if (!json || json_dump_callback(json, write_on, &text, flags) != 0 || text.failed) {
    dw_text_free(&text);
    return NULL;
  }
  return text.data;
}

json_t *dw_json_lab(dw_lab lab) {
  return json_pack("[o, o, o]", dw_json_round(lab.L, 2), dw_json_round(lab.a, 2), dw_json_round(lab.b, 2));
}

json_t *dw_json_notes(const dw_notes *notes) {
  json_t *list = json_array();
  for (size_t i = 0; i < notes->n; i++) list = dw_json_and(list, dw_json_text(notes->text[i]));
  return list;
}
