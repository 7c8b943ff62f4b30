/* Photos of drops carried to a bait: rendered drops (samples/renderer: spectra, mixing, camera and colors of its own), read with
 * nothing marked, held against the same plastic 10 mm thick over gray. */
#include "check.h"

#include "dropwise/batch_drizzle.h" /* before the renderer, whose bottles have the names of core's arguments */
#include "dropwise/fit.h"

#include "boards.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { WIDTH = 900, SCENES = 12, CUPS = 3 };
static const char *const cup_name[CUPS] = {"back", "side", "belly"};
static const dw_slab bait = {10, DW_BACKING_GRAY};

static dw_lab seen(const recipe *r, double mm, double backing) {
  plastic p = plastic_mix(r);
  spectrum under = spectrum_flat(backing), s = plastic_seen(&p, mm, &under);
  lab_color lab = lab_of(xyz_of(&s));
  return (dw_lab){lab.L, lab.a, lab.b};
}

/* The renderer's bottles, fitted from chips without noise. */
static dw_shelf *fitted(void) {
  static dw_chip chips[2 * (1 + 3 * BOTTLES)];
  static const double loading[3] = {.5, 2, 8}, backing[2] = {DW_BACKING_BLACK, DW_BACKING_WHITE};
  size_t n = 0;
  dw_error err;
  dw_shelf *shelf = NULL;
  dw_fit *fit = NULL;
  assert_int_equal(dw_shelf_new(&shelf, &err), DW_OK);
  for (int i = 0; i < BOTTLES; i++)
    shelf->bottle[shelf->n++] = dw_bottle_blank(bottle_name[i], bottle_name[i], DW_ROLE_COLOR);
  for (int i = -1; i < BOTTLES; i++)
    for (int k = 0; k < (i < 0 ? 1 : 3); k++)
      for (int over = 0; over < 2; over++) {
        recipe r = {{0}};
        if (i >= 0) r.drops[i] = loading[k];
        chips[n] = (dw_chip){.thickness_mm = 3, .backing = backing[over], .lab = seen(&r, 3, backing[over])};
        if (i >= 0) chips[n].recipe = (dw_recipe){1, {{(size_t)i, loading[k]}}};
        n++;
      }
  assert_int_equal(dw_bottles_fit(shelf, chips, n, DW_FIT_FRESH, &fit, &err), DW_OK);
  dw_shelf_free(shelf);
  shelf = fit->shelf;
  fit->shelf = NULL;
  dw_fit_free(fit);
  return shelf;
}

/* A cup of two or three bottles, its parts off by what hands do. */
static drizzle_cup any_cup(chance *dice) {
  drizzle_cup cup = {.thickness = exp(between(dice, log(.8), log(4)))};
  cup.meant.drops[(int)(BROWN * chance_unit(dice))] += between(dice, 2, 8);
  cup.meant.drops[BROWN + (int)(3 * chance_unit(dice))] += between(dice, 1, 5);
  if (chance_unit(dice) < .5) cup.meant.drops[WHITE] += between(dice, .5, 2);
  for (int i = 0; i < BOTTLES; i++) cup.put.drops[i] = cup.meant.drops[i] * exp(.06 * chance_normal(dice));
  return cup;
}

/* Twice as much of one bottle as was meant, or half: as when drops were miscounted. */
static void slip(drizzle_cup *cup, chance *dice) {
  int i = 0;
  while (!(cup->put.drops[i] > 0)) i++;
  cup->put.drops[i] *= chance_unit(dice) < .5 ? .5 : 2;
}

static void photo_of(const board *b, char path[64]) {
  strcpy(path, "/tmp/dropwise-drops-XXXXXX");
  assert_int_equal(board_save_new(b, path), 0);
}

static dw_drop_cup cup_of(const recipe *meant) {
  dw_drop_cup cup = {.known = true, .bait = bait};
  for (size_t i = 0; i < BOTTLES; i++)
    if (meant->drops[i] > 0) cup.loadings.part[cup.loadings.n++] = (dw_part){i, meant->drops[i]};
  return cup;
}

typedef struct tally {
  double n, told, off, blind, slips, slip_off, slip_blind, within, within2, swapped, swaps, apart, seen;
} tally;

