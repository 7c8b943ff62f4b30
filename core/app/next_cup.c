/* The next cup of a layer: the last good batch's once more, corrected where what was learned since asks for
 * it; else a correction of the last cup. */
#include "app/history.h"
#include "app/keep.h"

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
  pt_book_cup kept;
  pt_cup cup;
  pt_slab slab;
  bool measured; /* by readings that are trusted */
  pt_lab color;
  double doubt_de00;
  pt_lab predicted; /* of its drops by the shelf as it is */
} past_cup;

typedef struct next_work {
  pt_book *book;
  const pt_shelf *shelf;
  const pt_pattern_layer *layer;
  const pt_layer_history *history;
} next_work;

/* ---- past cups ----------------------------------------------------------------------------------------- */

static pt_status slab_of(pt_book *book, int64_t cup, pt_slab *out, pt_error *err) {
  pt_pour_kept *list = NULL;
  size_t n = 0;
  pt_status status = pt_pour_list(book, cup, &list, &n, err);
  *out = (pt_slab){10, PT_BACKING_GRAY};
  if (status == PT_OK && n) *out = list[n - 1].slab;
  free(list);
  return status;
}

static pt_status predict_cup(const pt_shelf *shelf, const pt_cup *cup, const pt_slab *slab, pt_lab *out,
                             pt_error *err) {
  pt_recipe loadings;
  pt_prediction predicted;
  pt_cup_loadings(cup, &loadings);
  pt_status status = pt_predict(shelf, &loadings, slab, &predicted, err);
  if (status == PT_OK) *out = predicted.lab;
  return status;
}

/* Not found where the book has no such cup, an empty one, or one whose bottles the shelf lacks. */
static pt_status take_cup(const next_work *w, size_t batch, past_cup *out, pt_error *err) {
  size_t missing = 0;
  *out = (past_cup){.batch = batch};
  pt_status status =
      pt_book_cup_find(w->book, w->history->row[batch].batch.id, w->layer->id, &out->kept, err);
  if (status == PT_NOT_FOUND) return PT_OK;
  if (status == PT_OK) status = pt_book_cup_now(w->book, out->kept.id, w->shelf, &out->cup, &missing, err);
  out->found = status == PT_OK && missing == 0 && out->cup.drops.n > 0;
  if (status != PT_OK || !out->found) return status;
  status = slab_of(w->book, out->kept.id, &out->slab, err);
  if (status == PT_OK) status = predict_cup(w->shelf, &out->cup, &out->slab, &out->predicted, err);
  if (status == PT_OK)
    status =
        pt__cup_measured(w->book, &out->kept, w->shelf, &out->measured, &out->color, &out->doubt_de00, err);
  return status;
}

static pt_status last_cup(const next_work *w, bool good, past_cup *out, pt_error *err) {
  pt_status status = PT_OK;
  *out = (past_cup){0};
  for (size_t i = w->history->n; i-- > 0 && !out->found && status == PT_OK;)
    if (!good || w->history->color[i].good) {
      status = take_cup(w, i, out, err);
      if (good && !out->measured) out->found = false;
    }
  return status;
}

static bool same_drops(const pt_cup *a, const pt_cup *b) {
  if (a->drops.n != b->drops.n || fabs(a->volume_floz - b->volume_floz) > 0.01 * a->volume_floz) return false;
  for (size_t i = 0; i < a->drops.n; i++)
    if (fabs(pt_recipe_amount(&b->drops, a->drops.part[i].bottle) - a->drops.part[i].amount) > SAME_DROPS)
      return false;
  return true;
}

/* What the good cup's drops gave, in the mean over the good batches that had the same. */
static pt_status mean_of_repeats(const next_work *w, past_cup *good, pt_error *err) {
  pt_lab sum = {0};
  double n = 0;
  pt_status status = PT_OK;
  for (size_t i = 0; i <= good->batch && status == PT_OK; i++) {
    past_cup other;
    if (!w->history->color[i].good) continue;
    status = take_cup(w, i, &other, err);
    if (status != PT_OK || !other.found || !other.measured || !same_drops(&good->cup, &other.cup)) continue;
    sum.L += other.color.L, sum.a += other.color.a, sum.b += other.color.b;
    n++;
  }
  if (n > 0) good->color = (pt_lab){sum.L / n, sum.a / n, sum.b / n};
  return status;
}

