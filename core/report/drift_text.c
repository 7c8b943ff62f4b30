/* Drift in words, for the terminal. */
#include "report/drift.h"

#include <math.h>

enum { LAST_SHOWN = 3 };
#define OFF_DE00 4.0 /* from the target: worth a word even before there are limits */

static void text_rules(const dw_batch_check *check, dw_text *out) {
  static const char *const part[] = {"lightness", "chroma", "hue"};
  bool any = false;
  for (size_t r = 0; r < 3; r++) {
    if (!check->rules[r]) continue;
    dw_text_add(out, "%s%s: %s", any ? "; " : "; single charts, which make no verdict: ", part[r],
                dw_run_rule_words(check->rules[r]));
    any = true;
  }
}

static void text_batch(const dw_drift_layer *layer, size_t i, dw_detail detail, const dw_style *style,
                       dw_text *out) {
  const dw_batch_check *check = &layer->check[i];
  const dw_batch_row *row = &layer->history.row[i];
  char words[160];
  dw__batch_words(layer, i, words, sizeof words);
  dw_text_add(out, "  %-10.24s %.10s  ", row->batch.name, row->batch.poured);
  dw_text_swatch(layer->history.color[i].lab, style, out);
  dw_text_add(out, "%.2f from the target (%s)", check->de00_target, words);
  if (layer->history.color[i].uncertainty_de00 > 0)
    dw_text_add(out, ", doubt %.1f", layer->history.color[i].uncertainty_de00);
  if (row->baits > 1) dw_text_add(out, ", %zu baits", row->baits);
  if (layer->history.color[i].good) dw_text_add(out, ", good");
  if (detail == DW_DETAIL_ALL) text_rules(check, out);
  dw_text_add(out, "%s\n", check->signal ? "  DRIFT" : "");
  if (detail == DW_DETAIL_ALL && *row->batch.note) dw_text_add(out, "             %s\n", row->batch.note);
}

void dw_text_next_cup(const dw_next_cup *next, const dw_style *style, dw_text *out) {
  if (next->has_good) dw_text_add(out, "  %s\n", next->good_words);
  if (!next->known) {
    if (*next->words) dw_text_add(out, "  %s\n", next->words);
    return;
  }
  dw_text_add(out, "  Next cup, ");
  dw_text_volume(next->volume_floz, style->units, out);
  dw_text_add(out, ": %s", next->recipe);
  if (*next->last) dw_text_add(out, " (last time %s)", next->last);
  dw_text_add(out, ": %s; then %.2f from the %s\n", next->words, next->predicted_de00, next->aim);
}

static void text_target(const dw_drift_layer *layer, dw_text *out) {
  char doubt[DW_NOTE_TEXT];
  size_t n = layer->history.n;
  if (!layer->has_target) return;
  dw_target_doubt_words(layer->target_no_card, layer->target_doubt_de00, doubt, sizeof doubt);
  if (*doubt) dw_text_add(out, "  ! %s\n", doubt);
  if (*doubt && layer->check && layer->check[n - 1].de00_target <= layer->target_doubt_de00)
    dw_text_add(out, "  The last batch is within what the target is known.\n");
}

/* The chart of a shot's baits, batch by batch. */
static void text_groups(const dw_drift_layer *layer, dw_text *out) {
  for (size_t i = 0; i < layer->history.n && layer->groups.n; i++) {
    const dw_bait_limits *limits = &layer->bait_limits[i];
    if (layer->history.row[i].baits < 2) continue;
    dw_text_add(out, "  %-10.24s baits: mean %.2f (limits %.2f to %.2f)%s, range %.2f (%.2f to %.2f)%s\n",
                layer->history.row[i].batch.name, layer->bait_mean[i], limits->mean.lower, limits->mean.upper,
                dw__beyond(layer->bait_mean[i], &limits->mean) ? " BEYOND" : "", layer->bait_range[i],
                limits->range.lower, limits->range.upper,
                dw__beyond(layer->bait_range[i], &limits->range) ? " BEYOND" : "");
  }
}

/* What a swirl's color has of the bait. */
static void text_shares(const dw_drift_layer *layer, dw_detail detail, dw_text *out) {
  const dw_drift_shares *s = &layer->shares_of;
  size_t shown = detail == DW_DETAIL_ALL ? s->n : LAST_SHOWN;
  if (!layer->swirl) return;
  dw_text_add(out, "  Share: %s. %s\n", dw__share_verdict_word(layer), s->result.words);
  for (size_t i = s->n > shown ? s->n - shown : 0; i < s->n; i++)
    dw_text_add(out, "  %-10.24s %.0f%% of the bait, doubt %.0f%s%s\n",
                layer->history.row[s->row[i]].batch.name, 100 * s->batch[i].share, 100 * s->batch[i].doubt,
                s->batch[i].good ? ", good" : "", s->check[i].signal ? "  DRIFT" : "");
  if (detail == DW_DETAIL_ALL && s->result.base >= 2)
    dw_text_add(out, "  Good batches have %.0f%%; limits %.0f to %.0f.\n", 100 * s->result.share.center,
                100 * s->result.share.lower, 100 * s->result.share.upper);
}

