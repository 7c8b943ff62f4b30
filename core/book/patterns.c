/* Patterns, their layers and targets. */
#include "book/sql.h"

#include <stdlib.h>
#include <string.h>

static const char *const how_text[] = {"photo", "photos", "numbers", "layer"};
static const char *const how_words[] = {"from a photo", "from several photos", "from numbers",
                                        "from another layer"};

const char *pt_target_how_words(pt_target_how how) {
  return how_words[how];
}

static pt_target_how how_from_text(const char *text) {
  for (size_t i = 0; i < sizeof how_text / sizeof *how_text; i++)
    if (strcmp(how_text[i], text) == 0) return (pt_target_how)i;
  return PT_TARGET_NUMBERS;
}

/* Printable, not empty, no blanks at its ends. */
static pt_status check_name(const char *what, const char *name, size_t room, pt_error *err) {
  size_t n = strlen(name);
  if (n == 0 || n >= room)
    return pt_fail(err, PT_BAD_INPUT, "The name of a %s needs 1 to %zu bytes: \"%.80s\".", what, room - 1,
                   name);
  if (name[0] == ' ' || name[n - 1] == ' ')
    return pt_fail(err, PT_BAD_INPUT, "The name \"%s\" begins or ends with a blank.", name);
  for (const unsigned char *p = (const unsigned char *)name; *p; p++)
    if (*p < 0x20 || *p == 0x7f)
      return pt_fail(err, PT_BAD_INPUT, "The name of a %s holds a control character.", what);
  return PT_OK;
}

static bool pattern_exists(pt_book *book, const char *name) {
  int64_t id;
  return pt__book_integer(book, &id, "", NULL, "SELECT id FROM pattern WHERE name = ?", "t", name) == PT_OK;
}

static pt_status check_fresh(pt_book *book, const char *name, pt_error *err) {
  pt_status status = check_name("pattern", name, PT_PATTERN_NAME_ROOM, err);
  if (status == PT_OK && pattern_exists(book, name))
    status = pt_fail(err, PT_BAD_INPUT, "There is a pattern \"%s\" already.", name);
  return status;
}

static pt_status find_id(pt_book *book, const char *name, int64_t *id, pt_error *err) {
  char missing[160];
  snprintf(missing, sizeof missing,
           "There is no pattern \"%.80s\" in the book; pourtone pattern list shows them.", name);
  return pt__book_integer(book, id, missing, err, "SELECT id FROM pattern WHERE name = ?", "t", name);
}

pt_status pt_pattern_add(pt_book *book, const char *name, const char *note, const char *const *layers,
                         size_t n, int64_t *id, pt_error *err) {
  if (n < 1 || n > PT_PATTERN_LAYERS_MAX)
    return pt_fail(err, PT_BAD_INPUT, "A pattern has 1 to %d layers, not %zu.", PT_PATTERN_LAYERS_MAX, n);
  char now[PT_TIME_ROOM];
  pt__book_now(now);
  pt_status status = check_fresh(book, name, err);
  if (status == PT_OK)
    status = pt__book_run(book, id, err, "INSERT INTO pattern (name, note, created) VALUES (?, ?, ?)", "ttt",
                          name, note, now);
  for (size_t i = 0; i < n && status == PT_OK; i++) {
    status = check_name("layer", layers[i], PT_ID_ROOM, err);
    for (size_t j = 0; j < i && status == PT_OK; j++)
      if (strcmp(layers[i], layers[j]) == 0)
        status = pt_fail(err, PT_BAD_INPUT, "The layer \"%s\" is named twice.", layers[i]);
    if (status == PT_OK)
      status = pt__book_run(book, NULL, err, "INSERT INTO layer (pattern, position, name) VALUES (?, ?, ?)",
                            "iit", *id, (int64_t)i, layers[i]);
  }
  return status;
}

