/* A plan for the bench, as text: what to heat, what to drop in, where it goes. */
#include "report/plan_lines.h"

#include <math.h>
#include <string.h>

static void text_ml(double ml, const dw_style *style, dw_text *out) {
  if (style->units == DW_UNITS_METRIC)
    dw_text_add(out, "%.*f ml", ml < 10 ? 1 : 0, ml);
  else
    dw_text_add(out, "%.2f fl oz (%.*f ml)", ml / DW_ML_PER_FLOZ, ml < 10 ? 1 : 0, ml);
}

/* ---- one cup ----------------------------------------------------------------------------------------------
 */

static void text_powder(const char *name, double grams, double teaspoons, dw_text *out) {
  dw_text_add(out, "%s: ", name);
  if (grams > 0) dw_text_add(out, "%.2f g", grams);
  if (teaspoons > 0) dw_text_add(out, grams > 0 ? " (%.2g tsp)" : "%.2g tsp", teaspoons);
}

void dw__plan_cup(const dw_plan_job *job, const dw_plan *plan, size_t i, const dw_style *style,
                  dw_text *out) {
  const dw_plan_layer *layer = &job->layer[i];
  const dw_plan_cup *cup = &plan->cup[i];
  dw_text_add(out, "%s, chamber %zu: ", layer->name, cup->chamber);
  text_ml(cup->plastic_ml, style, out);
  dw_text_add(out, " of plastic\n");
  for (size_t j = 0; j < job->n_additives; j++) {
    dw_text_add(out, "  %s: ", job->additive[j].name);
    text_ml(cup->additive_ml[j], style, out);
    dw_text_add(out, "\n");
  }
  if (layer->has_recipe) {
    dw_text_add(out, "  ");
    dw_text_additions(job->shelf, &cup->drops, 0, style, false, out);
    dw_text_add(out, "\n");
  }
  for (size_t j = 0; j < layer->n_powders; j++) {
    dw_text_add(out, "  ");
    text_powder(layer->powder[j].name, cup->grams[j], cup->teaspoons[j], out);
    dw_text_add(out, "\n");
  }
}

/* ---- molds ------------------------------------------------------------------------------------------------
 */

/* The bench from above: five rows of the mold, the sprue where it faces, B along the backs. */
static void draw_mold(const dw_mold *mold, dw_text *out) {
  static const char side[] = "+----------------+";
  const bool sideways = mold->back == DW_SIDE_LEFT || mold->back == DW_SIDE_RIGHT;
  const char *across = mold->sprue == DW_SIDE_AWAY ? "+-------||-------+" : side;
  const char *near = mold->sprue == DW_SIDE_TOWARD ? "+-------||-------+" : side;
  dw_text_add(out, "    %s   away\n", across);
  for (int row = 0; row < 3; row++) {
    char line[] = "|                |";
    if (sideways) line[mold->back == DW_SIDE_LEFT ? 1 : 16] = 'B';
    if (!sideways && row == (mold->back == DW_SIDE_AWAY ? 0 : 2)) memset(line + 1, 'B', 16);
    if (row == 1 && mold->sprue == DW_SIDE_LEFT) line[0] = '=';
    if (row == 1 && mold->sprue == DW_SIDE_RIGHT) line[17] = '=';
    dw_text_add(out, "%s%s%s\n", row == 1 && mold->sprue == DW_SIDE_LEFT ? "  ==" : "    ", line,
                row == 1 && mold->sprue == DW_SIDE_RIGHT ? "==" : "");
  }
  dw_text_add(out, "    %s   toward you\n", near);
}

void dw__mold_head(const dw_mold *mold, dw_text *out) {
  dw_text_add(out, "%s from above; B: the backs, %s; the sprue faces %s\n", mold->name,
              dw_side_name(mold->back), dw_side_name(mold->sprue));
}

void dw__mold_chambers(const dw_mold *mold, const char *const *layers, size_t n, dw_text *out) {
  size_t layer[DW_PLAN_LAYERS_MAX];
  if (dw_mold_chambers(mold, n, layer, NULL) != DW_OK) return;
  dw_text_add(out, "  chambers, left to right as you look along the injector into the sprue:");
  for (size_t i = 0; i < n; i++) dw_text_add(out, " [%s]", layers[layer[i]]);
  dw_text_add(out, "\n");
}

void dw_text_mold(const dw_mold *mold, const char *const *layers, size_t n, dw_text *out) {
  size_t layer[DW_PLAN_LAYERS_MAX];
  if (dw_mold_chambers(mold, n, layer, NULL) != DW_OK) return;
  dw__mold_head(mold, out);
  draw_mold(mold, out);
  dw__mold_chambers(mold, layers, n, out);
}

