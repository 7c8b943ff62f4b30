/* A swirl has no borders: beside its colors it drifts in the share that each has of the bait.  The same statistic as a
 * color's (smooth.h), of one part alone. */
#include "drift/smooth.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <stdlib.h>

#define POINTS 100.0 /* of a hundred, as a share is told */

/* Shares as the parts of checks, for the smoothing. */
typedef struct work {
  dw_batch_color *color; /* n; the doubt alone */
  dw_batch_check *check; /* n */
  double *value;         /* n */
  dw__baseline base;
  double good[DW_DRIFT_BASE_MAX];
  size_t n_good;
  double widest; /* of the good batches from their mean */
} work;

static void work_free(work *w) {
  free(w->color);
  free(w->check);
  free(w->value);
}

static dw_status work_make(const dw_batch_share *batches, size_t n, work *out, dw_error *err) {
  *out = (work){.color = calloc(n, sizeof *out->color),
                .check = calloc(n, sizeof *out->check),
                .value = calloc(n, sizeof *out->value)};
  if (!out->color || !out->check || !out->value) {
    work_free(out);
    return dw_fail_memory(err, "the batches");
  }
  for (size_t i = 0; i < n; i++) {
    out->value[i] = out->check[i].part[0] = batches[i].share;
    out->color[i].uncertainty_de00 = batches[i].doubt;
    out->check[i].p = 1;
    if (batches[i].good && out->n_good < DW_DRIFT_BASE_MAX) out->good[out->n_good++] = batches[i].share;
  }
  return DW_OK;
}

static void smooth(work *w, size_t n) {
  for (size_t i = 0; i < n; i++) w->check[i].off = fabs(w->value[i] - w->base.mean[0]);
  for (size_t i = 0; i < w->n_good; i++) w->widest = fmax(w->widest, fabs(w->good[i] - w->base.mean[0]));
  dw__drift_smooth(&w->base, w->color, n, w->check);
}

static void checks_take(const work *w, size_t n, bool limits, dw_share_check *checks) {
  for (size_t i = 0; i < n; i++) {
    const dw_batch_check *from = &w->check[i];
    checks[i] = (dw_share_check){.off = limits ? w->value[i] - w->base.mean[0] : 0,
                                 .away = from->away,
                                 .away_unknown = from->away_unknown,
                                 .p = from->p,
                                 .rules = from->rules[0],
                                 .back = from->back,
                                 .signal = from->signal};
  }
}

static dw_status chart(work *w, size_t n, dw_share_drift *out, dw_error *err) {
  dw_chart_limits range;
  if (w->n_good < 2) return DW_OK;
  unsigned *rules = calloc(n, sizeof *rules);
  if (!rules) return dw_fail_memory(err, "the batches");
  dw_status status = dw_chart_individuals(w->good, w->n_good, &out->share, &range, err);
  if (status == DW_OK) dw_run_rules(w->value, n, &out->share, rules);
  for (size_t i = 0; i < n; i++) w->check[i].rules[0] = rules[i];
  out->share.lower = fmax(out->share.lower, 0);
  out->share.upper = fmin(out->share.upper, 1);
  free(rules);
  return status;
}

/* ---- words --------------------------------------------------------------------------------------------- */

/* "52% of the bait, 50% wanted" */
static void word_share(double share, double target, char *out, size_t room) {
  if (isnan(target))
    snprintf(out, room, "%.0f%% of the bait", POINTS * share);
  else
    snprintf(out, room, "%.0f%% of the bait, %.0f%% wanted", POINTS * share, POINTS * target);
}

static void word_drift(const char *name, const dw_share_check *last, const char *share, size_t run,
                       double doubt, dw_share_drift *out) {
  const char *way = last->off > 0 ? "more" : "less";
  char more[60] = ".";
  if (run >= 2) snprintf(more, sizeof more, "; the last %zu go the same way.", run);
  if (out->verdict == DW_DRIFT_FOUND)
    snprintf(out->words, sizeof out->words,
             "This batch has %.0f points %s of the %s than the good batches: %s%s", POINTS * fabs(last->off),
             way, name, share, more);
  else
    snprintf(out->words, sizeof out->words,
             "There seems to be %.0f points %s of the %s than in the good batches (%s), but that is within "
             "what these "
             "photos can tell (%.0f).",
             POINTS * fabs(last->off), way, name, share, POINTS * fmax(doubt, last->away_unknown));
}

static void word_steady(const char *name, const dw_share_check *last, const char *share, const work *w,
                        double doubt, dw_share_drift *out) {
  double off = fabs(last->off);
  if (last->back)
    snprintf(out->words, sizeof out->words,
             "The share of the %s is back at the good batches' (%s); the batches before were further off.",
             name, share);
  else if (off <= fmax(w->widest, doubt))
    snprintf(out->words, sizeof out->words,
             "The share of the %s is steady: %s; %.0f points off the good batches, which themselves differ "
             "by up to "
             "%.0f.",
             name, share, POINTS * off, POINTS * w->widest);
  else
    snprintf(out->words, sizeof out->words,
             "The share of the %s shows no drift yet: %s, %.0f points off the good batches, further than any "
             "of them "
             "(%.0f), but one batch alone is not enough to tell.",
             name, share, POINTS * off, POINTS * w->widest);
}

static void judge(const char *name, double target, const dw_batch_share *batches, size_t n, const work *w,
                  const dw_share_check *checks, dw_share_drift *out) {
  char share[80];
  const dw_share_check *last = &checks[n - 1];
  double doubt = batches[n - 1].doubt;
  word_share(batches[n - 1].share, target, share, sizeof share);
  for (out->since = n; out->since > 0 && checks[out->since - 1].signal;) out->since--;
  const bool away = last->p < dw__signal_level(w->base.n) && !last->back;
  out->verdict = last->signal ? DW_DRIFT_FOUND : away ? DW_DRIFT_UNSURE : DW_DRIFT_IN_CONTROL;
  if (out->verdict == DW_DRIFT_IN_CONTROL)
    word_steady(name, last, share, w, doubt, out);
  else
    word_drift(name, last, share, dw__same_way(&w->base, w->color, w->check, n), doubt, out);
}

dw_status dw_shares_check(const char *name, double target, const dw_batch_share *batches, size_t n,
                          dw_share_check *checks, dw_share_drift *out, dw_error *err) {
  work w;
  char share[80];
  if (n == 0) return dw_fail(err, DW_TOO_FEW, "The %s has no batch of which its share was read yet.", name);
  dw_status status = work_make(batches, n, &w, err);
  if (status != DW_OK) return status;
  *out = (dw_share_drift){.base = w.n_good};
  const double *good = w.good;
  const bool limits = dw__baseline_fit(&good, 1, w.n_good, &w.base);
  status = chart(&w, n, out, err);
  if (status == DW_OK && limits) smooth(&w, n);
  checks_take(&w, n, limits, checks);
  if (status == DW_OK && limits) judge(name, target, batches, n, &w, checks, out);
  word_share(batches[n - 1].share, target, share, sizeof share);
  if (status == DW_OK && !limits)
    snprintf(out->words, sizeof out->words,
             "Too few good batches to tell for the share of the %s: %zu of the %d that limits need. The last "
             "has %s.",
             name, w.n_good, DW_DRIFT_BASE_MIN, share);
  work_free(&w);
  return status;
}
