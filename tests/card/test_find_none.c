/* No card accepted where there is none, or none that can be believed. By argument: how many wrong grids of
 * each kind (4; the long test 60), and a folder that packages with photographs were unpacked to. */
#include "card/find_scene.h"
#include "dropwise/card_find.h"
#include "photographs.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static int grids = 4;
static const char *root = "";

static const dw_card *grid24(void) {
  return dw_card_named("grid24");
}

/* How it ended for each of many wrong grids. */
typedef struct outcome {
  int accepted, refused, missing;
} outcome;

static dw_status look_find(const find_look *look, const dw_card *shown, const dw_card *wanted,
                           dw_corners *found, outcome *count, dw_error *err) {
  uint8_t *rgb = find_look_render(look, shown, NULL);
  dw_photo *photo = find_look_photo(look, rgb);
  assert_non_null(photo);
  const dw_status status = dw_card_find(photo, wanted, found, err);
  count->accepted += status == DW_OK;
  count->refused += status == DW_REFUSED;
  count->missing += status == DW_NOT_FOUND;
  dw_photo_close(photo);
  free(rgb);
  return status;
}

static find_look some_look(dw_random *random, const dw_card *shown) {
  const double patch = 14.0 + 50.0 * dw_random_uniform(random);
  find_look look = find_look_draw(random, shown, 1000, patch, 20.0 * dw_random_uniform(random));
  look.glares = 0;
  return look;
}

/* Every grid of a kind is shown once; none may be taken for the chart. */
typedef void card_change(dw_random *random, dw_card *card);
static void none_accepted(const char *what, card_change *change, uint64_t seed) {
  dw_random random = dw_random_seed(seed);
  outcome count = {0};
  for (int i = 0; i < grids; i++) {
    dw_card shown = *grid24();
    dw_corners found;
    dw_error err;
    change(&random, &shown);
    const find_look look = some_look(&random, &shown);
    look_find(&look, &shown, grid24(), &found, &count, &err);
  }
  printf("%s: %d accepted, %d refused, %d not found\n", what, count.accepted, count.refused, count.missing);
  assert_int_equal(count.accepted, 0);
  assert_int_equal(count.refused + count.missing, grids);
}

static void swap_labs(dw_card *card, size_t i, size_t k) {
  const dw_lab kept = card->lab[i];
  card->lab[i] = card->lab[k];
  card->lab[k] = kept;
}

static size_t pick(dw_random *random, size_t n) {
  return (size_t)(dw_random_uniform(random) * (double)n);
}

static void paint_swatches(dw_random *random, dw_card *card) {
  for (size_t i = 0; i < 24; i++)
    card->lab[i] = (dw_lab){15.0 + 80.0 * dw_random_uniform(random), 30.0 * dw_random_normal(random),
                            30.0 * dw_random_normal(random)};
}

static void shuffled(dw_random *random, dw_card *card) {
  for (size_t i = 23; i > 0; i--) swap_labs(card, i, pick(random, i + 1));
}

/* The colors in another order, the grays where they are. */
static void colors_shuffled(dw_random *random, dw_card *card) {
  for (size_t i = 17; i > 0; i--) swap_labs(card, i, pick(random, i + 1));
}

static void rows_exchanged(dw_random *random, dw_card *card) {
  const size_t one = pick(random, 4), two = (one + 1 + pick(random, 3)) % 4;
  for (size_t c = 0; c < 6; c++) swap_labs(card, 6 * one + c, 6 * two + c);
}

static void all_gray(dw_random *random, dw_card *card) {
  for (size_t i = 0; i < 24; i++) card->lab[i] = (dw_lab){20.0 + 70.0 * dw_random_uniform(random), 0, 0};
}

/* As a keyboard or a window front: all alike. */
static void all_alike(dw_random *random, dw_card *card) {
  const dw_lab one = {20.0 + 70.0 * dw_random_uniform(random), 5.0 * dw_random_normal(random),
                      5.0 * dw_random_normal(random)};
  for (size_t i = 0; i < 24; i++) card->lab[i] = one;
}

static void test_other_grids(void **state) {
  (void)state;
  none_accepted("paint swatches", paint_swatches, 1);
  none_accepted("the chart shuffled", shuffled, 2);
  none_accepted("its 18 colors shuffled", colors_shuffled, 3);
  none_accepted("two of its rows exchanged", rows_exchanged, 4);
  none_accepted("random grays", all_gray, 5);
  none_accepted("all alike", all_alike, 6);
}

static void test_mirrored_is_refused(void **state) {
  (void)state;
  dw_random random = dw_random_seed(11);
  outcome count = {0};
  int told = 0;
  for (int i = 0; i < grids; i++) {
    dw_corners found;
    dw_error err;
    find_look look = some_look(&random, grid24());
    look.mirrored = true;
    if (look_find(&look, grid24(), grid24(), &found, &count, &err) == DW_REFUSED)
      told += strstr(err.text, "mirrored") != NULL;
  }
  printf("mirrored: %d accepted, %d refused (%d with the reason), %d not found\n", count.accepted,
         count.refused, told, count.missing);
  assert_int_equal(count.accepted, 0);
  assert_true(told >= 0.9 * grids);
}

