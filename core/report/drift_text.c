/* Drift in words, for the terminal. */
#include "report/drift.h"

#include <math.h>

enum { LAST_SHOWN = 3 };

static void text_rules(const pt_batch_check *check, pt_text *out) {
  static const char *const part[] = {"lightness", "chroma", "hue"};
  for (size_t r = 0; r < 3; r++)
    if (check->rules[r]) pt_text_add(out, "; %s: %s", part[r], pt_run_rule_words(check->rules[r]));
}

static void text_batch(const pt_drift_layer *layer, size_t i, const pt_style *style, pt_text *out) {
  const pt_batch_check *check = &layer->check[i];
  const pt_batch_row *row = &layer->history.row[i];
  char words[160];
  pt__batch_words(layer, i, words, sizeof words);
  pt_text_add(out, "  %-10.24s %.10s  ", row->batch.name, row->batch.poured);
  pt_text_swatch(layer->history.color[i].lab, style, out);
  pt_text_add(out, "%.2f from the target (%s)", check->de00_target, words);
  if (layer->history.color[i].uncertainty_de00 > 0)
    pt_text_add(out, ", give or take %.1f", layer->history.color[i].uncertainty_de00);
  if (row->baits > 1) pt_text_add(out, ", %zu baits", row->baits);
  text_rules(check, out);
  pt_text_add(out, "%s\n", check->signal ? "  DRIFT" : "");
}

static void text_next(const pt_next_cup *next, const pt_style *style, pt_text *out) {
  if (!next->known) {
    pt_text_add(out, "  %s\n", next->words);
    return;
  }
  if (style->units == PT_UNITS_METRIC)
    pt_text_add(out, "  Next cup, %.0f ml: %s", next->volume_floz * PT_ML_PER_FLOZ, next->recipe);
  else
    pt_text_add(out, "  Next cup, %.3g fl oz: %s", next->volume_floz, next->recipe);
  pt_text_add(out, " (last time %s): %s; then %.2f from the target\n", next->last, next->words,
              next->predicted_de00);
}

static void text_layer(const pt_drift_layer *layer, const pt_style *style, pt_text *out) {
  size_t n = layer->history.n;
  pt_text_add(out, "\n%s: %s\n  %s\n", layer->name, pt__verdict_word(layer), layer->result.words);
  if (layer->check) {
    pt_chart_text(layer, out);
    for (size_t i = n > LAST_SHOWN ? n - LAST_SHOWN : 0; i < n; i++) text_batch(layer, i, style, out);
    if (layer->group)
      pt_text_add(
          out,
          "  Baits of one batch (%zu read): their range is %.2f in the mean, at most %.2f by the chart.\n",
          layer->group, layer->ranges.center, layer->ranges.upper);
  }
  if (layer->has_advice) text_next(&layer->next, style, out);
}

static const char *layer_named(const pt_drift_report *report, int64_t id) {
  for (size_t i = 0; i < report->n; i++)
    if (report->pattern.layer[i].id == id) return report->layer[i].name;
  return "";
}

static void text_changes(const pt_drift_report *report, pt_text *out) {
  bool found = pt_drift_report_found(report);
  if (report->n_changes == 0) {
    pt_text_add(out, "No bottle changed lot%s.\n", found ? " before the drift began" : "");
    return;
  }
  pt_text_add(out, "Bottles that changed lot%s:", found ? " before the drift began" : "");
  for (size_t i = 0; i < report->n_changes; i++) {
    const pt_lot_change *c = &report->change[i];
    pt_text_add(out, "%s %s from %s to %s (%s)", i ? "," : "", c->slug, c->from, c->to,
                layer_named(report, c->layer));
  }
  pt_text_add(out, ".\n");
}

void pt_text_drift(const pt_drift_report *report, const pt_style *style, pt_text *out) {
  pt_text_add(out, "%s: %zu batch%s\n", report->pattern.name, report->pattern.batches,
              report->pattern.batches == 1 ? "" : "es");
  for (size_t i = 0; i < report->n; i++) text_layer(&report->layer[i], style, out);
  pt_text_add(out, "\n");
  text_changes(report, out);
  pt_text_add(out, "%s\n%s\n", report->heat_blend.words, report->heat_drift.words);
  if (report->repeat.degrees > 0)
    pt_text_add(out, "Photos of the same bait disagree by %.2f (one standard deviation, %.0f repeats).\n",
                report->repeat.sd_de00, report->repeat.degrees);
}
