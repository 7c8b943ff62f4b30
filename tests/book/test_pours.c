/* Bottles, chips, fits, cups, pours and readings, and what drift and learning get of them. */
#include "book/sql.h"
#include "book_local.h"
#include "dropwise/book_heat.h"

/* A cup of the batch with drops of orange, poured, and its measured color. */
static void pour_make(dw_book *book, int64_t batch, int64_t layer, double drops, dw_lab measured) {
  dw_error err;
  int64_t cup, pour, reading;
  in_change(book, dw_book_cup_begin(book, batch, layer, 4, 5, &cup, &err));
  in_change(book, dw_book_cup_add(book, cup, "orange", drops, &err));
  in_change(book, dw_pour_log(book, &(dw_pour){.cup = cup, .slab = {10, 0.2}}, &pour, &err));
  dw_book_reading r = {
      .batch = batch, .layer = layer, .pour = pour, .lab = measured, .kept = NAN, .gloss = NAN, .flake = NAN};
  in_change(book, dw_reading_log(book, &r, &reading, &err));
}

static void test_bottle(void **state) {
  shop *s = *state;
  dw_error err;
  dw_book_bottle bottle;
  int64_t id;
  in_change(s->book, dw_book_bottle_add(s->book, "teal", "Teal", DW_ROLE_COLOR, 0.05, &id, &err));
  in_change(s->book, dw_book_bottle_set_drop(s->book, "teal", 1 / 22.0, &err));
  in_change(s->book, dw_book_lot_add(s->book, "teal", "B7", &err));
  expect(dw_book_bottle_find(s->book, "teal", &bottle, &err), DW_OK, err);
  assert_string_equal(bottle.lot_name, "B7");
  assert_int_equal(bottle.lots, 2);
  assert_near(bottle.drop_ml, 1 / 22.0, 0);
  assert_near(bottle.strength, 1, 0);
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_book_lot_add(s->book, "teal", "B7", &err), DW_BAD_INPUT, err);
  expect(dw_book_bottle_add(s->book, "teal", "Teal", DW_ROLE_COLOR, 0.05, &id, &err), DW_BAD_INPUT, err);
  expect(dw_book_bottle_add(s->book, "Te al", "Teal", DW_ROLE_COLOR, 0.05, &id, &err), DW_BAD_INPUT, err);
  expect(dw_book_bottle_add(s->book, "rust", "Rust", DW_ROLE_COLOR, -1, &id, &err), DW_BAD_INPUT, err);
  expect(dw_book_bottle_remove(s->book, "nothing", &err), DW_NOT_FOUND, err);
  dw_book_rollback(s->book);
  /* never used: forgotten altogether, and may come again */
  in_change(s->book, dw_book_bottle_remove(s->book, "teal", &err));
  expect(dw_book_bottle_find(s->book, "teal", &bottle, &err), DW_NOT_FOUND, err);
}

