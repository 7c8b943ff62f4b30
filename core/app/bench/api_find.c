/* Photos searched: card and baits that nobody marked, and the card laid where it was pointed at. */
#include "app/bench/request.h"
#include "app/bench/settings.h"
#include "app/bench/transaction.h"
#include "dropwise/batch_find.h"
#include "dropwise/card_find.h"

#include <stdlib.h>
#include <string.h>

static dw_status targets_from(const json_t *list, dw_bait_rules *out, dw_error *err) {
  if (dw_json_absent(list)) return DW_OK;
  if (!json_is_array(list) || json_array_size(list) > DW_BAIT_LAYERS_MAX)
    return dw_fail(err, DW_USAGE, "\"targets\" must be a list of at most %d colors.", DW_BAIT_LAYERS_MAX);
  out->n_target = json_array_size(list);
  for (size_t i = 0; i < out->n_target; i++) {
    dw_status status = dw_json_lab_of(json_array_get(list, i), "targets", &out->target[i], err);
    if (status != DW_OK) return status;
  }
  return DW_OK;
}

static dw_status rules_from(const json_t *body, dw_bait_rules *out, dw_error *err) {
  int64_t layers;
  const char *back;
  *out = (dw_bait_rules){0};
  dw_status status = dw_json_whole_of(body, "layers", 0, DW_BAIT_LAYERS_MAX, 0, &layers, err);
  if (status == DW_OK) status = dw_json_text_of(body, "back", false, &back, err);
  if (status == DW_OK) status = targets_from(json_object_get(body, "targets"), out, err);
  if (status != DW_OK) return status;
  out->layers = (size_t)layers;
  if (back && strcmp(back, "lower") == 0)
    out->back = DW_BACK_LOWER;
  else if (back && strcmp(back, "upper") != 0)
    return dw_fail(err, DW_USAGE, "\"back\" must be \"upper\" or \"lower\".");
  if (out->n_target && out->layers && out->n_target != out->layers)
    return dw_fail(err, DW_USAGE, "There must be as many targets as layers.");
  return DW_OK;
}

static dw_status scale_read(dw_bench *bench, dw_find_wish *out, dw_error *err) {
  dw_settings settings = dw_settings_default();
  dw_status status = dw__book_begin_reading(bench, err);
  if (status != DW_OK) return status;
  status = dw__book_end(bench, dw__settings_in(bench, &settings, err), err);
  out->card_mm = settings.card_mm;
  return status;
}

/* What is looked for; a pattern's layers where one is named.  out  borrows from pattern */
static dw_status wish_from(dw__exchange *x, dw_pattern *pattern, dw_find_wish *out, dw_error *err) {
  *out = (dw_find_wish){.card_set = DW_CARD_USUAL};
  dw_status status = rules_from(x->body, &out->rules, err);
  if (status == DW_OK) status = scale_read(x->bench, out, err);
  if (status != DW_OK || dw_json_absent(json_object_get(x->body, "pattern"))) return status;
  if (out->rules.n_target) return dw_fail(err, DW_USAGE, "Give \"pattern\" or \"targets\", not both.");
  status = dw__pattern_read(x, pattern, err);
  if (status == DW_OK && pattern->swirl)
    return dw_fail(err, DW_USAGE, "\"%s\" is a swirl: its colors have no order to be found in.",
                   pattern->name);
  return status == DW_OK ? dw_find_wish_take(pattern, out, err) : status;
}

static dw_status search(dw__exchange *x, dw_photo *photo, dw_marks *marks, const dw_find_wish *wish,
                        dw_error *err) {
  dw_arena *arena = dw_arena_new(0);
  dw_found *found = calloc(1, sizeof *found);
  dw_status status = arena && found ? DW_OK : dw_fail_memory(err, "the baits");
  if (status == DW_OK)
    status = dw__boards_find(&x->bench->boards, x->part[0], photo, marks, &wish->rules, arena, found, err);
  if (status == DW_OK) {
    dw_copy_text(found->reading.path, sizeof found->reading.path, x->part[0]); /* all that a page knows of */
    if (!(x->json = dw_json_found(found, wish))) status = dw_fail_memory(err, "what was found");
  }
  free(found);
  dw_arena_free(arena);
  return status;
}

dw_status dw__find_post(dw__exchange *x, dw_error *err) {
  dw_pattern pattern;
  dw_find_wish wish;
  dw_photo *photo = NULL;
  dw_marks *marks = calloc(1, sizeof *marks);
  if (!marks) return dw_fail_memory(err, "the marks");
  dw_status status = wish_from(x, &pattern, &wish, err);
  if (status == DW_OK) status = dw__marks_of(json_object_get(x->body, "marks"), marks, err);
  if (status == DW_OK && !marks->card_set[0]) status = dw_marks_set_card(marks, DW_CARD_USUAL, err);
  if (status == DW_OK) status = dw__photos_decode(&x->bench->photos, x->part[0], &photo, err);
  if (status == DW_OK) status = search(x, photo, marks, &wish, err);
  dw_photo_close(photo);
  free(marks);
  return status;
}

/* ---- the card, where it was pointed at --------------------------------------------------------------------
 */

/* Three corners tell the fourth of a card seen from above; what is off by then the patches set right. */
static dw_status corners_from(const json_t *list, dw_corners *out, dw_error *err) {
  size_t n = json_array_size(list);
  if (n != 6 && n != 8) return dw_fail(err, DW_USAGE, "\"corners\" must be six or eight numbers.");
  for (size_t i = 0; i < n; i++) {
    const json_t *number = json_array_get(list, i);
    if (!json_is_number(number)) return dw_fail(err, DW_USAGE, "A corner of the card is not a number.");
    out->xy[i] = json_number_value(number);
  }
  for (size_t i = n; i < 8; i++) out->xy[i] = out->xy[i - 6] + out->xy[i - 2] - out->xy[i - 4];
  return DW_OK;
}

dw_status dw__card_post(dw__exchange *x, dw_error *err) {
  dw_photo *photo = NULL;
  dw_corners corners;
  const char *set;
  bool settled = false;
  dw_status status = dw_json_text_of(x->body, "set", false, &set, err);
  const dw_card *card = dw_card_named(set ? set : DW_CARD_USUAL);
  if (status == DW_OK && !card) status = dw_fail(err, DW_USAGE, "The bench knows no card \"%.40s\".", set);
  if (status == DW_OK) status = corners_from(json_object_get(x->body, "corners"), &corners, err);
  if (status == DW_OK) status = dw__photos_open(&x->bench->photos, x->part[0], &photo, err);
  if (status == DW_OK) status = dw_card_settle(photo, card, &corners, &settled, err);
  dw_photo_close(photo);
  if (status != DW_OK) return status;
  x->json = json_pack("{s:o, s:b}", "corners", dw_json_corners(&corners), "settled", settled);
  return x->json ? DW_OK : dw_fail_memory(err, "the card");
}
