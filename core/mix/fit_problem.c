/* Which bottles are unknown, and every chip checked and turned into what the fit needs. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "mix/fit_model.h"

/* Deviations and lengths of the smooth prior: docs/mixing-model.md#fit */
#define LN_K_SHARED 1.5
#define LN_K_OWN 1.5
#define LN_K_LENGTH_NM 30.0
#define LN_S_SHARED 1.2
#define LN_S_OWN 1.0
#define LN_S_LENGTH_NM 80.0
enum { SURFACE_CHIPS = 8 };
#define SURFACE_BACKINGS_APART 0.3

static bool lab_usable(dw_lab lab) {
  return lab.L >= 0 && lab.L <= 110 && fabs(lab.a) <= 200 && fabs(lab.b) <= 200;
}

static dw_status recipe_check(const dw_recipe *recipe, size_t bottles, size_t number, dw_error *err) {
  if (recipe->n > DW_CUP_BOTTLES_MAX)
    return dw_fail(err, DW_BAD_INPUT, "Chip %zu holds %zu bottles: the most is %d.", number, recipe->n,
                   DW_CUP_BOTTLES_MAX);
  for (size_t i = 0; i < recipe->n; i++) {
    if (recipe->part[i].bottle >= bottles)
      return dw_fail(err, DW_BAD_INPUT, "Chip %zu names bottle %zu of a shelf of %zu.", number,
                     recipe->part[i].bottle, bottles);
    if (!(recipe->part[i].amount >= 0 && recipe->part[i].amount <= DW_AMOUNT_MAX))
      return dw_fail(err, DW_BAD_INPUT, "Chip %zu has a loading of %g: give 0 to %d drops per fl oz.", number,
                     recipe->part[i].amount, DW_AMOUNT_MAX);
  }
  return DW_OK;
}

dw_status dw__chip_check(const dw_chip *chip, size_t bottles, size_t number, dw_error *err) {
  if (!(chip->thickness_mm >= 0.1 && chip->thickness_mm <= DW_THICKNESS_MAX_MM))
    return dw_fail(err, DW_BAD_INPUT, "Chip %zu is %g mm thick: give 0.1 to %d mm.", number,
                   chip->thickness_mm, DW_THICKNESS_MAX_MM);
  if (!(chip->backing >= 0 && chip->backing <= 1))
    return dw_fail(err, DW_BAD_INPUT, "Chip %zu lies over a backing of reflectance %g: give 0 to 1.", number,
                   chip->backing);
  if (!lab_usable(chip->lab))
    return dw_fail(err, DW_BAD_INPUT, "Chip %zu has the color %g,%g,%g, which no plastic has: check its Lab.",
                   number, chip->lab.L, chip->lab.a, chip->lab.b);
  if (!(chip->sd_de00 >= 0 && chip->sd_de00 <= 100))
    return dw_fail(err, DW_BAD_INPUT, "Chip %zu has a deviation of %g: give 0 to 100 CIEDE2000.", number,
                   chip->sd_de00);
  return recipe_check(&chip->recipe, bottles, number, err);
}

/* Materials in ascending order, as the lower triangle of H wants them. */
static void chip_materials(const dw_recipe *recipe, const size_t *material_of, dw__fit_chip *out) {
  out->n = 1, out->material[0] = 0, out->loading[0] = 1;
  for (size_t i = 0; i < recipe->n; i++) {
    if (recipe->part[i].amount <= 0) continue;
    size_t material = material_of[recipe->part[i].bottle], at = out->n++;
    for (; out->material[at - 1] > material; at--)
      out->material[at] = out->material[at - 1], out->loading[at] = out->loading[at - 1];
    out->material[at] = material, out->loading[at] = recipe->part[i].amount;
  }
}

static void chip_make(const dw_chip *chip, const size_t *material_of, dw__fit_chip *out) {
  double sd = chip->sd_de00 > 0 ? chip->sd_de00 : DW_CHIP_SD_DE00;
  memset(out, 0, sizeof *out);
  chip_materials(&chip->recipe, material_of, out);
  out->slab = (dw_slab){chip->thickness_mm, chip->backing};
  out->lab = chip->lab;
  dw_de00_metric(chip->lab, out->metric);
  for (int i = 0; i < 9; i++) out->metric[i] /= sd;
  out->clip_weight = chip->clipped ? DW_CHIP_CLIPPED_WEIGHT : 1;
  out->weight = out->clip_weight;
}

/* Numbers the bottles that any chip holds; material_of is DW_SHELF_MAX long. */
static void materials_number(const dw_chip *chips, size_t n, dw__problem *out, size_t *material_of) {
  memset(material_of, 0, DW_SHELF_MAX * sizeof *material_of);
  out->n_materials = 1, out->shelf_index[0] = -1;
  for (size_t i = 0; i < n; i++)
    for (size_t p = 0; p < chips[i].recipe.n; p++) {
      const dw_part *part = &chips[i].recipe.part[p];
      if (part->amount <= 0 || material_of[part->bottle] > 0) continue;
      out->shelf_index[out->n_materials] = (int)part->bottle;
      material_of[part->bottle] = out->n_materials++;
    }
}

/* Surface and gap show only in enough chips over both dark and light backings. */
static bool surface_shows(const dw_chip *chips, size_t n) {
  double least = 1, most = 0;
  for (size_t i = 0; i < n; i++) least = fmin(least, chips[i].backing), most = fmax(most, chips[i].backing);
  return n >= SURFACE_CHIPS && most - least >= SURFACE_BACKINGS_APART;
}

dw_status dw__problem_make(const dw_shelf *shelf, const dw_chip *chips, size_t n, dw__problem *out,
                           dw_error *err) {
  size_t material_of[DW_SHELF_MAX];
  dw_status status = DW_OK;
  memset(out, 0, sizeof *out);
  for (size_t i = 0; status == DW_OK && i < n; i++) status = dw__chip_check(&chips[i], shelf->n, i + 1, err);
  if (status != DW_OK) return status;
  status = dw__basis_make(LN_K_SHARED, LN_K_OWN, LN_K_LENGTH_NM, &out->bk, err);
  if (status == DW_OK) status = dw__basis_make(LN_S_SHARED, LN_S_OWN, LN_S_LENGTH_NM, &out->bs, err);
  if (status != DW_OK) return status;
  materials_number(chips, n, out, material_of);
  out->per_material = out->bk.rank + out->bs.rank;
  out->n_unknowns = out->n_materials * out->per_material + DW__SURFACE_UNKNOWNS;
  out->k1 = shelf->surface.k1;
  out->surface_free = surface_shows(chips, n);
  out->trust = 1;
  out->n = n;
  out->chip = calloc(n, sizeof *out->chip);
  if (!out->chip) return dw_fail_memory(err, "the chips");
  for (size_t i = 0; i < n; i++) chip_make(&chips[i], material_of, &out->chip[i]);
  return DW_OK;
}

void dw__problem_free(dw__problem *problem) {
  free(problem->chip);
  problem->chip = NULL;
}
