/* The one adviser: what the book remembers and what plugins propose, put in one order. */
#include "batch/next_cup.h"
#include "dropwise/book_settings.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define SAME 1e-9
#define AGAIN "again" /* who proposes what was poured before */

typedef struct asked {
  const dw_batch_question *question;
  dw_batch_advice *out;
  dw_cup cup[DW_LAYERS_MAX];    /* of layers to fill: the volume and capacity asked for */
  dw__next next[DW_LAYERS_MAX]; /* what earlier cups say */
} asked;

/* ---- what earlier cups say ----------------------------------------------------------------------------- */

/* A duller color is wanted of what there is, and a measured bait whose cup is not known has a question of its
 * own: neither fills a cup by what was poured before. */
static bool fills(const dw_advice_request *request, const dw_layer *layer) {
  return layer->cup.drops.n == 0 && !layer->has_measured && request->chroma_share == 0;
}

static const dw_pattern_layer *kept_layer(const dw_batch_question *question, const char *name) {
  const dw_pattern *pattern = question->pattern;
  for (size_t i = 0; question->book && pattern && i < pattern->n; i++)
    if (strcmp(pattern->layer[i].name, name) == 0) return &pattern->layer[i];
  return NULL;
}

static double capacity_for(const dw_cup *recipe, double volume_floz, const dw_shelf *shelf) {
  const double filled = recipe->drops.n ? dw_cup_filled_floz(recipe, shelf) / recipe->volume_floz : 0;
  return volume_floz * fmax(DW_USUAL_CAPACITY, filled);
}

static double usual_floz(const dw_batch_question *question) {
  return question->usual_floz > 0 ? question->usual_floz : DW_USUAL_VOLUME_FLOZ;
}

/* The cup is asked for at the volume that its recipe stands on; the volume wanted is kept for later. */
static dw_status recall(asked *a, size_t i, dw_error *err) {
  const dw_advice_request *request = &a->out->request;
  dw_layer *layer = &a->out->request.layer[i];
  const dw_pattern_layer *kept = kept_layer(a->question, layer->name);
  dw__next *next = &a->next[i];
  dw_cup *wanted = &a->cup[i];
  dw_status status = kept ? dw__next_remember(a->question->book, kept, request, layer, next, err) : DW_OK;
  if (status != DW_OK) return status;
  const double usual = next->volume_floz > 0 ? next->volume_floz : usual_floz(a->question);
  *wanted = layer->cup;
  if (!(wanted->volume_floz > 0)) wanted->volume_floz = usual;
  if (!(wanted->capacity_floz > 0))
    wanted->capacity_floz = capacity_for(&next->cup, wanted->volume_floz, request->shelf);
  layer->cup.volume_floz = usual;
  layer->cup.capacity_floz = wanted->capacity_floz / wanted->volume_floz * usual;
  layer->has_earlier = next->known;
  layer->earlier_predicted = next->predicted;
  layer->earlier_gave = next->gave;
  return DW_OK;
}

/* A cup that was told, or a measured bait's, has a volume, said or not. */
static void complete(dw_cup *cup, double usual) {
  if (!(cup->volume_floz > 0)) cup->volume_floz = usual;
  if (!(cup->capacity_floz > 0)) cup->capacity_floz = DW_USUAL_CAPACITY * cup->volume_floz;
}

static void propose(asked *a, size_t layer, const char *id, const char *title, const dw_recipe *drops,
                    const char *words) {
  dw_own_proposal *own = &a->out->request.own[a->out->request.n_own++];
  *own = (dw_own_proposal){.layer = layer, .add = *drops};
  dw_copy_text(own->id, sizeof own->id, id);
  dw_copy_text(own->title, sizeof own->title, title);
  dw_copy_text(own->words, sizeof own->words, words);
}

static dw_status begin(asked *a, dw_error *err) {
  dw_advice_request *request = &a->out->request;
  dw_status status = DW_OK;
  for (size_t i = 0; i < request->n && status == DW_OK; i++) {
    a->out->fills[i] = fills(request, &request->layer[i]);
    if (!a->out->fills[i]) {
      complete(&request->layer[i].cup, usual_floz(a->question));
      continue;
    }
    status = recall(a, i, err);
    if (a->next[i].known && !request->only) /* those named alone are to speak */
      propose(a, i, AGAIN, "What was poured before", &a->next[i].cup.drops, a->next[i].words);
  }
  return status;
}

