#include "advise/instead.h"

#include <math.h>

#define BIGGER_MOST                                                                                          \
  3.0 /* times what the cup holds: nobody pours more of one color because a cup went wrong */

/* Where a layer is, and how near it can come by additions. */
typedef struct lost {
  const dw__case *c;
  size_t layer;
  dw_aim aim;
  double left; /* CIEDE2000 */
  dw_layer_state *state;
} lost;

static void name_way(const lost *l, const dw_instead *way) {
  if (way->predicted_de00 <= l->left - DW_INSTEAD_GAIN_DE00) l->state->instead[l->state->n_instead++] = *way;
}

/* Nothing that may be added is no error here: there is then no other way either. */
static dw_status none(dw_status status) {
  return status == DW_BAD_INPUT ? DW_OK : status;
}

static dw_status try_fresh(const lost *l, dw_error *err) {
  const dw_cup *cup = &l->c->cup[l->layer];
  const dw_cup empty = {.volume_floz = cup->volume_floz, .capacity_floz = cup->capacity_floz};
  const dw_advice_request *request = l->c->request;
  dw_solution s;
  dw_status status = dw_solve(request->shelf, &empty, &request->slab, &l->aim, &request->rules, &s, err);
  if (status != DW_OK) return none(status);
  name_way(l, &(dw_instead){DW_WAY_FRESH, 0, empty.volume_floz, empty.capacity_floz, s.add, s.predicted.lab,
                            s.de00, 0});
  return DW_OK;
}

static dw_status try_part(const lost *l, dw_error *err) {
  const dw_advice_request *request = l->c->request;
  const dw_rescue_job job = {request->shelf, &l->c->cup[l->layer],   &request->slab,
                             &l->aim,        &l->c->rules[l->layer], DW_REACHED_DE00};
  const dw_cup *cup = job.cup;
  dw_rescue r;
  dw_status status = dw_cup_rescue(&job, &r, err);
  if (status != DW_OK || !r.reached || r.keep_share >= 1 || r.keep_share <= 0) return none(status);
  name_way(l, &(dw_instead){DW_WAY_PART, r.keep_share * cup->volume_floz, r.clear_floz, cup->capacity_floz,
                            r.solution.add, r.solution.predicted.lab, r.solution.de00, r.take_floz});
  return DW_OK;
}

/* In a cup that holds more: with drops alone if they do, since clear base makes more plastic than was wanted.
 */
static dw_status try_bigger(const lost *l, dw_error *err) {
  const dw_advice_request *request = l->c->request;
  const double held = l->c->cup[l->layer].capacity_floz;
  dw_cup cup = l->c->cup[l->layer];
  dw_rules rules = l->c->rules[l->layer];
  dw_solution s;
  cup.capacity_floz *= BIGGER_MOST;
  rules.max_clear_floz = 0;
  dw_status status = dw_solve(request->shelf, &cup, &request->slab, &l->aim, &rules, &s, err);
  if (status == DW_BAD_INPUT || (status == DW_OK && s.de00 > DW_REACHED_DE00))
    status = dw_solve(request->shelf, &cup, &request->slab, &l->aim, &l->c->rules[l->layer], &s, err);
  if (status != DW_OK) return none(status);
  const double needed = dw_cup_filled_floz(&s.cup, request->shelf);
  if (needed > held + 1e-6)
    name_way(l, &(dw_instead){DW_WAY_BIGGER, cup.volume_floz, s.add_clear_floz, needed, s.add,
                              s.predicted.lab, s.de00, 0});
  return DW_OK;
}

/* What is left after the best advice; as it is now when there is none. */
static double left_of(const dw_advice_result *result, size_t layer) {
  for (size_t i = 0; i < result->n; i++)
    if (result->advice[i].layer == layer)
      return fmin(result->advice[i].predicted_de00, result->state[layer].now_de00);
  return result->state[layer].now_de00;
}

dw_status dw__instead(const dw__case *c, dw_advice_result *result, dw_error *err) {
  dw_status status = DW_OK;
  if (c->request->only) return DW_OK; /* what plugins not asked could do is not known */
  for (size_t i = 0; i < c->view.n_layers && status == DW_OK; i++) {
    const lost l = {c, i, dw_aim_nearest(result->state[i].aim), left_of(result, i), &result->state[i]};
    if (c->cup[i].drops.n == 0 || l.left < DW_FAR_DE00) continue;
    status = try_bigger(&l, err); /* the least waste first */
    if (status == DW_OK) status = try_part(&l, err);
    if (status == DW_OK) status = try_fresh(&l, err);
  }
  return status;
}
