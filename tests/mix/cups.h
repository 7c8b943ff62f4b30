/* Cups and colors for the solver's tests. */
#ifndef DROPWISE_TESTS_MIX_CUPS_H
#define DROPWISE_TESTS_MIX_CUPS_H

#include "check.h"
#include "dropwise/mix.h"
#include "dropwise/numeric.h"

static const dw_slab bait = {10, DW_BACKING_GRAY};

static inline dw_shelf *starter_shelf(void) {
  dw_shelf *shelf = NULL;
  assert_int_equal(dw_shelf_starter(&shelf, NULL), DW_OK);
  return shelf;
}

static inline dw_cup cup_of(const dw_shelf *shelf, const char *drops, double volume, double capacity) {
  dw_cup cup = {.volume_floz = volume, .capacity_floz = capacity};
  dw_error err = {0};
  if (dw_recipe_parse(drops, shelf, &cup.drops, &err) != DW_OK) fail_msg("%s", err.text);
  return cup;
}

static inline dw_prediction cup_color(const dw_shelf *shelf, const dw_cup *cup) {
  dw_recipe loadings;
  dw_prediction p;
  dw_cup_loadings(cup, &loadings);
  assert_int_equal(dw_predict(shelf, &loadings, &bait, &p, NULL), DW_OK);
  return p;
}

static inline dw_solution solved(const dw_shelf *shelf, const dw_cup *cup, const dw_aim *aim,
                                 const dw_rules *rules) {
  dw_solution solution;
  dw_error err = {0};
  if (dw_solve(shelf, cup, &bait, aim, rules, &solution, &err) != DW_OK) fail_msg("%s", err.text);
  return solution;
}

static inline size_t pick(dw_random *random, size_t n) {
  return (size_t)(dw_random_uniform(random) * (double)n);
}

/* `bottles` different colorants (no effect bottle), at most max_drops whole drops in all. */
static inline dw_cup random_cup(const dw_shelf *shelf, dw_random *random, size_t bottles, size_t max_drops,
                                double volume) {
  dw_cup cup = {.volume_floz = volume, .capacity_floz = 1.25 * volume};
  while (cup.drops.n < bottles) {
    const size_t b = pick(random, shelf->n);
    if (shelf->bottle[b].role == DW_ROLE_EFFECT || dw_recipe_amount(&cup.drops, b) > 0) continue;
    assert_true(dw_recipe_add(&cup.drops, b, 1 + (double)pick(random, max_drops / bottles)));
  }
  return cup;
}

/* What every solution must keep, whatever was asked. */
static inline void assert_lawful(const dw_shelf *shelf, const dw_cup *cup, const dw_rules *rules,
                                 const dw_solution *s) {
  double before = dw_recipe_total(&cup->drops), after = dw_recipe_total(&s->cup.drops);
  size_t bottles = 0;
  for (size_t i = 0; i < s->add.n; i++) {
    const dw_part *part = &s->add.part[i];
    const dw_bottle *bottle = &shelf->bottle[part->bottle];
    const double step = rules->step_drops > 0 ? rules->step_drops : rules->step_ml / bottle->drop_ml;
    assert_true(part->amount > 0);
    assert_near(part->amount, step * round(part->amount / step), 1e-9);
    assert_int_equal(rules->use[part->bottle], DW_USE_FREE);
    assert_int_not_equal(bottle->role, DW_ROLE_EFFECT);
    assert_near(dw_recipe_amount(&s->cup.drops, part->bottle),
                dw_recipe_amount(&cup->drops, part->bottle) + part->amount, 1e-9);
    bottles += dw_recipe_amount(&cup->drops, part->bottle) == 0;
  }
  assert_true(bottles == 0 || bottles + cup->drops.n <= rules->max_bottles);
  assert_true(after <= fmax(before, dw_rules_max_drops(rules, cup)) + 1e-9);
  assert_true(s->add_clear_floz >= 0 && s->add_clear_floz <= rules->max_clear_floz + 1e-9);
  assert_near(s->cup.volume_floz, cup->volume_floz + s->add_clear_floz, 1e-12);
  assert_true(dw_cup_filled_floz(&s->cup, shelf) <= s->cup.capacity_floz + 1e-9);
  assert_true(isfinite(s->predicted.lab.L) && isfinite(s->de00));
  assert_true((s->limit == DW_LIMIT_NONE) == (s->limit_words[0] == '\0'));
}

#endif
