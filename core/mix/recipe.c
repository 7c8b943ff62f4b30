/* Recipes, cups and backings: text and sums. */
#include "dropwise/mix.h"

#include <math.h>
#include <string.h>

/* ---- recipes ------------------------------------------------------------------------------------------- */

static const char separators[] = ",;";

/* Copies [from, to) without the blanks around it; false when it does not fit. */
static bool copy_trimmed(const char *from, const char *to, char *out, size_t room) {
  while (from < to && (*from == ' ' || *from == '\t')) from++;
  while (to > from && (to[-1] == ' ' || to[-1] == '\t')) to--;
  size_t n = (size_t)(to - from);
  if (n >= room) return false;
  memcpy(out, from, n);
  out[n] = '\0';
  return true;
}

/* One "id=amount" between from and to. */
static dw_status part_read(const char *from, const char *to, dw_part_words *out, dw_error *err) {
  const char *equals = memchr(from, '=', (size_t)(to - from));
  char number[64];
  if (!equals || !copy_trimmed(from, equals, out->id, sizeof out->id) ||
      !copy_trimmed(equals + 1, to, number, sizeof number) || out->id[0] == '\0')
    return dw_fail(err, DW_USAGE,
                   "\"%.*s\" is not a part of a recipe: write bottle=drops, as in orange=6,brown=2.5",
                   (int)(to - from < 60 ? to - from : 60), from);
  if (dw_parse_number_in(number, 0, DW_AMOUNT_MAX, &out->amount)) return DW_OK;
  return dw_fail(err, DW_USAGE, "\"%s=%s\" needs a number of drops from 0 to %d", out->id, number,
                 DW_AMOUNT_MAX);
}

static dw_status part_keep(const dw_part_words *part, dw_recipe_words *out, dw_error *err) {
  for (size_t i = 0; i < out->n; i++)
    if (strcmp(out->part[i].id, part->id) == 0)
      return dw_fail(err, DW_USAGE, "bottle \"%s\" stands twice in the recipe: add its drops up", part->id);
  if (out->n == DW_CUP_BOTTLES_MAX)
    return dw_fail(err, DW_USAGE, "a recipe holds at most %d bottles", DW_CUP_BOTTLES_MAX);
  out->part[out->n++] = *part;
  return DW_OK;
}

/* text  behind a separator.  A shell ends a command at ';' and parts its words at blanks. */
static dw_status more_follows(const char *text, const char *whole, dw_error *err) {
  if (text[strspn(text, " \t")]) return DW_OK;
  return dw_fail(err, DW_USAGE,
                 "the recipe \"%.80s\" ends where another bottle should follow: did the shell take the rest? "
                 "Write it with commas and without blanks, as in orange=6,brown=2",
                 whole);
}

dw_status dw_recipe_read(const char *text, dw_recipe_words *out, dw_error *err) {
  const char *at = text + strspn(text, " \t");
  *out = (dw_recipe_words){0};
  while (*at) {
    size_t n = strcspn(at, separators);
    dw_part_words part;
    dw_status status = part_read(at, at + n, &part, err);
    if (status == DW_OK) status = part_keep(&part, out, err);
    at += n;
    if (status == DW_OK && *at) status = more_follows(++at, text, err);
    if (status != DW_OK) return status;
  }
  return DW_OK;
}

dw_status dw_recipe_parse(const char *text, const dw_shelf *shelf, dw_recipe *out, dw_error *err) {
  dw_recipe_words words;
  dw_recipe recipe = {0};
  dw_status status = dw_recipe_read(text, &words, err);
  if (status != DW_OK) return status;
  for (size_t i = 0; i < words.n; i++) {
    int bottle = dw_shelf_find(shelf, words.part[i].id);
    if (bottle < 0) return dw_shelf_lacks(shelf, words.part[i].id, err);
    if (words.part[i].amount > 0) recipe.part[recipe.n++] = (dw_part){(size_t)bottle, words.part[i].amount};
  }
  *out = recipe;
  return DW_OK;
}

dw_status dw_loadings_question(const dw_recipe *loadings, dw_error *err) {
  const double most = DW_DROPS_PER_FLOZ + DW_DROPS_ON_TOP_PER_FLOZ, total = dw_recipe_total(loadings);
  if (total <= most) return DW_OK;
  return dw_fail(
      err, DW_USAGE,
      "%.4g drops per fl oz are more than any cup is advised to hold (%.4g): are they the drops of a "
      "whole cup? Divide them by its fl oz; --force takes them as they are.",
      total, most);
}

