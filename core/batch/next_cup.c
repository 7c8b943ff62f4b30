/* What earlier cups of a layer say of its next one: the last good cup once more, corrected where what was
 * learned since asks for it; else a correction of the last cup. */
#include "batch/next_cup.h"

#include "batch/carry.h"
#include "batch/past_cup.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The question of one layer, and what the book has of it. */
typedef struct asking {
  dw__past past;
  const dw_advice_request *question;
  const dw_layer *layer;
} asking;

/* Where a color of the layer is to go: its target; without one where its tone leads. */
static dw_lab aim_from(const asking *w, dw_lab color) {
  return w->layer->no_target ? dw_tone_lead(&w->layer->tone, color) : w->layer->target;
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

void dw__word_change(const dw_shelf *shelf, const dw_recipe *before, const dw_recipe *after, char *out,
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

/* The good batch, when it was and what was in its cup. */
static void tell_good(const asking *w, const dw__past_cup *good, dw_next_cup *next) {
  char day[24], drops[DW_NOTE_TEXT];
  const dw_batch *batch = &w->past.history->row[good->batch].batch;
  next->has_good = true;
  day_words(batch->poured, day, sizeof day);
  dw_copy_text(next->good_batch, sizeof next->good_batch, batch->name);
  dw_recipe_format(&good->cup.drops, w->past.shelf, next->good_recipe, sizeof next->good_recipe);
  recipe_words(next->good_recipe, drops, sizeof drops);
  snprintf(next->good_words, sizeof next->good_words, "Last good batch, %s (%s): %s", day, batch->name,
           drops);
}

/* ---- the recipe ---------------------------------------------------------------------------------------- */

/* A cup like that one with nothing in it yet but its effect bottles: the solver does not choose those, and
 * the next cup takes as much of them again, where that may be. */
static dw_cup next_start(const asking *w, const dw_cup *like) {
  const dw_shelf *shelf = w->past.shelf;
  dw_cup start = {.volume_floz = like->volume_floz,
                  .capacity_floz = fmax(like->capacity_floz, dw_cup_filled_floz(like, shelf))};
  for (size_t i = 0; i < like->drops.n; i++) {
    const dw_part *part = &like->drops.part[i];
    if (shelf->bottle[part->bottle].role == DW_ROLE_EFFECT &&
        dw_bottle_free(shelf, &w->question->rules, part->bottle))
      start.drops.part[start.drops.n++] = *part;
  }
  return start;
}

/* What these drops gave, carried to the slab that is asked for. */
static dw_status carry(const asking *w, const dw__past_cup *from, dw_lab gave, dw__next *out, dw_error *err) {
  const dw_lab there = from->predicted;
  dw_lab here;
  dw_status status = dw__cup_predict(w->past.shelf, &from->cup, &w->question->slab, &here, err);
  if (status != DW_OK) return status;
  out->predicted = here;
  out->gave = (dw_lab){here.L + gave.L - there.L, here.a + gave.a - there.a, here.b + gave.b - there.b};
  return DW_OK;
}

/* The limits of the question, for a cup at that one's volume with its bottles alone (own), or with any. */
static dw_rules rules_for(const asking *w, const dw__past_cup *from, const dw__next *next, bool own) {
  dw_rules rules = w->question->rules;
  dw_rules_measured(&rules, next->predicted, next->gave);
  rules.max_clear_floz = 0;
  rules.max_drops = dw_rules_max_drops(&rules, &from->cup);
  if (rules.max_bottles < from->cup.drops.n) rules.max_bottles = from->cup.drops.n;
  for (size_t b = 0; own && b < w->past.shelf->n; b++)
    if (dw_recipe_amount(&from->cup.drops, b) <= 0) rules.use[b] = DW_USE_NEVER;
  return rules;
}

static void word_correction(const asking *w, const dw__past_cup *from, dw__next *out) {
  dw__word_change(w->past.shelf, &from->cup.drops, &out->cup.drops, out->change, sizeof out->change);
  snprintf(out->words, sizeof out->words, "Batch %.40s's cup with %.150s.",
           w->past.history->row[from->batch].batch.name, out->change);
}

/* From its own bottles while they come near, else from all. */
static dw_status correct(const asking *w, const dw__past_cup *from, dw_lab aimed, dw__next *out,
                         dw_error *err) {
  const dw_aim aim = dw_aim_nearest(aimed);
  const dw_cup start = next_start(w, &from->cup);
  const dw_rules all = rules_for(w, from, out, false), own = rules_for(w, from, out, true);
  const dw_slab *slab = &w->question->slab;
  const bool any_own = start.drops.n < from->cup.drops.n;
  dw_solution solution;
  dw_status status = any_own ? dw_solve(w->past.shelf, &start, slab, &aim, &own, &solution, err) : DW_OK;
  const bool near = any_own && status == DW_OK && solution.de00 <= DW_REACHED_DE00;
  if (status == DW_OK && !near) status = dw_solve(w->past.shelf, &start, slab, &aim, &all, &solution, err);
  if (status != DW_OK) return status;
  out->cup = solution.cup;
  out->known = out->cup.drops.n > 0;
  out->stands = start.drops.n > 0 || (near && w->layer->target_see_through < 0);
  word_correction(w, from, out);
  return DW_OK;
}

static bool barred(const asking *w, const dw_recipe *drops) {
  for (size_t i = 0; i < drops->n; i++)
    if (!dw_bottle_free(w->past.shelf, &w->question->rules, drops->part[i].bottle)) return true;
  return false;
}

static void again(const dw__past_cup *cup, const char *change, dw__next *out) {
  out->known = out->stands = true;
  out->cup = cup->cup;
  dw_copy_text(out->change, sizeof out->change, change);
}

/* A target set since the good batch is what counts; else the color that was called good. */
static dw_status after_good(const asking *w, dw__past_cup *good, const dw__past_cup *last, dw__next *out,
                            dw_error *err) {
  dw_lab expected;
  const dw_batch *batch = &w->past.history->row[good->batch].batch;
  dw_status status = dw__past_cup_mean(&w->past, good, err);
  if (status == DW_OK) status = dw__past_cup_expect(&w->past, good, last, &expected, err);
  if (status == DW_OK) status = carry(w, good, expected, out, err);
  if (status != DW_OK) return status;
  const bool newer = strcmp(w->past.layer->target_since, batch->poured) > 0;
  const dw_lab aim = newer ? aim_from(w, good->color) : good->color;
  if (barred(w, &good->cup.drops) || dw_de00(expected, aim) > dw__past_cup_doubt(good, NULL))
    return correct(w, good, aim, out, err);
  again(good, "the last good batch again", out);
  snprintf(out->words, sizeof out->words, "The last good batch again (%.40s).", batch->name);
  return DW_OK;
}

/* What would be left alone in the cup is poured the same again. */
static bool is_right(const asking *w, const dw__past_cup *last, dw_judged *judged) {
  const dw_layer *layer = w->layer;
  if (!last->measured || layer->target_see_through >= 0 || barred(w, &last->cup.drops)) return false;
  dw_tone_spot spot;
  dw_difference_judge(dw_de00(last->color, aim_from(w, last->color)), last->doubt_de00,
                      layer->target_doubt_de00, judged);
  if (!judged->leave || !layer->no_target) return judged->leave;
  dw_tone_place(&layer->tone, last->color, &spot);
  dw_layer_leave_words(layer, last->color, &spot, judged);
  return true;
}

static dw_status after_last(const asking *w, const dw__past_cup *last, dw__next *out, dw_error *err) {
  dw_judged judged;
  dw_status status = carry(w, last, last->measured ? last->color : last->predicted, out, err);
  if (status != DW_OK) return status;
  if (!is_right(w, last, &judged)) return correct(w, last, aim_from(w, out->gave), out, err);
  again(last, "the same again", out);
  snprintf(out->words, sizeof out->words, "The last cup again: %.200s.", judged.words);
  return DW_OK;
}

static dw_status recall(const asking *w, dw__next *out, dw_error *err) {
  dw__past_cup good, last;
  dw_error why = {0};
  dw_status status = dw__past_cup_last(&w->past, true, &good, err);
  if (status == DW_OK) status = dw__past_cup_last(&w->past, false, &last, err);
  if (status != DW_OK || (!good.found && !last.found)) return status;
  out->volume_floz = good.found ? good.cup.volume_floz : last.cup.volume_floz;
  if (good.found) tell_good(w, &good, &out->told);
  if (last.found) dw_recipe_format(&last.cup.drops, w->past.shelf, out->told.last, sizeof out->told.last);
  status = good.found ? after_good(w, &good, &last, out, &why) : after_last(w, &last, out, &why);
  if (status != DW_BAD_INPUT) return status == DW_OK ? DW_OK : dw_fail(err, status, "%s", why.text);
  dw_copy_text(out->why, sizeof out->why,
               why.text); /* of this layer alone: the others are still advised on */
  return DW_OK;
}

/* Which way the color must go is known though no recipe is. */
static void word_way(const asking *w, dw__next *out) {
  char words[160];
  const size_t n = w->past.history->n;
  if (n == 0) return;
  const dw_lab color = w->past.history->color[n - 1].lab;
  dw_way_words(color, aim_from(w, color), words, sizeof words);
  snprintf(out->told.words, sizeof out->told.words, "%.100s; of the color it knows: %.70s.",
           *out->why ? out->why : "The book does not know what was in the last cup", words);
}

dw_status dw__next_remember(dw_book *book, const dw_pattern_layer *kept, const dw_advice_request *question,
                            const dw_layer *layer, dw__next *out, dw_error *err) {
  dw_layer_history history = {0};
  const asking w = {{book, question->shelf, kept, &history}, question, layer};
  *out = (dw__next){0};
  dw_status status = dw_layer_history_load(book, kept->id, &history, err);
  if (status == DW_OK) status = recall(&w, out, err);
  if (status == DW_OK && !out->known) word_way(&w, out);
  dw_layer_history_free(&history);
  return status;
}
