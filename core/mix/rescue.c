/* "Too much brown": a cup gone too far, brought back at the least cost. Only additions are possible, so what
 * can't be brought back within the cup is thinned: a share of it starts a new cup. */
#include "pourtone/mix.h"

#include <math.h>

typedef struct attempt {
  double share; /* of the cup that is kept */
  bool own;     /* only the bottles already in it */
  bool clear;   /* clear base may be added */
} attempt;

static const attempt whole[] = {{1, true, false}, {1, true, true}, {1, false, true}};
static const attempt shares[] = {{1. / 2, false, true}, {1. / 3, false, true}, {1. / 4, false, true},
                                 {1. / 6, false, true}, {1. / 8, false, true}, {1. / 12, false, true}};

/* The share that is kept, filled up with clear base to the volume the cup had. */
static pt_cup thinned(const pt_cup *cup, double share) {
  pt_cup start = *cup;
  for (size_t i = 0; i < start.drops.n; i++) start.drops.part[i].amount *= share;
  return start;
}

/* False when these rules leave nothing to add. */
static bool rules_for(const pt_shelf *shelf, const pt_cup *cup, const attempt *how, pt_rules *rules) {
  bool any = how->clear && rules->max_clear_floz > 0;
  if (!how->clear) rules->max_clear_floz = 0;
  for (size_t i = 0; i < shelf->n; i++) {
    if (how->own && pt_recipe_amount(&cup->drops, i) <= 0) rules->use[i] = PT_USE_NEVER;
    any |= rules->use[i] == PT_USE_FREE && shelf->bottle[i].role != PT_ROLE_EFFECT;
  }
  return any;
}

/* What the additions cost, in fl oz of clear base. */
static double additions_worth(const pt_recipe *in_cup, const pt_solution *solution) {
  double worth = solution->add_clear_floz + PT_DROP_WORTH_FLOZ * pt_recipe_total(&solution->add);
  for (size_t i = 0; i < solution->add.n; i++)
    if (pt_recipe_amount(in_cup, solution->add.part[i].bottle) <= 0) worth += PT_BOTTLE_WORTH_FLOZ;
  return worth;
}

/* Keeps a rescue that reaches the aim before one that doesn't, then the cheaper, or else the nearer. */
static void keep_better(const pt_rescue *r, bool first, pt_rescue *best) {
  const bool better = r->reached != best->reached ? r->reached
                      : r->reached                ? r->cost_floz < best->cost_floz - 1e-9
                                                  : r->solution.de00 < best->solution.de00 - 1e-9;
  if (first || better) *best = *r;
}

static pt_status try_all(const attempt *list, size_t n, const pt_rescue_job *job, bool *any, pt_rescue *best,
                         pt_error *err) {
  for (size_t i = 0; i < n; i++) {
    pt_rescue r = {.keep_share = list[i].share};
    pt_rules rules = *job->rules;
    const pt_cup start = thinned(job->cup, list[i].share);
    if (!rules_for(job->shelf, job->cup, &list[i], &rules)) continue;
    pt_status status = pt_solve(job->shelf, &start, job->slab, job->aim, &rules, &r.solution, err);
    if (status != PT_OK) return status;
    r.new_base_floz = (1 - r.keep_share) * job->cup->volume_floz;
    r.waste_floz = r.new_base_floz; /* as much of the old cup is left over as new base comes in */
    r.cost_floz = r.new_base_floz + r.waste_floz + additions_worth(&job->cup->drops, &r.solution);
    r.reached = r.solution.de00 <= job->tolerance_de00;
    keep_better(&r, !*any, best);
    *any = true;
  }
  return PT_OK;
}

static void say(const pt_rescue_job *job, pt_rescue *r) {
  char add[PT_NOTE_TEXT];
  const double kept = r->keep_share * job->cup->volume_floz;
  pt_recipe_format(&r->solution.add, job->shelf, add, sizeof add);
  if (!r->reached)
    snprintf(r->words, sizeof r->words, "Nothing brings this cup back: the nearest is %.1f off. Mix it anew.",
             r->solution.de00);
  else if (r->keep_share < 1)
    snprintf(
        r->words, sizeof r->words,
        "It can't come back within its room: pour %.2f fl oz of it and %.2f fl oz of clear base into a new "
        "cup, then add %s.",
        kept, r->new_base_floz, add[0] ? add : "nothing more");
  else
    snprintf(r->words, sizeof r->words, "Add %s%s to bring it back.", add[0] ? add : "no drops",
             r->solution.add_clear_floz > 0 ? " and clear base" : "");
}

pt_status pt_cup_rescue(const pt_rescue_job *job, pt_rescue *out, pt_error *err) {
  pt_rescue best = {0};
  bool any = false;
  if (!(job->tolerance_de00 > 0))
    return pt_fail(err, PT_BAD_INPUT, "a tolerance of CIEDE2000 %g makes no sense: give 1 or the like",
                   job->tolerance_de00);
  pt_status status = try_all(whole, sizeof whole / sizeof *whole, job, &any, &best, err);
  if (status == PT_OK && !best.reached)
    status = try_all(shares, sizeof shares / sizeof *shares, job, &any, &best, err);
  if (status != PT_OK) return status;
  if (!any) return pt_fail(err, PT_BAD_INPUT, "no bottle may be used and no clear base added: allow one");
  say(job, &best);
  *out = best;
  return PT_OK;
}
