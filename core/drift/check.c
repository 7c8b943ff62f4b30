/* One verdict for a layer: a multivariate exponentially weighted moving average of the three parts of
 * CIEDE2000 (Lowry, Woodall, Champ, Rigdon, Technometrics 34, 1992, 46), with the limits' own uncertainty
 * counted in.
 *
 * Why not the run rules on each part: with three parts and five rules a stable process is called out every 25
 * batches or so.  They are still shown, as what they are, but the verdict stands on one statistic of known
 * false-alarm rate. */
#include "drift/smooth.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void part_differences(dw_lab target, const dw_batch_color *batches, size_t n, dw_batch_check *checks) {
  double metric[9];
  size_t first = 0;
  while (first < n && !batches[first].good) first++;
  if (first == n) first = 0;
  dw_de00_metric(target, metric);
  for (size_t i = 0; i < n; i++) {
    dw_de00_parts(metric, target, batches[i].lab, checks[i].part);
    checks[i].de00_target = dw_de00(target, batches[i].lab);
    checks[i].de00_first = dw_de00(batches[first].lab, batches[i].lab);
    checks[i].de00_previous = i ? dw_de00(batches[i - 1].lab, batches[i].lab) : 0;
    checks[i].moving_range = i ? fabs(checks[i].de00_target - checks[i - 1].de00_target) : 0;
    checks[i].p = 1;
  }
}

static void chart_parts(const dw_batch_check *checks, const size_t *good, size_t n_good, size_t n,
                        double *scratch, unsigned *rules, dw_batch_check *out, dw_drift_result *result) {
  dw_chart_limits range;
  for (size_t r = 0; r < 3; r++) {
    for (size_t i = 0; i < n_good; i++) scratch[i] = checks[good[i]].part[r];
    dw_chart_individuals(scratch, n_good, &result->part[r], &range, NULL);
    for (size_t i = 0; i < n; i++) scratch[i] = checks[i].part[r];
    dw_run_rules(scratch, n, &result->part[r], rules);
    for (size_t i = 0; i < n; i++) out[i].rules[r] = rules[i];
  }
  for (size_t i = 0; i < n_good; i++) scratch[i] = checks[good[i]].de00_target;
  dw_chart_individuals(scratch, n_good, &result->de00, &result->range, NULL);
}

/* Mean color of the good batches; measured from the target along its own metric would say the same. */
static dw_lab mean_lab(const dw_batch_color *batches, const size_t *index, size_t n) {
  dw_lab sum = {0};
  for (size_t i = 0; i < n; i++) {
    sum.L += batches[index[i]].lab.L / (double)n;
    sum.a += batches[index[i]].lab.a / (double)n;
    sum.b += batches[index[i]].lab.b / (double)n;
  }
  return sum;
}

/* ---- words --------------------------------------------------------------------------------------------- */

/* What there is to say of the last batch; numbers are those that were compared. */
typedef struct last_batch {
  const char *name;
  const dw_batch_check *check;
  double uncertainty_de00;
  double widest; /* of the good batches' distances from their mean */
  size_t run;    /* same_way */
  char way[160];
} last_batch;

static void word_found(const last_batch *last, char *out, size_t room) {
  char more[60] = ".";
  if (last->run >= 2) snprintf(more, sizeof more, "; the last %zu go the same way.", last->run);
  snprintf(out, room, "This batch's %s is %.1f off the good batches: %s%s", last->name, last->check->off,
           last->way, more);
}

static void word_unsure(const last_batch *last, char *out, size_t room) {
  if (last->check->off <= last->uncertainty_de00)
    snprintf(out, room,
             "The %s seems %.1f off the good batches (%s), but that is within what these photos can tell "
             "(%.1f).",
             last->name, last->check->off, last->way, last->uncertainty_de00);
  else
    snprintf(out, room,
             "The %s seems %.1f off the good batches (%s); but the last batches together are %.1f off, and "
             "that is within what these photos can tell (%.1f).",
             last->name, last->check->off, last->way, last->check->away, last->check->away_unknown);
}

