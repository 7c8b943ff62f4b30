/* A multivariate exponentially weighted moving average (Lowry, Woodall, Champ, Rigdon, Technometrics 34, 1992,
 * 46), with the limits' own uncertainty counted in. */
#include "drift/smooth.h"

#include "dropwise/numeric.h"

#include <math.h>

/* Weight of the newest batch: catches a step of 3 sigma within 2 or 3 batches and still sees a slow drift. */
static const double LAMBDA = 0.4;
/* The part variances lean on their common mean as if it were this many further batches. */
static const double SHARED_BATCHES = 7;
/* Of the way to the smoothed color: a batch that did not go so far is back at the good ones. */
static const double BACK_SHARE = 0.5;

bool dw__baseline_fit(const double *const *part, size_t parts, size_t n, dw__baseline *out) {
  *out = (dw__baseline){.n = n, .parts = parts};
  if (n < DW_DRIFT_BASE_MIN) return false;
  double shared = 0;
  for (size_t r = 0; r < parts; r++) {
    double sd = dw_stddev(part[r], n);
    out->mean[r] = dw_mean(part[r], n);
    out->variance[r] = sd * sd;
    shared += sd * sd / (double)parts;
  }
  double own = (double)(n - 1);
  for (size_t r = 0; r < parts; r++)
    out->variance[r] = (own * out->variance[r] + SHARED_BATCHES * shared) / (own + SHARED_BATCHES);
  /* each shared batch speaks of all parts; one part alone has no other to lean on */
  out->degrees = own + (parts > 1 ? (double)parts * SHARED_BATCHES : 0);
  return shared > 0;
}

/* The chance below which a distance is called drift. The good batches' mean is off by the same amount for
 * every later batch, the more the fewer they were, so a short baseline needs a stricter level for the same
 * rate of false alarms; the form was chosen by simulation (docs/drift.md). */
double dw__signal_level(size_t base) {
  return (1 - 5.0 / (double)base) / 180;
}

/* Whether a batch lies nearer to the good batches than to where the smoothed color still is: the average
 * remembers the batches before, but a batch that came out right is no drift. */
static bool came_back(const dw__baseline *base, const double part[3], const double z[3], double carried) {
  double dot = 0, squares = 0;
  for (size_t r = 0; r < base->parts; r++) {
    dot += (part[r] - base->mean[r]) * z[r];
    squares += z[r] * z[r];
  }
  return dot < BACK_SHARE * squares / carried;
}

void dw__drift_smooth(const dw__baseline *base, const dw_batch_color *batches, size_t n,
                      dw_batch_check *checks) {
  double z[3] = {0}, noise = 0, carried = 0, unknown = 0;
  for (size_t i = 0; i < n; i++) {
    double keep = 1 - LAMBDA, squares = 0, away = 0;
    noise = keep * keep * noise + LAMBDA * LAMBDA;
    carried = keep * carried + LAMBDA; /* share of the baseline's own error that has come through */
    unknown =
        keep * keep * unknown + LAMBDA * LAMBDA * batches[i].uncertainty_de00 * batches[i].uncertainty_de00;
    double spread = noise + carried * carried / (double)base->n;
    for (size_t r = 0; r < base->parts; r++) {
      z[r] = keep * z[r] + LAMBDA * (checks[i].part[r] - base->mean[r]);
      squares += z[r] * z[r] / (base->variance[r] * spread);
      away += z[r] * z[r];
    }
    /* z lags behind: carried is also the share of a step that it shows by now. */
    checks[i].away = sqrt(away) / carried;
    checks[i].away_unknown = sqrt(unknown) / carried;
    checks[i].p = dw_f_upper_tail(squares / (double)base->parts, (double)base->parts, base->degrees);
    bool seems_away = checks[i].p < dw__signal_level(base->n);
    checks[i].back = seems_away && came_back(base, checks[i].part, z, carried);
    checks[i].signal = seems_away && !checks[i].back && checks[i].away > checks[i].away_unknown &&
                       checks[i].off > batches[i].uncertainty_de00;
  }
}

size_t dw__same_way(const dw__baseline *base, const dw_batch_color *batches, const dw_batch_check *checks,
                    size_t n) {
  const double *last = checks[n - 1].part;
  size_t count = 0;
  for (size_t i = n; i-- > 0; count++) {
    double dot = 0, own = 0, other = 0;
    for (size_t r = 0; r < base->parts; r++) {
      double u = last[r] - base->mean[r], v = checks[i].part[r] - base->mean[r];
      dot += u * v;
      own += u * u;
      other += v * v;
    }
    if (!(dot > 0.7 * sqrt(own * other)) || checks[i].off <= batches[i].uncertainty_de00) break;
  }
  return count;
}
