/* Advice from start to end: the request made ready, plugins chosen and asked, their answers checked and
 * ranked. */
#include "advise/ask.h"
#include "advise/check.h"
#include "advise/instead.h"
#include "advise/rank.h"

#include <stdlib.h>
#include <string.h>

/* ---- choosing --------------------------------------------------------------------------------------- */

static const dw_plugin_entry_info *plugin_find(const dw_plugins *plugins, const char *id) {
  for (size_t i = 0; i < plugins->n; i++)
    if (plugins->entry[i].usable && strcmp(plugins->entry[i].id, id) == 0) return &plugins->entry[i];
  return NULL;
}

static bool wanted(const dw_advice_request *request, const dw_plugin_entry_info *entry) {
  if (!request->only) return !entry->only_named;
  for (size_t i = 0; i < request->n_only; i++)
    if (strcmp(request->only[i], entry->id) == 0) return true;
  return false;
}

static dw_status check_only(const dw_advice_request *request, const dw_plugins *plugins, dw_error *err) {
  for (size_t i = 0; request->only && i < request->n_only; i++)
    if (!plugin_find(plugins, request->only[i]))
      return dw_fail(err, DW_NOT_FOUND,
                     "There is no usable plugin '%s'; 'dropwise plugins' lists those there are.",
                     request->only[i]);
  return DW_OK;
}

/* One place for each plugin to ask. NULL when out of memory; *n may be 0. */
static dw__asked *choose(const dw_advice_request *request, const dw_plugins *plugins, dw__case *c,
                         size_t *n) {
  dw__asked *asked = calloc(plugins->n ? plugins->n : 1, sizeof *asked);
  *n = 0;
  for (size_t i = 0; asked && i < plugins->n; i++) {
    const dw_plugin_entry_info *entry = &plugins->entry[i];
    if (!entry->usable || !wanted(request, entry)) continue;
    asked[*n].entry = entry;
    asked[*n].c = c;
    for (size_t k = 0; k < entry->n_parameters; k++)
      asked[*n].value[k] = dw_parameter_value(entry, k, &request->kept);
    (*n)++;
  }
  return asked;
}

/* What the machine, or the plugin's own crash, keeps from the advice must not go unsaid. */
static void note_lost(const dw_plugins *plugins, dw_notes *out) {
  dw_notes_add(out, &plugins->lost);
  for (size_t i = 0; i < plugins->n; i++)
    if (plugins->entry[i].lost) dw_note(out, "A plugin is left out: %s", plugins->entry[i].why);
}

/* ---- judging ---------------------------------------------------------------------------------------- */

static void fault(dw_advice_result *out, const char *plugin, const char *format, ...) DW_PRINTF(3, 4);
static void fault(dw_advice_result *out, const char *plugin, const char *format, ...) {
  dw_plugin_fault *f = &out->fault[out->n_faults++];
  va_list args;
  va_start(args, format);
  vsnprintf(f->why, sizeof f->why, format, args);
  va_end(args);
  dw_copy_text(f->plugin, sizeof f->plugin, plugin);
  dw_note(&out->notes, "%s", f->why);
}

/* Appends what one plugin's answer is good for to advice; tells the first fault of it. */
static size_t take_answer(const dw__asked *asked, dw_advice *advice, dw_advice_result *out) {
  char why[160], first_why[sizeof why] = "";
  const char *id = asked->entry->id;
  size_t taken = 0, refused = 0;
  if (!dw__frame_check(asked, why, sizeof why)) {
    if (why[0]) fault(out, id, "Plugin %s %s.", id, why);
    return 0;
  }
  for (uint32_t i = 0; i < asked->frame.n; i++) {
    if (dw__proposal_check(asked->c, &asked->frame.proposal[i], &advice[taken], why, sizeof why)) {
      dw_copy_text(advice[taken].plugin, sizeof advice->plugin, id);
      dw_copy_text(advice[taken++].title, sizeof advice->title, asked->entry->title);
    } else if (refused++ == 0) {
      memcpy(first_why, why, sizeof why);
    }
  }
  if (refused)
    fault(out, id, "Plugin %s: %zu of %u proposals refused; the first %s.", id, refused, asked->frame.n,
          first_why);
  return taken;
}

static dw_status take_own(const dw__case *c, const dw_own_proposal *own, dw_advice *out, dw_error *err) {
  *out = (dw_advice){.layer = own->layer, .add = own->add};
  dw_copy_text(out->plugin, sizeof out->plugin, own->id);
  dw_copy_text(out->title, sizeof out->title, own->title);
  dw_copy_text(out->words, sizeof out->words, own->words);
  dw_status status = dw__case_predict(c, own->layer, &own->add, 0, &out->predicted, err);
  out->notes = out->predicted.notes;
  out->predicted_de00 = dw_de00(out->predicted.lab, c->state[own->layer].aim);
  return status;
}

static bool leaves(const dw_advice *advice, size_t n, size_t layer) {
  for (size_t i = 0; i < n; i++)
    if (advice[i].layer == layer && !dw_advice_adds(&advice[i])) return true;
  return false;
}