static void test_shelf_starter(void **state) {
  shop *s = *state;
  dw_error err;
  dw_shelf *shelf = NULL, *starter = NULL;
  dw_book_shelf_info info;
  int64_t id;
  expect(dw_shelf_starter(&starter, &err), DW_OK, err);
  in_change(s->book, dw_book_bottle_admit(s->book, "brown", &err));
  in_change(s->book, dw_book_bottle_set_drop(s->book, "brown", 0.04, &err));
  expect(dw_book_shelf(s->book, &shelf, &info, &err), DW_OK, err);
  assert_true(info.invented && info.unknown == 0);
  assert_int_equal(shelf->n, starter->n);
  assert_near(shelf->bottle[dw_shelf_find(shelf, "brown")].drop_ml, 0.04, 0);
  dw_shelf_free(shelf);
  /* from the first bottle of the maker's own on none of them is at hand, not even under its own name */
  in_change(s->book, dw_book_bottle_add(s->book, "teal", "Teal", DW_ROLE_COLOR, 0.05, &id, &err));
  in_change(s->book, dw_book_bottle_add(s->book, "orange", "My orange", DW_ROLE_COLOR, 0.04, &id, &err));
  expect(dw_book_shelf(s->book, &shelf, &info, &err), DW_OK, err);
  assert_true(!info.invented && shelf->n == 0);
  assert_int_equal(info.unknown, 2);
  assert_string_equal(info.unknown_slugs, "orange, teal");
  assert_string_equal(shelf->lacking, "orange, teal");
  dw_shelf_free(shelf);
  /* a look-alike is asked for */
  in_change(s->book, dw_book_bottle_set_look(s->book, "teal", "blue", &err));
  expect(dw_book_shelf(s->book, &shelf, &info, &err), DW_OK, err);
  assert_true(shelf->n == 1 && info.unknown == 1);
  const dw_bottle *teal = &shelf->bottle[0], *blue = &starter->bottle[dw_shelf_find(starter, "blue")];
  assert_string_equal(teal->id, "teal");
  assert_string_equal(teal->title, "Teal");
  assert_int_equal(teal->origin, DW_ORIGIN_INVENTED);
  assert_memory_equal(&teal->spectra, &blue->spectra, sizeof blue->spectra);
  dw_shelf_free(shelf);
  dw_shelf_free(starter);
}

static const char chips_csv[] = "recipe,thickness_mm,over,L,a,b\n"
                                ",3,black,18.96,-0.61,-2.32\n,3,white,88.12,-0.35,0.46\n"
                                "orange=2,3,black,24.0,1.3,-0.2\norange=2,3,white,80.6,13.9,19.8\n"
                                "brown=2,3,black,20.6,-0.5,-1.7\nbrown=2,3,white,80.1,2.6,11.5\n";

/* Returns the color that the fit gives 2 drops per fl oz of orange, 3 mm over white. */
static dw_lab fit_make(dw_book *book) {
  dw_error err;
  dw_shelf *shelf = NULL;
  dw_chips *chips = NULL;
  dw_chip *loaded = NULL;
  dw_fit *fit = NULL;
  size_t n = 0;
  expect(dw_shelf_new(&shelf, &err), DW_OK, err);
  expect(dw_chips_parse(chips_csv, sizeof chips_csv - 1, "chips", shelf, &chips, &err), DW_OK, err);
  in_change(book, dw_chips_keep(book, shelf, chips->chip, chips->n, 0, NULL, &err));
  dw_shelf_free(shelf);
  expect(dw_chips_load(book, &shelf, &loaded, &n, &err), DW_OK, err);
  assert_int_equal(n, 6);
  assert_int_equal(shelf->n, 2);
  /* in order of slug: brown, orange */
  assert_int_equal(loaded[0].recipe.n, 0);
  assert_int_equal(loaded[2].recipe.part[0].bottle, 1);
  assert_near(loaded[2].recipe.part[0].amount, 2, 0);
  assert_near(loaded[5].lab.L, 80.1, 1e-12);
  expect(dw_bottles_fit(shelf, loaded, n, DW_FIT_FRESH, &fit, &err), DW_OK, err);
  in_change(book, dw_fit_keep(book, fit, "{}", &err));
  double c[2] = {0, 2};
  dw_lab color = dw_predict_lab(fit->shelf, c, &(dw_slab){3, DW_BACKING_WHITE});
  dw_fit_free(fit);
  free(loaded);
  dw_chips_free(chips);
  dw_shelf_free(shelf);
  return color;
}

