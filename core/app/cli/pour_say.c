/* What pour says: what was predicted and measured, what was learned, whether to go on. */
#include "app/cli/pour.h"
#include "dropwise/mix_json.h"

/* What else to know: of the correction, else of the recipe that the cups were filled by. */
static const dw_notes *notes_of(const cli_poured *poured) {
  static const dw_notes none = {0};
  const dw_batch_advice *advice = poured->advice ? poured->advice : poured->advised;
  return advice ? &advice->result->notes : &none;
}

static bool go_on(const cli_poured_layer *layer) {
  return dw_advice_adds(layer->advice);
}

/* The way that begins a new cup with a share of this one, or NULL. */
static const dw_instead *new_cup_of(const cli_poured_layer *layer) {
  for (size_t i = 0; i < layer->state->n_instead; i++)
    if (layer->state->instead[i].way == DW_WAY_PART) return &layer->state->instead[i];
  return NULL;
}

/* ---- text ---------------------------------------------------------------------------------------------- */

static void text_color(const char *what, dw_lab lab, const dw_style *style, dw_text *out) {
  dw_text_add(out, "  %-9s ", what);
  dw_text_swatch(lab, style, out);
  dw_text_lab(lab, out);
}

static void text_cup(const cli_poured *poured, const cli_poured_layer *l, const dw_style *style,
                     dw_text *out) {
  char recipe[256];
  dw_recipe_format(&l->cup.drops, poured->shelf, recipe, sizeof recipe);
  dw_text_add(out, "  in the cup: ");
  dw_text_volume(l->kept.volume_floz, style->units, out);
  dw_text_add(out, ", %s%s%s\n", *recipe ? recipe : "clear base", *recipe ? " drops" : "",
              l->missing ? "; and bottles that can't be predicted yet" : "");
}

static void text_advice(const cli_poured *poured, const cli_poured_layer *l, const dw_style *style,
                        dw_text *out) {
  if (go_on(l)) {
    dw_text_add(out, "  One more correction is worth it: ");
    dw_text_additions(poured->shelf, &l->advice->add, l->advice->add_clear_floz, style, true, out);
    dw_text_add(out, "; then %.2f from the %s\n", l->advice->predicted_de00, l->aim);
  } else {
    dw_text_add(out, "  %s\n", l->advice->words);
  }
  dw_text_notes(&l->advice->notes, "  ", out);
  for (size_t i = 0; i < l->state->n_instead; i++) {
    dw_text_add(out, "  Or: ");
    dw_text_instead(poured->shelf, &l->state->instead[i], style->units, out);
    dw_text_add(out, "\n");
  }
}

static void text_layer(const cli_poured *poured, const cli_poured_layer *l, const dw_style *style,
                       dw_text *out) {
  char words[2 * DW_NOTE_TEXT];
  dw_text_add(out, "%s\n", l->layer->name);
  if (!l->has_cup) {
    dw_text_add(out, "  the book does not know this cup\n");
    return;
  }
  text_cup(poured, l, style, out);
  if (l->has_pour && l->pour.has_predicted) {
    text_color("predicted", l->pour.predicted, style, out);
    dw_text_add(out, "\n");
  }
  if (l->has_measured) {
    text_color("measured", l->pour.measured, style, out);
    if (l->pour.has_predicted)
      dw_text_add(out, ", %.2f from what was predicted", dw_de00(l->pour.measured, l->pour.predicted));
    dw_text_add(out, "\n");
  }
  if (l->layer->has_target) {
    text_color("target", l->layer->target, style, out);
    if (l->has_measured) dw_text_add(out, ", %.2f away", dw_de00(l->pour.measured, l->layer->target));
    dw_text_add(out, "\n");
  }
  if (l->state && l->state->has_tone) {
    dw_text_add(out, "  ");
    dw_text_tone(l->asked->tone_name, l->state->now, &l->state->tone, out);
    dw_text_add(out, "\n");
  }
  dw_aside_words(&l->aside, words, sizeof words);
  if (*words) dw_text_add(out, "  ! %s Take it back: dropwise undo\n", words);
  if (l->advice) text_advice(poured, l, style, out);
}

void cli_learned_text(const dw_learned *learned, uint64_t bottles, dw_text *out) {
  for (size_t i = 0; i < learned->n; i++)
    if (*learned->bottle[i].words && learned->bottle[i].changed && bottles >> i & 1)
      dw_text_add(out, "Learned: %s.\n", learned->bottle[i].words);
}

/* Bits of the bottles in the cups shown. */
static uint64_t bottles_in(const cli_poured *poured) {
  uint64_t bits = 0;
  for (size_t i = 0; i < poured->n; i++)
    for (size_t p = 0; p < poured->layer[i].cup.drops.n; p++)
      bits |= (uint64_t)1 << poured->layer[i].cup.drops.part[p].bottle;
  return bits;
}

static void text_all(const cli_args *args, const cli_poured *poured, dw_text *out) {
  dw_text_add(out, "%s, batch %s%s\n", poured->pattern.name, poured->batch.name,
              poured->batch.good ? ", good" : "");
  cli_photos_say(&poured->photos, out);
  cli_drizzled_say(poured->drizzled, out);
  for (size_t i = 0; i < poured->n; i++) text_layer(poured, &poured->layer[i], &args->style, out);
  dw_text_notes(notes_of(poured), "", out);
  if (*poured->no_advice)
    dw_text_add(out, "! It is logged, but what to add is not known: %s\n", poured->no_advice);
  cli_learned_text(&poured->learned, bottles_in(poured), out);
  if (poured->batch.good && cli_has(args, "--good")) {
    dw_batch_good_words(&poured->pattern, poured->read, out);
    dw_text_add(out, "\n");
  }
  if (*poured->heat.words) dw_text_add(out, "%s%s\n", poured->heat.beyond ? "! " : "", poured->heat.words);
  if (*poured->warning) dw_text_add(out, "! %s\n", poured->warning);
  if (poured->info.invented)
    dw_text_add(
        out,
        "! Predicted with the invented starter shelf; dropwise bottle chips and bottle fit know yours.\n");
  dw_text_caution_line(out);
}

