/* A film of unknown thickness over white, carried to a bait's thickness, against the simulator's truth: other bands,
 * spectra and Kubelka-Munk of its own (tests/simulator). */
#include "check.h"
#include "dropwise/mix_film.h"
#include "mix/fit_world.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { WORLDS = 3, FILMS = 60, CLASSES = 5 };
static const double class_mm[CLASSES + 1] = {.2, .5, 1, 2, 4, 8};

typedef struct drizzled {
  double mm, off, doubt, blind; /* of the color carried to the bait; the drops alone, both CIEDE2000 */
  dw_film_verdict verdict;
} drizzled;

/* One cup, as it is meant and as it is, seen as a film.  shots  photos, 0: the film's true color */
static drizzled drizzle(sim_world *world, const dw_shelf *shelf, double mm, int shots, double part_share,
                        double slip_share) {
  double meant[SIM_BOTTLES], put[SIM_BOTTLES];
  sim_recipe(world, meant);
  sim_drops(world, meant, part_share, put);
  if (sim_uniform(world) < slip_share) {
    int i = 0;
    while (!(put[i] > 0)) i++;
    put[i] *= sim_uniform(world) < .5 ? .6 : 1.6;
  }
  double gap = world->chip_gap, table = .7 + .2 * sim_uniform(world);
  world->chip_gap = 0;
  sim_lab seen = shots ? sim_photo(world, put, mm, table, shots) : sim_color(world, put, mm, table);
  world->chip_gap = gap;
  dw_recipe recipe = world_recipe(meant);
  const dw_slab bait = {10, DW_BACKING_GRAY};
  dw_film_look look = {world_lab(seen), shots ? 1.2 : .3, table * (1 + .02 * sim_normal(world))};
  dw_film film;
  dw_error err;
  if (dw_film_judge(shelf, &recipe, &bait, &look, &film, &err) != DW_OK) fail_msg("%s", err.text);
  dw_lab truth = world_lab(sim_color(world, put, bait.thickness_mm, bait.backing));
  return (drizzled){mm, dw_de00(film.lab, truth), film.doubt_de00, dw_de00(film.predicted, truth),
                    film.verdict};
}

typedef struct tally {
  double n, off, blind, told, told_off, told_doubt, within, within2, other;
} tally;

static void add(tally *t, const drizzled *d) {
  t->n++, t->off += d->off, t->blind += d->blind;
  t->other += d->verdict == DW_FILM_OTHER;
  if (d->verdict != DW_FILM_TOLD) return;
  t->told++, t->told_off += d->off, t->told_doubt += d->doubt;
  t->within += d->off <= d->doubt, t->within2 += d->off <= 2 * d->doubt;
}

static void print(const char *name, const tally *t) {
  print_message(
      "%-22s films %3.0f, drops alone off %.2f, carried off %.2f; told %3.0f%%: off %.2f, doubt %.2f, within "
      "%.0f%%, twice %.0f%%; another cup's %.0f%%\n",
      name, t->n, t->blind / t->n, t->off / t->n, 100 * t->told / t->n, t->told_off / t->told,
      t->told_doubt / t->told, 100 * t->within / t->told, 100 * t->within2 / t->told, 100 * t->other / t->n);
}

static tally figures(const char *title, const world_bench *bench, int shots, double part_share,
                     double slip_share, tally by[CLASSES]) {
  tally all = {0};
  dw_shelf *shelf = world_shelf();
  for (int k = 0; k < CLASSES; k++) by[k] = (tally){0};
  for (uint64_t seed = 1; seed <= WORLDS; seed++) {
    sim_world world;
    dw_chip chips[WORLD_CHIPS_MAX];
    sim_world_make(&world, seed);
    dw_fit *fit = world_fit(shelf, chips, world_chips(&world, bench, chips), DW_FIT_FRESH);
    for (int k = 0; k < CLASSES; k++)
      for (int i = 0; i < FILMS; i++) {
        double mm = class_mm[k] * pow(class_mm[k + 1] / class_mm[k], sim_uniform(&world));
        drizzled d = drizzle(&world, fit->shelf, mm, shots, part_share, slip_share);
        add(&by[k], &d);
        add(&all, &d);
      }
    dw_fit_free(fit);
  }
  dw_shelf_free(shelf);
  print_message("%s\n", title);
  for (int k = 0; k < CLASSES; k++) {
    char name[64];
    snprintf(name, sizeof name, "  %.1f to %.1f mm", class_mm[k], class_mm[k + 1]);
    print(name, &by[k]);
  }
  print("  all", &all);
  return all;
}

