/* Cups and colors for the solver's tests. */
#ifndef POURTONE_TESTS_MIX_CUPS_H
#define POURTONE_TESTS_MIX_CUPS_H

#include "check.h"
#include "pourtone/mix.h"
#include "pourtone/numeric.h"

static const pt_slab bait = {10, PT_BACKING_GRAY};

static inline pt_shelf *starter_shelf(void) {
  pt_shelf *shelf = NULL;
  assert_int_equal(pt_shelf_starter(&shelf, NULL), PT_OK);
  return shelf;
}

static inline pt_cup cup_of(const pt_shelf *shelf, const char *drops, double volume, double capacity) {
  pt_cup cup = {.volume_floz = volume, .capacity_floz = capacity};
  pt_error err = {0};
  if (pt_recipe_parse(drops, shelf, &cup.drops, &err) != PT_OK) fail_msg("%s", err.text);
  return cup;
}

static inline pt_prediction cup_color(const pt_shelf *shelf, const pt_cup *cup) {
  pt_recipe loadings;
  pt_prediction p;
  pt_cup_loadings(cup, &loadings);
  assert_int_equal(pt_predict(shelf, &loadings, &bait, &p, NULL), PT_OK);
  return p;
}

static inline pt_solution solved(const pt_shelf *shelf, const pt_cup *cup, const pt_aim *aim,
                                 const pt_rules *rules) {
  pt_solution solution;
  pt_error err = {0};
  if (pt_solve(shelf, cup, &bait, aim, rules, &solution, &err) != PT_OK) fail_msg("%s", err.text);
  return solution;
}

static inline size_t pick(pt_random *random, size_t n) {
  return (size_t)(pt_random_uniform(random) * (double)n);
}

/* `bottles` different colorants (no effect bottle), at most max_drops whole drops in all. */
static inline pt_cup random_cup(const pt_shelf *shelf, pt_random *random, size_t bottles, size_t max_drops,
                                double volume) {
  pt_cup cup = {.volume_floz = volume, .capacity_floz = 1.25 * volume};
  while (cup.drops.n < bottles) {
    const size_t b = pick(random, shelf->n);
    if (shelf->bottle[b].role == PT_ROLE_EFFECT || pt_recipe_amount(&cup.drops, b) > 0) continue;
    assert_true(pt_recipe_add(&cup.drops, b, 1 + (double)pick(random, max_drops / bottles)));
  }
  return cup;
}

/* What every solution must keep, whatever was asked. */
static inline void assert_lawful(const pt_shelf *shelf, const pt_cup *cup, const pt_rules *rules,
                                 const pt_solution *s) {
  double before = pt_recipe_total(&cup->drops), after = pt_recipe_total(&s->cup.drops);
  size_t bottles = 0;
  for (size_t i = 0; i < s->add.n; i++) {
    const pt_part *part = &s->add.part[i];
    const pt_bottle *bottle = &shelf->bottle[part->bottle];
    const double step = rules->step_drops > 0 ? rules->step_drops : rules->step_ml / bottle->drop_ml;
    assert_true(part->amount > 0);
    assert_near(part->amount, step * round(part->amount / step), 1e-9);
    assert_int_equal(rules->use[part->bottle], PT_USE_FREE);
    assert_int_not_equal(bottle->role, PT_ROLE_EFFECT);
    assert_near(pt_recipe_amount(&s->cup.drops, part->bottle),
                pt_recipe_amount(&cup->drops, part->bottle) + part->amount, 1e-9);
    bottles += pt_recipe_amount(&cup->drops, part->bottle) == 0;
  }
  assert_true(bottles == 0 || bottles + cup->drops.n <= rules->max_bottles);
  assert_true(after <= fmax(before, pt_rules_max_drops(rules, cup)) + 1e-9);
  assert_true(s->add_clear_floz >= 0 && s->add_clear_floz <= rules->max_clear_floz + 1e-9);
  assert_near(s->cup.volume_floz, cup->volume_floz + s->add_clear_floz, 1e-12);
  assert_true(pt_cup_filled_floz(&s->cup, shelf) <= s->cup.capacity_floz + 1e-9);
  assert_true(isfinite(s->predicted.lab.L) && isfinite(s->de00));
  assert_true((s->limit == PT_LIMIT_NONE) == (s->limit_words[0] == '\0'));
}

#endif
