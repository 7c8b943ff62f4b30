/* Patterns and their layers. */
#include "book/aims.h"
#include "book/bottles.h"
#include "book/sql.h"
#include "dropwise/book_settings.h"
#include "dropwise/names.h"

#include <stdlib.h>
#include <string.h>

/* The pattern that is called so, but for case and blanks; *id 0 when there is none, then nearest has been
 * offered all names. */
static dw_status find_alike(dw_book *book, const char *name, int64_t *id, char nearest[DW_NEAREST_WORDS_ROOM],
                            dw_error *err) {
  dw__query query;
  bool row = true;
  char best[DW_PATTERN_NAME_ROOM] = "";
  dw_nearest near = {.word = name};
  *id = 0;
  dw_status status = dw__query_open(book, "SELECT id, name FROM pattern ORDER BY name", &query, err, "");
  while (status == DW_OK && (status = dw__query_next(&query, &row, err)) == DW_OK && row && !*id) {
    const char *known = dw__query_text(&query, 1);
    if (dw_names_alike(known, name)) *id = dw__query_integer(&query, 0);
    size_t before = near.name ? near.distance : SIZE_MAX;
    dw_nearest_offer(&near, known);
    if (near.distance < before) dw_copy_text(best, sizeof best, known);
    near.name = best;
  }
  dw__query_close(&query);
  if (!best[0]) near.name = NULL;
  dw_nearest_words(&near, nearest);
  return status;
}

/* own  the pattern that may keep its name, or 0 */
static dw_status name_free(dw_book *book, const char *name, int64_t own, dw_error *err) {
  int64_t id;
  char unused[DW_NEAREST_WORDS_ROOM];
  dw_status status = dw__name_check("pattern", name, DW_PATTERN_NAME_ROOM, err);
  if (status == DW_OK) status = find_alike(book, name, &id, unused, err);
  if (status == DW_OK && id && id != own)
    status = dw_fail(err, DW_BAD_INPUT, "There is a pattern \"%s\" already.", name);
  return status;
}

static dw_status layers_check(const char *const *layers, size_t n, dw_error *err) {
  if (n < 1 || n > DW_PATTERN_LAYERS_MAX)
    return dw_fail(err, DW_BAD_INPUT, "A pattern has 1 to %d layers, not %zu.", DW_PATTERN_LAYERS_MAX, n);
  for (size_t i = 0; i < n; i++) {
    dw_status status = dw__name_check("layer", layers[i], DW_ID_ROOM, err);
    if (status != DW_OK) return status;
    for (size_t j = 0; j < i; j++)
      if (dw_names_alike(layers[i], layers[j]))
        return dw_fail(err, DW_BAD_INPUT, "The layer \"%s\" is named twice.", layers[i]);
  }
  return DW_OK;
}

dw_status dw_pattern_add(dw_book *book, const char *name, const char *note, const char *const *layers,
                         size_t n, int64_t *id, dw_error *err) {
  char now[DW_TIME_ROOM];
  dw__book_now(now);
  dw_status status = name_free(book, name, 0, err);
  if (status == DW_OK) status = dw__note_check(note, err);
  if (status == DW_OK) status = layers_check(layers, n, err);
  if (status == DW_OK) status = dw__next_id(book, "pattern", id, err);
  if (status == DW_OK)
    status =
        dw__book_run(book, NULL, err, "INSERT INTO pattern (id, name, note, created) VALUES (?, ?, ?, ?)",
                     "ittt", *id, name, note, now);
  for (size_t i = 0; i < n && status == DW_OK; i++)
    status = dw__book_run(book, NULL, err, "INSERT INTO layer (pattern, position, name) VALUES (?, ?, ?)",
                          "iit", *id, (int64_t)i, layers[i]);
  dw__tell(book, DW_ENTRY_PATTERN, *id, 0, "", "pattern %s added", name);
  return status;
}

static const char no_pattern[] = "There is no such pattern in the book.";

dw_status dw_pattern_rename(dw_book *book, int64_t id, const char *name, dw_error *err) {
  dw__where was;
  dw_status status = name_free(book, name, id, err);
  if (status == DW_OK) status = dw__where_pattern(book, id, &was, err);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_PATTERN, id, 0, "", "name of a pattern: was %s, is %s", was.pattern_name, name);
  return dw__book_change(book, no_pattern, err, "UPDATE pattern SET name = ? WHERE id = ?", "ti", name, id);
}

dw_status dw_pattern_set_note(dw_book *book, int64_t id, const char *note, dw_error *err) {
  dw__where where;
  dw_status status = dw__note_check(note, err);
  if (status == DW_OK) status = dw__where_pattern(book, id, &where, err);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_PATTERN, id, 0, "", "note on pattern %s", where.pattern_name);
  return dw__book_change(book, no_pattern, err, "UPDATE pattern SET note = ? WHERE id = ?", "ti", note, id);
}

