/* The color of a try, its score, and its slopes. */
#include "mix/chain.h"
#include "mix/solve.h"

#include <math.h>
#include <string.h>

#define CARRY_REACH 15.0 /* Lab units over which a carried offset fades (docs/mixing-model.md#learn) */
#define CAP_WEIGHT 10.0  /* residual of the relaxed solve for a limit exceeded e-fold */

/* K and S of the cup after the additions. */
static void try_spectra(const dw__task *task, const dw__try *t, dw_spectra *out) {
  const double share = 1 / (task->volume_floz + t->clear_floz);
  *out = task->shelf->base;
  dw__spectra_add(out, share, &task->in_cup);
  for (size_t i = 0; i < t->n; i++) {
    if (t->drops[i] > 0) dw__spectra_add(out, share * t->drops[i], &task->per_drop[t->bottle[i]]);
  }
}

static dw_xyz xyz_of(const dw__km *view, const dw_spectra *mix) {
  double R[DW_BANDS];
  dw__km_bands(view, mix->k, mix->s, R);
  return dw_xyz_from_bands(R);
}

static dw_lab moved(dw_lab from, dw_lab by, double share) {
  return (dw_lab){from.L + share * by.L, from.a + share * by.a, from.b + share * by.b};
}

static double fading(dw_lab predicted, dw_lab offset_at) {
  double L = predicted.L - offset_at.L, a = predicted.a - offset_at.a, b = predicted.b - offset_at.b;
  return exp(-(L * L + a * a + b * b) / (CARRY_REACH * CARRY_REACH));
}

dw_lab dw__carry(dw_lab predicted, dw_lab offset, dw_lab offset_at) {
  if (offset.L == 0 && offset.a == 0 && offset.b == 0) return predicted;
  return moved(predicted, offset, fading(predicted, offset_at));
}

dw_lab dw_rules_carry(const dw_rules *rules, dw_lab predicted) {
  return dw__carry(predicted, rules->offset, rules->offset_at);
}

dw_lab dw__task_color(const dw__task *task, const dw__try *t, double *see_through) {
  dw_spectra mix;
  try_spectra(task, t, &mix);
  *see_through = 0;
  if (task->aim.weight_see_through > 0)
    *see_through = xyz_of(&task->over_black, &mix).Y / xyz_of(&task->over_white, &mix).Y;
  return dw__carry(dw_lab_from_xyz(xyz_of(&task->over_slab, &mix)), task->offset, task->offset_at);
}

/* The weighted parts of the difference from the target; their squares sum to its square, the rotation term RT
 * (which ties chroma and hue of blues) included: c c + h h + RT c h = (c + h RT/2)^2 + h h (1 - RT RT/4). */
static void aim_parts(const dw_aim *aim, dw_lab lab, double out[3]) {
  const dw_difference d = dw_difference_between(aim->target, lab);
  const double rotation = d.de00 * d.de00 - d.dl * d.dl - d.dc * d.dc - d.dh * d.dh, both = d.dc * d.dh;
  const double rt = fabs(both) > 1e-12 ? fmin(fmax(rotation / both, -1.9), 1.9) : 0;
  const double h = aim->weight_hue * d.dh;
  out[0] = aim->weight_lightness * d.dl;
  out[1] = aim->weight_chroma * d.dc + rt / 2 * h;
  out[2] = sqrt(1 - rt * rt / 4) * h;
}

/* How far a contrast ratio lies beyond what costs nothing; with its sign. */
static double see_through_off(const dw_aim *aim, double see_through) {
  const double off = see_through - aim->see_through;
  return copysign(fmax(0, fabs(off) - aim->see_through_band), off);
}

static double aim_miss(const dw_aim *aim, dw_lab lab, double see_through) {
  double part[3];
  aim_parts(aim, lab, part);
  const double s = aim->weight_see_through * see_through_off(aim, see_through);
  return sqrt(part[0] * part[0] + part[1] * part[1] + part[2] * part[2] + s * s);
}

bool dw__within_limits(const dw__task *task, const dw__try *t) {
  const double slack = 1e-9;
  double drops = 0, floz = t->clear_floz;
  dw__set added = 0;
  for (size_t i = 0; i < t->n; i++) {
    drops += t->drops[i];
    floz += t->drops[i] * task->drop_floz[t->bottle[i]];
    if (t->drops[i] > 0) added |= (dw__set)1 << t->bottle[i];
  }
  return (size_t)__builtin_popcountll(added & ~task->own) <= task->new_most &&
         drops <= task->room_drops + slack && floz <= task->room_floz + slack &&
         t->clear_floz <= task->clear_most + slack;
}