/* Read in the order of the cups, and once more as if the first two lay the other way round. */
static void scene(uint32_t seed, const dw_shelf *shelf, tally *t) {
  static dw_drizzle read;
  static board b;
  chance dice = {seed * 131u + 7};
  drizzle_cup cups[CUPS];
  dw_drop_cup known[CUPS];
  dw_drops_judged judged;
  char path[64];
  dw_error err;
  for (int i = 0; i < CUPS; i++) cups[i] = any_cup(&dice), known[i] = cup_of(&cups[i].meant);
  const int slipped = seed % 2 ? (int)(seed / 2 % CUPS) : -1;
  if (slipped >= 0) slip(&cups[slipped], &dice);
  b = drizzle_make(seed, WIDTH, cups, CUPS);
  photo_of(&b, path);
  dw_drizzle_wish wish = {.card_set = "grid24"};
  assert_int_equal(dw_drizzle_order(NULL, cup_name, CUPS, &wish, &err), DW_OK);
  dw_status status = dw_drizzle_read(path, &wish, &read, &err);
  unlink(path);
  if (status != DW_OK) {
    print_message("scene %u: %s\n", seed, err.text);
    return;
  }
  t->seen++;
  assert_int_equal(dw_drops_judge(&read, shelf, known, &judged, &err), DW_OK);
  t->swapped += judged.swapped;
  for (int i = 0; i < CUPS; i++) {
    const dw_drop *drop = &judged.drop[i];
    dw_lab truth = seen(&cups[i].put, bait.thickness_mm, bait.backing);
    double off = dw_de00(drop->film.lab, truth);
    print_message("scene %u %s, %.1f mm: %s, %.2f off, doubt %.2f; drops alone %.2f off\n", seed, cup_name[i],
                  cups[i].thickness, drop->verdict, off, drop->film.doubt_de00,
                  dw_de00(drop->film.predicted, truth));
    t->n++;
    if (drop->film.verdict != DW_FILM_TOLD) continue;
    double blind = dw_de00(drop->film.predicted, truth);
    t->told++, t->off += off, t->blind += blind;
    if (i == slipped) t->slips++, t->slip_off += off, t->slip_blind += blind;
    t->within += off <= drop->film.doubt_de00, t->within2 += off <= 2 * drop->film.doubt_de00;
  }
  dw_drop_cup other[CUPS] = {known[1], known[0], known[2]};
  assert_int_equal(dw_drops_judge(&read, shelf, other, &judged, &err), DW_OK);
  bool noticed = judged.swapped && judged.like[0] == 1 && judged.like[1] == 0;
  assert_true(noticed || !judged.swapped || slipped >= 0);
  if (dw_de00(read.reading.layer[0].reading.lab, read.reading.layer[1].reading.lab) < 10) return;
  t->apart++, t->swaps += noticed;
}

static void test_carried(void **state) {
  (void)state;
  dw_shelf *shelf = fitted();
  tally t = {0};
  for (uint32_t seed = 0; seed < SCENES; seed++) scene(seed, shelf, &t);
  print_message("%.0f photos read; %.0f drops, %.0f told: %.2f off, by the drops alone %.2f (%.0f slips %.2f "
                "and %.2f); within its "
                "doubt %.0f%%, twice "
                "%.0f%%; order doubted %.0f times, a swap seen in %.0f of %.0f\n",
                t.seen, t.n, t.told, t.off / t.told, t.blind / t.told, t.slips, t.slip_off / t.slips,
                t.slip_blind / t.slips, 100 * t.within / t.told, 100 * t.within2 / t.told, t.swapped, t.swaps,
                t.apart);
  assert_true(t.seen >= SCENES - 1);
  assert_true(t.told >= .7 * t.n);
  assert_true(t.slips > 0);
  assert_true(t.slip_off < t.slip_blind);
  assert_true(t.within >= .68 * t.told);
  assert_true(t.within2 >= .95 * t.told);
  assert_true(t.swapped == 0);
  assert_true(t.apart >= 5 && t.swaps >= .8 * t.apart);
  dw_shelf_free(shelf);
}

static void test_order(void **state) {
  (void)state;
  dw_error err;
  dw_drizzle_wish wish = {0};
  assert_int_equal(dw_drizzle_order("belly,back,side", cup_name, CUPS, &wish, &err), DW_OK);
  assert_string_equal(wish.name[0], "belly");
  assert_string_equal(wish.name[2], "side");
  static const char *const wrong[] = {"belly,back",           "belly,back,back", "belly,back,side,",
                                      "belly,back,side,back", "up,back,side",    ""};
  for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
    assert_int_equal(dw_drizzle_order(wrong[i], cup_name, CUPS, &wish, &err), DW_USAGE);
}

/* A cup of which nobody said what is in it, and one with a bottle that has no chips. */
static void test_not_told(void **state) {
  (void)state;
  static dw_drizzle drizzle;
  static dw_read_photo photo;
  dw_drops_judged judged;
  dw_shelf *starter = NULL;
  dw_error err;
  assert_int_equal(dw_shelf_starter(&starter, &err), DW_OK);
  drizzle.reading.n = 2;
  drizzle.reflectance = .8;
  for (int i = 0; i < 2; i++) {
    strcpy(drizzle.reading.layer[i].name, cup_name[i]);
    drizzle.reading.layer[i].reading.lab = (dw_lab){60, 10, 20};
    drizzle.reading.layer[i].reading.uncertainty_de00 = 1;
  }
  dw_drop_cup cups[2] = {{.bait = bait}, {.known = true, .loadings = {1, {{0, 4}}}, .bait = bait}};
  assert_int_equal(dw_drops_judge(&drizzle, starter, cups, &judged, &err), DW_OK);
  assert_string_equal(judged.drop[0].verdict, "unknown");
  assert_string_equal(judged.drop[1].verdict, "unfitted");
  assert_int_equal(judged.told, 0);
  photo.reading = drizzle.reading;
  assert_int_equal(dw_drops_keepable(&judged, false, &photo, &err), DW_REFUSED);
  assert_non_null(strstr(err.text, "nothing was kept"));
  json_t *json = dw_json_drizzle(&drizzle, &judged);
  assert_true(json_is_null(json_object_get(json_array_get(json_object_get(json, "drops"), 0), "bait_lab")));
  json_decref(json);
  dw_shelf_free(starter);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_carried), cmocka_unit_test(test_order),
                                     cmocka_unit_test(test_not_told)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