static void test_fit(void **state) {
  shop *s = *state;
  dw_error err;
  dw_shelf *shelf = NULL, *again = NULL;
  dw_book_shelf_info info;
  dw_book_bottle bottle;
  size_t gone;
  dw_lab color = fit_make(s->book);
  expect(dw_book_shelf(s->book, &shelf, &info, &err), DW_OK, err);
  assert_false(info.invented);
  assert_int_equal(shelf->n, 2);
  int orange = dw_shelf_find(shelf, "orange");
  assert_int_equal(shelf->bottle[orange].origin, DW_ORIGIN_FITTED);
  assert_non_null(shelf->bottle[orange].draws);
  dw_slab slab = {3, DW_BACKING_WHITE};
  double c[2] = {0};
  c[orange] = 2;
  assert_near(dw_de00(dw_predict_lab(shelf, c, &slab), color), 0, 1e-6);
  expect(dw_book_bottle_find(s->book, "orange", &bottle, &err), DW_OK, err);
  assert_true(bottle.fitted);
  assert_int_equal(bottle.chips, 2);
  /* a bottle with a past is only taken off the shelf, and comes back with its spectrum */
  in_change(s->book, dw_book_bottle_remove(s->book, "orange", &err));
  expect(dw_book_shelf(s->book, &again, NULL, &err), DW_OK, err);
  assert_int_equal(again->n, 1);
  dw_shelf_free(again);
  in_change(s->book, dw_chips_forget(s->book, "orange", &gone, &err));
  assert_int_equal(gone, 2);
  dw_shelf_free(shelf);
}

static void test_cup(void **state) {
  shop *s = *state;
  dw_error err;
  dw_pattern pattern;
  dw_shelf *shelf = NULL;
  dw_cup cup;
  dw_book_addition *list = NULL;
  size_t missing, n;
  int64_t batch, id, teal, pattern_id = pattern_make(s->book, "frog");
  expect(dw_pattern_get(s->book, pattern_id, &pattern, &err), DW_OK, err);
  in_change(s->book, dw_batch_begin(s->book, pattern_id, NULL, NULL, &batch, &err));
  in_change(s->book, dw_book_cup_begin(s->book, batch, pattern.layer[0].id, 4, 5, &id, &err));
  in_change(s->book, dw_book_bottle_add(s->book, "teal", "Teal", DW_ROLE_COLOR, 0.05, &teal, &err));
  in_change(s->book, dw_book_cup_add(s->book, id, "orange", 12, &err)); /* of the starter shelf */
  in_change(s->book, dw_book_cup_add(s->book, id, NULL, 0.5, &err));
  in_change(s->book, dw_book_cup_add(s->book, id, "orange", 3, &err));
  in_change(s->book, dw_book_cup_add(s->book, id, "teal", 1, &err));
  expect(dw_shelf_starter(&shelf, &err), DW_OK, err);
  expect(dw_book_cup_now(s->book, id, shelf, &cup, &missing, &err), DW_OK, err);
  assert_int_equal(missing, 1); /* teal can't be predicted */
  assert_int_equal(cup.drops.n, 1);
  assert_near(cup.drops.part[0].amount, 15, 0);
  assert_near(cup.volume_floz, 4.5, 1e-12);
  expect(dw_book_cup_additions(s->book, id, &list, &n, &err), DW_OK, err);
  assert_int_equal(n, 4);
  assert_string_equal(list[1].slug, "");
  assert_string_equal(list[2].lot, "first");
  free(list);
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_book_cup_add(s->book, id, NULL, 0.6, &err), DW_BAD_INPUT, err); /* over 5 fl oz */
  dw_book_rollback(s->book);
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_book_cup_add(s->book, id, "orange", NAN, &err), DW_BAD_INPUT, err);
  expect(dw_book_cup_add(s->book, id, "no-such", 1, &err), DW_NOT_FOUND, err);
  expect(dw_book_cup_begin(s->book, batch, pattern.layer[0].id, 4, 5, &id, &err), DW_BAD_INPUT, err);
  dw_book_rollback(s->book);
  dw_shelf_free(shelf);
}