pt_status pt_pattern_rename(pt_book *book, const char *name, const char *fresh, pt_error *err) {
  int64_t id;
  pt_status status = find_id(book, name, &id, err);
  if (status == PT_OK) status = check_fresh(book, fresh, err);
  if (status == PT_OK)
    status = pt__book_run(book, NULL, err, "UPDATE pattern SET name = ? WHERE id = ?", "ti", fresh, id);
  return status;
}

pt_status pt_pattern_set_note(pt_book *book, const char *name, const char *note, pt_error *err) {
  int64_t id;
  pt_status status = find_id(book, name, &id, err);
  if (status == PT_OK)
    status = pt__book_run(book, NULL, err, "UPDATE pattern SET note = ? WHERE id = ?", "ti", note, id);
  return status;
}

pt_status pt_pattern_set_see_through(pt_book *book, int64_t layer, double contrast_ratio, pt_error *err) {
  if (contrast_ratio < 0)
    return pt__book_run(book, NULL, err, "UPDATE layer SET see_through = NULL WHERE id = ?", "i", layer);
  return pt__book_run(book, NULL, err, "UPDATE layer SET see_through = ? WHERE id = ?", "di", contrast_ratio,
                      layer);
}

pt_status pt_pattern_remove(pt_book *book, const char *name, pt_error *err) {
  int64_t id;
  pt_status status = find_id(book, name, &id, err);
  if (status == PT_OK) status = pt__book_run(book, NULL, err, "DELETE FROM pattern WHERE id = ?", "i", id);
  return status;
}

static void layer_from_row(const pt__query *query, pt_pattern_layer *out) {
  out->id = pt__query_integer(query, 0);
  pt_copy_text(out->name, sizeof out->name, pt__query_text(query, 1));
  double see_through = pt__query_number(query, 2);
  out->see_through = see_through >= 0 ? see_through : -1;
  out->has_target = *pt__query_text(query, 7) != '\0';
  if (!out->has_target) return;
  out->target = (pt_lab){pt__query_number(query, 3), pt__query_number(query, 4), pt__query_number(query, 5)};
  out->target_uncertainty_de00 = pt__query_number(query, 6);
  pt_copy_text(out->target_since, sizeof out->target_since, pt__query_text(query, 7));
  out->target_how = how_from_text(pt__query_text(query, 8));
}