/* ---- bottles that are not at hand ---------------------------------------------------------------------- */

static void note_off_shelf(const dw_advice_request *request, const dw_layer *layer, dw_notes *notes) {
  for (size_t k = 0; k < layer->cup.drops.n; k++) {
    const dw_bottle *bottle = &request->shelf->bottle[layer->cup.drops.part[k].bottle];
    if (bottle->off_shelf)
      dw_note(notes, "The cup of the %s holds %s, which is off the shelf or not fitted: none is to be added.",
              layer->name, bottle->id);
  }
}

/* ---- one round ----------------------------------------------------------------------------------------- */

static bool same(const dw_recipe *a, const dw_recipe *b) {
  for (size_t i = 0; i < a->n; i++)
    if (fabs(dw_recipe_amount(b, a->part[i].bottle) - a->part[i].amount) > SAME) return false;
  return a->n == b->n;
}

/* Moves the proposal to the front of its layer. */
static void put_first(dw_advice_result *result, const dw_own_proposal *own) {
  size_t first = 0, at;
  while (first < result->n && result->advice[first].layer != own->layer) first++;
  for (at = first; at < result->n && result->advice[at].layer == own->layer; at++) {
    if (!same(&result->advice[at].add, &own->add)) continue;
    const dw_advice moved = result->advice[at];
    memmove(&result->advice[first + 1], &result->advice[first], (at - first) * sizeof moved);
    result->advice[first] = moved;
    return;
  }
}

static dw_status ask(asked *a, dw_error *err) {
  dw_batch_advice *out = a->out;
  dw_advice_result_free(out->result);
  out->result = NULL;
  dw_status status = dw_advise(&out->request, a->question->plugins, &out->result, err);
  for (size_t k = 0; k < out->request.n_own && status == DW_OK; k++)
    if (a->next[out->request.own[k].layer].stands) put_first(out->result, &out->request.own[k]);
  return status;
}

static bool again(const dw_advice *advice) {
  return strcmp(advice->plugin, AGAIN) == 0;
}

/* ---- another volume ------------------------------------------------------------------------------------ */

static double in_steps(const dw_rules *rules, const dw_bottle *bottle, double drops) {
  const double step = rules->step_drops > 0 ? rules->step_drops : rules->step_ml / bottle->drop_ml;
  return round(drops / step) * step;
}

static dw_recipe scaled(const dw_advice_request *request, const dw_recipe *drops, double share) {
  dw_recipe out = {0};
  for (size_t i = 0; i < drops->n; i++) {
    const size_t bottle = drops->part[i].bottle;
    const double n =
        in_steps(&request->rules, &request->shelf->bottle[bottle], drops->part[i].amount * share);
    if (n > 0) dw_recipe_add(&out, bottle, n);
  }
  return out;
}

/* The first proposal in the volume asked for; it stands, unless the cup can't hold it. */
static void scale(asked *a, size_t i) {
  dw_advice_request *request = &a->out->request;
  const dw_advice *first = dw_advice_first(a->out->result, i);
  dw_cup *cup = &request->layer[i].cup, filled = a->cup[i];
  if (first) filled.drops = scaled(request, &first->add, filled.volume_floz / cup->volume_floz);
  *cup = a->cup[i];
  a->next[i].stands = first && dw_cup_filled_floz(&filled, request->shelf) <= cup->capacity_floz + SAME;
  if (!a->next[i].stands) return;
  if (again(first))
    propose(a, i, first->plugin, first->title, &filled.drops, first->words);
  else
    propose(a, i, "scaled", "The usual cup's recipe", &filled.drops,
            "The recipe of the usual cup, scaled to this one.");
}

static bool other_volume(const asked *a, size_t i) {
  return a->out->fills[i] && fabs(a->cup[i].volume_floz - a->out->request.layer[i].cup.volume_floz) > SAME;
}