/* One standard deviation holds 68%, two 95% of a normal's errors; and a thin film is refused more often than a thick
 * one. */
static void honest(const tally *all, const tally by[CLASSES]) {
  assert_true(all->within >= .68 * all->told);
  assert_true(all->within2 >= .95 * all->told);
  assert_true(all->other <= .03 * all->n);
  assert_true(by[0].told / by[0].n < by[2].told / by[2].n);
  assert_true(by[2].told >= .8 * by[2].n);
}

static void test_true_colors(void **state) {
  (void)state;
  tally by[CLASSES];
  tally all = figures("true colors, parts off by 8%", &(world_bench){.drop_share = .03}, 0, .08, 0, by);
  honest(&all, by);
  all = figures("true colors, parts off by 8%, slips 30%", &(world_bench){.drop_share = .03}, 0, .08, .3, by);
  honest(&all, by);
  assert_true(all.off < .85 * all.blind); /* the film tells of slips */
}

static void test_through_a_camera(void **state) {
  (void)state;
  tally by[CLASSES];
  world_bench bench = {.shots = 3, .drop_share = .03, .thick_share = .05, .mixtures = 9};
  tally all = figures("camera, parts off by 8%", &bench, 1, .08, 0, by);
  honest(&all, by);
  all = figures("camera, parts off by 8%, slips 30%", &bench, 1, .08, .3, by);
  honest(&all, by);
  assert_true(all.off < .9 * all.blind);
}

/* A film that any amount of plastic gives tells nothing: nearly no film at all. */
static void test_nothing_to_see(void **state) {
  (void)state;
  sim_world world;
  dw_chip chips[WORLD_CHIPS_MAX];
  dw_shelf *shelf = world_shelf();
  sim_world_make(&world, 1);
  dw_fit *fit =
      world_fit(shelf, chips, world_chips(&world, &(world_bench){.drop_share = .03}, chips), DW_FIT_FRESH);
  double loading[SIM_BOTTLES] = {[SIM_ORANGE] = 4, [SIM_BROWN] = 3};
  dw_recipe recipe = world_recipe(loading);
  const dw_slab bait = {10, DW_BACKING_GRAY};
  dw_film_look look = {world_lab(sim_color(&world, loading, .03, .8)), 1, .8};
  dw_film film;
  dw_error err;
  assert_int_equal(dw_film_judge(fit->shelf, &recipe, &bait, &look, &film, &err), DW_OK);
  assert_true(film.verdict == DW_FILM_SILENT || film.verdict == DW_FILM_UNSURE);
  look.lab = world_lab(sim_color(&world, loading, 2, .8));
  look.doubt_de00 = 12; /* no card */
  assert_int_equal(dw_film_judge(fit->shelf, &recipe, &bait, &look, &film, &err), DW_OK);
  assert_true(film.verdict == DW_FILM_SILENT || film.verdict == DW_FILM_UNSURE);
  const double other[SIM_BOTTLES] = {[SIM_BLUE] = 6};
  look = (dw_film_look){world_lab(sim_color(&world, other, 2, .8)), 1, .8};
  assert_int_equal(dw_film_judge(fit->shelf, &recipe, &bait, &look, &film, &err), DW_OK);
  assert_int_equal(film.verdict, DW_FILM_OTHER);
  dw_shelf *starter = NULL;
  assert_int_equal(dw_shelf_starter(&starter, &err), DW_OK);
  dw_recipe invented = {1, {{0, 4}}};
  assert_int_equal(dw_film_judge(starter, &invented, &bait, &look, &film, &err), DW_OK);
  assert_int_equal(film.verdict, DW_FILM_UNFITTED);
  look.table = 0;
  assert_int_equal(dw_film_judge(starter, &invented, &bait, &look, &film, &err), DW_BAD_INPUT);
  dw_shelf_free(starter);
  dw_fit_free(fit);
  dw_shelf_free(shelf);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_true_colors),
                                     cmocka_unit_test(test_through_a_camera),
                                     cmocka_unit_test(test_nothing_to_see)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
