/* Recipes, cups and backings: text and sums. */
#include "pourtone/mix.h"
#include "pourtone/names.h"

#include <string.h>

/* ---- recipes ------------------------------------------------------------------------------------------- */

static const char *nearest_id(const pt_shelf *shelf, const char *id) {
  pt_nearest nearest = {.word = id};
  for (size_t i = 0; i < shelf->n; i++) pt_nearest_offer(&nearest, shelf->bottle[i].id);
  return nearest.name;
}

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

/* One "id=amount" between from and to, appended to out. */
static pt_status part_parse(const char *from, const char *to, const pt_shelf *shelf, pt_recipe *out,
                            pt_error *err) {
  const char *equals = memchr(from, '=', (size_t)(to - from));
  char id[PT_ID_ROOM], number[64];
  double amount;
  if (!equals || !copy_trimmed(from, equals, id, sizeof id) ||
      !copy_trimmed(equals + 1, to, number, sizeof number) || id[0] == '\0')
    return pt_fail(err, PT_USAGE,
                   "\"%.*s\" is not a part of a recipe: write bottle=drops, as in orange=6;brown=2",
                   (int)(to - from < 60 ? to - from : 60), from);
  int bottle = pt_shelf_find(shelf, id);
  if (bottle < 0) {
    const char *near = nearest_id(shelf, id);
    if (!near) return pt_fail(err, PT_USAGE, "there is no bottle \"%s\": the shelf is empty", id);
    return pt_fail(err, PT_USAGE, "there is no bottle \"%s\" on the shelf; the nearest name is \"%s\"", id,
                   near);
  }
  if (!pt_parse_number_in(number, 0, PT_AMOUNT_MAX, &amount))
    return pt_fail(err, PT_USAGE, "\"%s=%s\" needs a number of drops from 0 to %d", id, number,
                   PT_AMOUNT_MAX);
  for (size_t i = 0; i < out->n; i++)
    if (out->part[i].bottle == (size_t)bottle)
      return pt_fail(err, PT_USAGE, "bottle \"%s\" stands twice in the recipe: add its drops up", id);
  if (out->n == PT_CUP_BOTTLES_MAX)
    return pt_fail(err, PT_USAGE, "a recipe holds at most %d bottles", PT_CUP_BOTTLES_MAX);
  if (amount > 0) out->part[out->n++] = (pt_part){.bottle = (size_t)bottle, .amount = amount};
  return PT_OK;
}

pt_status pt_recipe_parse(const char *text, const pt_shelf *shelf, pt_recipe *out, pt_error *err) {
  pt_recipe recipe = {0};
  text += strspn(text, " \t");
  while (*text) {
    size_t n = strcspn(text, ";");
    pt_status status = part_parse(text, text + n, shelf, &recipe, err);
    if (status != PT_OK) return status;
    text += n;
    if (*text == ';') text += 1 + strspn(text + 1, " \t");
  }
  *out = recipe;
  return PT_OK;
}

void pt_recipe_format(const pt_recipe *recipe, const pt_shelf *shelf, char *out, size_t room) {
  size_t used = 0;
  if (room) out[0] = '\0';
  for (size_t i = 0; i < recipe->n && used < room; i++) {
    int n = snprintf(out + used, room - used, "%s%s=%.10g", i ? ";" : "",
                     shelf->bottle[recipe->part[i].bottle].id, recipe->part[i].amount);
    if (n < 0) return;
    used += (size_t)n;
  }
}

double pt_recipe_amount(const pt_recipe *recipe, size_t bottle) {
  for (size_t i = 0; i < recipe->n; i++)
    if (recipe->part[i].bottle == bottle) return recipe->part[i].amount;
  return 0;
}

double pt_recipe_total(const pt_recipe *recipe) {
  double sum = 0;
  for (size_t i = 0; i < recipe->n; i++) sum += recipe->part[i].amount;
  return sum;
}

double pt_recipe_ml(const pt_recipe *recipe, const pt_shelf *shelf) {
  double ml = 0;
  for (size_t i = 0; i < recipe->n; i++)
    ml += recipe->part[i].amount * shelf->bottle[recipe->part[i].bottle].drop_ml;
  return ml;
}

bool pt_recipe_add(pt_recipe *recipe, size_t bottle, double amount) {
  for (size_t i = 0; i < recipe->n; i++) {
    if (recipe->part[i].bottle != bottle) continue;
    recipe->part[i].amount += amount;
    return true;
  }
  if (recipe->n == PT_CUP_BOTTLES_MAX) return false;
  recipe->part[recipe->n++] = (pt_part){.bottle = bottle, .amount = amount};
  return true;
}

/* ---- cups ---------------------------------------------------------------------------------------------- */

double pt_cup_filled_floz(const pt_cup *cup, const pt_shelf *shelf) {
  return cup->volume_floz + pt_recipe_ml(&cup->drops, shelf) / PT_ML_PER_FLOZ;
}

void pt_cup_loadings(const pt_cup *cup, pt_recipe *out) {
  *out = cup->drops;
  for (size_t i = 0; i < out->n; i++)
    out->part[i].amount = cup->volume_floz > 0 ? out->part[i].amount / cup->volume_floz : 0;
}

/* ---- backings ------------------------------------------------------------------------------------------ */

static const struct {
  const char *name;
  double reflectance;
} backings[] = {{"black", PT_BACKING_BLACK}, {"white", PT_BACKING_WHITE}, {"gray", PT_BACKING_GRAY}};
enum { N_BACKINGS = sizeof backings / sizeof *backings };

const char *pt_backing_name(double reflectance) {
  for (size_t i = 0; i < N_BACKINGS; i++)
    if (backings[i].reflectance == reflectance) return backings[i].name;
  return NULL;
}

pt_status pt_backing_parse(const char *text, double *reflectance, pt_error *err) {
  for (size_t i = 0; i < N_BACKINGS; i++) {
    if (strcmp(text, backings[i].name) != 0) continue;
    *reflectance = backings[i].reflectance;
    return PT_OK;
  }
  if (pt_parse_number_in(text, 0, 1, reflectance)) return PT_OK;
  return pt_fail(err, PT_USAGE,
                 "\"%.60s\" is not a backing: write black, white, gray or a reflectance from 0 to 1", text);
}
