/* Real pictures of the 24-patch chart; each is skipped where it is absent.
 *
 * ../shared/data/cards has a photo: turned, brown at the bottom left, its light falling off toward the white patch. Known
 * before: no correction misses the 18 colors by a mean of 6.8 CIEDE2000, a root-polynomial after the gray ramp by 3.6 in
 * the fit and 6.8 left out, with a residual model 4.2 left out.
 *
 * Debian's argyll-doc has a scan, small and contrasty: its darkest patch lies in the black of the frame. */
#include "card/fit.h"
#include "card/light.h"
#include "card/real.h"

#include <setjmp.h>
#include <stdarg.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static const real_card *real;
static dw_photo *photo;
static dw_arena *arena;
static dw_error err;

static dw_status patches_at(const dw_corners *corners, dw_patch patches[24]) {
  dw_rect rects[24];
  dw_status status = dw_card_rects(dw_card_named("grid24"), corners, dw_photo_info_get(photo), rects, &err);
  return status == DW_OK ? dw_photo_patches(photo, rects, 24, arena, patches, &err) : status;
}

static dw_status fit_at(const dw_corners *corners, dw_light **out) {
  dw_patch patches[24];
  dw_status status = patches_at(corners, patches);
  if (status == DW_OK) status = dw_light_card(dw_card_named("grid24"), corners, patches, out, &err);
  return status;
}

static dw_status fit(const char *where, dw_light **out) {
  dw_corners corners;
  dw_status status = dw_corners_parse(where, &corners, &err);
  return status == DW_OK ? fit_at(&corners, out) : status;
}

static double mean18(const double *de00) {
  return dw_mean(de00, 18);
}

/* The middle of a patch, in linear sRGB. */
static void middle_rgb(const dw_patch *patch, double rgb[3]) {
  int w = patch->rect.w, h = patch->rect.h, n = 0;
  memset(rgb, 0, 3 * sizeof *rgb);
  for (int y = h / 3; y <= h - 1 - h / 3; y++)
    for (int x = w / 3; x <= w - 1 - w / 3; x++, n++)
      for (int k = 0; k < 3; k++) rgb[k] += (double)patch->rgb[3 * (y * w + x) + k];
  for (int k = 0; k < 3; k++) rgb[k] /= n;
}

/* How far the 18 colors lie from the chart's where nothing corrects them. */
static double uncorrected(void) {
  const dw_card *card = dw_card_named("grid24");
  dw_patch patches[24];
  dw_light *none = NULL;
  double de00[18], rgb[3];
  assert_int_equal(patches_at(&real->corners, patches), DW_OK);
  assert_int_equal(dw_light_none(&none, &err), DW_OK);
  for (size_t i = 0; i < 18; i++) {
    middle_rgb(&patches[i], rgb);
    de00[i] = dw_de00(dw_light_lab(none, rgb), card->lab[i]);
  }
  dw_light_free(none);
  return mean18(de00);
}

/* What the fit never saw is nearer to the chart than without it. */
static void test_better_than_without(void **state) {
  (void)state;
  dw_light *light = NULL;
  if (fit_at(&real->corners, &light) != DW_OK) fail_msg("%s", err.text);
  printf("%s: residual %.2f, left out of the 18 colors %.2f, uncorrected %.2f\n", real->path,
         light->info.residual.mean, mean18(light->left_out), uncorrected());
  assert_int_equal(light->info.patches, 24);
  assert_true(mean18(light->left_out) < uncorrected());
  dw_light_free(light);
}

static void test_better_than_known(void **state) {
  (void)state;
  dw_light *light = NULL;
  if (fit("37,314,37,28.5,208,28.5,208,314", &light) != DW_OK) fail_msg("%s", err.text);
  const dw_light_info *info = dw_light_info_get(light);
  printf("real card: %zu patches, residual %.2f (max %.2f), left-out %.2f (max %.2f), of the 18 colors %.2f, "
         "light %.3f "
         "%.3f\n",
         info->patches, info->residual.mean, info->residual.max, info->left_out.mean, info->left_out.max,
         mean18(light->left_out), light->model.field[0], light->model.field[1]);
  assert_int_equal(info->patches, 24);
  assert_true(info->residual.mean < 1.7);
  assert_true(mean18(light->left_out) < 3.5);
  assert_true(info->left_out.mean < 3.5);
  dw_light_free(light);
}

