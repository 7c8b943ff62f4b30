/* blend: what happens where neighboring layers meet. Where the pattern asks for clean blends, the least change of
 * either cup, or of the recipe of one that is still empty, by one bottle or two, that keeps the blend of two neighbors from
 * turning muddy; and a layer far more opaque than its neighbor,
 * which drowns it (common practice, no source), named with what evens the two. The host tells what is muddy. */
#include "dropwise/plugin.h"

#include <stdio.h>

#define MOST_STEPS 64    /* of one bottle; what is worse off than that is begun anew */
#define SECOND_WORTH 0.5 /* CIEDE2000 that a second bottle must save */
enum { BEST_FIRST = 3, RECIPES_MAX = 16 };

/* What goes into an empty cup; nothing into one that holds something. */
typedef struct recipe {
  uint32_t n;
  dw_addition add[DW_PLUGIN_ADDS_MAX];
  dw_lab color;
  double see_through;
} recipe;

/* What is the same for one pair: layers first and first + 1. */
typedef struct pair {
  const dw_host *host;
  const dw_request *request;
  const recipe *recipe; /* by layer */
  uint32_t first;
} pair;

/* A change of one of the two. */
typedef struct change {
  uint32_t layer;
  uint32_t n;
  dw_addition add[DW_PLUGIN_ADDS_MAX]; /* all that is added, a recipe's own drops among it */
  dw_lab color;
  double moved; /* from now, in CIEDE2000; INFINITY: none found */
} change;

static const char *name_of(const pair *p, uint32_t layer) {
  return p->request->layer[layer].name;
}

static change unchanged(const pair *p, uint32_t layer) {
  change c = {.layer = layer, .n = p->recipe[layer].n, .moved = INFINITY};
  for (uint32_t i = 0; i < c.n; i++) c.add[i] = p->recipe[layer].add[i];
  return c;
}

/* So many drops of a bottle more, or less. False: so many are not in it, or no bottle more fits. */
static int put(change *c, uint32_t bottle, double drops) {
  uint32_t at = 0;
  while (at < c->n && c->add[at].bottle != bottle) at++;
  if (at == DW_PLUGIN_ADDS_MAX) return 0;
  if (at == c->n) c->add[c->n++] = (dw_addition){bottle, 0};
  c->add[at].drops += drops;
  return c->add[at].drops > -1e-9;
}

/* What lies between a layer and the next, with a change made or (NULL) as they are. */
static int32_t look(const pair *p, uint32_t first, const change *c, dw_plugin_blend *out) {
  dw_plugin_change made[2];
  for (uint32_t i = 0; i < 2; i++) {
    const recipe *r = &p->recipe[first + i];
    const int changed = c && c->layer == first + i;
    made[i] = (dw_plugin_change){changed ? c->add : r->add, changed ? c->n : r->n, 0};
  }
  *out = (dw_plugin_blend){.struct_size = sizeof *out};
  return p->host->blend(p->host->ctx, first, &made[0], &made[1], out);
}

/* -1: it can't be told. */
static int muddy_between(const pair *p, uint32_t first, const change *c) {
  dw_plugin_blend blend;
  return look(p, first, c, &blend) == DW_PLUGIN_OK ? blend.muddy : -1;
}

/* The pair's blend is clean then, and the one on the layer's other side as clean as it was. */
static int clean_after(const pair *p, const change *c) {
  if (muddy_between(p, p->first, c) != 0) return 0;
  const int is_first = c->layer == p->first;
  if (is_first ? c->layer == 0 : c->layer + 1 == p->request->n_layers) return 1;
  const uint32_t beyond = is_first ? c->layer - 1 : c->layer;
  return muddy_between(p, beyond, c) != 1 || muddy_between(p, beyond, NULL) == 1;
}

/* ---- a clean blend ------------------------------------------------------------------------------------- */

static dw_lab color_now(const pair *p, uint32_t layer) {
  return p->recipe[layer].n ? p->recipe[layer].color : p->request->layer[layer].now;
}

/* How far a change takes the layer's look: its color, and its contrast ratio as the host weighs one. */
static double moved(const pair *p, const change *c, double see_through) {
  const recipe *r = &p->recipe[c->layer];
  const double was = r->n ? r->see_through : p->request->layer[c->layer].see_through;
  const double color = p->host->difference(p->host->ctx, color_now(p, c->layer), c->color, NULL, 0);
  return hypot(color, DW_PLUGIN_SEE_THROUGH_WEIGHT * fmax(0, fabs(see_through - was) - 0.05));
}

/* Keeps a change in best where the blend is clean then and the layer moves less. False while it stays muddy, so that
 * more may help. */
static int try_change(const pair *p, change *c, change *best) {
  const dw_host *host = p->host;
  double see_through;
  if (host->predict(host->ctx, c->layer, c->add, c->n, 0, &c->color, &see_through) != DW_PLUGIN_OK) return 1;
  if (!clean_after(p, c)) return 0;
  c->moved = moved(p, c, see_through);
  if (c->moved < best->moved) *best = *c;
  return 1;
}

