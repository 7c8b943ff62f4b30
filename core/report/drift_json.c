/* Drift for scripts: JSON and CSV. */
#include "dropwise/report_turn.h"
#include "report/drift.h"

#include <math.h>

static json_t *limits_json(const dw_chart_limits *limits) {
  return json_pack("{s:o, s:o, s:o}", "center", dw_json_round(limits->center, 3), "upper",
                   dw_json_round(limits->upper, 3), "lower", dw_json_round(limits->lower, 3));
}

static json_t *parts_json(const double part[3]) {
  return json_pack("[o, o, o]", dw_json_round(part[0], 2), dw_json_round(part[1], 2),
                   dw_json_round(part[2], 2));
}

static json_t *rules_json(const dw_batch_check *check) {
  static const char *const part[] = {"lightness", "chroma", "hue"};
  json_t *json = json_object();
  for (size_t r = 0; r < 3; r++)
    if (check->rules[r]) json = dw_json_with(json, part[r], json_string(dw_run_rule_words(check->rules[r])));
  return json;
}

static json_t *batch_json(const dw_drift_layer *layer, size_t i) {
  const dw_batch_check *check = &layer->check[i];
  const dw_batch_row *row = &layer->history.row[i];
  const dw_batch_color *color = &layer->history.color[i];
  char words[160];
  dw__batch_words(layer, i, words, sizeof words);
  json_t *json =
      json_pack("{s:s, s:I, s:s, s:o, s:b, s:o, s:o, s:o, s:o, s:b, s:s, s:o, s:o}", "name", row->batch.name,
                "batch", (json_int_t)row->batch.id, "when", row->batch.poured, "lab", dw_json_lab(color->lab),
                "good", color->good, "uncertainty_de00", dw_json_round(color->uncertainty_de00, 2),
                "de00_target", dw_json_round(check->de00_target, 2), "de00_previous",
                i ? dw_json_round(check->de00_previous, 2) : json_null(), "de00_first",
                dw_json_round(check->de00_first, 2), "signal", check->signal, "words", words, "parts",
                parts_json(check->part), "rules", rules_json(check));
  if (!json) return NULL;
  json = dw_json_with(json, "moving_range", i ? dw_json_round(check->moving_range, 2) : json_null());
  json = dw_json_with(json, "away_de00", dw_json_round(check->away, 2));
  json = dw_json_with(json, "p", dw_json_round(check->p, 5));
  json = dw_json_with(json, "baits", json_integer((json_int_t)row->baits));
  json = dw_json_with(json, "photos", json_integer((json_int_t)row->photos));
  json = dw_json_with(json, "temperature_f", dw_json_round(row->temperature_f, 1));
  json = dw_json_with(json, "bait_mean_de00", dw_json_round(layer->bait_mean[i], 2));
  json = dw_json_with(json, "bait_range_de00", dw_json_round(layer->bait_range[i], 2));
  if (!layer->groups.n || row->baits < 2) return json;
  json = dw_json_with(json, "bait_mean_limits", limits_json(&layer->bait_limits[i].mean));
  return dw_json_with(json, "bait_range_limits", limits_json(&layer->bait_limits[i].range));
}

json_t *dw_json_next_cup(const dw_next_cup *next) {
  json_t *json =
      next->known ? json_pack("{s:b, s:s, s:s, s:o, s:o, s:o, s:s, s:s}", "known", 1, "recipe", next->recipe,
                              "last", next->last, "volume_floz", dw_json_round(next->volume_floz, 3),
                              "predicted", dw_json_lab(next->predicted), "predicted_de00",
                              dw_json_round(next->predicted_de00, 2), "aim", next->aim, "words", next->words)
                  : json_pack("{s:b, s:s}", "known", 0, "words", next->words);
  if (json && next->has_good)
    json_object_set_new(json, "last_good",
                        json_pack("{s:s, s:s, s:s}", "batch", next->good_batch, "recipe", next->good_recipe,
                                  "words", next->good_words));
  return json;
}

/* Limits of the usual size; a batch of another has its own. */
static json_t *groups_json(const dw_group_chart *groups) {
  dw_chart_limits means, ranges;
  if (dw_chart_group_limits(groups, groups->size, &means, &ranges, NULL) != DW_OK) return json_null();
  return json_pack("{s:I, s:b, s:o, s:o}", "size", (json_int_t)groups->size, "alike", groups->alike, "means",
                   limits_json(&means), "ranges", limits_json(&ranges));
}

static json_t *shots_json(const dw_shot_spread *s) {
  bool several = s->batches > 1;
  return json_pack("{s:I, s:I, s:o, s:o, s:o, s:o, s:b, s:o, s:s}", "batches", (json_int_t)s->batches,
                   "baits", (json_int_t)s->baits, "within_de00", dw_json_round(s->within_de00, 2), "within",
                   parts_json(s->within), "between_de00",
                   several ? dw_json_round(s->between_de00, 2) : json_null(), "between",
                   several ? parts_json(s->between) : json_null(), "apart", s->apart, "p",
                   several ? dw_json_round(s->p, 4) : json_null(), "words", s->words);
}