static dw_status ask_scaled(asked *a, dw_error *err) {
  dw_advice_request *request = &a->out->request;
  bool any = false;
  for (size_t i = 0; i < request->n; i++) any |= other_volume(a, i);
  if (!any || request->only) return DW_OK;
  request->n_own = 0;
  for (size_t i = 0; i < request->n; i++)
    if (a->out->fills[i]) scale(a, i);
  return ask(a, err);
}

/* ---- the next cup in words ----------------------------------------------------------------------------- */

static void tell(asked *a, size_t i) {
  const dw_advice_request *request = &a->out->request;
  const dw_advice *first = dw_advice_first(a->out->result, i);
  dw_next_cup *next = &a->out->next[i];
  *next = a->next[i].told;
  if (!first || first->add.n == 0) return;
  next->known = true;
  next->volume_floz = request->layer[i].cup.volume_floz;
  next->predicted = first->predicted.lab;
  next->predicted_de00 = first->predicted_de00;
  next->aim = dw_advice_aim_name(request, &a->out->result->state[i]);
  next->add = first->add;
  dw_recipe_format(&first->add, request->shelf, next->recipe, sizeof next->recipe);
  dw_copy_text(next->words, sizeof next->words, again(first) ? a->next[i].change : first->words);
}

/* ---- the whole ----------------------------------------------------------------------------------------- */

/* A plugin named alone proposes for the very cup that is asked for. */
static void take_volumes(asked *a) {
  for (size_t i = 0; i < a->out->request.n; i++)
    if (a->out->fills[i] && a->out->request.only) a->out->request.layer[i].cup = a->cup[i];
}

dw_status dw_batch_advise(const dw_batch_question *question, dw_batch_advice **out, dw_error *err) {
  asked *a = calloc(1, sizeof *a);
  dw_batch_advice *advice = calloc(1, sizeof *advice);
  dw_status status = DW_OK;
  if (!a || !advice) {
    status = dw_fail_memory(err, "the advice");
    goto done;
  }
  *a = (asked){.question = question, .out = advice};
  advice->request = question->request;
  status = begin(a, err);
  if (status == DW_OK) take_volumes(a);
  if (status == DW_OK) status = ask(a, err);
  if (status == DW_OK) status = ask_scaled(a, err);
  if (status != DW_OK) goto done;
  for (size_t i = 0; i < advice->request.n; i++)
    if (advice->fills[i]) tell(a, i);
  for (size_t i = 0; i < advice->request.n; i++)
    note_off_shelf(&advice->request, &advice->request.layer[i], &advice->result->notes);
  dw_notes_add(&advice->result->notes, &question->left_out);
  *out = advice;
  advice = NULL;
done:
  dw_batch_advice_free(advice);
  free(a);
  return status;
}

dw_status dw_batch_advise_next(dw_book *book, const dw_pattern *pattern, const dw_plugins *plugins,
                               const dw_shelf *shelf, dw_batch_advice **out, dw_error *err) {
  const dw_cup as_last = {0};
  const dw_slab as_before = {NAN, NAN};
  dw_batch_question *question = calloc(1, sizeof *question);
  if (!question) return dw_fail_memory(err, "the advice");
  question->plugins = plugins;
  dw_status status = dw_batch_question_load(book, pattern, 0, shelf, &as_last, &as_before, question, err);
  if (status == DW_OK && question->request.n > 0) status = dw_batch_advise(question, out, err);
  free(question);
  return status;
}

void dw_batch_advice_free(dw_batch_advice *advice) {
  if (!advice) return;
  dw_advice_result_free(advice->result);
  free(advice);
}

bool dw_batch_advised_cup(const dw_batch_advice *advice, const char *layer, dw_cup *out) {
  const size_t at = dw_request_layer_find(&advice->request, layer);
  const dw_advice *first = at < advice->request.n ? dw_advice_first(advice->result, at) : NULL;
  if (!first || !dw_advice_adds(first)) return false;
  return dw_cup_after(&advice->request.layer[at].cup, &first->add, first->add_clear_floz, out);
}