static pt_status read_layers(pt_book *book, pt_pattern *out, pt_error *err) {
  static const char sql[] =
      "SELECT l.id, l.name, l.see_through, t.l, t.a, t.b, t.uncertainty, t.created, t.how FROM layer l"
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

static const char pattern_columns[] =
    "SELECT id, name, note, created,"
    " (SELECT count(*) FROM batch b WHERE b.pattern = pattern.id) FROM pattern ";

static void pattern_from_row(const pt__query *query, pt_pattern *out) {
  *out = (pt_pattern){.id = pt__query_integer(query, 0), .batches = (size_t)pt__query_integer(query, 4)};
  pt_copy_text(out->name, sizeof out->name, pt__query_text(query, 1));
  pt_copy_text(out->note, sizeof out->note, pt__query_text(query, 2));
  pt_copy_text(out->created, sizeof out->created, pt__query_text(query, 3));
}

pt_status pt_pattern_find(pt_book *book, const char *name, pt_pattern *out, pt_error *err) {
  char sql[256];
  int64_t id;
  pt__query query = {0};
  bool row;
  snprintf(sql, sizeof sql, "%sWHERE id = ?", pattern_columns);
  pt_status status = find_id(book, name, &id, err);
  if (status == PT_OK) status = pt__query_open(book, sql, &query, err, "i", id);
  if (status == PT_OK) status = pt__query_next(&query, &row, err);
  if (status == PT_OK) pattern_from_row(&query, out);
  pt__query_close(&query);
  return status == PT_OK ? read_layers(book, out, err) : status;
}

pt_status pt_pattern_list(pt_book *book, pt_pattern **out, size_t *n, pt_error *err) {
  char sql[256];
  pt__query query;
  bool row = true;
  pt_pattern *list = NULL;
  size_t count = 0, room = 0;
  snprintf(sql, sizeof sql, "%sORDER BY name", pattern_columns);
  pt_status status = pt__query_open(book, sql, &query, err, "");
  while (status == PT_OK && (status = pt__query_next(&query, &row, err)) == PT_OK && row) {
    if (count == room) {
      room = room ? 2 * room : 16;
      pt_pattern *grown = realloc(list, room * sizeof *list);
      if (!grown) {
        status = pt_fail_memory(err, "the patterns");
        break;
      }
      list = grown;
    }
    pattern_from_row(&query, &list[count++]);
  }
  pt__query_close(&query);
  for (size_t i = 0; i < count && status == PT_OK; i++) status = read_layers(book, &list[i], err);
  if (status != PT_OK) {
    free(list);
    return status;
  }
  *out = list;
  *n = count;
  return PT_OK;
}

pt_status pt_pattern_layer_find(const pt_pattern *pattern, const char *name, const pt_pattern_layer **out,
                                pt_error *err) {
  char known[PT_PATTERN_LAYERS_MAX * (PT_ID_ROOM + 2)] = "";
  for (size_t i = 0; i < pattern->n; i++) {
    if (strcmp(pattern->layer[i].name, name) == 0) {
      *out = &pattern->layer[i];
      return PT_OK;
    }
    size_t used = strlen(known);
    snprintf(known + used, sizeof known - used, "%s%s", i ? ", " : "", pattern->layer[i].name);
  }
  return pt_fail(err, PT_NOT_FOUND, "Pattern \"%s\" has no layer \"%.60s\"; its layers are %.250s.",
                 pattern->name, name, known);
}

pt_status pt_target_set(pt_book *book, int64_t layer, const pt_target *target, pt_error *err) {
  char now[PT_TIME_ROOM];
  pt__book_now(now);
  static const char sql[] = "INSERT INTO target (layer, l, a, b, uncertainty, how, photo, detail, created)"
                            " VALUES (?, ?, ?, ?, ?, ?, nullif(?, 0), ?, ?)";
  return pt__book_run(book, NULL, err, sql, "iddddtitt", layer, target->lab.L, target->lab.a, target->lab.b,
                      target->uncertainty_de00, how_text[target->how], target->photo,
                      target->detail ? target->detail : "{}", now);
}

static void past_from_row(const pt__query *query, pt_target_past *out) {
  *out = (pt_target_past){
      .lab = {pt__query_number(query, 0), pt__query_number(query, 1), pt__query_number(query, 2)},
      .uncertainty_de00 = pt__query_number(query, 3),
      .how = how_from_text(pt__query_text(query, 4)),
  };
  pt_copy_text(out->created, sizeof out->created, pt__query_text(query, 5));
  pt_copy_text(out->detail, sizeof out->detail, pt__query_text(query, 6));
}

pt_status pt_target_history(pt_book *book, int64_t layer, pt_target_past **out, size_t *n, pt_error *err) {
  int64_t count = 0;
  pt_status status =
      pt__book_integer(book, &count, "", err, "SELECT count(*) FROM target WHERE layer = ?", "i", layer);
  if (status != PT_OK) return status;
  pt_target_past *list = calloc((size_t)count + 1, sizeof *list);
  if (!list) return pt_fail_memory(err, "the targets");
  pt__query query;
  bool row = true;
  size_t got = 0;
  status = pt__query_open(
      book, "SELECT l, a, b, uncertainty, how, created, detail FROM target WHERE layer = ? ORDER BY id DESC",
      &query, err, "i", layer);
  while (status == PT_OK && (status = pt__query_next(&query, &row, err)) == PT_OK && row &&
         got < (size_t)count)
    past_from_row(&query, &list[got++]);
  pt__query_close(&query);
  if (status != PT_OK) {
    free(list);
    return status;
  }
  *out = list;
  *n = got;
  return PT_OK;
}
