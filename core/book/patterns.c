/* Patterns and their layers. */
#include "book/aims.h"
#include "book/sql.h"
#include "pourtone/names.h"

#include <stdlib.h>
#include <string.h>

/* The pattern that is called so, but for case and blanks; *id 0 when there is none, then nearest has been
 * offered all names. */
static pt_status find_alike(pt_book *book, const char *name, int64_t *id, char nearest[PT_NEAREST_WORDS_ROOM],
                            pt_error *err) {
  pt__query query;
  bool row = true;
  char best[PT_PATTERN_NAME_ROOM] = "";
  pt_nearest near = {.word = name};
  *id = 0;
  pt_status status = pt__query_open(book, "SELECT id, name FROM pattern ORDER BY name", &query, err, "");
  while (status == PT_OK && (status = pt__query_next(&query, &row, err)) == PT_OK && row && !*id) {
    const char *known = pt__query_text(&query, 1);
    if (pt_names_alike(known, name)) *id = pt__query_integer(&query, 0);
    size_t before = near.name ? near.distance : SIZE_MAX;
    pt_nearest_offer(&near, known);
    if (near.distance < before) pt_copy_text(best, sizeof best, known);
    near.name = best;
  }
  pt__query_close(&query);
  if (!best[0]) near.name = NULL;
  pt_nearest_words(&near, nearest);
  return status;
}

/* own  the pattern that may keep its name, or 0 */
static pt_status name_free(pt_book *book, const char *name, int64_t own, pt_error *err) {
  int64_t id;
  char unused[PT_NEAREST_WORDS_ROOM];
  pt_status status = pt__name_check("pattern", name, PT_PATTERN_NAME_ROOM, err);
  if (status == PT_OK) status = find_alike(book, name, &id, unused, err);
  if (status == PT_OK && id && id != own)
    status = pt_fail(err, PT_BAD_INPUT, "There is a pattern \"%s\" already.", name);
  return status;
}

static pt_status layers_check(const char *const *layers, size_t n, pt_error *err) {
  if (n < 1 || n > PT_PATTERN_LAYERS_MAX)
    return pt_fail(err, PT_BAD_INPUT, "A pattern has 1 to %d layers, not %zu.", PT_PATTERN_LAYERS_MAX, n);
  for (size_t i = 0; i < n; i++) {
    pt_status status = pt__name_check("layer", layers[i], PT_ID_ROOM, err);
    if (status != PT_OK) return status;
    for (size_t j = 0; j < i; j++)
      if (pt_names_alike(layers[i], layers[j]))
        return pt_fail(err, PT_BAD_INPUT, "The layer \"%s\" is named twice.", layers[i]);
  }
  return PT_OK;
}

pt_status pt_pattern_add(pt_book *book, const char *name, const char *note, const char *const *layers,
                         size_t n, int64_t *id, pt_error *err) {
  char now[PT_TIME_ROOM];
  pt__book_now(now);
  pt_status status = name_free(book, name, 0, err);
  if (status == PT_OK) status = pt__note_check(note, err);
  if (status == PT_OK) status = layers_check(layers, n, err);
  if (status == PT_OK)
    status = pt__book_run(book, id, err, "INSERT INTO pattern (name, note, created) VALUES (?, ?, ?)", "ttt",
                          name, note, now);
  for (size_t i = 0; i < n && status == PT_OK; i++)
    status = pt__book_run(book, NULL, err, "INSERT INTO layer (pattern, position, name) VALUES (?, ?, ?)",
                          "iit", *id, (int64_t)i, layers[i]);
  return status;
}

static const char no_pattern[] = "There is no such pattern in the book.";

pt_status pt_pattern_rename(pt_book *book, int64_t id, const char *name, pt_error *err) {
  pt_status status = name_free(book, name, id, err);
  if (status != PT_OK) return status;
  return pt__book_change(book, no_pattern, err, "UPDATE pattern SET name = ? WHERE id = ?", "ti", name, id);
}

pt_status pt_pattern_set_note(pt_book *book, int64_t id, const char *note, pt_error *err) {
  pt_status status = pt__note_check(note, err);
  if (status != PT_OK) return status;
  return pt__book_change(book, no_pattern, err, "UPDATE pattern SET note = ? WHERE id = ?", "ti", note, id);
}

pt_status pt_pattern_set_see_through(pt_book *book, int64_t layer, double contrast_ratio, pt_error *err) {
  static const char missing[] = "There is no such layer in the book.";
  static const char sql[] = "UPDATE layer SET see_through = ? WHERE id = ?";
  if (contrast_ratio == -1)
    return pt__book_change(book, missing, err, "UPDATE layer SET see_through = NULL WHERE id = ?", "i",
                           layer);
  pt_status status = pt__number_check("A contrast ratio", contrast_ratio, 0, 1, err);
  return status == PT_OK ? pt__book_change(book, missing, err, sql, "di", contrast_ratio, layer) : status;
}

