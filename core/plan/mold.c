/* Molds: how they stand, what they take, what was learned of them. */
#include "dropwise/plan.h"

#include <math.h>
#include <string.h>

static const char *const side_names[] = {"toward", "away", "left", "right"};

const char *dw_side_name(dw_side side) {
  return side_names[side];
}

bool dw_side_find(const char *name, dw_side *out) {
  for (int i = 0; i < 4; i++) {
    if (strcmp(side_names[i], name) != 0) continue;
    *out = (dw_side)i;
    return true;
  }
  return false;
}

/* ---- how it stands ----------------------------------------------------------------------------------------
 */

static bool sideways(dw_side side) {
  return side == DW_SIDE_LEFT || side == DW_SIDE_RIGHT;
}

dw_status dw_mold_check(const dw_mold *mold, dw_error *err) {
  if (mold->cavities < 1 || mold->cavities > DW_MOLD_CAVITIES_MAX)
    return dw_fail(err, DW_BAD_INPUT, "A mold has 1 to %d cavities, not %d.", DW_MOLD_CAVITIES_MAX,
                   mold->cavities);
  if (!(mold->bait_ml > 0 && mold->bait_ml <= DW_MOLD_VOLUME_MAX_ML))
    return dw_fail(err, DW_BAD_INPUT, "A bait of %g ml is out of range: give more than 0 up to %g ml.",
                   mold->bait_ml, DW_MOLD_VOLUME_MAX_ML);
  if (!(mold->runner_ml >= 0 && mold->runner_ml <= DW_MOLD_VOLUME_MAX_ML))
    return dw_fail(err, DW_BAD_INPUT, "A runner of %g ml is out of range: give 0 to %g ml.", mold->runner_ml,
                   DW_MOLD_VOLUME_MAX_ML);
  if (sideways(mold->sprue) == sideways(mold->back))
    return dw_fail(
        err, DW_BAD_INPUT,
        "With the sprue facing %s, the backs lie %s of the stream, not %s: layers run side by side.",
        dw_side_name(mold->sprue), sideways(mold->sprue) ? "toward or away" : "left or right",
        dw_side_name(mold->back));
  return DW_OK;
}

double dw_mold_fill_ml(const dw_mold *mold) {
  return mold->cavities * mold->bait_ml + mold->runner_ml;
}

dw_side dw_mold_usual_back(dw_side sprue) {
  return sideways(sprue) ? DW_SIDE_AWAY : DW_SIDE_LEFT;
}

/* The side of the bench that lies to the left of one who looks along the injector into a sprue that faces so:
 * with the sprue toward us we look away, and left is left. */
static dw_side left_of_injector(dw_side sprue) {
  static const dw_side left[] = {[DW_SIDE_TOWARD] = DW_SIDE_LEFT,
                                 [DW_SIDE_AWAY] = DW_SIDE_RIGHT,
                                 [DW_SIDE_LEFT] = DW_SIDE_AWAY,
                                 [DW_SIDE_RIGHT] = DW_SIDE_TOWARD};
  return left[sprue];
}

dw_status dw_mold_chambers(const dw_mold *mold, size_t n, size_t *layer, dw_error *err) {
  dw_status status = dw_mold_check(mold, err);
  if (status == DW_OK && (n < 1 || n > DW_PLAN_LAYERS_MAX))
    status = dw_fail(err, DW_BAD_INPUT, "A bait has 1 to %d layers, not %zu.", DW_PLAN_LAYERS_MAX, n);
  if (status != DW_OK) return status;
  const bool back_left = mold->back == left_of_injector(mold->sprue);
  for (size_t i = 0; i < n; i++) layer[i] = back_left ? i : n - 1 - i;
  return DW_OK;
}

/* ---- what was left over -----------------------------------------------------------------------------------
 */

static dw_status record_check(const dw_mold_record *record, dw_error *err) {
  if (record->fills < 1)
    return dw_fail(err, DW_BAD_INPUT, "What was left over tells something only after at least one fill.");
  if (record->fills > DW_PLAN_FILLS_MAX || !(record->filled_ml <= DW_MOLD_FILLED_MAX_ML))
    return dw_fail(err, DW_BAD_INPUT, "%.4g ml for %d fills are more than can be kept.", record->filled_ml,
                   record->fills);
  if (!(record->left_ml >= 0 && record->left_ml < record->filled_ml))
    return dw_fail(err, DW_BAD_INPUT, "%.4g ml can't be left of %.4g ml after a fill.", record->left_ml,
                   record->filled_ml);
  return DW_OK;
}

/* Doubt of the mean over all fills: records of more fills tell it better, as means of as many. */
static double doubt_of(const dw_mold_record *records, size_t n, double fill_ml, double fills) {
  double squares = 0;
  for (size_t i = 0; i < n; i++) {
    const double off = (records[i].filled_ml - records[i].left_ml) / records[i].fills - fill_ml;
    squares += records[i].fills * off * off;
  }
  return n > 1 ? sqrt(squares / ((double)(n - 1) * fills)) : 0;
}

dw_status dw_mold_learn(const dw_mold *mold, const dw_mold_record *records, size_t n, dw_mold_learned *out,
                        dw_error *err) {
  double used = 0, fills = 0;
  dw_status status = dw_mold_check(mold, err);
  if (status == DW_OK && n == 0)
    status = dw_fail(err, DW_TOO_FEW, "Nothing was left over yet to learn from.");
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    status = record_check(&records[i], err);
    used += records[i].filled_ml - records[i].left_ml;
    fills += records[i].fills;
  }
  if (status != DW_OK) return status;
  const double fill_ml = used / fills;
  if (fill_ml <= mold->runner_ml)
    return dw_fail(err, DW_BAD_INPUT,
                   "A fill took %.4g ml, no more than the runner's %.4g ml: check what was left over.",
                   fill_ml, mold->runner_ml);
  dw_mold learned = *mold;
  learned.bait_ml = (fill_ml - mold->runner_ml) / mold->cavities;
  status = dw_mold_check(&learned, err);
  if (status == DW_OK)
    *out = (dw_mold_learned){
        .fill_ml = fill_ml, .bait_ml = learned.bait_ml, .doubt_ml = doubt_of(records, n, fill_ml, fills)};
  return status;
}