/* So many steps of a bottle beyond a change; what can't be is no more muddy. */
static int try_steps(const pair *p, const change *from, uint32_t bottle, int steps, change *best) {
  change c = *from;
  if (!put(&c, bottle, steps * p->request->bottle[bottle].step_drops)) return 1;
  return try_change(p, &c, best);
}

/* The fewest steps of one bottle, more of it or (way -1) less: doubled until the blend is clean or the cup can take no
 * more, then halved toward the last where it was muddy. */
static void try_bottle(const pair *p, const change *from, uint32_t bottle, int way, change *best) {
  int muddy = 0, enough = 0;
  for (int steps = 1; !enough && steps <= MOST_STEPS; steps *= 2)
    *(try_steps(p, from, bottle, way * steps, best) ? &enough : &muddy) = steps;
  while (enough - muddy > 1) {
    const int middle = (enough + muddy) / 2;
    *(try_steps(p, from, bottle, way * middle, best) ? &enough : &muddy) = middle;
  }
}

/* The bottles that alone keep the blend clean with the least change. */
typedef struct firsts {
  uint32_t n, bottle[BEST_FIRST];
  double moved[BEST_FIRST];
} firsts;

static void take_first(firsts *list, uint32_t bottle, double by) {
  if (list->n == BEST_FIRST && list->moved[BEST_FIRST - 1] <= by) return;
  uint32_t at = list->n < BEST_FIRST ? list->n++ : BEST_FIRST - 1;
  for (; at > 0 && list->moved[at - 1] > by; at--) {
    list->moved[at] = list->moved[at - 1];
    list->bottle[at] = list->bottle[at - 1];
  }
  list->moved[at] = by;
  list->bottle[at] = bottle;
}

static void try_ones(const pair *p, uint32_t layer, firsts *list, change *best) {
  const change from = unchanged(p, layer);
  for (uint32_t b = 0; b < p->request->n_bottles; b++) {
    change own = from;
    if (!p->request->bottle[b].usable) continue;
    try_bottle(p, &from, b, 1, &own);
    if (own.moved < INFINITY) take_first(list, b, own.moved);
    if (own.moved < best->moved) *best = own;
  }
  for (uint32_t i = 0; i < from.n; i++) try_bottle(p, &from, from.add[i].bottle, -1, best);
}

/* A second bottle that holds what the first one moves. */
static void try_twos(const pair *p, uint32_t layer, const firsts *list, change *best) {
  for (uint32_t i = 0; i < list->n; i++)
    for (uint32_t b = 0; b < p->request->n_bottles; b++)
      for (int steps = 1; steps <= MOST_STEPS / 4; steps *= 2) {
        change from = unchanged(p, layer);
        if (b == list->bottle[i] || !p->request->bottle[b].usable) break;
        if (!put(&from, b, steps * p->request->bottle[b].step_drops)) break;
        try_bottle(p, &from, list->bottle[i], 1, best);
      }
}

/* Of either cup, by one bottle, or by two where these save enough. */
static change find_least(const pair *p) {
  firsts list[2] = {{0}, {0}};
  change one = unchanged(p, p->first);
  for (uint32_t i = 0; i < 2; i++) try_ones(p, p->first + i, &list[i], &one);
  change two = one;
  for (uint32_t i = 0; i < 2; i++) try_twos(p, p->first + i, &list[i], &two);
  return two.moved < one.moved - SECOND_WORTH ? two : one;
}

static void word_change(const pair *p, const change *best, dw_proposal *proposal) {
  const dw_lab now = color_now(p, best->layer);
  char words[60];
  const double by = p->host->difference(p->host->ctx, now, best->color, words, sizeof words);
  snprintf(proposal->words, sizeof proposal->words,
           "%s %s, by %.0f: the least change of up to two bottles that keeps its blend with %s clean.",
           p->recipe[best->layer].n ? "A recipe for its target made" : "Makes it", words, by,
           name_of(p, best->layer == p->first ? p->first + 1 : p->first));
}

static void keep_clean(const pair *p, const dw_plugin_blend *now, dw_reply *reply) {
  const change best = find_least(p);
  dw_proposal *proposal = dw_plugin_propose(p->request, reply, best.layer);
  if (!proposal) return;
  snprintf(proposal->warning, sizeof proposal->warning,
           "%s and %s turn muddy where they meet: up to %.0f%% duller than either.", name_of(p, p->first),
           name_of(p, p->first + 1), 100 * now->dull_share);
  if (best.moved == INFINITY) {
    snprintf(proposal->words, sizeof proposal->words,
             "Nothing that can be added to one of the two keeps its blend with the other clean.");
    return;
  }
  for (uint32_t i = 0; i < best.n; i++)
    if (best.add[i].drops > 0) proposal->add[proposal->n_adds++] = best.add[i];
  proposal->predicted = best.color;
  word_change(p, &best, proposal);
}