pt_status pt_pattern_remove(pt_book *book, int64_t id, pt_error *err) {
  return pt__book_change(book, no_pattern, err, "DELETE FROM pattern WHERE id = ?", "i", id);
}

/* ---- reading ------------------------------------------------------------------------------------------- */

static void layer_from_row(const pt__query *query, pt_pattern_layer *out) {
  *out = (pt_pattern_layer){.id = pt__query_integer(query, 0), .see_through = -1};
  pt__query_copy(query, 1, out->name, sizeof out->name);
  if (!pt__query_null(query, 2)) out->see_through = pt__query_number(query, 2);
  out->has_target = !pt__query_null(query, 3);
  if (!out->has_target) return;
  out->target = pt__query_lab(query, 3);
  out->target_uncertainty_de00 = pt__query_number(query, 6);
  pt__query_copy(query, 7, out->target_since, sizeof out->target_since);
  out->target_how = pt__target_how(pt__query_text(query, 8));
  out->target_no_card = pt__query_integer(query, 9) != 0;
}

static pt_status read_layers(pt_book *book, pt_pattern *out, pt_error *err) {
  static const char sql[] =
      "SELECT l.id, l.name, l.see_through, t.l, t.a, t.b, t.uncertainty, t.created, "
      "t.how, " PT__TARGET_NO_CARD(
          "t") " FROM layer l"
               " LEFT JOIN target t ON t.id = (SELECT max(id) FROM target WHERE layer = l.id)"
               " WHERE l.pattern = ? ORDER BY l.position";
  pt__query query;
  bool row = true;
  pt_status status = pt__query_open(book, sql, &query, err, "i", out->id);
  while (status == PT_OK && (status = pt__query_next(&query, &row, err)) == PT_OK && row &&
         out->n < PT_PATTERN_LAYERS_MAX)
    layer_from_row(&query, &out->layer[out->n++]);
  pt__query_close(&query);
  return status;
}

#define PATTERN_SELECT                                                                                       \
  "SELECT id, name, note, created, (SELECT count(*) FROM batch b WHERE b.pattern = p.id) FROM pattern p "

static pt_status pattern_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  pt_pattern *out = element;
  *out = (pt_pattern){.id = pt__query_integer(query, 0), .batches = (size_t)pt__query_integer(query, 4)};
  pt__query_copy(query, 1, out->name, sizeof out->name);
  pt__query_copy(query, 2, out->note, sizeof out->note);
  pt__query_copy(query, 3, out->created, sizeof out->created);
  return PT_OK;
}

pt_status pt_pattern_get(pt_book *book, int64_t id, pt_pattern *out, pt_error *err) {
  pt_status status =
      pt__book_row(book, pattern_from_row, out, no_pattern, err, PATTERN_SELECT "WHERE id = ?", "i", id);
  return status == PT_OK ? read_layers(book, out, err) : status;
}

pt_status pt_pattern_find(pt_book *book, const char *name, pt_pattern *out, pt_error *err) {
  int64_t id;
  char meant[PT_NEAREST_WORDS_ROOM];
  pt_status status = pt__book_integer(book, &id, "", err, "SELECT id FROM pattern WHERE name = ?", "t", name);
  if (status != PT_OK && status != PT_NOT_FOUND) return status;
  if (status == PT_NOT_FOUND) status = find_alike(book, name, &id, meant, err);
  if (status == PT_OK && !id)
    status = pt_fail(err, PT_NOT_FOUND,
                     "There is no pattern \"%.80s\" in the book.%s pourtone pattern list shows them.", name,
                     meant);
  return status == PT_OK ? pt_pattern_get(book, id, out, err) : status;
}

pt_status pt_pattern_list(pt_book *book, pt_pattern **out, size_t *n, pt_error *err) {
  pt_pattern *patterns = NULL;
  size_t count = 0;
  pt_status status = pt__book_list(book, sizeof(pt_pattern), pattern_from_row, &patterns, &count, err,
                                   PATTERN_SELECT "ORDER BY name", "");
  for (size_t i = 0; i < count && status == PT_OK; i++) status = read_layers(book, &patterns[i], err);
  if (status != PT_OK) {
    free(patterns);
    return status;
  }
  *out = patterns;
  *n = count;
  return PT_OK;
}

pt_status pt_pattern_layer_find(const pt_pattern *pattern, const char *name, const pt_pattern_layer **out,
                                pt_error *err) {
  char known[PT_PATTERN_LAYERS_MAX * (PT_ID_ROOM + 2)] = "";
  for (size_t i = 0; i < pattern->n; i++) {
    if (pt_names_alike(pattern->layer[i].name, name)) {
      *out = &pattern->layer[i];
      return PT_OK;
    }
    size_t used = strlen(known);
    snprintf(known + used, sizeof known - used, "%s%s", i ? ", " : "", pattern->layer[i].name);
  }
  return pt_fail(err, PT_NOT_FOUND, "Pattern \"%s\" has no layer \"%.60s\"; its layers are %.250s.",
                 pattern->name, name, known);
}
