/* The next cup of a layer: the last good batch's once more, corrected where what was learned since asks for
 * it; else a correction of the last cup. */
#include "dropwise/batch.h"
#include "dropwise/batch_drift.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define NEAR_ENOUGH_DE00 1.0 /* with the last cup's own bottles; otherwise others may help */
#define DOUBT_SIGMAS 2.0     /* a change within so many deviations is no news */
#define USUAL_VOLUME_FLOZ 4.0
#define USUAL_CAPACITY 1.25 /* of the clear base in it */
#define SAME_DROPS 1e-6

/* A batch's cup of the layer, and how it came out. */
typedef struct past_cup {
  bool found;
  size_t batch; /* of the history */
  dw_book_cup kept;
  dw_cup cup;
  dw_slab slab;
  bool measured; /* by readings that are trusted */
  dw_lab color;
  double doubt_de00;
  dw_lab predicted; /* of its drops by the shelf as it is */
} past_cup;

typedef struct next_work {
  dw_book *book;
  const dw_shelf *shelf;
  const dw_pattern_layer *layer;
  const dw_layer_history *history;
} next_work;

/* ---- past cups ----------------------------------------------------------------------------------------- */

static dw_status slab_of(dw_book *book, int64_t cup, dw_slab *out, dw_error *err) {
  dw_pour_kept *list = NULL;
  size_t n = 0;
  dw_status status = dw_pour_list(book, cup, &list, &n, err);
  *out = (dw_slab){10, DW_BACKING_GRAY};
  if (status == DW_OK && n) *out = list[n - 1].slab;
  free(list);
  return status;
}

static dw_status predict_cup(const dw_shelf *shelf, const dw_cup *cup, const dw_slab *slab, dw_lab *out,
                             dw_error *err) {
  dw_recipe loadings;
  dw_prediction predicted;
  dw_cup_loadings(cup, &loadings);
  dw_status status = dw_predict(shelf, &loadings, slab, &predicted, err);
  if (status == DW_OK) *out = predicted.lab;
  return status;
}

/* Not found where the book has no such cup, an empty one, or one whose bottles the shelf lacks. */
static dw_status take_cup(const next_work *w, size_t batch, past_cup *out, dw_error *err) {
  size_t missing = 0;
  *out = (past_cup){.batch = batch};
  dw_status status =
      dw_book_cup_find(w->book, w->history->row[batch].batch.id, w->layer->id, &out->kept, err);
  if (status == DW_NOT_FOUND) return DW_OK;
  if (status == DW_OK) status = dw_book_cup_now(w->book, out->kept.id, w->shelf, &out->cup, &missing, err);
  out->found = status == DW_OK && missing == 0 && out->cup.drops.n > 0;
  if (status != DW_OK || !out->found) return status;
  status = slab_of(w->book, out->kept.id, &out->slab, err);
  if (status == DW_OK) status = predict_cup(w->shelf, &out->cup, &out->slab, &out->predicted, err);
  if (status == DW_OK)
    status =
        dw_cup_measured(w->book, &out->kept, w->shelf, &out->measured, &out->color, &out->doubt_de00, err);
  return status;
}

static dw_status last_cup(const next_work *w, bool good, past_cup *out, dw_error *err) {
  dw_status status = DW_OK;
  *out = (past_cup){0};
  for (size_t i = w->history->n; i-- > 0 && !out->found && status == DW_OK;)
    if (!good || w->history->color[i].good) {
      status = take_cup(w, i, out, err);
      if (good && !out->measured) out->found = false;
    }
  return status;
}

static bool same_drops(const dw_cup *a, const dw_cup *b) {
  if (a->drops.n != b->drops.n || fabs(a->volume_floz - b->volume_floz) > 0.01 * a->volume_floz) return false;
  for (size_t i = 0; i < a->drops.n; i++)
    if (fabs(dw_recipe_amount(&b->drops, a->drops.part[i].bottle) - a->drops.part[i].amount) > SAME_DROPS)
      return false;
  return true;
}

/* What the good cup's drops gave, in the mean over the good batches that had the same. */
static dw_status mean_of_repeats(const next_work *w, past_cup *good, dw_error *err) {
  dw_lab sum = {0};
  double n = 0;
  dw_status status = DW_OK;
  for (size_t i = 0; i <= good->batch && status == DW_OK; i++) {
    past_cup other;
    if (!w->history->color[i].good) continue;
    status = take_cup(w, i, &other, err);
    if (status != DW_OK || !other.found || !other.measured || !same_drops(&good->cup, &other.cup)) continue;
    sum.L += other.color.L, sum.a += other.color.a, sum.b += other.color.b;
    n++;
  }
  if (n > 0) good->color = (dw_lab){sum.L / n, sum.a / n, sum.b / n};
  return status;
}