dw_status dw_pattern_set_see_through(dw_book *book, int64_t layer, double contrast_ratio, dw_error *err) {
  static const char missing[] = "There is no such layer in the book.";
  static const char sql[] = "UPDATE layer SET see_through = ? WHERE id = ?";
  char place[DW__PLACE_ROOM];
  dw__where where;
  dw_status status = dw__where_layer(book, layer, &where, err);
  if (status != DW_OK) return status;
  dw__where_words(&where, "of", place);
  dw__tell(book, DW_ENTRY_PATTERN, where.pattern, 0, place, "see-through");
  if (contrast_ratio == -1)
    return dw__book_change(book, missing, err, "UPDATE layer SET see_through = NULL WHERE id = ?", "i",
                           layer);
  status = dw__number_check("A contrast ratio", contrast_ratio, 0, 1, err);
  return status == DW_OK ? dw__book_change(book, missing, err, sql, "di", contrast_ratio, layer) : status;
}

/* A tone that has a color. */
static dw_status tone_find(dw_book *book, const char *name, int64_t *id, dw_error *err) {
  dw_tone tone;
  dw_status status = dw_tone_find(book, name, &tone, err);
  if (status == DW_OK && tone.n == 0)
    status = dw_fail(err, DW_TOO_FEW, "The tone \"%s\" has no color yet.", tone.name);
  *id = status == DW_OK ? tone.id : 0;
  return status;
}

dw_status dw_pattern_set_tone(dw_book *book, int64_t layer, const char *tone, dw_error *err) {
  static const char missing[] = "There is no such layer in the book.";
  char place[DW__PLACE_ROOM];
  dw__where where;
  int64_t id = 0;
  dw_status status = dw__where_layer(book, layer, &where, err);
  if (status == DW_OK && tone) status = tone_find(book, tone, &id, err);
  if (status != DW_OK) return status;
  dw__where_words(&where, "for", place);
  dw__tell(book, DW_ENTRY_PATTERN, where.pattern, 0, place, tone ? "natural tone %.80s" : "no natural tone",
           tone);
  return dw__book_change(book, missing, err, "UPDATE layer SET tone = nullif(?, 0) WHERE id = ?", "ii", id,
                         layer);
}

dw_status dw_pattern_set_unwanted(dw_book *book, int64_t id, const char *bottles, dw_error *err) {
  char list[DW_UNWANTED_ROOM];
  dw__where where;
  if (!dw_unwanted_parse(bottles, list))
    return dw_fail(err, DW_USAGE, "\"%.60s\" is no list of bottles, as in green,blue, or none.", bottles);
  dw_status status = dw__unwanted_check(book, list, err);
  if (status == DW_OK) status = dw__where_pattern(book, id, &where, err);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_PATTERN, id, 0, "", "unwanted in pattern %s: %s", where.pattern_name,
           *list ? list : "none");
  return dw__book_change(book, no_pattern, err, "UPDATE pattern SET unwanted = nullif(?, '') WHERE id = ?",
                         "ti", list, id);
}

dw_status dw_pattern_set_clean_blends(dw_book *book, int64_t id, bool clean, dw_error *err) {
  dw__where where;
  dw_status status = dw__where_pattern(book, id, &where, err);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_PATTERN, id, 0, "", "blends of pattern %s: %s", where.pattern_name,
           clean ? "clean ones wanted" : "as they come");
  return dw__book_change(book, no_pattern, err, "UPDATE pattern SET clean_blends = nullif(?, 0) WHERE id = ?",
                         "ii", (int64_t)clean, id);
}

dw_status dw_pattern_remove(dw_book *book, int64_t id, dw_error *err) {
  dw__where where;
  dw_status status = dw__where_pattern(book, id, &where, err);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_PATTERN, id, 0, "", "pattern %s removed, with its batches", where.pattern_name);
  return dw__book_change(book, no_pattern, err, "DELETE FROM pattern WHERE id = ?", "i", id);
}

/* ---- reading ------------------------------------------------------------------------------------------- */

static void layer_from_row(const dw__query *query, dw_pattern_layer *out) {
  *out = (dw_pattern_layer){.id = dw__query_integer(query, 0), .see_through = -1, .share = -1};
  if (!dw__query_null(query, 12)) out->share = dw__query_number(query, 12);
  dw__query_copy(query, 1, out->name, sizeof out->name);
  if (!dw__query_null(query, 2)) out->see_through = dw__query_number(query, 2);
  out->tone = dw__query_integer(query, 10);
  dw__query_copy(query, 11, out->tone_name, sizeof out->tone_name);
  out->has_target = !dw__query_null(query, 3);
  if (!out->has_target) return;
  out->target = dw__query_lab(query, 3);
  out->target_uncertainty_de00 = dw__query_number(query, 6);
  dw__query_copy(query, 7, out->target_since, sizeof out->target_since);
  out->target_how = dw__target_how(dw__query_text(query, 8));
  out->target_no_card = dw__query_integer(query, 9) != 0;
}