/* Two batches; in the second the cup was corrected: only its last pour is the batch's color. */
static void test_layer_history(void **state) {
  shop *s = *state;
  dw_error err;
  dw_pattern pattern;
  dw_layer_history history;
  dw_book_cup cup;
  int64_t one, two, pour, id, pattern_id = pattern_make(s->book, "craw");
  expect(dw_pattern_get(s->book, pattern_id, &pattern, &err), DW_OK, err);
  int64_t layer = pattern.layer[0].id;
  in_change(s->book, dw_batch_begin(s->book, pattern_id, "b", "2026-05-02T00:00:00Z", &two, &err));
  in_change(s->book, dw_batch_begin(s->book, pattern_id, "a", "2026-05-01T00:00:00Z", &one, &err));
  in_change(s->book, dw_batch_set_good(s->book, one, true, &err));
  pour_make(s->book, two, layer, 12, (dw_lab){50, 30, 40});
  expect(dw_book_cup_find(s->book, two, layer, &cup, &err), DW_OK, err);
  in_change(s->book, dw_book_heat_note(s->book, cup.id, 340, 0, false, &err));
  in_change(s->book, dw_book_cup_add(s->book, cup.id, "brown", 3, &err));
  in_change(s->book, dw_pour_log(s->book, &(dw_pour){.cup = cup.id, .slab = {10, 0.2}}, &pour, &err));
  /* two baits of the corrected pour, the second in two photos typed in */
  dw_lab labs[] = {{40, 20, 30}, {42, 20, 30}, {44, 20, 30}};
  int baits[] = {0, 1, 1};
  for (int i = 0; i < 3; i++) {
    dw_book_reading r = {.batch = two,
                         .layer = layer,
                         .pour = pour,
                         .bait = baits[i],
                         .lab = labs[i],
                         .uncertainty_de00 = 0.6};
    in_change(s->book, dw_reading_log(s->book, &r, &id, &err));
  }
  dw_book_reading r = {.batch = one, .layer = layer, .lab = {45, 22, 33}, .uncertainty_de00 = 0.5};
  in_change(s->book, dw_reading_log(s->book, &r, &id, &err));
  expect(dw_layer_history_load(s->book, layer, &history, &err), DW_OK, err);
  assert_int_equal(history.n, 2);
  assert_string_equal(history.row[0].batch.name, "a");
  assert_true(history.color[0].good);
  assert_near(history.color[0].lab.L, 45, 1e-12);
  assert_int_equal(history.row[1].baits, 2);
  assert_int_equal(history.row[1].readings, 3);
  assert_near(history.bait[history.row[1].first_bait + 1].lab.L, 43, 1e-12);
  assert_near(history.color[1].lab.L, 41.5, 1e-12); /* of bait means 40 and 43 */
  assert_near(history.color[1].uncertainty_de00, 0.6 / sqrt(3), 1e-12);
  assert_near(history.row[1].temperature_f, 340, 0);
  assert_true(isnan(history.row[0].temperature_f));
  /* 42 and 44 are each one L* from their mean */
  assert_near(history.repeat.degrees, 1, 0);
  assert_near(history.repeat.sd_de00,
              hypot(dw_de00((dw_lab){43, 20, 30}, labs[1]), dw_de00((dw_lab){43, 20, 30}, labs[2])), 1e-12);
  dw_layer_history_free(&history);
}