/* ---- what was learned since ---------------------------------------------------------------------------- */

static pt_lab moved(pt_lab at, pt_lab from, pt_lab to, double share) {
  return (pt_lab){at.L + share * (to.L - from.L), at.a + share * (to.a - from.a),
                  at.b + share * (to.b - from.b)};
}

static pt_status strength_of_lot(pt_book *book, const pt_book_addition *added, double *out, pt_error *err) {
  pt_book_lot *lots = NULL;
  size_t n = 0;
  pt_status status = pt_book_lot_list(book, added->slug, &lots, &n, err);
  for (size_t i = 0; i < n; i++)
    if (strcmp(lots[i].name, added->lot) == 0) *out = lots[i].strength;
  free(lots);
  return status;
}

/* What the same drops gave by the lots that were in the cup. */
static pt_status predict_then(const next_work *w, const past_cup *cup, pt_lab *out, pt_error *err) {
  pt_book_addition *list = NULL;
  size_t n = 0;
  pt_shelf *then = NULL;
  pt_status status = pt_shelf_clone(w->shelf, &then, err);
  if (status == PT_OK) status = pt_book_cup_additions(w->book, cup->kept.id, &list, &n, err);
  for (size_t i = 0; i < n && status == PT_OK; i++) {
    int at = list[i].slug[0] ? pt_shelf_find(then, list[i].slug) : -1;
    if (at >= 0) status = strength_of_lot(w->book, &list[i], &then->bottle[at].strength, err);
  }
  if (status == PT_OK) status = predict_cup(then, &cup->cup, &cup->slab, out, err);
  free(list);
  pt_shelf_free(then);
  return status;
}

static double doubt_of(const past_cup *a, const past_cup *b) {
  return DOUBT_SIGMAS * sqrt(PT_POUR_SD_DE00 * PT_POUR_SD_DE00 + a->doubt_de00 * a->doubt_de00 +
                             (b ? b->doubt_de00 * b->doubt_de00 : 0));
}

/* What the good cup's drops will give today: as they did, but for bottles that are of another lot by now, and
 * but for a later cup of the same drops that came out another color by more than the doubt.  A later cup of
 * other drops says nothing sure of these: what the model misses between the two is of the same size. */
static pt_status expect(const next_work *w, const past_cup *good, const past_cup *last, pt_lab *out,
                        pt_error *err) {
  pt_lab then;
  pt_status status = predict_then(w, good, &then, err);
  if (status != PT_OK) return status;
  *out = moved(good->color, then, good->predicted, 1);
  bool repeated =
      last->found && last->measured && last->batch > good->batch && same_drops(&good->cup, &last->cup);
  if (repeated && pt_de00(*out, last->color) > doubt_of(good, last)) *out = last->color;
  return PT_OK;
}

/* ---- words --------------------------------------------------------------------------------------------- */

