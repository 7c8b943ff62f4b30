/* Targets with their history. */
#include "book/aims.h"
#include "book/sql.h"
#include "dropwise/json.h"

#include <stdlib.h>
#include <string.h>

static const char *const how_text[] = {"photo", "photos", "numbers", "layer"};
static const char *const how_words[] = {"from a photo", "from several photos", "from numbers",
                                        "from another layer"};

const char *dw_target_how_words(dw_target_how how) {
  return how_words[how];
}

dw_target_how dw__target_how(const char *text) {
  for (size_t i = 0; i < sizeof how_text / sizeof *how_text; i++)
    if (strcmp(how_text[i], text) == 0) return (dw_target_how)i;
  return DW_TARGET_NUMBERS;
}

/* "target 67.00,7.00,20.00, was 60.00,5.00,18.00 for the belly of frog".  *same: it is the one that there is.
 */
static dw_status tell_target(dw_book *book, int64_t layer, const dw_target *target, bool *same,
                             dw_error *err) {
  static const char sql[] = "SELECT l, a, b, uncertainty = ?2 AND how = ?3 AND photo IS ?4 AND detail = ?5"
                            " FROM target WHERE layer = ?1 ORDER BY id DESC LIMIT 1";
  char place[DW__PLACE_ROOM], before[64] = "";
  dw__where where;
  dw__query query = {0};
  bool row = false;
  dw_status status = dw__where_layer(book, layer, &where, err);
  if (status == DW_OK)
    status = dw__query_open(book, sql, &query, err, "idtrt", layer, target->uncertainty_de00,
                            how_text[target->how], target->photo, target->detail ? target->detail : "{}");
  if (status == DW_OK) status = dw__query_next(&query, &row, err);
  if (status == DW_OK && row) {
    dw_lab was = dw__query_lab(&query, 0);
    *same = dw__query_integer(&query, 3) && was.L == target->lab.L && was.a == target->lab.a &&
            was.b == target->lab.b;
    snprintf(before, sizeof before, ", was %.2f,%.2f,%.2f", was.L, was.a, was.b);
  }
  dw__query_close(&query);
  if (status != DW_OK) return status;
  dw__where_words(&where, "for", place);
  dw__tell(book, DW_ENTRY_TARGET, where.pattern, 0, place, "target %.2f,%.2f,%.2f%s", target->lab.L,
           target->lab.a, target->lab.b, before);
  return DW_OK;
}

dw_status dw_target_set(dw_book *book, int64_t layer, const dw_target *target, dw_error *err) {
  static const char sql[] = "INSERT INTO target (layer, l, a, b, uncertainty, how, photo, detail, created)"
                            " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)";
  char now[DW_TIME_ROOM];
  int64_t there;
  bool same = false;
  dw__book_now(now);
  dw_status status = dw__lab_check("A target", target->lab, err);
  if (status == DW_OK) status = dw__number_check("A target's doubt", target->uncertainty_de00, 0, 100, err);
  if (status == DW_OK) status = dw__json_check("A target's detail", target->detail, '{', err);
  if (status == DW_OK)
    status = dw__book_integer(book, &there, "There is no such layer in the book.", err,
                              "SELECT id FROM layer WHERE id = ?", "i", layer);
  if (status == DW_OK) status = tell_target(book, layer, target, &same, err);
  if (status != DW_OK || same) return status;
  return dw__book_run(book, NULL, err, sql, "iddddtrtt", layer, target->lab.L, target->lab.a, target->lab.b,
                      target->uncertainty_de00, how_text[target->how], target->photo,
                      target->detail ? target->detail : "{}", now);
}

dw_status dw_target_of_layer(const dw_pattern *pattern, const dw_pattern_layer *layer, dw_target *out,
                             char **detail, dw_error *err) {
  if (!layer->has_target)
    return dw_fail(err, DW_NOT_FOUND, "%s/%s has no target yet.", pattern->name, layer->name);
  json_t *json = json_pack("{s:s, s:s, s:b}", "pattern", pattern->name, "layer", layer->name, "no_card",
                           layer->target_no_card);
  *detail = json ? dw_json_write(json, JSON_COMPACT) : NULL;
  json_decref(json);
  *out = (dw_target){.lab = layer->target,
                     .uncertainty_de00 = layer->target_uncertainty_de00,
                     .how = DW_TARGET_LAYER,
                     .detail = *detail};
  return *detail ? DW_OK : dw_fail_memory(err, "how the target was obtained");
}

static dw_status past_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_target_past *out = element;
  out->lab = dw__query_lab(query, 0);
  out->uncertainty_de00 = dw__query_number(query, 3);
  out->how = dw__target_how(dw__query_text(query, 4));
  dw__query_copy(query, 5, out->created, sizeof out->created);
  dw__query_copy(query, 6, out->photo, sizeof out->photo);
  out->id = dw__query_integer(query, 7);
  out->no_card = dw__query_integer(query, 8) != 0;
  return DW_OK;
}

#define WELL_KNOWN_DE00 3.0 /* a card gives less, a photo alone 6 */

void dw_target_doubt_words(bool no_card, double uncertainty_de00, char *out, size_t room) {
  if (no_card)
    snprintf(out, room, "No card: this target can be off by %.0f.", uncertainty_de00);
  else if (uncertainty_de00 >= WELL_KNOWN_DE00)
    snprintf(out, room, "This target can be off by %.0f.", uncertainty_de00);
  else
    out[0] = '\0';
}

static dw_status read_detail(dw_book *book, dw_target_past *past, dw_error *err) {
  dw__query query;
  bool row = false;
  dw_status status =
      dw__query_open(book, "SELECT detail FROM target WHERE id = ?", &query, err, "i", past->id);
  if (status == DW_OK) status = dw__query_next(&query, &row, err);
  /* -fanalyzer: the list's owner frees it */
  if (status == DW_OK && !(past->detail = strdup(row ? dw__query_text(&query, 0) : "{}")))
    status = dw_fail_memory(err, "a target's past");
  if (status == DW_OK) status = dw__query_whole(&query, err);
  dw__query_close(&query);
  return status;
}

dw_status dw_target_history(dw_book *book, int64_t layer, dw_target_past **out, size_t *n, dw_error *err) {
  static const char sql[] =
      "SELECT t.l, t.a, t.b, t.uncertainty, t.how, t.created, p.sha256, t.id, " DW__TARGET_NO_CARD(
          "t") " FROM target t LEFT JOIN photo p ON p.id = t.photo WHERE t.layer = ?"
               " ORDER BY t.id DESC";
  dw_target_past *past = NULL;
  size_t count = 0;
  dw_status status =
      dw__book_list(book, sizeof(dw_target_past), past_from_row, &past, &count, err, sql, "i", layer);
  for (size_t i = 0; i < count && status == DW_OK; i++) status = read_detail(book, &past[i], err);
  if (status != DW_OK) {
    dw_target_history_free(past, count);
    return status;
  }
  *out = past;
  *n = count;
  return DW_OK;
}

void dw_target_history_free(dw_target_past *list, size_t n) {
  for (size_t i = 0; list && i < n; i++) free(list[i].detail);
  free(list);
}