/* Every corner patch has its center in the photo, or not far outside. */
static bool corners_inside(const find_look *look, const dw_corners *corners) {
  for (int k = 0; k < 8; k += 2)
    if (corners->xy[k] < -20.0 || corners->xy[k] > look->width + 20.0 || corners->xy[k + 1] < -20.0 ||
        corners->xy[k + 1] > look->height + 20.0)
      return false;
  return true;
}

/* Moved until a row or more lies outside of the photo. */
static void test_cut_off_is_refused(void **state) {
  (void)state;
  dw_random random = dw_random_seed(12);
  outcome count = {0};
  for (int i = 0; i < grids; i++) {
    dw_corners found, truth;
    dw_error err;
    find_look look = some_look(&random, grid24());
    look.patch_px = 40.0;
    do {
      look.x = dw_random_uniform(&random) * look.width;
      look.y = dw_random_uniform(&random) * look.height;
      truth = find_look_corners(&look, grid24());
    } while (corners_inside(&look, &truth));
    look_find(&look, grid24(), grid24(), &found, &count, &err);
  }
  printf("cut off: %d accepted, %d refused, %d not found\n", count.accepted, count.refused, count.missing);
  assert_int_equal(count.accepted, 0);
}

/* Two patches under a thumb: the card at its right place or none. */
static void test_two_patches_hidden(void **state) {
  (void)state;
  dw_random random = dw_random_seed(13);
  outcome count = {0};
  for (int i = 0; i < grids; i++) {
    dw_corners found;
    dw_error err;
    dw_card shown = *grid24();
    const size_t at = pick(&random, 18);
    shown.lab[at] = shown.lab[at % 6 == 5 ? at - 1 : at + 1] = (dw_lab){65, 15, 18};
    find_look look = some_look(&random, &shown);
    if (look_find(&look, &shown, grid24(), &found, &count, &err) != DW_OK) continue;
    const dw_corners truth = find_look_corners(&look, &shown);
    const double width = hypot(truth.xy[2] - truth.xy[0], truth.xy[3] - truth.xy[1]);
    for (int k = 0; k < 8; k++) assert_true(fabs(found.xy[k] - truth.xy[k]) < 0.02 * width);
  }
  printf("two patches hidden: %d at its place, %d refused, %d not found\n", count.accepted, count.refused,
         count.missing);
}

/* A board with baits, and no card. */
static void test_board_without_card(void **state) {
  (void)state;
  dw_random random = dw_random_seed(14);
  outcome count = {0};
  for (int i = 0; i < 2 * grids; i++) {
    dw_corners found;
    dw_error err;
    find_look look = some_look(&random, grid24());
    look.x = look.y = -4000.0;
    look.tilt_deg = 0.0;
    look.baits = FIND_BAITS;
    look_find(&look, grid24(), grid24(), &found, &count, &err);
  }
  printf("no card: %d accepted, %d refused, %d not found\n", count.accepted, count.refused, count.missing);
  assert_int_equal(count.accepted, 0);
  assert_int_equal(count.missing, 2 * grids);
}

static int look_through(const char *path) {
  dw_photo *photo = NULL;
  dw_corners found;
  dw_error err;
  if (dw_photo_open(path, NULL, &photo, &err) != DW_OK) fail_msg("%s", err.text);
  const dw_status status = dw_card_find(photo, grid24(), &found, &err);
  if (status != DW_NOT_FOUND) fail_msg("%s: %s", path, status == DW_OK ? "a card accepted" : err.text);
  dw_photo_close(photo);
  return 1;
}

static void test_photographs(void **state) {
  (void)state;
  int looked = 0;
  for (size_t f = 0; f < PHOTOGRAPH_FOLDERS; f++) {
    glob_t pictures;
    photographs_in(root, photograph_folders[f][1], &pictures);
    for (size_t i = 0; i < pictures.gl_pathc; i++)
      if (photograph_wanted(pictures.gl_pathv[i])) looked += look_through(pictures.gl_pathv[i]);
    globfree(&pictures);
  }
  printf("photographs without a card: %d looked at, none taken for one\n", looked);
  if (!looked) skip();
}

int main(int argc, char **argv) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_photographs),         cmocka_unit_test(test_other_grids),
      cmocka_unit_test(test_mirrored_is_refused), cmocka_unit_test(test_cut_off_is_refused),
      cmocka_unit_test(test_two_patches_hidden),  cmocka_unit_test(test_board_without_card),
  };
  if (argc > 1) grids = atoi(argv[1]);
  if (argc > 2) root = argv[2];
  setvbuf(stdout, NULL, _IOLBF, 0);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