/* ---- what was learned since ---------------------------------------------------------------------------- */

static dw_lab moved(dw_lab at, dw_lab from, dw_lab to, double share) {
  return (dw_lab){at.L + share * (to.L - from.L), at.a + share * (to.a - from.a),
                  at.b + share * (to.b - from.b)};
}

static dw_status strength_of_lot(dw_book *book, const dw_book_addition *added, double *out, dw_error *err) {
  dw_book_lot *lots = NULL;
  size_t n = 0;
  dw_status status = dw_book_lot_list(book, added->slug, &lots, &n, err);
  for (size_t i = 0; i < n; i++)
    if (strcmp(lots[i].name, added->lot) == 0) *out = lots[i].strength;
  free(lots);
  return status;
}

/* What the same drops gave by the lots that were in the cup. */
static dw_status predict_then(const next_work *w, const past_cup *cup, dw_lab *out, dw_error *err) {
  dw_book_addition *list = NULL;
  size_t n = 0;
  dw_shelf *then = NULL;
  dw_status status = dw_shelf_clone(w->shelf, &then, err);
  if (status == DW_OK) status = dw_book_cup_additions(w->book, cup->kept.id, &list, &n, err);
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    int at = list[i].slug[0] ? dw_shelf_find(then, list[i].slug) : -1;
    if (at >= 0) status = strength_of_lot(w->book, &list[i], &then->bottle[at].strength, err);
  }
  if (status == DW_OK) status = predict_cup(then, &cup->cup, &cup->slab, out, err);
  free(list);
  dw_shelf_free(then);
  return status;
}

static double doubt_of(const past_cup *a, const past_cup *b) {
  return DOUBT_SIGMAS * sqrt(DW_POUR_SD_DE00 * DW_POUR_SD_DE00 + a->doubt_de00 * a->doubt_de00 +
                             (b ? b->doubt_de00 * b->doubt_de00 : 0));
}

/* What the good cup's drops will give today: as they did, but for bottles that are of another lot by now, and
 * but for a later cup of the same drops that came out another color by more than the doubt.  A later cup of
 * other drops says nothing sure of these: what the model misses between the two is of the same size. */
static dw_status expect(const next_work *w, const past_cup *good, const past_cup *last, dw_lab *out,
                        dw_error *err) {
  dw_lab then;
  dw_status status = predict_then(w, good, &then, err);
  if (status != DW_OK) return status;
  *out = moved(good->color, then, good->predicted, 1);
  bool repeated =
      last->found && last->measured && last->batch > good->batch && same_drops(&good->cup, &last->cup);
  if (repeated && dw_de00(*out, last->color) > doubt_of(good, last)) *out = last->color;
  return DW_OK;
}

/* ---- words --------------------------------------------------------------------------------------------- */

/* "orange=28,white=1" as "orange 28, white 1" */
static void recipe_words(const char *recipe, char *out, size_t room) {
  size_t n = 0;
  for (; *recipe && n + 3 < room; recipe++) {
    if (*recipe == ',') out[n++] = ',';
    out[n++] = *recipe == '=' || *recipe == ',' ? ' ' : *recipe;
  }
  out[n] = '\0';
}

/* "2026-05-03T..." as "3 May" */
static void day_words(const char *time, char *out, size_t room) {
  static const char *const months[] = {"January", "February", "March",     "April",   "May",      "June",
                                       "July",    "August",   "September", "October", "November", "December"};
  int month = atoi(time + 5);
  snprintf(out, room, "%d %s", atoi(time + 8), months[month >= 1 && month <= 12 ? month - 1 : 0]);
}

static void word_change(const dw_shelf *shelf, const dw_recipe *before, const dw_recipe *after, char *out,
                        size_t room) {
  size_t used = 0;
  out[0] = '\0';
  for (size_t b = 0; b < shelf->n && used < room; b++) {
    double change = dw_recipe_amount(after, b) - dw_recipe_amount(before, b);
    if (fabs(change) < 0.05) continue;
    int n = snprintf(out + used, room - used, "%s%.3g %s of %s", used ? ", " : "", fabs(change),
                     change > 0 ? "more" : "less", shelf->bottle[b].id);
    if (n < 0) return;
    used += (size_t)n;
  }
  if (!used) snprintf(out, room, "the same again");
}

/* ---- the cup ------------------------------------------------------------------------------------------- */

/* A cup like that one with nothing in it yet but its effect bottles: the solver does not choose those, and
 * the next cup takes as much of them again. */