/* ---- a swirl's shares ---------------------------------------------------------------------------------- */

static json_t *share_json(const dw_drift_layer *layer, size_t i) {
  const dw_drift_shares *s = &layer->shares_of;
  const dw_batch_row *row = &layer->history.row[s->row[i]];
  const dw_share_check *check = &s->check[i];
  json_t *json =
      json_pack("{s:s, s:I, s:s, s:b, s:o, s:o, s:b, s:I}", "name", row->batch.name, "batch",
                (json_int_t)row->batch.id, "when", row->batch.poured, "good", s->batch[i].good, "share",
                dw_json_round(s->batch[i].share, 4), "doubt", dw_json_round(s->batch[i].doubt, 4), "signal",
                check->signal, "baits", (json_int_t)row->shares);
  const bool limits = s->result.base >= DW_DRIFT_BASE_MIN;
  json = dw_json_with(json, "off", limits ? dw_json_round(check->off, 4) : json_null());
  return dw_json_with(json, "p", dw_json_round(check->p, 5));
}

static json_t *shares_json(const dw_drift_layer *layer) {
  const dw_drift_shares *s = &layer->shares_of;
  json_t *batches = json_array();
  for (size_t i = 0; i < s->n; i++) batches = dw_json_and(batches, share_json(layer, i));
  json_t *json = json_pack("{s:o, s:o, s:s, s:s, s:I, s:o}", "target", dw_json_round(s->target, 4), "limits",
                           s->result.base >= 2 ? limits_json(&s->result.share) : json_null(), "verdict",
                           dw__share_verdict_word(layer), "words", s->result.words, "good_batches",
                           (json_int_t)s->result.base, "batches", batches);
  if (s->n && s->result.verdict == DW_DRIFT_FOUND)
    json = dw_json_with(json, "since", json_string(layer->history.row[s->row[s->result.since]].batch.name));
  return json;
}

/* ---- travel -------------------------------------------------------------------------------------------- */

static json_t *more_json(const dw_travel_against *a) {
  if (!a->known) return json_null();
  return json_pack("{s:o, s:o, s:b, s:s}", "more_de00", dw_json_round(a->more_de00, 2), "more_doubt_de00",
                   dw_json_round(a->more_doubt_de00, 2), "apart", a->apart, "words", a->words);
}

static json_t *travels_json(const dw_layer_travels *t) {
  json_t *batches = json_array();
  for (size_t i = 0; i < t->n; i++)
    batches = dw_json_and(
        batches,
        json_pack("{s:I, s:I, s:I, s:o, s:o, s:o}", "batch", (json_int_t)t->batch[i].batch, "baits",
                  (json_int_t)t->batch[i].baits, "travelling", (json_int_t)t->batch[i].travelling, "de00",
                  dw_json_round(t->batch[i].de00, 2), "doubt_de00", dw_json_round(t->batch[i].doubt_de00, 2),
                  "hue_deg", dw_json_round(t->batch[i].hue_deg, 1)));
  return json_pack("{s:o, s:o, s:o, s:o, s:s}", "target",
                   t->target.id ? dw_json_travel(&t->target) : json_null(), "batches", batches, "to_target",
                   more_json(&t->to_target), "to_before", more_json(&t->to_before), "words", t->words);
}

static json_t *layer_json(const dw_drift_layer *layer) {
  json_t *batches = json_array();
  bool limits = dw__chart_has_limits(layer);
  for (size_t i = 0; layer->check && i < layer->history.n; i++)
    batches = dw_json_and(batches, batch_json(layer, i));
  json_t *json =
      json_pack("{s:s, s:o, s:o, s:o, s:s, s:s, s:I}", "name", layer->name, "target",
                layer->has_target ? dw_json_lab(layer->target) : json_null(), "batches", batches, "limits",
                limits ? limits_json(&layer->result.de00) : json_null(), "verdict", dw__verdict_word(layer),
                "words", layer->result.words, "good_batches", (json_int_t)layer->result.base);
  if (!json) return NULL;
  if (layer->tone.known)
    json = dw_json_with(json, "tone", dw_json_tone(layer->tone.name, layer->tone.color, &layer->tone.spot));
  if (limits) json = dw_json_with(json, "range_limits", limits_json(&layer->result.range));
  if (layer->groups.n) json = dw_json_with(json, "groups", groups_json(&layer->groups));
  if (layer->has_shots) json = dw_json_with(json, "shots", shots_json(&layer->shots));
  if (layer->swirl) json = dw_json_with(json, "shares", shares_json(layer));
  if (layer->travels.n || layer->travels.target.id)
    json = dw_json_with(json, "travel", travels_json(&layer->travels));
  if (layer->result.verdict == DW_DRIFT_FOUND)
    json = dw_json_with(json, "since", json_string(layer->history.row[layer->result.since].batch.name));
  if (layer->has_advice) json = dw_json_with(json, "next", dw_json_next_cup(&layer->next));
  return json;
}

