/* The book's history of a pattern turned into a drift report. */
#include "batch/drift_groups.h"
#include "batch/drift_shares.h"

#include "dropwise/book_heat.h"
#include "dropwise/numeric.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define HEAT_P_SURE 0.05 /* the usual level */

/* ---- the tone ------------------------------------------------------------------------------------------ */

/* The newest batch's color in the layer's tone. */
static dw_status place_newest(dw_book *book, const dw_pattern_layer *layer, dw_drift_layer *out,
                              dw_error *err) {
  const dw_layer_history *history = &out->history;
  return history->n ? dw_toned_place(book, layer, history->color[history->n - 1].lab, &out->tone, err)
                    : DW_OK;
}

/* ---- what was in the cups ------------------------------------------------------------------------------ */

/* Drops of every bottle, in two cups. */
typedef struct two_cups {
  size_t n;
  struct {
    char slug[DW_ID_ROOM];
    double drops[2];
  } bottle[2 * DW_CUP_BOTTLES_MAX];
} two_cups;

static dw_status add_cup(dw_book *book, int64_t batch, int64_t layer, int which, two_cups *out, bool *found,
                         dw_error *err) {
  dw_book_cup cup;
  dw_book_addition *list = NULL;
  size_t n = 0;
  dw_status status = dw_book_cup_contents(book, batch, layer, &cup, &list, &n, err);
  *found = cup.id != 0;
  for (size_t i = 0; i < n; i++) {
    size_t at = 0;
    if (!list[i].slug[0]) continue;
    while (at < out->n && strcmp(out->bottle[at].slug, list[i].slug) != 0) at++;
    if (at == sizeof out->bottle / sizeof *out->bottle) continue;
    memcpy(out->bottle[at].slug, list[i].slug, sizeof out->bottle[at].slug);
    out->bottle[at].drops[which] += list[i].drops;
    out->n += at == out->n;
  }
  free(list);
  return status;
}

/* What the last cup had more or less of than the last good one before it. */
static dw_status word_drops(dw_book *book, int64_t layer, dw_drift_layer *out, dw_error *err) {
  two_cups cups = {0};
  bool found = false, before = false;
  size_t last = out->history.n - 1, good = last;
  while (good > 0 && !out->history.color[good - 1].good) good--;
  if (good-- == 0) return DW_OK;
  dw_status status = add_cup(book, out->history.row[good].batch.id, layer, 0, &cups, &before, err);
  if (status == DW_OK) status = add_cup(book, out->history.row[last].batch.id, layer, 1, &cups, &found, err);
  if (status != DW_OK || !found || !before) return status;
  size_t used = 0;
  for (size_t i = 0; i < cups.n && used + 80 < sizeof out->drops; i++) {
    double change = cups.bottle[i].drops[1] - cups.bottle[i].drops[0];
    if (fabs(change) < 0.05) continue;
    used += (size_t)snprintf(out->drops + used, sizeof out->drops - used, "%s%.3g drop%s %s of %.40s",
                             used ? ", " : "", fabs(change), fabs(change) == 1 ? "" : "s",
                             change > 0 ? "more" : "less", cups.bottle[i].slug);
  }
  if (used)
    snprintf(out->drops + used, sizeof out->drops - used, " than batch %.40s",
             out->history.row[good].batch.name);
  return DW_OK;
}

/* ---- one layer ----------------------------------------------------------------------------------------- */

static dw_status load_layer(dw_book *book, const dw_pattern *pattern, const dw_pattern_layer *from,
                            dw_drift_layer *out, dw_error *err) {
  memcpy(out->name, from->name, sizeof out->name);
  out->target_doubt_de00 = from->target_uncertainty_de00;
  out->target_no_card = from->target_no_card;
  out->has_target = from->has_target;
  out->target = from->target;
  dw_status status = dw_layer_history_load(book, from->id, &out->history, err);
  if (status == DW_OK) status = place_newest(book, from, out, err);
  if (status == DW_OK) status = dw__drift_shares(pattern, from, out, err);
  if (status == DW_OK) status = dw_layer_travels_load(book, from->id, &out->travels, err);
  if (status != DW_OK) return status;
  if (!out->has_target || out->history.n == 0) {
    snprintf(out->result.words, sizeof out->result.words, "The %s has no %s yet.", out->name,
             out->has_target ? "measured batch" : "target");
    return DW_OK;
  }
  out->check = calloc(out->history.n, sizeof *out->check);
  if (!out->check) return dw_fail_memory(err, "the batches");
  status = dw_drift_check(out->name, out->target, out->history.color, out->history.n, out->check,
                          &out->result, err);
  if (status == DW_OK) status = word_drops(book, from->id, out, err);
  return status == DW_OK ? dw__drift_groups(out, err) : status;
}