/* "orange=28;white=1" as "orange 28, white 1" */
static void recipe_words(const char *recipe, char *out, size_t room) {
  size_t n = 0;
  for (; *recipe && n + 3 < room; recipe++) {
    if (*recipe == ';') out[n++] = ',';
    out[n++] = *recipe == '=' || *recipe == ';' ? ' ' : *recipe;
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

/* ---- the cup ------------------------------------------------------------------------------------------- */

/* A cup like that one with nothing in it yet but its effect bottles: the solver does not choose those, and
 * the next cup takes as much of them again. */
static pt_cup next_start(const pt_shelf *shelf, const pt_cup *like) {
  pt_cup start = {.volume_floz = like->volume_floz,
                  .capacity_floz = fmax(like->capacity_floz, pt_cup_filled_floz(like, shelf))};
  for (size_t i = 0; i < like->drops.n; i++) {
    const pt_part *part = &like->drops.part[i];
    if (shelf->bottle[part->bottle].role == PT_ROLE_EFFECT) start.drops.part[start.drops.n++] = *part;
  }
  return start;
}

/* The recipe at that cup's volume, what its drops gave carried along: from its own bottles while they come
 * near, else from all. */
static pt_status solve_next(const next_work *w, const past_cup *from, pt_lab gave, pt_lab aimed,
                            pt_solution *out, pt_error *err) {
  const pt_aim aim = pt_aim_nearest(aimed);
  const pt_cup start = next_start(w->shelf, &from->cup);
  pt_rules all = pt_rules_default();
  pt_rules_measured(&all, from->predicted, gave);
  all.max_clear_floz = 0;
  all.max_drops = pt_rules_max_drops(&all, &from->cup);
  if (all.max_bottles < from->cup.drops.n) all.max_bottles = from->cup.drops.n;
  pt_rules own = all;
  for (size_t b = 0; b < w->shelf->n; b++)
    if (pt_recipe_amount(&from->cup.drops, b) <= 0) own.use[b] = PT_USE_NEVER;
  const bool any_own = start.drops.n < from->cup.drops.n;
  pt_status status = any_own ? pt_solve(w->shelf, &start, &from->slab, &aim, &own, out, err) : PT_OK;
  if (status == PT_OK && (!any_own || out->de00 > NEAR_ENOUGH_DE00))
    status = pt_solve(w->shelf, &start, &from->slab, &aim, &all, out, err);
  return status;
}

static pt_status correct(const next_work *w, const past_cup *from, pt_lab gave, pt_lab aim, pt_next_cup *next,
                         pt_error *err) {
  pt_solution solution;
  pt_status status = solve_next(w, from, gave, aim, &solution, err);
  if (status != PT_OK) return status;
  next->predicted = solution.predicted.lab;
  pt_recipe_format(&solution.cup.drops, w->shelf, next->recipe, sizeof next->recipe);
  word_change(w->shelf, &from->cup.drops, &solution.cup.drops, next->words, sizeof next->words);
  return PT_OK;
}

static void repeat(const next_work *w, const past_cup *good, pt_lab expected, pt_next_cup *next) {
  next->predicted = expected;
  pt_recipe_format(&good->cup.drops, w->shelf, next->recipe, sizeof next->recipe);
  snprintf(next->words, sizeof next->words, "the last good batch again");
}

/* No recipe, and why; which way the color must go is known all the same. */
static void unknown(const next_work *w, const char *why, pt_next_cup *next) {
  char words[160];
  size_t n = w->history->n;
  if (n == 0 || !w->layer->has_target) return;
  pt_way_words(w->history->color[n - 1].lab, w->layer->target, words, sizeof words);
  snprintf(next->words, sizeof next->words, "%.100s; of the color it knows: %.70s.", why, words);
}

/* A target set since the good batch is what counts; else the color that was called good. */
static pt_status after_good(const next_work *w, past_cup *good, const past_cup *last, pt_next_cup *next,
                            pt_error *err) {
  pt_lab expected;
  char day[24], drops[PT_NOTE_TEXT];
  const pt_batch *batch = &w->history->row[good->batch].batch;
  next->has_good = true;
  day_words(batch->poured, day, sizeof day);
  pt_copy_text(next->good_batch, sizeof next->good_batch, batch->name);
  pt_recipe_format(&good->cup.drops, w->shelf, next->good_recipe, sizeof next->good_recipe);
  recipe_words(next->good_recipe, drops, sizeof drops);
  snprintf(next->good_words, sizeof next->good_words, "Last good batch, %s (%s): %s", day, batch->name,
           drops);
  pt_status status = mean_of_repeats(w, good, err);
  if (status == PT_OK) status = expect(w, good, last, &expected, err);
  if (status != PT_OK) return status;
  bool newer = strcmp(w->layer->target_since, batch->poured) > 0;
  pt_lab aim = newer ? w->layer->target : good->color;
  if (pt_de00(expected, aim) > doubt_of(good, NULL)) return correct(w, good, expected, aim, next, err);
  repeat(w, good, expected, next);
  return PT_OK;
}

pt_status pt__next_cup(pt_book *book, const pt_shelf *shelf, const pt_pattern_layer *layer,
                       const pt_layer_history *history, pt_next_cup *next, pt_error *err) {
  const next_work w = {book, shelf, layer, history};
  past_cup good, last;
  *next = (pt_next_cup){0};
  pt_status status = last_cup(&w, true, &good, err);
  if (status == PT_OK) status = last_cup(&w, false, &last, err);
  if (status != PT_OK) return status;
  if ((!good.found && !last.found) || !layer->has_target) {
    unknown(&w, "The book does not know what was in the last cup", next);
    return PT_OK;
  }
  const past_cup *from = good.found ? &good : &last;
  pt_error why = {0};
  if (good.found)
    status = after_good(&w, &good, &last, next, &why);
  else
    status = correct(&w, &last, last.measured ? last.color : last.predicted, layer->target, next, &why);
  if (status == PT_BAD_INPUT) { /* of this layer alone: the others are still to be advised on */
    unknown(&w, why.text, next);
    return PT_OK;
  }
  if (status != PT_OK) return pt_fail(err, status, "%s", why.text);
  next->known = true;
  next->volume_floz = from->cup.volume_floz;
  next->predicted_de00 = pt_de00(next->predicted, layer->target);
  if (last.found) pt_recipe_format(&last.cup.drops, shelf, next->last, sizeof next->last);
  return PT_OK;
}

pt_status pt__history_advise(pt_book *book, const pt_shelf *shelf, pt_drift_report *report, pt_error *err) {
  bool any = pt_drift_report_found(report);
  pt_status status = PT_OK;
  for (size_t i = 0; i < report->n && status == PT_OK; i++) {
    pt_drift_layer *layer = &report->layer[i];
    if (!layer->check || (any && layer->result.verdict != PT_DRIFT_FOUND)) continue;
    layer->has_advice = true;
    status = pt__next_cup(book, shelf, &report->pattern.layer[i], &layer->history, &layer->next, err);
  }
  return status;
}

pt_status pt__pattern_next(pt_book *book, const pt_shelf *shelf, const pt_pattern *pattern, pt_next_cup *out,
                           pt_error *err) {
  pt_status status = PT_OK;
  for (size_t i = 0; i < pattern->n && status == PT_OK; i++) {
    pt_layer_history history = {0};
    status = pt_layer_history_load(book, pattern->layer[i].id, &history, err);
    if (status == PT_OK) status = pt__next_cup(book, shelf, &pattern->layer[i], &history, &out[i], err);
    pt_layer_history_free(&history);
  }
  return status;
}

/* ---- a cup to pour ------------------------------------------------------------------------------------- */

/* The recipe in another volume, in whole drops. */
static void scale(pt_cup *cup, double volume_floz) {
  double share = volume_floz / cup->volume_floz;
  size_t n = 0;
  for (size_t i = 0; i < cup->drops.n; i++) {
    double drops = round(cup->drops.part[i].amount * share);
    if (drops > 0) cup->drops.part[n++] = (pt_part){cup->drops.part[i].bottle, drops};
  }
  cup->drops.n = n;
  cup->volume_floz = volume_floz;
  cup->capacity_floz *= share;
}

static pt_status first_recipe(const pt_shelf *shelf, const pt_pattern_layer *layer, const pt_slab *slab,
                              double volume_floz, pt_cup *out, pt_error *err) {
  pt_cup empty = {.volume_floz = volume_floz, .capacity_floz = USUAL_CAPACITY * volume_floz};
  pt_rules rules = pt_rules_default();
  pt_aim aim = pt_aim_nearest(layer->target);
  pt_solution solution;
  rules.max_clear_floz = 0;
  pt_status status = pt_solve(shelf, &empty, slab, &aim, &rules, &solution, err);
  if (status == PT_OK) *out = solution.cup;
  return status;
}

pt_status pt__advised_cup(pt_book *book, const pt_shelf *shelf, const pt_pattern_layer *layer,
                          const pt_slab *slab, double volume_floz, pt_cup *out, pt_error *err) {
  pt_layer_history history = {0};
  pt_next_cup next;
  if (!layer->has_target)
    return pt_fail(err, PT_NOT_FOUND,
                   "The %s has no target yet, so nothing can be advised; pourtone target set "
                   "gives it one.",
                   layer->name);
  pt_status status = pt_layer_history_load(book, layer->id, &history, err);
  if (status == PT_OK) status = pt__next_cup(book, shelf, layer, &history, &next, err);
  pt_layer_history_free(&history);
  if (status != PT_OK) return status;
  if (!next.known)
    return first_recipe(shelf, layer, slab, volume_floz > 0 ? volume_floz : USUAL_VOLUME_FLOZ, out, err);
  *out = (pt_cup){.volume_floz = next.volume_floz, .capacity_floz = USUAL_CAPACITY * next.volume_floz};
  status = pt_recipe_parse(next.recipe, shelf, &out->drops, err);
  if (status == PT_OK && volume_floz > 0) scale(out, volume_floz);
  return status;
}