/* What the records say of a bait, beside what was stated. */
static void learned_text(const dw_mold *mold, const dw_style *style, dw_text *out) {
  if (mold->learned_from == 0) return;
  dw_text_add(out, "  Learned from %zu pour%s: a bait takes ", mold->learned_from,
              mold->learned_from == 1 ? "" : "s");
  dw_text_volume(mold->bait_ml / DW_ML_PER_FLOZ, style->units, out);
  dw_text_add(out, " (");
  dw_text_volume(mold->stated_ml / DW_ML_PER_FLOZ, style->units, out);
  dw_text_add(out, " stated); ");
  if (mold->learned_from == 1)
    dw_text_add(out, "how sure that is, a second pour tells.\n");
  else
    dw_text_add(out, "a fill is known within %.2g%% (one standard deviation).\n",
                100 * mold->fill_doubt_ml / dw_mold_fill_ml(mold));
}

void dw_text_mold_line(const dw_mold *mold, const dw_style *style, dw_text *out) {
  dw_text_add(out, "%s: %d cavit%s, a fill takes ", mold->name, mold->cavities,
              mold->cavities == 1 ? "y" : "ies");
  dw_text_volume(dw_mold_fill_ml(mold) / DW_ML_PER_FLOZ, style->units, out);
  dw_text_add(out, "; sprue %s, backs %s\n", dw_side_name(mold->sprue), dw_side_name(mold->back));
  learned_text(mold, style, out);
}

/* ---- the whole -------------------------------------------------------------------------------------------
 */

const char *dw__plan_refusal(const dw_plan *plan) {
  return plan->enough ? "" : "This can't be poured as planned: do not heat anything yet.";
}

void dw__plan_fills(const dw_plan_job *job, const dw_plan *plan, const dw_style *style, dw_text *out) {
  dw_text_add(out, "%d bait%s:", plan->baits, plan->baits == 1 ? "" : "s");
  for (size_t i = 0; i < job->n_molds; i++)
    dw_text_add(out, "%s %s %d time%s", i ? "," : "", job->mold[i].mold.name, plan->fills[i],
                plan->fills[i] == 1 ? "" : "s");
  dw_text_add(out, "; the molds take ");
  text_ml(plan->molds_ml, style, out);
  dw_text_add(out, ", with %.0f%% waste\n", 100 * job->waste);
  if (plan->loads > 0)
    dw_text_add(out, "The injector is loaded %d time%s; the first load reaches %d fill%s.\n", plan->loads,
                plan->loads == 1 ? "" : "s", plan->first_load_fills, plan->first_load_fills == 1 ? "" : "s");
}

void dw__plan_shopping(const dw_plan_job *job, const dw_plan *plan, const dw_style *style, dw_text *out) {
  dw_shopping list;
  dw_plan_shopping(job, plan, &list);
  dw_text_add(out, "  plastic: ");
  text_ml(list.plastic_ml, style, out);
  for (size_t i = 0; i < job->n_additives; i++) {
    dw_text_add(out, "\n  %s: ", job->additive[i].name);
    text_ml(list.additive_ml[i], style, out);
  }
  for (size_t i = 0; job->shelf && i < job->shelf->n; i++)
    if (list.drops[i] > 0)
      dw_text_add(out, "\n  %s%s: %.0f drops (%.1f ml)", job->shelf->bottle[i].title,
                  dw_bottle_mark(&job->shelf->bottle[i]), list.drops[i],
                  list.drops[i] * job->shelf->bottle[i].drop_ml);
  for (size_t i = 0; i < list.n_powders; i++) {
    dw_text_add(out, "\n  ");
    text_powder(list.powder[i].name, list.powder[i].grams, list.powder[i].teaspoons, out);
  }
  dw_text_add(out, "\n");
}

void dw_text_plan(const dw_plan_job *job, const dw_plan *plan, const dw_style *style, dw_text *out) {
  const char *names[DW_PLAN_LAYERS_MAX];
  for (size_t i = 0; i < job->n_layers; i++) names[i] = job->layer[i].name;
  if (!plan->enough) dw_text_add(out, "%s\n", dw__plan_refusal(plan));
  dw__plan_fills(job, plan, style, out);
  dw_text_notes(&plan->notes, "", out);
  dw_text_add(out, "\n");
  for (size_t i = 0; i < job->n_layers; i++) dw__plan_cup(job, plan, i, style, out);
  for (size_t i = 0; i < job->n_molds; i++) {
    dw_text_add(out, "\n");
    dw_text_mold(&job->mold[i].mold, names, job->n_layers, out);
  }
  dw_text_add(out, "\nAll together\n");
  dw__plan_shopping(job, plan, style, out);
  dw_text_add(out, "\n");
  dw_text_caution_line(out);
}