/* ---- what the book's pours say ------------------------------------------------------------------------- */

static void answer(const double *x, const double *y, size_t n, const char *what, dw_heat_answer *out) {
  *out = (dw_heat_answer){.n = n, .measured = n > 0};
  dw_error ignored;
  char range[48];
  out->enough = n >= DW_HEAT_POURS_MIN && dw_rank_correlation(x, y, n, &out->rho, &out->p, &ignored) == DW_OK;
  if (!out->enough) {
    snprintf(out->words, sizeof out->words,
             "Whether a wider spread of cup temperatures goes with %s: not enough pours to tell (%zu of %d).",
             what, n, DW_HEAT_POURS_MIN);
    return;
  }
  dw_rank_correlation_interval(out->rho, n, &out->low, &out->high);
  snprintf(range, sizeof range, "%.2f, 95%% of %.2f to %.2f", out->rho, out->low, out->high);
  if (out->p < HEAT_P_SURE)
    snprintf(out->words, sizeof out->words,
             "A wider spread of cup temperatures goes with %s %s (rank correlation %s, p %.3f, %zu pours).",
             out->rho > 0 ? "more" : "less", what, range, out->p, n);
  else
    snprintf(out->words, sizeof out->words,
             "No sign that the spread of cup temperatures goes with %s (rank correlation %s, p %.2f, %zu "
             "pours).",
             what, range, out->p, n);
}

/* The mean over the layers of a batch's CIEDE2000 to the target; NAN when none was read. */
static double batch_de00(const dw_drift_report *report, int64_t batch) {
  double sum = 0;
  size_t n = 0;
  for (size_t l = 0; l < report->n; l++)
    for (size_t i = 0; report->layer[l].check && i < report->layer[l].history.n; i++) {
      if (report->layer[l].history.row[i].batch.id != batch) continue;
      sum += report->layer[l].check[i].de00_target;
      n++;
    }
  return n ? sum / (double)n : NAN;
}

/* Where nothing can be said: what was not noted. */
static void word_missing(const dw_batch_heat *heat, size_t n, dw_heat_answer *drift, dw_heat_answer *blend) {
  size_t spreads = 0, blends = 0;
  for (size_t i = 0; i < n; i++) {
    spreads += isnan(heat[i].spread_f) ? 0 : 1;
    blends += isnan(heat[i].blend_mm) ? 0 : 1;
  }
  drift->measured = spreads > 0;
  blend->measured = spreads > 0 && blends > 0;
  if (spreads == 0)
    snprintf(
        drift->words, sizeof drift->words,
        "Cup temperatures: no batch has them for two cups, so their spread is not known (dropwise heat, or "
        "pour --temperature, for each cup).");
  if (spreads == 0 || blends == 0)
    snprintf(blend->words, sizeof blend->words,
             "The blend between the layers: its width %s (pour --blend MM).",
             blends ? "is noted, the cups' temperatures are not" : "is not noted for any batch");
}

static dw_status answer_heat(dw_book *book, dw_drift_report *report, dw_error *err) {
  dw_batch_heat *heat = NULL;
  size_t n = 0, blends = 0, drifts = 0;
  dw_status status = dw_batch_heat_list(book, report->pattern.id, &heat, &n, err);
  if (status != DW_OK) return status;
  double *pairs = calloc(4 * n + 1, sizeof *pairs);
  if (!pairs) {
    free(heat);
    return dw_fail_memory(err, "the temperatures");
  }
  double *blend_x = pairs, *blend_y = pairs + n, *drift_x = pairs + 2 * n, *drift_y = pairs + 3 * n;
  for (size_t i = 0; i < n; i++) {
    if (isnan(heat[i].spread_f)) continue;
    double de00 = batch_de00(report, heat[i].batch);
    if (!isnan(heat[i].blend_mm)) blend_x[blends] = heat[i].spread_f, blend_y[blends++] = heat[i].blend_mm;
    if (!isnan(de00)) drift_x[drifts] = heat[i].spread_f, drift_y[drifts++] = de00;
  }
  answer(blend_x, blend_y, blends, "blend between the layers", &report->heat_blend);
  answer(drift_x, drift_y, drifts, "distance from the targets", &report->heat_drift);
  word_missing(heat, n, &report->heat_drift, &report->heat_blend);
  if (report->pattern.swirl)
    report->heat_blend =
        (dw_heat_answer){.words = "A swirl has no borders between layers whose width could be noted."};
  free(pairs);
  free(heat);
  return DW_OK;
}

/* ---- lots ---------------------------------------------------------------------------------------------- */

