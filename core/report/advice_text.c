/* Advice as text for a terminal. */
#include "dropwise/report.h"

#define NOT_SEEN_DE00 0.5 /* which way a color is off below this nobody sees */

void dw_text_judged(const dw_slab *slab, const dw_style *style, dw_text *out) {
  dw_text_add(out, "Colors are judged ");
  dw_text_slab(slab, style, out);
  dw_text_add(out, ": what lets light through shows that, too.");
}

/* "14 white, 5 orange" */
static void drops(const dw_shelf *shelf, const dw_recipe *add, dw_text *out) {
  for (size_t i = 0; i < add->n; i++)
    dw_text_add(out, "%s%.4g %s", i ? ", " : "", add->part[i].amount, shelf->bottle[add->part[i].bottle].id);
  if (add->n == 0) dw_text_add(out, "nothing else");
}

void dw_text_instead(const dw_shelf *shelf, const dw_instead *instead, dw_units units, dw_text *out) {
  switch (instead->way) {
  case DW_WAY_PART:
    dw_text_add(out, "Start a new cup with ");
    dw_text_volume(instead->take_floz, units, out);
    dw_text_add(out, " of this one, ");
    break;
  case DW_WAY_BIGGER:
    dw_text_add(out, "Go on in a cup that holds ");
    dw_text_volume(instead->capacity_floz, units, out);
    dw_text_add(out, ", with ");
    break;
  default:
    dw_text_add(out, "Start a fresh cup: ");
  }
  if (instead->base_floz > 0) {
    dw_text_volume(instead->base_floz, units, out);
    dw_text_add(out, " clear base, ");
  }
  drops(shelf, &instead->add, out);
  dw_text_add(out, "; it is then %.1f from the color aimed for.", instead->predicted_de00);
}

static bool adds(const dw_advice *advice) {
  return advice->add.n > 0 || advice->add_clear_floz > 0;
}

static void proposal(const dw_advice_request *request, const char *aim, const dw_advice *advice, bool first,
                     const dw_style *style, dw_text *out) {
  dw_text_add(out, "  %s", adds(advice) && first ? "Add " : first ? "" : "or  ");
  if (adds(advice)) {
    dw_text_additions(request->shelf, &advice->add, advice->add_clear_floz, style, first, out);
    dw_text_add(out, "\n      then ");
    dw_text_swatch(advice->predicted.lab, style, out);
    dw_text_lab(advice->predicted.lab, out);
    dw_text_add(out, ", %.2f from the %s\n      ", advice->predicted_de00, aim);
  }
  dw_text_add(out, "%s", advice->words);
  if (request->only) dw_text_add(out, " [%s]", advice->title); /* asked for by name: whose say is it */
  dw_text_add(out, "\n");
  dw_text_notes(&advice->notes, "      ", out);
}

static void cup(const dw_advice_request *request, const dw_layer *layer, const dw_layer_state *state,
                const dw_style *style, dw_text *out) {
  char text[256];
  dw_recipe_format(&layer->cup.drops, request->shelf, text, sizeof text);
  dw_text_add(out, state->cup_unknown ? "  its cup is not told; a fresh one has " : "  in the cup: ");
  dw_text_volume(layer->cup.volume_floz, style->units, out);
  dw_text_add(out, "%s%s%s\n", state->cup_unknown ? " of " : ", ", *text ? text : "clear base",
              *text ? " drops" : "");
}

/* How far the color is from its aim, and which way; what is left alone has nowhere to go. */
static void distance(const dw_layer *layer, const dw_layer_state *state, dw_text *out) {
  char words[160];
  dw_way_words(state->now, state->aim, words, sizeof words);
  dw_text_add(out, "  %.2f away", state->now_de00);
  if (state->now_de00 <= layer->target_doubt_de00)
    dw_text_add(out, ", within what the target is known (%.1f)", layer->target_doubt_de00);
  else if (state->measured && state->now_de00 <= layer->measured_uncertainty_de00)
    dw_text_add(out, ", within what the photo can tell");
  else if (state->now_de00 < NOT_SEEN_DE00)
    dw_text_add(out, "; as aimed");
  else if (!state->leave)
    dw_text_add(out, "; %s", words);
}

static void layer_head(const dw_advice_request *request, const dw_layer *layer, const dw_layer_state *state,
                       const dw_style *style, dw_text *out) {
  const bool dulled = request->chroma_share > 0;
  dw_text_add(out, "%s\n", layer->name);
  cup(request, layer, state, style, out);
  dw_text_add(out, "  %-7s ", state->measured ? "now" : "now (predicted)");
  dw_text_swatch(state->now, style, out);
  dw_text_lab(state->now, out);
  dw_text_add(out, "\n  %s ", dulled ? "duller " : state->leads ? "toward " : "target ");
  dw_text_swatch(state->aim, style, out);
  dw_text_lab(state->aim, out);
  distance(layer, state, out);
  dw_text_add(out, "\n");
  if (!state->has_tone) return;
  dw_text_add(out, "  ");
  dw_text_tone(layer->tone_name, state->now, &state->tone, out);
  dw_text_add(out, "\n");
}

static void layer_advice(const dw_advice_request *request, const dw_advice_result *result, size_t i,
                         const dw_style *style, dw_text *out) {
  const dw_layer_state *state = &result->state[i];
  bool first = true;
  layer_head(request, &request->layer[i], state, style, out);
  if (state->n_instead) dw_text_add(out, "  Additions don't bring this cup near; better:\n");
  for (size_t k = 0; k < state->n_instead; k++) {
    dw_text_add(out, "  - ");
    dw_text_instead(request->shelf, &state->instead[k], style->units, out);
    dw_text_add(out, "\n");
  }
  if (state->n_instead) dw_text_add(out, "  Or stay with it:\n");
  for (size_t k = 0; k < result->n; k++) {
    if (result->advice[k].layer != i) continue;
    proposal(request, dw_advice_aim_name(request, state), &result->advice[k], first, style, out);
    first = false;
  }
  if (first) dw_text_add(out, "  No plugin has anything to add: leave it.\n");
}

void dw_text_advice(const dw_advice_request *request, const dw_advice_result *result, const dw_style *style,
                    dw_text *out) {
  const char *warning = dw_shelf_warning(request->shelf);
  if (warning) dw_text_add(out, "! %s\n", warning);
  dw_text_judged(&request->slab, style, out);
  dw_text_add(out, "\n");
  for (size_t i = 0; i < request->n; i++) {
    dw_text_add(out, "\n");
    layer_advice(request, result, i, style, out);
  }
  dw_text_notes(&result->notes, "", out);
}