json_t *dw_json_heat_answer(const dw_heat_answer *heat) {
  json_t *json =
      json_pack("{s:I, s:b, s:s}", "n", (json_int_t)heat->n, "enough", heat->enough, "words", heat->words);
  const struct {
    const char *name;
    double value;
    int decimals;
  } numbers[] = {{"rho", heat->rho, 3}, {"low", heat->low, 3}, {"high", heat->high, 3}, {"p", heat->p, 4}};
  for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
    json = dw_json_with(json, numbers[i].name,
                        heat->enough ? dw_json_round(numbers[i].value, numbers[i].decimals) : json_null());
  return json;
}

json_t *dw_json_drift(const dw_drift_report *report) {
  json_t *layers = json_array(), *changes = json_array();
  for (size_t i = 0; i < report->n; i++) layers = dw_json_and(layers, layer_json(&report->layer[i]));
  for (size_t i = 0; i < report->n_changes; i++) {
    const dw_lot_change *c = &report->change[i];
    changes = dw_json_and(changes, json_pack("{s:s, s:s, s:s, s:I}", "bottle", c->slug, "from", c->from, "to",
                                             c->to, "batch", (json_int_t)c->batch));
  }
  return json_pack("{s:s, s:b, s:s, s:b, s:o, s:o, s:o, s:o, s:o}", "pattern", report->pattern.name, "swirl",
                   report->pattern.swirl, "warning", report->lack, "drift", dw_drift_report_found(report),
                   "layers", layers, "lot_changes", changes, "heat_blend",
                   dw_json_heat_answer(&report->heat_blend), "heat_drift",
                   dw_json_heat_answer(&report->heat_drift), "repeatability",
                   json_pack("{s:o, s:o}", "sd_de00", dw_json_round(report->repeat.sd_de00, 3), "repeats",
                             dw_json_round(report->repeat.degrees, 0)));
}

/* ---- CSV ----------------------------------------------------------------------------------------------- */

/* RFC 4180; a name that a spreadsheet would take for a formula is kept from it by a quote mark. */
static void csv_cell(const char *cell, dw_text *out) {
  dw_text_put(out, "\"", 1);
  if (*cell == '=' || *cell == '+' || *cell == '-' || *cell == '@') dw_text_put(out, "'", 1);
  for (const char *p = cell; *p; p++) {
    if (*p == '"') dw_text_put(out, "\"", 1);
    dw_text_put(out, p, 1);
  }
  dw_text_put(out, "\"", 1);
}

static void csv_number(double value, int decimals, dw_text *out) {
  dw_text_put(out, ",", 1);
  if (!isnan(value)) dw_text_add(out, "%.*f", decimals, dw_rounded(value, decimals));
}

static void csv_batch(const dw_drift_layer *layer, size_t i, dw_text *out) {
  const dw_batch_check *check = &layer->check[i];
  const dw_batch_row *row = &layer->history.row[i];
  const dw_batch_color *color = &layer->history.color[i];
  csv_cell(layer->name, out);
  dw_text_put(out, ",", 1);
  csv_cell(row->batch.name, out);
  dw_text_add(out, ",%s", row->batch.poured);
  csv_number(color->lab.L, 2, out);
  csv_number(color->lab.a, 2, out);
  csv_number(color->lab.b, 2, out);
  csv_number(color->uncertainty_de00, 2, out);
  csv_number(check->de00_target, 2, out);
  csv_number(i ? check->de00_previous : NAN, 2, out);
  for (size_t r = 0; r < 3; r++) csv_number(check->part[r], 2, out);
  csv_number(row->temperature_f, 1, out);
  dw_text_add(out, ",%zu,%d,%d", row->baits, color->good, check->signal);
  csv_number(layer->bait_mean[i], 2, out);
  csv_number(layer->bait_range[i], 2, out);
  csv_number(row->share, 4, out);
  csv_number(row->share_doubt, 4, out);
  dw_text_add(out, "\n");
}

void dw_csv_drift(const dw_drift_report *report, dw_text *out) {
  dw_text_add(out, "layer,batch,when,L,a,b,uncertainty_de00,de00_target,de00_previous,lightness,chroma,hue,"
                   "temperature_f,baits,good,signal,bait_mean_de00,bait_range_de00,share,share_doubt\n");
  for (size_t l = 0; l < report->n; l++)
    for (size_t i = 0; report->layer[l].check && i < report->layer[l].history.n; i++)
      csv_batch(&report->layer[l], i, out);
}