void dw__task_score(const dw__task *task, dw__try *t) {
  double see_through, cost = 0;
  dw_lab lab = dw__task_color(task, t, &see_through);
  for (size_t i = 0; i < t->n; i++)
    if (t->drops[i] > 0) cost += DW__BOTTLE_COST + task->drop_cost * t->drops[i];
  if (t->clear_floz > 0) cost += DW__CLEAR_OPENED + DW__CLEAR_COST * t->clear_floz;
  t->miss = aim_miss(&task->aim, lab, see_through);
  t->score = dw__within_limits(task, t) ? t->miss + cost : INFINITY;
}

/* ---- slopes -------------------------------------------------------------------------------------------- */

double dw__clear_shift(const dw__task *task) {
  return 0.25 * task->volume_floz;
}

static void see(const dw__task *task, const dw__km *view, const dw_spectra *mix, dw__seen *out) {
  double R[DW_BANDS], xyz[3];
  dw__km_bands_slopes(view, mix->k, mix->s, R, out->dR_dK, out->dR_dS);
  dw__bands_sum(task->weights, R, xyz);
  out->xyz = (dw_xyz){xyz[0], xyz[1], xyz[2]};
}

static void sensitivity_of(const dw__task *task, const dw__seen *seen, dw__sensitivity *out) {
  for (int c = 0; c < 3; c++)
    for (int i = 0; i < DW_BANDS; i++) {
      out->per_K[c][i] = task->weights[c][i] * seen->dR_dK[i];
      out->per_S[c][i] = task->weights[c][i] * seen->dR_dS[i];
    }
}

/* I + offset (d fading / d Lab): how a carried offset bends the slopes. */
static void carry_slopes(const dw__task *task, dw_lab predicted, double out[9]) {
  const double f = -2 / (CARRY_REACH * CARRY_REACH) * fading(predicted, task->offset_at);
  const double by[3] = {task->offset.L, task->offset.a, task->offset.b};
  const double move[3] = {predicted.L - task->offset_at.L, predicted.a - task->offset_at.a,
                          predicted.b - task->offset_at.b};
  for (int i = 0; i < 9; i++) out[i] = (i % 4 == 0) + f * by[i / 3] * move[i % 3];
}

static void color_residuals(const dw__task *task, dw_lab lab, dw__measure measure, double out[3]) {
  const double off[3] = {lab.L - task->aim.target.L, lab.a - task->aim.target.a, lab.b - task->aim.target.b};
  const double *m = task->metric;
  if (measure == DW__BY_PARTS) {
    aim_parts(&task->aim, lab, out);
    return;
  }
  for (int i = 0; i < 3; i++) out[i] = m[3 * i] * off[0] + m[3 * i + 1] * off[1] + m[3 * i + 2] * off[2];
}

/* Slopes of the residuals along L*, a*, b*. */
static void color_slopes(const dw__task *task, dw_lab lab, dw__measure measure, const double residual[3],
                         double out[9]) {
  const double h = 0.01;
  if (measure == DW__BY_METRIC) {
    memcpy(out, task->metric, 9 * sizeof *out);
    return;
  }
  for (int j = 0; j < 3; j++) {
    double part[3];
    aim_parts(&task->aim, (dw_lab){lab.L + h * (j == 0), lab.a + h * (j == 1), lab.b + h * (j == 2)}, part);
    for (int i = 0; i < 3; i++) out[3 * i + j] = (part[i] - residual[i]) / h;
  }
}

/* The matrix from XYZ slopes to those of the three color residuals. */
static void color_chain(const dw__task *task, dw_xyz xyz, dw__measure measure, const double residual[3],
                        double chain[9]) {
  dw_lab predicted = dw_lab_from_xyz(xyz);
  double to_lab[9], carried[9], parts[9], step[9];
  color_slopes(task, dw__carry(predicted, task->offset, task->offset_at), measure, residual, parts);
  dw__lab_slopes(predicted, to_lab);
  carry_slopes(task, predicted, carried);
  dw__multiply3(parts, carried, step);
  dw__multiply3(step, to_lab, chain);
}

/* Column `column` of a block of rows: slopes of XYZ along a colorant, times scale. */
static void color_column(const dw__sensitivity *s, const double chain[9], const dw_spectra *along,
                         double scale, size_t column, dw__slopes *out) {
  double xyz[3];
  dw__bands_slope(s, along, xyz);
  for (size_t i = 0; i < 3; i++)
    out->J[i][column] =
        scale * (chain[3 * i] * xyz[0] + chain[3 * i + 1] * xyz[1] + chain[3 * i + 2] * xyz[2]);
}