/* ---- one that drowns the other ------------------------------------------------------------------------- */

/* A contrast ratio for a layer, its color held. NULL where nothing brings it there. */
static dw_proposal *bring_to(const pair *p, uint32_t layer, double see_through, dw_reply *reply) {
  dw_plugin_aim aim = dw_plugin_aim_at(p->request->layer[layer].now);
  aim.weight_lightness = 0.2;
  aim.see_through = see_through;
  aim.weight_see_through = DW_PLUGIN_SEE_THROUGH_WEIGHT;
  aim.max_new_bottles = 1;
  return dw_plugin_solve(p->host, p->request, reply, layer, &aim);
}

/* The strong one lets more light through or, where it can't, the weak one less. *words says so, up to the other's
 * name. */
static dw_proposal *bring_together(const pair *p, uint32_t strong, uint32_t weak, const char **words,
                                   dw_reply *reply) {
  const dw_layer_view *layer = p->request->layer;
  dw_proposal *proposal = bring_to(p, strong, layer[weak].see_through + DW_OPACITY_GAP, reply);
  *words = "Lets more light through, so that it does not drown";
  if (proposal) return proposal;
  *words = "Lets less light through, so that it is not drowned by";
  if ((proposal = bring_to(p, weak, layer[strong].see_through - DW_OPACITY_GAP, reply))) return proposal;
  *words = "Start it anew with less color, so that it does not drown";
  return dw_plugin_propose(p->request, reply, strong);
}

static void even(const pair *p, const dw_plugin_blend *now, dw_reply *reply) {
  const uint32_t strong = p->first + (uint32_t)now->overpowers, weak = 2 * p->first + 1 - strong;
  const double strong_is = now->see_through[strong - p->first], weak_is = now->see_through[weak - p->first];
  const char *words;
  dw_proposal *proposal = bring_together(p, strong, weak, &words, reply);
  if (!proposal) return;
  snprintf(proposal->words, sizeof proposal->words, "%s %s.", words,
           name_of(p, proposal->layer == weak ? strong : weak));
  snprintf(proposal->warning, sizeof proposal->warning, "%s is %s (%.2f) beside %s, which is %s (%.2f).",
           name_of(p, strong), dw_plugin_see_through_words(strong_is), strong_is, name_of(p, weak),
           dw_plugin_see_through_words(weak_is), weak_is);
}

/* ---- the whole ----------------------------------------------------------------------------------------- */

static void look_between(const pair *p, dw_reply *reply) {
  const dw_layer_view *first = &p->request->layer[p->first], *second = first + 1;
  const int wanted_so = first->target_see_through >= 0 && second->target_see_through >= 0;
  const int filled = first->n_drops > 0 && second->n_drops > 0;
  dw_plugin_blend now;
  if (look(p, p->first, NULL, &now) != DW_PLUGIN_OK) return;
  if (p->request->clean_blends && now.muddy) keep_clean(p, &now, reply);
  if (filled && !wanted_so && now.overpowers >= 0) even(p, &now, reply);
}

/* What an empty cup is to get for its target, so that its blends are known before it is filled. */
static void solve_recipe(const dw_host *host, const dw_request *request, uint32_t layer, recipe *out) {
  const dw_layer_view *view = &request->layer[layer];
  dw_plugin_aim aim = dw_plugin_aim_at(view->target);
  uint32_t n = DW_PLUGIN_ADDS_MAX;
  *out = (recipe){0};
  if (view->n_drops > 0 || view->measured || !request->clean_blends) return;
  if (view->target_see_through >= 0) {
    aim.see_through = view->target_see_through;
    aim.weight_see_through = DW_PLUGIN_SEE_THROUGH_WEIGHT;
  }
  aim.clear_base = 0;
  if (host->solve(host->ctx, layer, &aim, out->add, &n, NULL) != DW_PLUGIN_OK) return;
  if (host->predict(host->ctx, layer, out->add, n, 0, &out->color, &out->see_through) == DW_PLUGIN_OK)
    out->n = n;
}

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  if (!DW_PLUGIN_HAS(host, dw_host, blend) || !DW_PLUGIN_HAS(request, dw_request, clean_blends))
    return DW_PLUGIN_NOTHING;
  recipe recipes[RECIPES_MAX];
  const uint32_t n = request->n_layers < RECIPES_MAX ? request->n_layers : RECIPES_MAX;
  for (uint32_t i = 0; i < n; i++) solve_recipe(host, request, i, &recipes[i]);
  for (uint32_t i = 0; i + 1 < n; i++) {
    const pair p = {host, request, recipes, i};
    look_between(&p, reply);
  }
  return reply->n ? DW_PLUGIN_OK : DW_PLUGIN_NOTHING;
}

static const dw_plugin plugin = {
    .struct_size = sizeof plugin,
    .abi_major = DW_ABI_MAJOR,
    .abi_minor = DW_ABI_MINOR,
    .id = "blend",
    .title = "Keep blends clean",
    .version = "1.0",
    .advise = advise,
};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
