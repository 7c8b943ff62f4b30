/* The tone of a layer that came in a pattern's file. */
#include "batch/tone_read.h"

#include "dropwise/book_aims.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SAME_DE00 0.01 /* colors in the file are rounded */
enum { SUFFIX_MAX = 99 };

typedef struct arriving {
  const char *name, *note;
  bool invented;
  size_t n;
  dw_lab color[DW_TONE_COLORS_MAX];
} arriving;

static dw_status read_tone(const json_t *json, arriving *out, dw_error *err) {
  const json_t *list = json_object_get(json, "colors");
  const char *note;
  dw_status status = dw_json_text_of(json, "name", true, &out->name, err);
  if (status == DW_OK) status = dw_json_text_of(json, "note", false, &note, err);
  if (status != DW_OK) return status;
  out->note = note ? note : "";
  out->invented = json_is_true(json_object_get(json, "invented"));
  out->n = json_array_size(list);
  if (out->n < 1 || out->n > DW_TONE_COLORS_MAX)
    return dw_fail(err, DW_BAD_INPUT, "a tone has 1 to %d colors, this one %zu.", DW_TONE_COLORS_MAX, out->n);
  for (size_t i = 0; i < out->n && status == DW_OK; i++)
    status = dw_json_lab_of(json_array_get(list, i), "colors", &out->color[i], err);
  return status;
}

static dw_status compare(dw_book *book, int64_t id, const arriving *tone, bool *same, dw_error *err) {
  dw_lab *colors = NULL;
  size_t n = 0;
  dw_status status = dw_tone_colors(book, id, &colors, &n, err);
  *same = n == tone->n;
  for (size_t i = 0; i < n && *same; i++) *same = dw_de00(colors[i], tone->color[i]) <= SAME_DE00;
  free(colors);
  return status;
}

static dw_status add(dw_book *book, const char *name, const arriving *tone, dw_error *err) {
  int64_t id;
  dw_status status = dw_tone_add(book, name, tone->note, tone->invented, &id, err);
  for (size_t i = 0; i < tone->n && status == DW_OK; i++)
    status = dw_tone_color_add(book, id, tone->color[i], 0, NULL, err);
  return status;
}

/* The tone of that name where it has the same colors, else a new one: "claw", "claw 2" ... */
static dw_status find_or_add(dw_book *book, const arriving *tone, char name[DW_TONE_NAME_ROOM],
                             dw_error *err) {
  char stem[DW_TONE_NAME_ROOM - 4];
  dw_copy_text(stem, sizeof stem, tone->name);
  dw_copy_text(name, DW_TONE_NAME_ROOM, tone->name);
  for (int i = 2; i <= SUFFIX_MAX; i++) {
    dw_tone there;
    dw_error none;
    bool same = false;
    dw_status status = dw_tone_find(book, name, &there, &none);
    if (status == DW_NOT_FOUND) return add(book, name, tone, err);
    if (status == DW_OK) status = compare(book, there.id, tone, &same, &none);
    if (status != DW_OK) return dw_fail(err, status, "%s", none.text);
    if (same) return DW_OK;
    snprintf(name, DW_TONE_NAME_ROOM, "%s %d", stem, i);
  }
  return dw_fail(err, DW_TOO_LARGE, "There are too many tones like \"%s\".", tone->name);
}

dw_status dw__tone_read(dw_book *book, const json_t *json, int64_t layer, dw_error *err) {
  char name[DW_TONE_NAME_ROOM];
  if (dw_json_absent(json)) return DW_OK;
  arriving *tone = calloc(1, sizeof *tone);
  if (!tone) return dw_fail_memory(err, "a tone");
  dw_status status = read_tone(json, tone, err);
  if (status == DW_OK) status = find_or_add(book, tone, name, err);
  if (status == DW_OK) status = dw_pattern_set_tone(book, layer, name, err);
  free(tone);
  return status;
}
