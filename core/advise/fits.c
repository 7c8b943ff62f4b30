/* What a cup can take. */
#include "advise/case.h"

#include <math.h>

/* Rounding of sums of drops and volumes. */
#define SLACK 1e-6

bool pt__broken(pt__reason why, const char *format, ...) {
  va_list args;
  va_start(args, format);
  if (why.text) vsnprintf(why.text, why.room, format, args);
  va_end(args);
  return false;
}

static bool clear_fits(const pt_rules *rules, double floz, pt__reason why) {
  if (!(floz >= 0) || !isfinite(floz)) return pt__broken(why, "adds %g fl oz of clear base", floz);
  if (floz > rules->max_clear_floz + SLACK)
    return pt__broken(why, "adds %.2f fl oz of clear base; at most %.2f are allowed", floz,
                      rules->max_clear_floz);
  return true;
}

bool pt__case_fits(const pt__case *c, size_t layer, const pt_recipe *add, double add_clear_floz,
                   pt__reason why) {
  const pt_rules *rules = &c->rules[layer];
  pt_cup cup = c->cup[layer];
  size_t bottles_before = cup.drops.n;
  double drops_before = pt_recipe_total(&cup.drops);
  if (!clear_fits(rules, add_clear_floz, why)) return false;
  for (size_t i = 0; i < add->n; i++)
    if (!pt_recipe_add(&cup.drops, add->part[i].bottle, add->part[i].amount))
      return pt__broken(why, "leaves more than %d bottles in the cup", PT_CUP_BOTTLES_MAX);
  cup.volume_floz += add_clear_floz;
  if (cup.drops.n > bottles_before && cup.drops.n > rules->max_bottles)
    return pt__broken(why, "leaves %zu bottles in the cup; at most %zu are allowed", cup.drops.n,
                      rules->max_bottles);
  double drops = pt_recipe_total(&cup.drops), filled = pt_cup_filled_floz(&cup, c->request->shelf);
  if (drops > drops_before && drops > rules->max_drops + SLACK)
    return pt__broken(why, "leaves %g drops in the cup; at most %g are allowed", drops, rules->max_drops);
  if (filled > cup.capacity_floz + SLACK)
    return pt__broken(why, "fills the cup to %.2f fl oz; it holds %.2f", filled, cup.capacity_floz);
  return true;
}
