/* "Too much brown": a cup gone too far, brought back at the least cost. Only additions are possible, so what
 * can't be brought back within the cup is thinned: a share of it starts a new cup. */
#include "dropwise/correct.h"

#include <math.h>
#include <string.h>

typedef struct attempt {
  double share; /* of the cup that is kept */
  bool own;     /* only the bottles already in it */
  bool clear;   /* clear base may be added */
} attempt;

static const attempt whole[] = {{1, true, false}, {1, true, true}, {1, false, true}};
static const attempt fresh = {0, false, true};
static const attempt shares[] = {{1. / 2, false, true}, {1. / 3, false, true}, {1. / 4, false, true},
                                 {1. / 6, false, true}, {1. / 8, false, true}, {1. / 12, false, true}};

/* What the attempt starts from: the share that is kept, filled up with clear base to the base the cup had. */
static dw_cup start_of(const dw_cup *cup, double share) {
  dw_cup start = *cup;
  if (share <= 0) start.drops.n = 0;
  for (size_t i = 0; i < start.drops.n; i++) start.drops.part[i].amount *= share;
  return start;
}

/* False when these rules leave nothing to add to the start. */
static bool rules_for(const dw_rescue_job *job, const dw_cup *start, const attempt *how, dw_rules *rules) {
  const dw_shelf *shelf = job->shelf;
  if (!how->clear) rules->max_clear_floz = 0;
  const double room = start->capacity_floz - dw_cup_filled_floz(start, shelf);
  bool any = start->drops.n > 0 && room > 0 && rules->max_clear_floz > 0;
  for (size_t i = 0; i < shelf->n; i++) {
    if (how->own && dw_recipe_amount(&job->cup->drops, i) <= 0) rules->use[i] = DW_USE_NEVER;
    any |= dw_bottle_free(shelf, rules, i) && shelf->bottle[i].role != DW_ROLE_EFFECT;
  }
  return any;
}

/* What the drops cost, in fl oz of clear base, and the bottles that must be opened for them. */
static double drops_worth(const dw_recipe *in_cup, const dw_recipe *add) {
  double worth = DW_DROP_WORTH_FLOZ * dw_recipe_total(add);
  for (size_t i = 0; i < add->n; i++)
    if (dw_recipe_amount(in_cup, add->part[i].bottle) <= 0) worth += DW_BOTTLE_WORTH_FLOZ;
  return worth;
}

/* Amounts of an attempt before anything is solved: what it costs at the least. */
static dw_rescue begin(const dw_rescue_job *job, const attempt *how) {
  const double filled = dw_cup_filled_floz(job->cup, job->shelf);
  dw_rescue r = {.keep_share = how->share, .take_floz = how->share * filled};
  r.clear_floz = (1 - how->share) * job->cup->volume_floz;
  r.waste_floz = filled - r.take_floz;
  r.cost_floz = r.clear_floz + r.waste_floz;
  return r;
}

/* What reaches the aim comes before what doesn't, then the cheaper, or else the nearer. */
static bool better(const dw_rescue *r, const dw_rescue *best) {
  if (r->reached != best->reached) return r->reached;
  if (r->reached) return r->cost_floz < best->cost_floz - 1e-9;
  const double nearer = best->solution.de00 - r->solution.de00;
  if (r->keep_share < best->keep_share) return nearer > DW_KEEP_LESS_GAIN_DE00;
  return nearer > (r->keep_share > best->keep_share ? -DW_KEEP_MORE_LOSS_DE00 : 1e-9);
}

/* One attempt; keeps it where it is better. One that can't be cheaper than the best is passed over. */
static dw_status try_one(const dw_rescue_job *job, const attempt *how, bool *any, dw_rescue *best,
                         dw_error *err) {
  dw_rescue r = begin(job, how);
  dw_rules rules = *job->rules;
  const dw_cup start = start_of(job->cup, how->share);
  if (!rules_for(job, &start, how, &rules)) return DW_OK;
  if (*any && best->reached && r.cost_floz >= best->cost_floz) return DW_OK;
  dw_status status = dw_solve(job->shelf, &start, job->slab, job->aim, &rules, &r.solution, err);
  if (status != DW_OK) return status;
  r.clear_floz += r.solution.add_clear_floz;
  r.cost_floz += r.solution.add_clear_floz + drops_worth(&job->cup->drops, &r.solution.add);
  r.reached = r.solution.de00 <= job->tolerance_de00;
  if (!*any || better(&r, best)) *best = r;
  *any = true;
  return DW_OK;
}