static dw_cup next_start(const dw_shelf *shelf, const dw_cup *like) {
  dw_cup start = {.volume_floz = like->volume_floz,
                  .capacity_floz = fmax(like->capacity_floz, dw_cup_filled_floz(like, shelf))};
  for (size_t i = 0; i < like->drops.n; i++) {
    const dw_part *part = &like->drops.part[i];
    if (shelf->bottle[part->bottle].role == DW_ROLE_EFFECT) start.drops.part[start.drops.n++] = *part;
  }
  return start;
}

/* The recipe at that cup's volume, what its drops gave carried along: from its own bottles while they come
 * near, else from all. */
static dw_status solve_next(const next_work *w, const past_cup *from, dw_lab gave, dw_lab aimed,
                            dw_solution *out, dw_error *err) {
  const dw_aim aim = dw_aim_nearest(aimed);
  const dw_cup start = next_start(w->shelf, &from->cup);
  dw_rules all = dw_rules_default();
  dw_rules_measured(&all, from->predicted, gave);
  all.max_clear_floz = 0;
  all.max_drops = dw_rules_max_drops(&all, &from->cup);
  if (all.max_bottles < from->cup.drops.n) all.max_bottles = from->cup.drops.n;
  dw_rules own = all;
  for (size_t b = 0; b < w->shelf->n; b++)
    if (dw_recipe_amount(&from->cup.drops, b) <= 0) own.use[b] = DW_USE_NEVER;
  const bool any_own = start.drops.n < from->cup.drops.n;
  dw_status status = any_own ? dw_solve(w->shelf, &start, &from->slab, &aim, &own, out, err) : DW_OK;
  if (status == DW_OK && (!any_own || out->de00 > NEAR_ENOUGH_DE00))
    status = dw_solve(w->shelf, &start, &from->slab, &aim, &all, out, err);
  return status;
}

static dw_status correct(const next_work *w, const past_cup *from, dw_lab gave, dw_lab aim, dw_next_cup *next,
                         dw_error *err) {
  dw_solution solution;
  dw_status status = solve_next(w, from, gave, aim, &solution, err);
  if (status != DW_OK) return status;
  next->predicted = solution.predicted.lab;
  dw_recipe_format(&solution.cup.drops, w->shelf, next->recipe, sizeof next->recipe);
  word_change(w->shelf, &from->cup.drops, &solution.cup.drops, next->words, sizeof next->words);
  return DW_OK;
}

static void repeat(const next_work *w, const past_cup *good, dw_lab expected, dw_next_cup *next) {
  next->predicted = expected;
  dw_recipe_format(&good->cup.drops, w->shelf, next->recipe, sizeof next->recipe);
  snprintf(next->words, sizeof next->words, "the last good batch again");
}

/* No recipe, and why; which way the color must go is known all the same. */
static void unknown(const next_work *w, const char *why, dw_next_cup *next) {
  char words[160];
  size_t n = w->history->n;
  if (n == 0 || !w->layer->has_target) return;
  dw_way_words(w->history->color[n - 1].lab, w->layer->target, words, sizeof words);
  snprintf(next->words, sizeof next->words, "%.100s; of the color it knows: %.70s.", why, words);
}

/* A target set since the good batch is what counts; else the color that was called good. */
static dw_status after_good(const next_work *w, past_cup *good, const past_cup *last, dw_next_cup *next,
                            dw_error *err) {
  dw_lab expected;
  char day[24], drops[DW_NOTE_TEXT];
  const dw_batch *batch = &w->history->row[good->batch].batch;
  next->has_good = true;
  day_words(batch->poured, day, sizeof day);
  dw_copy_text(next->good_batch, sizeof next->good_batch, batch->name);
  dw_recipe_format(&good->cup.drops, w->shelf, next->good_recipe, sizeof next->good_recipe);
  recipe_words(next->good_recipe, drops, sizeof drops);
  snprintf(next->good_words, sizeof next->good_words, "Last good batch, %s (%s): %s", day, batch->name,
           drops);
  dw_status status = mean_of_repeats(w, good, err);
  if (status == DW_OK) status = expect(w, good, last, &expected, err);
  if (status != DW_OK) return status;
  bool newer = strcmp(w->layer->target_since, batch->poured) > 0;
  dw_lab aim = newer ? w->layer->target : good->color;
  if (dw_de00(expected, aim) > doubt_of(good, NULL)) return correct(w, good, expected, aim, next, err);
  repeat(w, good, expected, next);
  return DW_OK;
}