/* Pours predicted with a bottle 20% stronger than the shelf believes teach the book so. */
static void test_learn(void **state) {
  shop *s = *state;
  dw_error err;
  dw_pattern pattern;
  dw_shelf *shelf = NULL;
  dw_learned learned;
  dw_book_bottle bottle;
  int64_t batch, pattern_id = pattern_make(s->book, "craw");
  expect(dw_pattern_get(s->book, pattern_id, &pattern, &err), DW_OK, err);
  expect(dw_book_shelf(s->book, &shelf, NULL, &err), DW_OK, err);
  size_t orange = (size_t)dw_shelf_find(shelf, "orange");
  for (int i = 1; i <= 6; i++) {
    double c[DW_SHELF_MAX] = {0};
    c[orange] = 1.2 * (2 * i) / 4.0;
    dw_lab seen = dw_predict_lab(shelf, c, &(dw_slab){10, 0.2});
    in_change(s->book, dw_batch_begin(s->book, pattern_id, NULL, NULL, &batch, &err));
    pour_make(s->book, batch, pattern.layer[0].id, 2 * i, seen);
  }
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_book_learn(s->book, shelf, &learned, &err), DW_OK, err);
  expect(dw_book_commit(s->book, &err), DW_OK, err);
  assert_int_equal(learned.bottle[orange].pours, 6);
  assert_true(learned.bottle[orange].strength > 1.1 && learned.bottle[orange].strength < 1.25);
  assert_near(shelf->bottle[orange].strength, learned.bottle[orange].strength, 0);
  expect(dw_book_bottle_find(s->book, "orange", &bottle, &err), DW_OK, err);
  assert_near(bottle.strength, learned.bottle[orange].strength, 0);
  assert_true(strstr(bottle.learned, "stronger") != NULL);
  assert_int_equal(bottle.pours, 6);
  /* a new lot starts anew; the old pours count for the old lot */
  in_change(s->book, dw_book_lot_add(s->book, "orange", "second", &err));
  expect(dw_book_bottle_find(s->book, "orange", &bottle, &err), DW_OK, err);
  assert_near(bottle.strength, 1, 0);
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_book_learn(s->book, shelf, &learned, &err), DW_OK, err);
  expect(dw_book_commit(s->book, &err), DW_OK, err);
  assert_int_equal(learned.bottle[orange].pours, 0);
  assert_near(learned.bottle[orange].strength, 1, 0.02);
  dw_shelf_free(shelf);
}

static void test_lot_changes(void **state) {
  shop *s = *state;
  dw_error err;
  dw_pattern pattern;
  dw_lot_change *changes = NULL;
  size_t n = 0;
  int64_t first, second, third, pattern_id = pattern_make(s->book, "craw");
  expect(dw_pattern_get(s->book, pattern_id, &pattern, &err), DW_OK, err);
  int64_t layer = pattern.layer[1].id;
  in_change(s->book, dw_batch_begin(s->book, pattern_id, "1", "2026-05-01T00:00:00Z", &first, &err));
  in_change(s->book, dw_batch_begin(s->book, pattern_id, "2", "2026-05-02T00:00:00Z", &second, &err));
  in_change(s->book, dw_batch_begin(s->book, pattern_id, "3", "2026-05-03T00:00:00Z", &third, &err));
  pour_make(s->book, first, layer, 5, (dw_lab){50, 20, 30});
  in_change(s->book, dw_book_lot_add(s->book, "orange", "second", &err));
  pour_make(s->book, second, layer, 5, (dw_lab){50, 20, 30});
  pour_make(s->book, third, layer, 5, (dw_lab){50, 20, 30});
  expect(dw_lot_change_list(s->book, pattern_id, &changes, &n, &err), DW_OK, err);
  assert_int_equal(n, 1);
  assert_int_equal(changes[0].batch, second);
  assert_string_equal(changes[0].slug, "orange");
  assert_string_equal(changes[0].from, "first");
  assert_string_equal(changes[0].to, "second");
  free(changes);
}

static void test_heat(void **state) {
  shop *s = *state;
  dw_error err;
  dw_pattern pattern;
  dw_batch_heat *heat = NULL;
  size_t n = 0;
  int64_t batch, cup, pattern_id = pattern_make(s->book, "craw");
  expect(dw_pattern_get(s->book, pattern_id, &pattern, &err), DW_OK, err);
  in_change(s->book, dw_batch_begin(s->book, pattern_id, NULL, NULL, &batch, &err));
  for (size_t i = 0; i < 2; i++) {
    in_change(s->book, dw_book_cup_begin(s->book, batch, pattern.layer[i].id, 4, 5, &cup, &err));
    in_change(s->book, dw_book_heat_note(s->book, cup, 330 + 7 * (double)i, 0, false, &err));
  }
  in_change(s->book, dw_batch_set_blend(s->book, batch, 2.5, &err));
  in_change(s->book, dw_batch_begin(s->book, pattern_id, NULL, NULL, &batch, &err));
  expect(dw_batch_heat_list(s->book, pattern_id, &heat, &n, &err), DW_OK, err);
  assert_int_equal(n, 2);
  assert_near(heat[0].spread_f, 7, 1e-12);
  assert_near(heat[0].blend_mm, 2.5, 0);
  assert_true(isnan(heat[1].spread_f) && isnan(heat[1].blend_mm));
  free(heat);
}