/* The border of the chart, one material, is brighter at the top of this photo than at its bottom, and so are
 * patches within themselves: the light found from the colors must say the same. */
static void test_light_is_brighter_at_the_top(void **state) {
  (void)state;
  dw_light *light = NULL;
  assert_int_equal(fit("37,314,37,28.5,208,28.5,208,314", &light), DW_OK);
  assert_true(light->model.field[1] < -0.15 && light->model.field[1] > -0.45);
  dw_light_free(light);
}

/* The other orders of the four corners: from each of them, either way round. */
static dw_corners corners_from(const dw_corners *corners, int from, int step) {
  dw_corners out;
  for (int k = 0; k < 4; k++)
    memcpy(&out.xy[2 * k], &corners->xy[2 * ((from + step * k) & 3)], 2 * sizeof *out.xy);
  return out;
}

static void test_other_orders_are_refused_and_the_right_one_named(void **state) {
  (void)state;
  const double *xy = real->corners.xy;
  char order[128];
  snprintf(order, sizeof order, "try %g,%g,%g,%g,%g,%g,%g,%g", xy[0], xy[1], xy[2], xy[3], xy[4], xy[5],
           xy[6], xy[7]);
  int named = 0;
  for (int i = 1; i < 8; i++) {
    dw_light *light = NULL;
    dw_corners wrong = corners_from(&real->corners, i & 3, i < 4 ? 1 : -1);
    assert_int_equal(fit_at(&wrong, &light), DW_REFUSED);
    named += strstr(err.text, order) != NULL;
  }
  assert_int_equal(named, real->named);
}

static void test_grid_beside_the_patches_is_refused(void **state) {
  (void)state;
  dw_light *light = NULL;
  assert_int_equal(fit("37,285,37,0,208,0,208,285", &light), DW_REFUSED);
  assert_non_null(strstr(err.text, "not even"));
}

/* Corners a few pixels off must not matter. */
static void test_corners_need_not_be_exact(void **state) {
  (void)state;
  static const char *const near[] = {"40,311,35,31,206,26,210,316", "33,317,40,25,211,31,205,311"};
  for (size_t i = 0; i < 2; i++) {
    dw_light *light = NULL;
    if (fit(near[i], &light) != DW_OK) fail_msg("%s", err.text);
    printf("corners moved: residual %.2f left-out %.2f\n", light->info.residual.mean,
           light->info.left_out.mean);
    assert_true(light->info.left_out.mean < 4.0);
    dw_light_free(light);
  }
}

static int run(const real_card *one) {
  const struct CMUnitTest every[] = {
      cmocka_unit_test(test_better_than_without),
      cmocka_unit_test(test_other_orders_are_refused_and_the_right_one_named),
  };
  const struct CMUnitTest photos[] = {
      cmocka_unit_test(test_better_than_known),
      cmocka_unit_test(test_light_is_brighter_at_the_top),
      cmocka_unit_test(test_grid_beside_the_patches_is_refused),
      cmocka_unit_test(test_corners_need_not_be_exact),
  };
  real = one;
  if (dw_photo_open(real->path, NULL, &photo, &err) != DW_OK) {
    fprintf(stderr, "%s\n", err.text);
    return 1;
  }
  int failed = cmocka_run_group_tests(every, NULL, NULL);
  if (real == &real_cards[0]) failed += cmocka_run_group_tests(photos, NULL, NULL);
  dw_photo_close(photo);
  return failed;
}

int main(void) {
  int failed = 0, there = 0;
  arena = dw_arena_new(0);
  for (size_t i = 0; i < REAL_CARDS; i++) {
    if (access(real_cards[i].path, R_OK) == 0)
      there++, failed += run(&real_cards[i]);
    else
      printf("skipped: %s is absent\n", real_cards[i].path);
  }
  dw_arena_free(arena);
  return there ? failed : 77;
}
