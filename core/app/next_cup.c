/* The correction for the next cup of a layer that drifted. */
#include "app/history.h"
#include "app/keep.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define NEAR_ENOUGH_DE00 1.0 /* with the last cup's own bottles; otherwise others may help */

/* The last batch of the layer that had a cup. */
static pt_status last_cup(pt_book *book, int64_t layer, const pt_layer_history *history, bool *found,
                          pt_book_cup *cup, pt_error *err) {
  *found = false;
  for (size_t i = history->n; i-- > 0 && !*found;) {
    pt_status status = pt_book_cup_find(book, history->row[i].batch.id, layer, cup, err);
    if (status != PT_OK && status != PT_NOT_FOUND) return status;
    *found = status == PT_OK;
  }
  return PT_OK;
}

static void word_change(const pt_shelf *shelf, const pt_recipe *before, const pt_recipe *after, char *out,
                        size_t room) {
  size_t used = 0;
  out[0] = '\0';
  for (size_t b = 0; b < shelf->n && used < room; b++) {
    double change = pt_recipe_amount(after, b) - pt_recipe_amount(before, b);
    if (fabs(change) < 0.05) continue;
    int n = snprintf(out + used, room - used, "%s%.3g %s of %s", used ? ", " : "", fabs(change),
                     change > 0 ? "more" : "less", shelf->bottle[b].id);
    if (n < 0) return;
    used += (size_t)n;
  }
  if (!used) snprintf(out, room, "the same again");
}

/* A recipe from nothing in a cup like the last one, that cup's own offset carried along. */
static pt_status solve_next(const pt_shelf *shelf, const pt_cup *last, const pt_rules *carried,
                            const pt_slab *slab, pt_lab target, bool own_only, pt_solution *out,
                            pt_error *err) {
  pt_rules rules = *carried;
  pt_aim aim = pt_aim_nearest(target);
  pt_cup empty = {.volume_floz = last->volume_floz, .capacity_floz = last->capacity_floz};
  if (rules.max_bottles < last->drops.n) rules.max_bottles = last->drops.n;
  for (size_t b = 0; b < shelf->n && own_only; b++)
    if (pt_recipe_amount(&last->drops, b) <= 0) rules.use[b] = PT_USE_NEVER;
  return pt_solve(shelf, &empty, slab, &aim, &rules, out, err);
}

static pt_status offset_of(pt_book *book, const pt_book_cup *kept, const pt_shelf *shelf, const pt_cup *last,
                           const pt_slab *slab, pt_rules *rules, pt_error *err) {
  pt_lab measured;
  double uncertainty;
  bool found;
  pt_recipe loadings;
  pt_prediction predicted;
  pt_status status = pt__cup_measured(book, kept, shelf, &found, &measured, &uncertainty, err);
  if (status != PT_OK || !found) return status;
  pt_cup_loadings(last, &loadings);
  status = pt_predict(shelf, &loadings, slab, &predicted, err);
  if (status != PT_OK) return status;
  rules->offset_at = predicted.lab;
  rules->offset =
      (pt_lab){measured.L - predicted.lab.L, measured.a - predicted.lab.a, measured.b - predicted.lab.b};
  return PT_OK;
}

static pt_status slab_of(pt_book *book, int64_t cup, pt_slab *out, pt_error *err) {
  pt_pour_kept *list = NULL;
  size_t n = 0;
  pt_status status = pt_pour_list(book, cup, &list, &n, err);
  *out = (pt_slab){10, PT_BACKING_GRAY};
  if (status == PT_OK && n) *out = list[n - 1].slab;
  free(list);
  return status;
}

static pt_status advise_layer(pt_book *book, const pt_shelf *shelf, int64_t id, pt_drift_layer *layer,
                              pt_error *err) {
  pt_book_cup kept;
  pt_cup last;
  pt_slab slab;
  pt_rules rules = pt_rules_default();
  pt_solution solution;
  size_t missing = 0;
  bool found;
  pt_next_cup *next = &layer->next;
  layer->has_advice = true;
  pt_status status = last_cup(book, id, &layer->history, &found, &kept, err);
  if (status == PT_OK && found) status = pt_book_cup_now(book, kept.id, shelf, &last, &missing, err);
  if (status == PT_OK && (!found || missing || last.drops.n == 0)) {
    char words[160];
    pt_way_words(layer->history.color[layer->history.n - 1].lab, layer->target, words, sizeof words);
    snprintf(next->words, sizeof next->words,
             "The book does not know what was in the last cup; of the color it knows: %.100s.", words);
    return PT_OK;
  }
  if (status == PT_OK) status = slab_of(book, kept.id, &slab, err);
  if (status == PT_OK) status = offset_of(book, &kept, shelf, &last, &slab, &rules, err);
  if (status == PT_OK) status = solve_next(shelf, &last, &rules, &slab, layer->target, true, &solution, err);
  if (status == PT_OK && solution.de00 > NEAR_ENOUGH_DE00)
    status = solve_next(shelf, &last, &rules, &slab, layer->target, false, &solution, err);
  if (status != PT_OK) return status;
  next->known = true;
  next->volume_floz = last.volume_floz;
  next->predicted = solution.predicted.lab;
  next->predicted_de00 = solution.de00;
  pt_recipe_format(&solution.add, shelf, next->recipe, sizeof next->recipe);
  pt_recipe_format(&last.drops, shelf, next->last, sizeof next->last);
  word_change(shelf, &last.drops, &solution.add, next->words, sizeof next->words);
  return PT_OK;
}

pt_status pt__history_advise(pt_book *book, const pt_shelf *shelf, pt_drift_report *report, pt_error *err) {
  bool any = pt_drift_report_found(report);
  pt_status status = PT_OK;
  for (size_t i = 0; i < report->n && status == PT_OK; i++) {
    pt_drift_layer *layer = &report->layer[i];
    if (!layer->check || (any && layer->result.verdict != PT_DRIFT_FOUND)) continue;
    status = advise_layer(book, shelf, report->pattern.layer[i].id, layer, err);
  }
  return status;
}