static dw_status try_all(const attempt *list, size_t n, const dw_rescue_job *job, bool *any, dw_rescue *best,
                         dw_error *err) {
  dw_status status = DW_OK;
  for (size_t i = 0; i < n && status == DW_OK; i++) status = try_one(job, &list[i], any, best, err);
  return status;
}

/* A fresh cup may take any share of the old one, so where it gets no nearer a share of the old one does
 * neither. */
static dw_status try_new_cups(const dw_rescue_job *job, bool *any, dw_rescue *best, dw_error *err) {
  const bool had = *any;
  dw_status status = try_one(job, &fresh, any, best, err);
  if (status != DW_OK || (had && best->keep_share > 0)) return status;
  return try_all(shares, sizeof shares / sizeof *shares, job, any, best, err);
}

/* ---- words --------------------------------------------------------------------------------------------- */

static void add_volume(double floz, dw_units units, char *out, size_t room) {
  if (units == DW_UNITS_METRIC)
    snprintf(out, room, "%.0f ml", floz * DW_ML_PER_FLOZ);
  else
    snprintf(out, room, "%.2f fl oz", floz);
}

/* "2.67 fl oz of clear base, 5 orange, 1 white" */
static void list_additions(const dw_shelf *shelf, const dw_rescue *r, dw_units units, char *out,
                           size_t room) {
  size_t used = 0;
  out[0] = '\0';
  if (r->clear_floz > 0) {
    add_volume(r->clear_floz, units, out, room);
    used = strlen(out);
    used += (size_t)snprintf(out + used, room - used, " of clear base");
  }
  for (size_t i = 0; i < r->solution.add.n && used < room; i++) {
    const dw_part *part = &r->solution.add.part[i];
    used += (size_t)snprintf(out + used, room - used, "%s%g %s", used ? ", " : "",
                             round(part->amount * 100) / 100, shelf->bottle[part->bottle].id);
  }
  if (!used) snprintf(out, room, "nothing");
}

static const char *share_name(double share) {
  static const char *const names[] = {"half", "a third", "a quarter", "a sixth", "an eighth", "a twelfth"};
  size_t i = 0;
  while (i + 1 < sizeof shares / sizeof *shares && shares[i].share > share + 1e-9) i++;
  return names[i];
}

void dw_rescue_words(const dw_shelf *shelf, const dw_rescue *r, dw_units units, char *out, size_t room) {
  char add[2 * DW_NOTE_TEXT], take[32], end[64];
  list_additions(shelf, r, units, add, sizeof add);
  add_volume(r->take_floz, units, take, sizeof take);
  snprintf(end, sizeof end, "then it is %.1f from its target%s", r->solution.de00,
           r->reached ? "" : ", as near as it can come");
  if (r->keep_share >= 1 && !r->reached)
    snprintf(out, room, "Neither additions nor a new cup bring it nearer than %.1f from its target.",
             r->solution.de00);
  else if (r->keep_share >= 1)
    snprintf(out, room, "Add %s to bring it back: %s.", add, end);
  else if (r->keep_share > 0)
    snprintf(out, room, "Take %s (%s of this cup) as the start of a new one, add %s: %s.", take,
             share_name(r->keep_share), add, end);
  else
    snprintf(out, room, "Too far gone to start from: mix a new one from %s: %s.", add, end);
}

dw_status dw_cup_rescue(const dw_rescue_job *job, dw_rescue *out, dw_error *err) {
  dw_rescue best = {0};
  bool any = false;
  if (!(job->tolerance_de00 > 0))
    return dw_fail(err, DW_BAD_INPUT, "a tolerance of CIEDE2000 %g makes no sense: give 1 or the like",
                   job->tolerance_de00);
  dw_status status = try_all(whole, sizeof whole / sizeof *whole, job, &any, &best, err);
  if (status == DW_OK && !best.reached) status = try_new_cups(job, &any, &best, err);
  if (status != DW_OK) return status;
  if (!any) return dw_fail(err, DW_BAD_INPUT, "no bottle may be used and no clear base added: allow one");
  dw_rescue_words(job->shelf, &best, DW_UNITS_US, best.words, sizeof best.words);
  *out = best;
  return DW_OK;
}