dw_status dw_next_cup_make(dw_book *book, const dw_shelf *shelf, const dw_pattern_layer *layer,
                           const dw_layer_history *history, dw_next_cup *next, dw_error *err) {
  const next_work w = {book, shelf, layer, history};
  past_cup good, last;
  *next = (dw_next_cup){0};
  dw_status status = last_cup(&w, true, &good, err);
  if (status == DW_OK) status = last_cup(&w, false, &last, err);
  if (status != DW_OK) return status;
  if ((!good.found && !last.found) || !layer->has_target) {
    unknown(&w, "The book does not know what was in the last cup", next);
    return DW_OK;
  }
  const past_cup *from = good.found ? &good : &last;
  dw_error why = {0};
  if (good.found)
    status = after_good(&w, &good, &last, next, &why);
  else
    status = correct(&w, &last, last.measured ? last.color : last.predicted, layer->target, next, &why);
  if (status == DW_BAD_INPUT) { /* of this layer alone: the others are still to be advised on */
    unknown(&w, why.text, next);
    return DW_OK;
  }
  if (status != DW_OK) return dw_fail(err, status, "%s", why.text);
  next->known = true;
  next->volume_floz = from->cup.volume_floz;
  next->predicted_de00 = dw_de00(next->predicted, layer->target);
  if (last.found) dw_recipe_format(&last.cup.drops, shelf, next->last, sizeof next->last);
  return DW_OK;
}

dw_status dw_drift_report_advise(dw_book *book, const dw_shelf *shelf, dw_drift_report *report,
                                 dw_error *err) {
  bool any = dw_drift_report_found(report);
  dw_status status = DW_OK;
  for (size_t i = 0; i < report->n && status == DW_OK; i++) {
    dw_drift_layer *layer = &report->layer[i];
    if (!layer->check || (any && layer->result.verdict != DW_DRIFT_FOUND)) continue;
    layer->has_advice = true;
    status = dw_next_cup_make(book, shelf, &report->pattern.layer[i], &layer->history, &layer->next, err);
  }
  return status;
}

dw_status dw_pattern_next(dw_book *book, const dw_shelf *shelf, const dw_pattern *pattern, dw_next_cup *out,
                          dw_error *err) {
  dw_status status = DW_OK;
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++) {
    dw_layer_history history = {0};
    status = dw_layer_history_load(book, pattern->layer[i].id, &history, err);
    if (status == DW_OK) status = dw_next_cup_make(book, shelf, &pattern->layer[i], &history, &out[i], err);
    dw_layer_history_free(&history);
  }
  return status;
}

/* ---- a cup to pour ------------------------------------------------------------------------------------- */

/* The recipe in another volume, in whole drops. */
static void scale(dw_cup *cup, double volume_floz) {
  double share = volume_floz / cup->volume_floz;
  size_t n = 0;
  for (size_t i = 0; i < cup->drops.n; i++) {
    double drops = round(cup->drops.part[i].amount * share);
    if (drops > 0) cup->drops.part[n++] = (dw_part){cup->drops.part[i].bottle, drops};
  }
  cup->drops.n = n;
  cup->volume_floz = volume_floz;
  cup->capacity_floz *= share;
}

static dw_status first_recipe(const dw_shelf *shelf, const dw_pattern_layer *layer, const dw_slab *slab,
                              double volume_floz, dw_cup *out, dw_error *err) {
  dw_cup empty = {.volume_floz = volume_floz, .capacity_floz = USUAL_CAPACITY * volume_floz};
  dw_rules rules = dw_rules_default();
  dw_aim aim = dw_aim_nearest(layer->target);
  dw_solution solution;
  rules.max_clear_floz = 0;
  dw_status status = dw_solve(shelf, &empty, slab, &aim, &rules, &solution, err);
  if (status == DW_OK) *out = solution.cup;
  return status;
}

dw_status dw_advised_cup(dw_book *book, const dw_shelf *shelf, const dw_pattern_layer *layer,
                         const dw_slab *slab, double volume_floz, dw_cup *out, dw_error *err) {
  dw_layer_history history = {0};
  dw_next_cup next;
  if (!layer->has_target)
    return dw_fail(err, DW_NOT_FOUND,
                   "The %s has no target yet, so nothing can be advised; dropwise target set "
                   "gives it one.",
                   layer->name);
  dw_status status = dw_layer_history_load(book, layer->id, &history, err);
  if (status == DW_OK) status = dw_next_cup_make(book, shelf, layer, &history, &next, err);
  dw_layer_history_free(&history);
  if (status != DW_OK) return status;
  if (!next.known)
    return first_recipe(shelf, layer, slab, volume_floz > 0 ? volume_floz : USUAL_VOLUME_FLOZ, out, err);
  *out = (dw_cup){.volume_floz = next.volume_floz, .capacity_floz = USUAL_CAPACITY * next.volume_floz};
  status = dw_recipe_parse(next.recipe, shelf, &out->drops, err);
  if (status == DW_OK && volume_floz > 0) scale(out, volume_floz);
  return status;
}