/* How far the unknown of column i moves drops (or clear base) per unit of its logarithm. */
static double reach(const dw__task *task, const dw__try *t, size_t i) {
  return i < t->n ? t->drops[i] + DW__DROP_SHIFT : t->clear_floz + dw__clear_shift(task);
}

/* The spectra that the unknown of column i adds, and their scale: a drop adds its own share of the cup, clear
 * base thins all that is above the base. */
static const dw_spectra *along(const dw__task *task, const dw__try *t, size_t i, const dw_spectra *above,
                               double *scale) {
  const double volume = task->volume_floz + t->clear_floz;
  *scale = (i < t->n ? 1 : -1) * reach(task, t, i) / volume;
  return i < t->n ? &task->per_drop[t->bottle[i]] : above;
}

static void see_through_residual(const dw__task *task, dw__slopes *out) {
  see(task, &task->over_black, &out->mix, &out->over_black);
  see(task, &task->over_white, &out->mix, &out->over_white);
  const double ratio = out->over_black.xyz.Y / out->over_white.xyz.Y;
  out->residual[out->rows++] = task->aim.weight_see_through * see_through_off(&task->aim, ratio);
}

static void see_through_row(const dw__task *task, const dw__try *t, const dw_spectra *above, size_t row,
                            dw__slopes *out) {
  dw__sensitivity black, white;
  const double over_white = out->over_white.xyz.Y, ratio = out->over_black.xyz.Y / over_white;
  const bool flat = out->residual[row] == 0; /* within what costs nothing */
  sensitivity_of(task, &out->over_black, &black);
  sensitivity_of(task, &out->over_white, &white);
  for (size_t i = 0; i < out->columns; i++) {
    double scale, b[3], s[3];
    const dw_spectra *colorant = along(task, t, i, above, &scale);
    dw__bands_slope(&black, colorant, b);
    dw__bands_slope(&white, colorant, s);
    out->J[row][i] = flat ? 0 : task->aim.weight_see_through * scale * (b[1] - ratio * s[1]) / over_white;
  }
}

/* A row that pushes back where a sum of the unknowns, each with its weight, exceeds what fits. */
static void cap_row(const dw__task *task, const dw__try *t, const double *weight, double most,
                    dw__slopes *out) {
  double sum = 0;
  for (size_t i = 0; i < out->columns; i++) sum += weight[i] * (i < t->n ? t->drops[i] : t->clear_floz);
  if (sum <= most || most <= 0) return;
  const size_t row = out->rows++;
  out->residual[row] = CAP_WEIGHT * log(sum / most);
  for (size_t i = 0; i < out->columns; i++) out->J[row][i] = CAP_WEIGHT * weight[i] * reach(task, t, i) / sum;
}

static void cap_rows(const dw__task *task, const dw__try *t, dw__slopes *out) {
  double drops[DW__COLUMNS], floz[DW__COLUMNS];
  for (size_t i = 0; i < out->columns; i++) {
    drops[i] = i < t->n;
    floz[i] = i < t->n ? task->drop_floz[t->bottle[i]] : 1;
  }
  cap_row(task, t, drops, task->room_drops, out);
  cap_row(task, t, floz, task->room_floz, out);
}

void dw__task_residuals(const dw__task *task, const dw__try *t, dw__measure measure, dw__slopes *out) {
  out->measure = measure;
  out->sloped = false;
  out->columns = t->n + (task->clear_most > 0);
  out->rows = 3;
  try_spectra(task, t, &out->mix);
  see(task, &task->over_slab, &out->mix, &out->over_slab);
  dw_lab lab = dw__carry(dw_lab_from_xyz(out->over_slab.xyz), task->offset, task->offset_at);
  color_residuals(task, lab, measure, out->residual);
  if (task->aim.weight_see_through > 0) see_through_residual(task, out);
  cap_rows(task, t, out);
  out->cost = 0;
  for (size_t i = 0; i < out->rows; i++) out->cost += out->residual[i] * out->residual[i];
}

void dw__task_slopes(const dw__task *task, const dw__try *t, dw__slopes *out) {
  dw_spectra above = out->mix;
  dw__sensitivity over_slab;
  double chain[9];
  if (out->sloped) return;
  out->sloped = true;
  dw__spectra_add(&above, -1, &task->shelf->base);
  color_chain(task, out->over_slab.xyz, out->measure, out->residual, chain);
  sensitivity_of(task, &out->over_slab, &over_slab);
  for (size_t i = 0; i < out->columns; i++) {
    double scale;
    const dw_spectra *colorant = along(task, t, i, &above, &scale);
    color_column(&over_slab, chain, colorant, scale, i, out);
  }
  if (task->aim.weight_see_through > 0) see_through_row(task, t, &above, 3, out);
}