/* When the drift of the layer began; its text time, or NULL without drift. */
static const char *drift_began(const dw_drift_layer *layer) {
  if (!layer->check || layer->result.verdict != DW_DRIFT_FOUND) return NULL;
  return layer->history.row[layer->result.since].batch.poured;
}

/* Of its color: what is in the cups has to do with it. */
static bool color_drifts(const dw_drift_report *report) {
  for (size_t i = 0; i < report->n; i++)
    if (drift_began(&report->layer[i])) return true;
  return false;
}

static bool change_counts(const dw_drift_report *report, const dw_lot_change *change, bool any_drift) {
  if (!any_drift) return true;
  for (size_t l = 0; l < report->n; l++) {
    const dw_drift_layer *layer = &report->layer[l];
    const char *began = drift_began(layer);
    if (!began || report->pattern.layer[l].id != change->layer) continue;
    for (size_t i = 0; i <= layer->result.since; i++)
      if (layer->history.row[i].batch.id == change->batch) return true;
  }
  return false;
}

/* Changes of lot; where there is drift, only those of the drifting layers from before it began or with it. */
static dw_status find_changes(dw_book *book, dw_drift_report *report, dw_error *err) {
  size_t n = 0, kept = 0;
  dw_status status = dw_lot_change_list(book, report->pattern.id, &report->change, &n, err);
  bool any = color_drifts(report);
  for (size_t i = 0; status == DW_OK && i < n; i++)
    if (change_counts(report, &report->change[i], any)) report->change[kept++] = report->change[i];
  report->n_changes = kept;
  return status;
}

static void pool_repeats(dw_drift_report *report) {
  double squares = 0;
  for (size_t l = 0; l < report->n; l++) {
    const dw_repeatability *one = &report->layer[l].history.repeat;
    squares += one->sd_de00 * one->sd_de00 * one->degrees;
    report->repeat.degrees += one->degrees;
  }
  if (report->repeat.degrees > 0) report->repeat.sd_de00 = sqrt(squares / report->repeat.degrees);
}

dw_status dw_drift_report_load(dw_book *book, const char *pattern, dw_drift_report *out, dw_error *err) {
  *out = (dw_drift_report){0};
  dw_status status = dw_pattern_find(book, pattern, &out->pattern, err);
  for (size_t i = 0; status == DW_OK && i < out->pattern.n; i++) {
    out->n = i + 1;
    status = load_layer(book, &out->pattern, &out->pattern.layer[i], &out->layer[i], err);
  }
  if (status != DW_OK) return status;
  pool_repeats(out);
  status = answer_heat(book, out, err);
  return status == DW_OK ? find_changes(book, out, err) : status;
}

bool dw_drift_report_found(const dw_drift_report *report) {
  for (size_t i = 0; i < report->n; i++) {
    const dw_drift_layer *layer = &report->layer[i];
    if (layer->check && layer->result.verdict == DW_DRIFT_FOUND) return true;
    if (layer->shares_of.n && layer->shares_of.result.verdict == DW_DRIFT_FOUND) return true;
  }
  return false;
}

void dw_drift_report_free(dw_drift_report *report) {
  for (size_t i = 0; i < report->n; i++) {
    dw_drift_layer *layer = &report->layer[i];
    dw_layer_history_free(&layer->history);
    free(layer->check);
    free(layer->bait_mean);
    free(layer->bait_range);
    free(layer->bait_limits);
    free(layer->travels.batch);
    free(layer->shares_of.row);
    free(layer->shares_of.batch);
    free(layer->shares_of.check);
  }
  free(report->change);
  *report = (dw_drift_report){0};
}

/* ---- what to pour next --------------------------------------------------------------------------------- */

static void take_next(const dw_batch_advice *advice, dw_drift_report *report) {
  bool any = color_drifts(report);
  for (size_t i = 0; i < report->n; i++) {
    dw_drift_layer *layer = &report->layer[i];
    const size_t at = dw_request_layer_find(&advice->request, layer->name);
    if ((!layer->check && !layer->tone.known) || (any && layer->result.verdict != DW_DRIFT_FOUND)) continue;
    layer->has_advice = at < advice->request.n;
    if (layer->has_advice) layer->next = advice->next[at];
  }
}

dw_status dw_drift_report_advise(dw_book *book, const dw_shelf *shelf, const dw_plugins *plugins,
                                 dw_drift_report *report, dw_error *err) {
  dw_batch_advice *advice = NULL;
  dw_status status = dw_batch_advise_next(book, &report->pattern, plugins, shelf, &advice, err);
  if (status == DW_OK && *shelf->lacking)
    dw_bottle_lack_words(shelf->lacking, false, report->lack, sizeof report->lack);
  if (status == DW_OK && advice) take_next(advice, report);
  dw_batch_advice_free(advice);
  return status;
}