/* ---- JSON ---------------------------------------------------------------------------------------------- */

static json_t *advice_json(const cli_poured *poured, const cli_poured_layer *l, json_t *json) {
  const dw_advice *advice = l->advice;
  const dw_instead *new_cup = new_cup_of(l);
  json = dw_json_with(json, "go_on", json_boolean(go_on(l)));
  json = dw_json_with(json, "aim", json_string(l->aim));
  if (l->state->has_tone)
    json = dw_json_with(json, "tone", dw_json_tone(l->asked->tone_name, l->state->now, &l->state->tone));
  json = dw_json_with(json, "words", dw_json_text(advice->words));
  json = dw_json_with(json, "add", dw_json_drops(&advice->add, poured->shelf));
  json = dw_json_with(json, "add_clear_floz", dw_json_round(advice->add_clear_floz, 3));
  json = dw_json_with(json, "then", dw_json_lab(advice->predicted.lab));
  json = dw_json_with(json, "then_de00", dw_json_round(advice->predicted_de00, 2));
  json = dw_json_with(json, "limit", dw_json_text(advice->notes.n ? advice->notes.text[0] : ""));
  return dw_json_with(json, "new_cup", new_cup ? dw_json_new_cup(poured->shelf, new_cup) : json_null());
}

static json_t *layer_json(const cli_poured *poured, const cli_poured_layer *l) {
  json_t *json = json_pack("{s:s, s:o}", "name", l->layer->name, "target",
                           l->layer->has_target ? dw_json_lab(l->layer->target) : json_null());
  if (!json || !l->has_cup) return json;
  char words[2 * DW_NOTE_TEXT];
  bool predicted = l->has_pour && l->pour.has_predicted;
  json = dw_json_with(json, "cup", dw_json_drops(&l->cup.drops, poured->shelf));
  json = dw_json_with(json, "volume_floz", dw_json_round(l->kept.volume_floz, 3));
  json = dw_json_with(json, "temperature_f", dw_json_round(l->kept.temperature_f, 1));
  json = dw_json_with(json, "predicted", predicted ? dw_json_lab(l->pour.predicted) : json_null());
  json = dw_json_with(json, "measured", l->has_measured ? dw_json_lab(l->pour.measured) : json_null());
  if (predicted && l->has_measured)
    json =
        dw_json_with(json, "predicted_de00", dw_json_round(dw_de00(l->pour.measured, l->pour.predicted), 2));
  if (l->layer->has_target && l->has_measured)
    json = dw_json_with(json, "target_de00", dw_json_round(dw_de00(l->pour.measured, l->layer->target), 2));
  if (*poured->no_advice) json = dw_json_with(json, "no_advice", dw_json_text(poured->no_advice));
  dw_aside_words(&l->aside, words, sizeof words);
  json = dw_json_with(json, "set_aside", json_integer((json_int_t)l->aside.n));
  json = dw_json_with(json, "set_aside_words", dw_json_text(words));
  return l->advice ? advice_json(poured, l, json) : json;
}

json_t *cli_learned_json(const dw_shelf *shelf, const dw_learned *learned) {
  json_t *list = json_array();
  for (size_t i = 0; i < learned->n; i++) {
    const dw_learned_bottle *b = &learned->bottle[i];
    if (b->pours == 0) continue;
    list = dw_json_and(list, json_pack("{s:s, s:o, s:o, s:I, s:s}", "bottle", shelf->bottle[i].id, "strength",
                                       dw_json_round(b->strength, 3), "strength_sd", dw_json_round(b->sd, 3),
                                       "pours", (json_int_t)b->pours, "words", b->words));
  }
  return list;
}

static json_t *json_all(const cli_poured *poured) {
  json_t *layers = json_array();
  for (size_t i = 0; i < poured->n; i++) layers = dw_json_and(layers, layer_json(poured, &poured->layer[i]));
  json_t *all =
      json_pack("{s:s, s:s, s:b, s:b, s:o, s:s, s:o, s:o}", "pattern", poured->pattern.name, "batch",
                poured->batch.name, "good", poured->batch.good, "invented", poured->info.invented, "layers",
                layers, "warning", poured->warning, "notes", dw_json_notes(notes_of(poured)), "learned",
                cli_learned_json(poured->shelf, &poured->learned));
  if (*poured->heat.words) all = dw_json_with(all, "heat", dw_json_heat_spread(&poured->heat));
  if (poured->batch.good)
    all = dw_json_with(all, "good_layers", dw_batch_good_json(&poured->pattern, poured->read));
  return cli_drizzled_json(poured->drizzled, cli_photos_json(&poured->photos, all));
}

dw_status cli_pour_say(const cli_args *args, const cli_poured *poured, dw_error *err) {
  dw_text text = {0};
  if (args->json) return cli_print_json(json_all(poured), err);
  text_all(args, poured, &text);
  return cli_print_text(&text, err);
}