static void word_steady(const last_batch *last, char *out, size_t room) {
  const dw_batch_check *check = last->check;
  if (check->back)
    snprintf(out, room,
             "The %s is back at the good batches' color: this batch is %.1f off it, the ones before were "
             "further.",
             last->name, check->off);
  else if (check->off <= fmax(last->widest, last->uncertainty_de00))
    snprintf(out, room,
             "The %s is steady: %.1f from the target, and %.1f off the good batches, which themselves differ "
             "by up to %.1f.",
             last->name, check->de00_target, check->off, last->widest);
  else
    snprintf(out, room,
             "The %s shows no drift yet: this batch is %.1f off the good batches (%s), further than any of "
             "them (%.1f), but one batch alone is not enough to tell.",
             last->name, check->off, last->way, last->widest);
}

static void judge(const char *name, const dw_batch_color *batches, size_t n, const size_t *good,
                  const dw__baseline *base, const dw_batch_check *checks, dw_drift_result *out) {
  last_batch last = {.name = name,
                     .check = &checks[n - 1],
                     .uncertainty_de00 = batches[n - 1].uncertainty_de00,
                     .run = dw__same_way(base, batches, checks, n)};
  /* -fanalyzer: base->n is how many of good[] are set, one for each batch that the baseline was made of */
  for (size_t i = 0; i < base->n; i++) last.widest = fmax(last.widest, checks[good[i]].off);
  dw_difference_words(mean_lab(batches, good, base->n), batches[n - 1].lab, last.way, sizeof last.way);
  out->since = n;
  while (out->since > 0 && checks[out->since - 1].signal) out->since--;
  if (last.check->signal) {
    out->verdict = DW_DRIFT_FOUND;
    word_found(&last, out->words, sizeof out->words);
  } else if (last.check->p < dw__signal_level(base->n) && !last.check->back) {
    out->verdict = DW_DRIFT_UNSURE;
    word_unsure(&last, out->words, sizeof out->words);
  } else {
    out->verdict = DW_DRIFT_IN_CONTROL;
    word_steady(&last, out->words, sizeof out->words);
  }
}

dw_status dw_drift_check(const char *name, dw_lab target, const dw_batch_color *batches, size_t n,
                         dw_batch_check *checks, dw_drift_result *out, dw_error *err) {
  if (n == 0) return dw_fail(err, DW_TOO_FEW, "The %s has no batch yet.", name);
  size_t bytes;
  if (!dw_size_mul(n, sizeof(double), &bytes)) return dw_fail_memory(err, "the batches");
  size_t good[DW_DRIFT_BASE_MAX], n_good = 0;
  double base_part[3][DW_DRIFT_BASE_MAX];
  unsigned *rules = calloc(n, sizeof *rules);
  double *scratch = malloc(bytes < sizeof base_part ? sizeof base_part : bytes);
  dw_status status = DW_OK;
  if (!rules || !scratch) {
    status = dw_fail_memory(err, "the batches");
    goto done;
  }
  memset(checks, 0, n * sizeof *checks);
  *out = (dw_drift_result){0};
  part_differences(target, batches, n, checks);
  for (size_t i = 0; i < n && n_good < DW_DRIFT_BASE_MAX; i++) {
    if (!batches[i].good) continue;
    for (size_t r = 0; r < 3; r++) base_part[r][n_good] = checks[i].part[r];
    good[n_good++] = i;
  }
  const double *parts[3] = {base_part[0], base_part[1], base_part[2]};
  dw__baseline base;
  bool enough = dw__baseline_fit(parts, 3, n_good, &base);
  out->base = n_good;
  if (n_good >= 2) chart_parts(checks, good, n_good, n, scratch, rules, checks, out);
  if (enough) {
    dw_lab mean = mean_lab(batches, good, n_good);
    for (size_t i = 0; i < n; i++) checks[i].off = dw_de00(mean, batches[i].lab);
    dw__drift_smooth(&base, batches, n, checks);
    judge(name, batches, n, good, &base, checks, out);
  } else {
    snprintf(out->words, sizeof out->words,
             "Too few good batches to tell for the %s: %zu of the %d that limits need. The last is %.1f from "
             "the target.",
             name, n_good, DW_DRIFT_BASE_MIN, checks[n - 1].de00_target);
  }
done:
  free(scratch);
  free(rules);
  return status;
}