/* An empty cup of the first layer of a pattern, in a batch of its own; its ids. */
typedef struct empty_cup {
  int64_t batch, layer, cup;
} empty_cup;

static empty_cup empty_cup_make(dw_book *book) {
  dw_error err;
  dw_pattern pattern;
  empty_cup out;
  int64_t pattern_id = pattern_make(book, "craw");
  expect(dw_pattern_get(book, pattern_id, &pattern, &err), DW_OK, err);
  out.layer = pattern.layer[0].id;
  in_change(book, dw_batch_begin(book, pattern_id, NULL, NULL, &out.batch, &err));
  in_change(book, dw_book_cup_begin(book, out.batch, out.layer, 4, 5, &out.cup, &err));
  return out;
}

static double kept_f(dw_book *book, const empty_cup *of) {
  dw_error err;
  dw_book_cup out = {0};
  expect(dw_book_cup_find(book, of->batch, of->layer, &out, &err), DW_OK, err);
  return out.temperature_f;
}

static void test_heat_by_the_minute(void **state) {
  shop *s = *state;
  dw_error err;
  dw_heat_note *notes = NULL;
  size_t n = 0;
  const empty_cup of = empty_cup_make(s->book);
  in_change(s->book, dw_book_heat_note(s->book, of.cup, 340, 2, false, &err));
  in_change(s->book, dw_book_heat_note(s->book, of.cup, 340, 2, false, &err)); /* tapped twice */
  in_change(s->book, dw_book_heat_note(s->book, of.cup, NAN, 9, true, &err));
  assert_near(kept_f(s->book, &of), 340, 0); /* none was taken since */
  in_change(s->book, dw_book_heat_note(s->book, of.cup, 351, 12, false, &err));
  in_change(s->book, dw_book_heat_note(s->book, of.cup, 333, 7, false, &err)); /* written down late */
  assert_near(kept_f(s->book, &of), 351, 0);
  in_change(s->book, dw_book_heat_correct(s->book, of.cup, 352, &err));
  assert_near(kept_f(s->book, &of), 352, 0);
  in_change(s->book,
            dw_book_heat_note(s->book, of.cup, 350, DW_HEAT_BY_CLOCK, false, &err)); /* as the first: 2 */
  expect(dw_book_heat_list(s->book, of.batch, &notes, &n, &err), DW_OK, err);
  static const double degrees[] = {340, 350, 333, NAN, 352};
  static const int minutes[] = {2, 2, 7, 9, 12};
  assert_int_equal(n, 5);
  for (size_t i = 0; i < n; i++) {
    assert_int_equal(notes[i].minute, minutes[i]);
    assert_true(notes[i].reheat == isnan(degrees[i]));
    if (!isnan(degrees[i])) assert_near(notes[i].temperature_f, degrees[i], 0);
  }
  free(notes);
  expect_whole(s->book);
}

static void test_heat_refused(void **state) {
  shop *s = *state;
  dw_error err;
  dw_heat_note *notes = NULL;
  size_t n = 1;
  const empty_cup of = empty_cup_make(s->book);
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_book_heat_note(s->book, of.cup, NAN, 0, false, &err), DW_BAD_INPUT, err);
  expect(dw_book_heat_note(s->book, of.cup, 1001, 0, false, &err), DW_BAD_INPUT, err);
  expect(dw_book_heat_note(s->book, of.cup, 340, DW_HEAT_MINUTE_MAX + 1, false, &err), DW_BAD_INPUT, err);
  expect(dw_book_heat_note(s->book, of.cup + 1, 340, 0, false, &err), DW_NOT_FOUND, err);
  expect(dw_book_heat_correct(s->book, of.cup, INFINITY, &err), DW_BAD_INPUT, err);
  expect(dw_book_commit(s->book, &err), DW_OK, err);
  expect(dw_book_heat_list(s->book, of.batch, &notes, &n, &err), DW_OK, err);
  assert_int_equal(n, 0);
  free(notes);
}

