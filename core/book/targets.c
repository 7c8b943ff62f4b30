/* Targets with their history. */
#include "book/aims.h"
#include "book/sql.h"

#include <stdlib.h>
#include <string.h>

static const char *const how_text[] = {"photo", "photos", "numbers", "layer"};
static const char *const how_words[] = {"from a photo", "from several photos", "from numbers",
                                        "from another layer"};

const char *pt_target_how_words(pt_target_how how) {
  return how_words[how];
}

pt_target_how pt__target_how(const char *text) {
  for (size_t i = 0; i < sizeof how_text / sizeof *how_text; i++)
    if (strcmp(how_text[i], text) == 0) return (pt_target_how)i;
  return PT_TARGET_NUMBERS;
}

pt_status pt_target_set(pt_book *book, int64_t layer, const pt_target *target, pt_error *err) {
  static const char sql[] = "INSERT INTO target (layer, l, a, b, uncertainty, how, photo, detail, created)"
                            " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)";
  char now[PT_TIME_ROOM];
  int64_t there;
  pt__book_now(now);
  pt_status status = pt__lab_check("A target", target->lab, err);
  if (status == PT_OK)
    status = pt__number_check("A target's uncertainty", target->uncertainty_de00, 0, 100, err);
  if (status == PT_OK) status = pt__json_check("A target's detail", target->detail, '{', err);
  if (status == PT_OK)
    status = pt__book_integer(book, &there, "There is no such layer in the book.", err,
                              "SELECT id FROM layer WHERE id = ?", "i", layer);
  if (status != PT_OK) return status;
  return pt__book_run(book, NULL, err, sql, "iddddtrtt", layer, target->lab.L, target->lab.a, target->lab.b,
                      target->uncertainty_de00, how_text[target->how], target->photo,
                      target->detail ? target->detail : "{}", now);
}

static pt_status past_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  pt_target_past *out = element;
  out->lab = pt__query_lab(query, 0);
  out->uncertainty_de00 = pt__query_number(query, 3);
  out->how = pt__target_how(pt__query_text(query, 4));
  pt__query_copy(query, 5, out->created, sizeof out->created);
  pt__query_copy(query, 6, out->photo, sizeof out->photo);
  out->id = pt__query_integer(query, 7);
  out->no_card = pt__query_integer(query, 8) != 0;
  return PT_OK;
}

#define WELL_KNOWN_DE00 3.0 /* a card gives less, a photo alone 6 */

void pt_target_doubt_words(bool no_card, double uncertainty_de00, char *out, size_t room) {
  if (no_card)
    snprintf(out, room, "No card: this target can be off by %.0f.", uncertainty_de00);
  else if (uncertainty_de00 >= WELL_KNOWN_DE00)
    snprintf(out, room, "This target can be off by %.0f.", uncertainty_de00);
  else
    out[0] = '\0';
}

static pt_status read_detail(pt_book *book, pt_target_past *past, pt_error *err) {
  pt__query query;
  bool row = false;
  pt_status status =
      pt__query_open(book, "SELECT detail FROM target WHERE id = ?", &query, err, "i", past->id);
  if (status == PT_OK) status = pt__query_next(&query, &row, err);
  if (status == PT_OK && !(past->detail = strdup(row ? pt__query_text(&query, 0) : "{}")))
    status = pt_fail_memory(err, "a target's past");
  pt__query_close(&query);
  return status;
}

pt_status pt_target_history(pt_book *book, int64_t layer, pt_target_past **out, size_t *n, pt_error *err) {
  static const char sql[] =
      "SELECT t.l, t.a, t.b, t.uncertainty, t.how, t.created, p.sha256, t.id, " PT__TARGET_NO_CARD(
          "t") " FROM target t LEFT JOIN photo p ON p.id = t.photo WHERE t.layer = ?"
               " ORDER BY t.id DESC";
  pt_target_past *past = NULL;
  size_t count = 0;
  pt_status status =
      pt__book_list(book, sizeof(pt_target_past), past_from_row, &past, &count, err, sql, "i", layer);
  for (size_t i = 0; i < count && status == PT_OK; i++) status = read_detail(book, &past[i], err);
  if (status != PT_OK) {
    pt_target_history_free(past, count);
    return status;
  }
  *out = past;
  *n = count;
  return PT_OK;
}

void pt_target_history_free(pt_target_past *list, size_t n) {
  for (size_t i = 0; list && i < n; i++) free(list[i].detail);
  free(list);
}