/* The host's own proposal where no plugin made it: what is right is left alone, whoever was asked. */
static dw_status leave(const dw__case *c, size_t layer, dw_advice *out, dw_error *err) {
  const dw_layer_state *state = &c->state[layer];
  *out = (dw_advice){.layer = layer, .predicted_de00 = state->now_de00};
  dw_copy_text(out->plugin, sizeof out->plugin, "leave");
  dw_copy_text(out->title, sizeof out->title, "Leave it");
  snprintf(out->words, sizeof out->words, "Leave it: %s.", state->judged.words);
  return dw__case_predict(c, layer, &out->add, 0, &out->predicted, err);
}

static dw_status judge(const dw__case *c, const dw__asked *asked, size_t n, dw_advice_result *out,
                       dw_error *err) {
  const dw_advice_request *request = c->request;
  size_t total = 0, room = 1 + request->n_own + request->n;
  for (size_t i = 0; i < n; i++) room += DW_PLUGIN_PROPOSALS_MAX;
  dw_advice *advice = calloc(room, sizeof *advice);
  if (!advice) return dw_fail_memory(err, "the proposals");
  dw_status status = DW_OK;
  for (size_t i = 0; i < request->n_own && status == DW_OK; i++)
    status = take_own(c, &request->own[i], &advice[total++], err);
  for (size_t i = 0; i < n; i++) total += take_answer(&asked[i], advice + total, out);
  for (size_t i = 0; i < c->view.n_layers && status == DW_OK; i++)
    if (c->state[i].leave && !leaves(advice, total, i)) status = leave(c, i, &advice[total++], err);
  if (status == DW_OK) dw__advice_rank(c, advice, total, out);
  free(advice);
  return status;
}

/* ---- the whole -------------------------------------------------------------------------------------- */

const dw_advice *dw_advice_first(const dw_advice_result *result, size_t layer) {
  for (size_t i = 0; i < result->n; i++)
    if (result->advice[i].layer == layer) return &result->advice[i];
  return NULL;
}

const char *dw_advice_aim_name(const dw_advice_request *request, const dw_layer_state *state) {
  return request->chroma_share > 0 ? "duller color" : state->leads ? "natural tone" : "target";
}

bool dw_advice_adds(const dw_advice *advice) {
  return advice->add.n > 0 || advice->add_clear_floz > 0;
}

static bool pours_again(const dw_advice_result *result, size_t layer) {
  const dw_advice *first = dw_advice_first(result, layer);
  return !first || !dw_advice_adds(first);
}

/* What a maker must know of the cups to read their advice right. */
static void note_cups(const dw__case *c, dw_advice_result *result) {
  const dw_advice_request *request = c->request;
  char lack[DW_NOTE_TEXT];
  dw_bottle_lack_words(request->shelf->lacking, false, lack, sizeof lack);
  if (*request->shelf->lacking) dw_note(&result->notes, "%s", lack);
  for (size_t i = 0; i < request->n; i++) {
    const dw_layer *layer = &request->layer[i];
    const bool colored = layer->has_measured || layer->cup.drops.n > 0;
    if (result->state[i].cup_unknown && !pours_again(result, i))
      dw_note(&result->notes,
              "What is in the cup of \"%s\" was not given, so its advice is a recipe for a fresh cup of "
              "clear base.",
              layer->name);
    if (c->cup[i].capacity_floz > layer->cup.capacity_floz)
      dw_note(&result->notes,
              "The cup of \"%s\" is full: its drops fill it to %.2f fl oz, and it holds %.2f; go on in a "
              "bigger one.",
              layer->name, c->cup[i].capacity_floz, layer->cup.capacity_floz);
    if (result->state[i].target_out > 0)
      dw_note(&result->notes, "The target of \"%s\" lies %.1f outside its natural tone \"%.80s\".",
              layer->name, result->state[i].target_out, layer->tone_name);
    if (request->chroma_share > 0 && colored && !layer->no_target)
      dw_note(&result->notes,
              "A duller color is asked for: the aim of \"%s\" is its own color with %.0f%% less chroma, not "
              "its target.",
              layer->name, 100 * request->chroma_share);
  }
}

dw_status dw_advise(const dw_advice_request *request, const dw_plugins *plugins, dw_advice_result **out,
                    dw_error *err) {
  dw_status status;
  size_t n = 0;
  double limit_s = request->limit_s > 0 ? request->limit_s : DW_PLUGIN_LIMIT_S;
  dw__asked *asked = NULL;
  dw__case *c = calloc(1, sizeof *c);
  dw_advice_result *result = calloc(1, sizeof *result);
  if (!c || !result) {
    status = dw_fail_memory(err, "the advice");
    goto done;
  }
  if ((status = check_only(request, plugins, err)) != DW_OK) goto done;
  if ((status = dw__case_make(request, c, err)) != DW_OK) goto done;
  memcpy(result->state, c->state, sizeof result->state);
  result->notes = c->notes;
  if (!(asked = choose(request, plugins, c, &n))) {
    status = dw_fail_memory(err, "the plugins' answers");
    goto done;
  }
  if (n == 0) dw_note(&result->notes, "There is no plugin to ask, so there is no advice.");
  if ((status = dw__ask(asked, n, limit_s, err)) != DW_OK) goto done;
  if ((status = judge(c, asked, n, result, err)) != DW_OK) goto done;
  if ((status = dw__instead(c, result, err)) != DW_OK) goto done;
  note_lost(plugins, &result->notes);
  note_cups(c, result);
  *out = result;
  result = NULL;
done:
  dw_advice_result_free(result);
  free(asked);
  free(c);
  return status;
}

void dw_advice_result_free(dw_advice_result *result) {
  free(result);
}