static void test_a_temperature_that_no_note_has_is_a_fault(void **state) {
  shop *s = *state;
  dw_error err;
  dw_text found = {0};
  const empty_cup of = empty_cup_make(s->book);
  in_change(s->book, dw_book_heat_note(s->book, of.cup, 340, 2, false, &err));
  in_change(s->book, dw__book_run(s->book, NULL, &err, "UPDATE cup SET temperature_f = 341", ""));
  expect(dw_book_check(s->book, &found, &err), DW_CORRUPT, err);
  assert_non_null(strstr(found.data, "is not that of its last note"));
  dw_text_free(&found);
}

static void test_reading_refused(void **state) {
  shop *s = *state;
  dw_error err;
  dw_pattern own, other;
  int64_t batch, id, own_id = pattern_make(s->book, "own"), other_id = pattern_make(s->book, "other");
  expect(dw_pattern_get(s->book, own_id, &own, &err), DW_OK, err);
  expect(dw_pattern_get(s->book, other_id, &other, &err), DW_OK, err);
  in_change(s->book, dw_batch_begin(s->book, own_id, NULL, NULL, &batch, &err));
  dw_book_reading r = {.batch = batch, .layer = other.layer[0].id, .lab = {50, 0, 0}};
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_reading_log(s->book, &r, &id, &err), DW_BAD_INPUT, err);
  r.layer = own.layer[0].id;
  r.lab.L = -3;
  expect(dw_reading_log(s->book, &r, &id, &err), DW_BAD_INPUT, err);
  r.lab.L = 50;
  r.pour = 99;
  expect(dw_reading_log(s->book, &r, &id, &err), DW_NOT_FOUND, err);
  r.pour = 0;
  r.batch = 99;
  expect(dw_reading_log(s->book, &r, &id, &err), DW_NOT_FOUND, err);
  expect(dw_batch_begin(s->book, own_id, "x", "yesterday", &batch, &err), DW_BAD_INPUT, err);
  expect(dw_batch_begin(s->book, own_id, "x", "2026-02-31T00:00:00Z", &batch, &err), DW_BAD_INPUT, err);
  dw_book_rollback(s->book);
}

/* The shelf of the fit that is the newest now, whoever wrote it, however often it was asked for before. */
static void test_shelf_follows_fits(void **state) {
  static const double strength[] = {1, 2.5, 2.5, 1};
  shop *s = *state;
  dw_error err;
  dw_shelf *starter = NULL, *now = NULL;
  expect(dw_shelf_starter(&starter, &err), DW_OK, err);
  for (size_t i = 0; i < sizeof strength / sizeof *strength; i++) {
    char *text = NULL;
    starter->bottle[0].strength = strength[i];
    expect(dw_shelf_write(starter, &text, &err), DW_OK, err);
    in_change(s->book,
              dw__book_run(s->book, NULL, &err,
                           "INSERT INTO fit (shelf, report, created) VALUES (?, '{}', '')", "t", text));
    free(text);
    expect(dw_book_shelf(s->book, &now, NULL, &err), DW_OK, err);
    assert_int_equal(now->n, starter->n);
    assert_true(now->bottle[0].strength == strength[i]);
    dw_shelf_free(now);
  }
  dw_shelf_free(starter);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      book_test(test_shelf_follows_fits),
      book_test(test_bottle),
      book_test(test_shelf_starter),
      book_test(test_fit),
      book_test(test_cup),
      book_test(test_layer_history),
      book_test(test_learn),
      book_test(test_lot_changes),
      book_test(test_heat),
      book_test(test_heat_by_the_minute),
      book_test(test_heat_refused),
      book_test(test_a_temperature_that_no_note_has_is_a_fault),
      book_test(test_reading_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
