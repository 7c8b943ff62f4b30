/* What a cup can take. */
#include "advise/prepare.h"

#include <math.h>

/* Rounding of sums of drops and volumes. */
#define SLACK 1e-6

bool dw__broken(dw__reason why, const char *format, ...) {
  va_list args;
  va_start(args, format);
  if (why.text) vsnprintf(why.text, why.room, format, args);
  va_end(args);
  return false;
}

static bool clear_fits(const dw_rules *rules, double floz, dw__reason why) {
  if (!(floz >= 0) || !isfinite(floz)) return dw__broken(why, "adds %g fl oz of clear base", floz);
  if (floz > rules->max_clear_floz + SLACK)
    return dw__broken(why, "adds %.2f fl oz of clear base; at most %.2f are allowed", floz,
                      rules->max_clear_floz);
  return true;
}

bool dw__case_fits(const dw__case *c, size_t layer, const dw_recipe *add, double add_clear_floz,
                   dw__reason why) {
  const dw_rules *rules = &c->rules[layer];
  dw_cup cup;
  size_t bottles_before = c->cup[layer].drops.n;
  double drops_before = dw_recipe_total(&c->cup[layer].drops);
  if (!clear_fits(rules, add_clear_floz, why)) return false;
  if (!dw__case_cup(c, layer, add, add_clear_floz, &cup))
    return dw__broken(why, "leaves more than %d bottles in the cup", DW_CUP_BOTTLES_MAX);
  if (cup.drops.n > bottles_before && cup.drops.n > rules->max_bottles)
    return dw__broken(why, "leaves %zu bottles in the cup; at most %zu are allowed", cup.drops.n,
                      rules->max_bottles);
  double drops = dw_recipe_total(&cup.drops), filled = dw_cup_filled_floz(&cup, c->request->shelf);
  if (drops > drops_before && drops > rules->max_drops + SLACK)
    return dw__broken(why, "leaves %g drops in the cup; at most %g are allowed", drops, rules->max_drops);
  if (filled > cup.capacity_floz + SLACK)
    return dw__broken(why, "fills the cup to %.2f fl oz; it holds %.2f", filled, cup.capacity_floz);
  return true;
}