static void text_layer(const dw_drift_layer *layer, dw_detail detail, const dw_style *style, dw_text *out) {
  size_t n = layer->history.n, shown = detail == DW_DETAIL_ALL ? n : LAST_SHOWN;
  dw_text_add(out, "\n%s: %s\n  %s\n", layer->name, dw__verdict_word(layer), layer->result.words);
  text_target(layer, out);
  if (layer->tone.known) {
    dw_text_add(out, "  The last batch is ");
    dw_text_tone(layer->tone.name, layer->tone.color, &layer->tone.spot, out);
    dw_text_add(out, ".\n");
  }
  if (layer->check) {
    for (size_t i = n > shown ? n - shown : 0; i < n; i++) text_batch(layer, i, detail, style, out);
    if (detail == DW_DETAIL_ALL || layer->result.verdict == DW_DRIFT_FOUND) dw_chart_text(layer, out);
    if (layer->has_shots) dw_text_add(out, "  %s\n", layer->shots.words);
    if (detail == DW_DETAIL_ALL) text_groups(layer, out);
  }
  text_shares(layer, detail, out);
  if (*layer->travels.words) dw_text_add(out, "  Turned in the light: %s\n", layer->travels.words);
  if (layer->has_advice) dw_text_next_cup(&layer->next, style, out);
}

/* ---- the first lines ----------------------------------------------------------------------------------- */

/* "Batch 8: the back is 6.7 off its target (lighter, duller); its cup had 8 drops less of orange than
 * batch 7."
 */
static void head_layer(const dw_drift_layer *layer, dw_text *out) {
  char words[160];
  size_t last = layer->history.n - 1;
  dw__batch_words(layer, last, words, sizeof words);
  dw_text_add(out, "Batch %s: the %s is %.1f off its target (%s)", layer->history.row[last].batch.name,
              layer->name, layer->check[last].de00_target, words);
  if (*layer->drops) dw_text_add(out, "; its cup had %s", layer->drops);
  dw_text_add(out, ".\n");
}

static void text_head(const dw_drift_report *report, dw_text *out) {
  bool any = false;
  for (size_t i = 0; i < report->n; i++) {
    const dw_drift_layer *layer = &report->layer[i];
    if (!layer->check) continue;
    bool off = layer->check[layer->history.n - 1].de00_target > OFF_DE00;
    if (layer->result.verdict == DW_DRIFT_FOUND || (layer->result.verdict == DW_DRIFT_TOO_FEW && off))
      head_layer(layer, out);
  }
  for (size_t i = 0; i < report->n; i++) {
    const dw_drift_shares *s = &report->layer[i].shares_of;
    if (s->n && s->result.verdict == DW_DRIFT_FOUND) dw_text_add(out, "%s\n", s->result.words);
  }
  for (size_t i = 0; i < report->n; i++) {
    if (!report->layer[i].check || report->layer[i].result.verdict != DW_DRIFT_IN_CONTROL) continue;
    dw_text_add(out, "%s%s", any ? ", " : "Steady: ", report->layer[i].name);
    any = true;
  }
  if (any) dw_text_add(out, ".\n");
}

static const char *layer_named(const dw_drift_report *report, int64_t id) {
  for (size_t i = 0; i < report->n; i++)
    if (report->pattern.layer[i].id == id) return report->layer[i].name;
  return "";
}

static void text_changes(const dw_drift_report *report, dw_text *out) {
  bool found = dw_drift_report_found(report);
  if (report->n_changes == 0) {
    dw_text_add(out, "No bottle changed lot%s.\n", found ? " before the drift began" : "");
    return;
  }
  dw_text_add(out, "Bottles that changed lot%s:", found ? " before the drift began" : "");
  for (size_t i = 0; i < report->n_changes; i++) {
    const dw_lot_change *c = &report->change[i];
    dw_text_add(out, "%s %s from %s to %s (%s)", i ? "," : "", c->slug, c->from, c->to,
                layer_named(report, c->layer));
  }
  dw_text_add(out, ".\n");
}

static void text_heat(const dw_heat_answer *heat, dw_detail detail, dw_text *out) {
  if (heat->enough || detail == DW_DETAIL_ALL) dw_text_add(out, "%s\n", heat->words);
}

static bool has_advice(const dw_drift_report *report) {
  for (size_t i = 0; i < report->n; i++)
    if (report->layer[i].has_advice) return true;
  return false;
}

void dw_text_drift(const dw_drift_report *report, dw_detail detail, const dw_style *style, dw_text *out) {
  dw_text_add(out, "%s: %zu batch%s\n", report->pattern.name, report->pattern.batches,
              report->pattern.batches == 1 ? "" : "es");
  text_head(report, out);
  for (size_t i = 0; i < report->n; i++) text_layer(&report->layer[i], detail, style, out);
  dw_text_add(out, "\n");
  if (detail == DW_DETAIL_ALL || report->n_changes > 0 || dw_drift_report_found(report))
    text_changes(report, out);
  text_heat(&report->heat_blend, detail, out);
  text_heat(&report->heat_drift, detail, out);
  if (report->repeat.degrees > 0 && detail == DW_DETAIL_ALL)
    dw_text_add(out, "Photos of the same bait disagree by %.2f (one standard deviation, %.0f repeats).\n",
                report->repeat.sd_de00, report->repeat.degrees);
  if (detail == DW_DETAIL_BRIEF) dw_text_add(out, "All batches, charts and temperatures: --more\n");
  if (*report->lack) dw_text_add(out, "! %s\n", report->lack);
  if (has_advice(report)) dw_text_caution_line(out);
}