void dw_recipe_format(const dw_recipe *recipe, const dw_shelf *shelf, char *out, size_t room) {
  size_t used = 0;
  if (room) out[0] = '\0';
  for (size_t i = 0; i < recipe->n && used < room; i++) {
    int n = snprintf(out + used, room - used, "%s%s=%.10g", i ? "," : "",
                     shelf->bottle[recipe->part[i].bottle].id, recipe->part[i].amount);
    if (n < 0) return;
    used += (size_t)n;
  }
}

double dw_recipe_amount(const dw_recipe *recipe, size_t bottle) {
  for (size_t i = 0; i < recipe->n; i++)
    if (recipe->part[i].bottle == bottle) return recipe->part[i].amount;
  return 0;
}

double dw_recipe_total(const dw_recipe *recipe) {
  double sum = 0;
  for (size_t i = 0; i < recipe->n; i++) sum += recipe->part[i].amount;
  return sum;
}

double dw_recipe_ml(const dw_recipe *recipe, const dw_shelf *shelf) {
  double ml = 0;
  for (size_t i = 0; i < recipe->n; i++)
    ml += recipe->part[i].amount * shelf->bottle[recipe->part[i].bottle].drop_ml;
  return ml;
}

bool dw_recipe_add(dw_recipe *recipe, size_t bottle, double amount) {
  for (size_t i = 0; i < recipe->n; i++) {
    if (recipe->part[i].bottle != bottle) continue;
    recipe->part[i].amount += amount;
    return true;
  }
  if (recipe->n == DW_CUP_BOTTLES_MAX) return false;
  recipe->part[recipe->n++] = (dw_part){.bottle = bottle, .amount = amount};
  return true;
}

/* ---- cups ---------------------------------------------------------------------------------------------- */

bool dw_cup_after(const dw_cup *cup, const dw_recipe *add, double add_clear_floz, dw_cup *out) {
  *out = *cup;
  out->volume_floz += add_clear_floz;
  for (size_t i = 0; i < add->n; i++)
    if (!dw_recipe_add(&out->drops, add->part[i].bottle, add->part[i].amount)) return false;
  return true;
}

double dw_cup_filled_floz(const dw_cup *cup, const dw_shelf *shelf) {
  return cup->volume_floz + dw_recipe_ml(&cup->drops, shelf) / DW_ML_PER_FLOZ;
}

void dw_cup_loadings(const dw_cup *cup, dw_recipe *out) {
  *out = cup->drops;
  for (size_t i = 0; i < out->n; i++)
    out->part[i].amount = cup->volume_floz > 0 ? out->part[i].amount / cup->volume_floz : 0;
}

/* ---- backings ------------------------------------------------------------------------------------------ */

static const struct {
  const char *name;
  double reflectance;
} backings[] = {{"black", DW_BACKING_BLACK}, {"white", DW_BACKING_WHITE}, {"gray", DW_BACKING_GRAY}};
enum { N_BACKINGS = sizeof backings / sizeof *backings };

const char *dw_backing_name(double reflectance) {
  for (size_t i = 0; i < N_BACKINGS; i++)
    if (backings[i].reflectance == reflectance) return backings[i].name;
  return NULL;
}

dw_slab dw_slab_usual(void) {
  return (dw_slab){10, DW_BACKING_GRAY};
}

dw_slab dw_slab_said(const dw_slab *said, const dw_slab *before) {
  const dw_slab rest = before ? *before : dw_slab_usual();
  return (dw_slab){isnan(said->thickness_mm) ? rest.thickness_mm : said->thickness_mm,
                   isnan(said->backing) ? rest.backing : said->backing};
}

dw_status dw_backing_parse(const char *text, double *reflectance, dw_error *err) {
  for (size_t i = 0; i < N_BACKINGS; i++) {
    if (strcmp(text, backings[i].name) != 0) continue;
    *reflectance = backings[i].reflectance;
    return DW_OK;
  }
  if (dw_parse_number_in(text, 0, 1, reflectance)) return DW_OK;
  return dw_fail(err, DW_USAGE,
                 "\"%.60s\" is not a backing: write black, white, gray or a reflectance from 0 to 1", text);
}