static dw_status read_layers(dw_book *book, dw_pattern *out, dw_error *err) {
  static const char sql[] =
      "SELECT l.id, l.name, l.see_through, t.l, t.a, t.b, t.uncertainty, t.created, "
      "t.how, " DW__TARGET_NO_CARD(
          "t") ", n.id, n.name, l.share FROM layer l"
               " LEFT JOIN target t ON t.id = (SELECT max(id) FROM target WHERE layer = l.id)"
               " LEFT JOIN tone n ON n.id = l.tone AND EXISTS (SELECT 1 FROM tone_color WHERE tone = n.id)"
               " WHERE l.pattern = ? ORDER BY l.position";
  dw__query query;
  bool row = true;
  dw_status status = dw__query_open(book, sql, &query, err, "i", out->id);
  while (status == DW_OK && (status = dw__query_next(&query, &row, err)) == DW_OK && row &&
         out->n < DW_PATTERN_LAYERS_MAX)
    layer_from_row(&query, &out->layer[out->n++]);
  dw__query_close(&query);
  return status;
}

#define PATTERN_SELECT                                                                                       \
  "SELECT id, name, note, created, (SELECT count(*) FROM batch b WHERE b.pattern = p.id), unwanted,"         \
  " clean_blends, swirl FROM pattern p "

static dw_status pattern_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_pattern *out = element;
  *out = (dw_pattern){.id = dw__query_integer(query, 0), .batches = (size_t)dw__query_integer(query, 4)};
  dw__query_copy(query, 1, out->name, sizeof out->name);
  dw__query_copy(query, 2, out->note, sizeof out->note);
  dw__query_copy(query, 3, out->created, sizeof out->created);
  dw__query_copy(query, 5, out->unwanted, sizeof out->unwanted);
  out->clean_blends = dw__query_integer(query, 6) != 0;
  out->swirl = dw__query_integer(query, 7) != 0;
  return DW_OK;
}

dw_status dw_pattern_get(dw_book *book, int64_t id, dw_pattern *out, dw_error *err) {
  dw_status status =
      dw__book_row(book, pattern_from_row, out, no_pattern, err, PATTERN_SELECT "WHERE id = ?", "i", id);
  return status == DW_OK ? read_layers(book, out, err) : status;
}

dw_status dw_pattern_find(dw_book *book, const char *name, dw_pattern *out, dw_error *err) {
  int64_t id;
  char meant[DW_NEAREST_WORDS_ROOM];
  dw_status status = dw__book_integer(book, &id, "", err, "SELECT id FROM pattern WHERE name = ?", "t", name);
  if (status != DW_OK && status != DW_NOT_FOUND) return status;
  if (status == DW_NOT_FOUND) status = find_alike(book, name, &id, meant, err);
  if (status == DW_OK && !id)
    status = dw_fail(err, DW_NOT_FOUND,
                     "There is no pattern \"%.80s\" in the book.%s dropwise pattern list shows them.", name,
                     meant);
  return status == DW_OK ? dw_pattern_get(book, id, out, err) : status;
}

dw_status dw_pattern_list(dw_book *book, dw_pattern **out, size_t *n, dw_error *err) {
  dw_pattern *patterns = NULL;
  size_t count = 0;
  dw_status status = dw__book_list(book, sizeof(dw_pattern), pattern_from_row, &patterns, &count, err,
                                   PATTERN_SELECT "ORDER BY name", "");
  for (size_t i = 0; i < count && status == DW_OK; i++) status = read_layers(book, &patterns[i], err);
  if (status != DW_OK) {
    free(patterns);
    return status;
  }
  *out = patterns;
  *n = count;
  return DW_OK;
}

bool dw_pattern_layer_aimed(const dw_pattern_layer *layer) {
  return layer->has_target || layer->tone != 0;
}

const char *dw_pattern_layer_name(const dw_pattern *pattern, int64_t id) {
  for (size_t i = 0; i < pattern->n; i++)
    if (pattern->layer[i].id == id) return pattern->layer[i].name;
  return "";
}

dw_status dw_pattern_layer_find(const dw_pattern *pattern, const char *name, const dw_pattern_layer **out,
                                dw_error *err) {
  char known[DW_PATTERN_LAYERS_MAX * (DW_ID_ROOM + 2)] = "";
  for (size_t i = 0; i < pattern->n; i++) {
    if (dw_names_alike(pattern->layer[i].name, name)) {
      *out = &pattern->layer[i];
      return DW_OK;
    }
    size_t used = strlen(known);
    snprintf(known + used, sizeof known - used, "%s%s", i ? ", " : "", pattern->layer[i].name);
  }
  return dw_fail(err, DW_NOT_FOUND, "Pattern \"%s\" has no layer \"%.60s\"; its layers are %.250s.",
                 pattern->name, name, known);
}
