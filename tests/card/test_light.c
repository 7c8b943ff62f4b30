/* The light on cards of known cameras: recovery, refusals in words, grays, tables, threads. */
#include "card/fit.h"
#include "card/light.h"
#include "card/scene.h"

#include <math.h>
#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static scene s;
static dw_error err;
static dw_light *light;

static int setup(void **state) {
  (void)state;
  scene_open(&s, dw_card_named("grid24"), NULL);
  light = NULL;
  return 0;
}

static int teardown(void **state) {
  (void)state;
  dw_light_free(light);
  scene_close(&s);
  return 0;
}

static const scene_camera warm = {
    {0.8, 0.6, 0.4}, 1.0, {0.85, 0.10, 0.05, 0.12, 0.80, 0.08, 0.03, 0.15, 0.82}};
static const scene_camera curved = {
    {0.8, 0.7, 0.6}, 1.3, {0.85, 0.10, 0.05, 0.12, 0.80, 0.08, 0.03, 0.15, 0.82}};

static dw_status fit(void) {
  return dw_light_card(s.card, &s.corners, s.patches, &light, &err);
}

static double patches_error(const scene_camera *camera) {
  double most = 0.0;
  for (size_t i = 0; i < 24; i++) {
    double rgb[3];
    scene_see(camera, s.card->lab[i], rgb);
    most = fmax(most, dw_de00(dw_light_lab(light, rgb), s.card->lab[i]));
  }
  return most;
}

/* A linear camera is a 3 x 3 matrix away from the truth, which the model holds exactly but for its curve. */
static void test_linear_camera_is_recovered(void **state) {
  (void)state;
  scene_paint_all(&s, &warm);
  assert_int_equal(fit(), DW_OK);
  const dw_light_info *info = dw_light_info_get(light);
  printf("linear camera: residual %.3f max %.3f, left-out %.3f\n", info->residual.mean, info->residual.max,
         info->left_out.mean);
  assert_true(patches_error(&warm) < 0.5);
  assert_int_equal(info->patches, 24);
  assert_string_equal(info->method_text, "grid24");
}

static void test_gamma_camera_is_recovered(void **state) {
  (void)state;
  scene_paint_all(&s, &curved);
  assert_int_equal(fit(), DW_OK);
  printf("camera of gamma 1.3: worst patch %.3f\n", patches_error(&curved));
  assert_true(patches_error(&curved) < 0.5);
}

/* A phone whose curve bends the channels of Display P3, in a photo that its profile turned to linear sRGB:
 * deep colors are below 0. The matrix from P3 to sRGB is the inverse of the one derived in model.c, as
 * published in CSS Color 4 (rounded here). */
static void wide_see(dw_lab lab, double rgb[3]) {
  static const double back[9] = {1.22494018, -0.22494018, 0.0,         -0.04205695, 1.04205695,
                                 0.0,        -0.01963755, -0.07863605, 1.09827360};
  double linear[3], p3[3];
  dw_linear_from_xyz(dw_xyz_from_lab(lab), linear);
  dw__wide_from_linear(linear, p3);
  for (int c = 0; c < 3; c++) p3[c] = pow(fmax(0.8 * p3[c], 0.0), 1.35);
  for (int c = 0; c < 3; c++)
    rgb[c] = back[3 * c] * p3[0] + back[3 * c + 1] * p3[1] + back[3 * c + 2] * p3[2];
}

static void test_wide_photo_is_recovered(void **state) {
  (void)state;
  double most = 0.0, apart = 0.0;
  for (size_t i = 0; i < 24; i++) {
    double rgb[3];
    wide_see(s.card->lab[i], rgb);
    for (int k = 0; k < s.rects[i].w * s.rects[i].h; k++)
      for (int c = 0; c < 3; c++) s.patches[i].rgb[3 * k + c] = (float)rgb[c];
  }
  assert_int_equal(fit(), DW_OK);
  for (size_t i = 0; i < 24; i++) {
    double rgb[3];
    float row[3], xyz[3];
    wide_see(s.card->lab[i], rgb);
    const dw_lab lab = dw_light_lab(light, rgb);
    for (int c = 0; c < 3; c++) row[c] = (float)rgb[c];
    dw_light_xyz(light, row, NULL, NULL, 1, xyz);
    most = fmax(most, dw_de00(lab, s.card->lab[i]));
    apart =
        fmax(apart, dw_de00(lab, dw_lab_from_xyz((dw_xyz){(double)xyz[0], (double)xyz[1], (double)xyz[2]})));
  }
  printf("P3 camera of gamma 1.35: worst patch %.3f, rows apart %.3f\n", most, apart);
  assert_true(most < 0.5 && apart < 0.05);
}

static void test_noise_and_8_bits_cost_little(void **state) {
  (void)state;
  s.noise = 0.02;
  s.stepped = true;
  scene_paint_all(&s, &curved);
  assert_int_equal(fit(), DW_OK);
  printf("with noise: worst patch %.3f\n", patches_error(&curved));
  assert_true(patches_error(&curved) < 1.0);
}

static void test_white_is_the_lights_own_color(void **state) {
  (void)state;
  double rgb[3], white[3];
  scene_paint_all(&s, &warm);
  assert_int_equal(fit(), DW_OK);
  scene_see(&warm, s.card->lab[18], rgb);
  dw_light_white(light, white);
  assert_true(fabs(white[0] + white[1] + white[2] - 3.0) < 1e-9);
  for (int c = 0; c < 3; c++) assert_true(fabs(white[c] / white[0] - rgb[c] / rgb[0]) < 1e-3);
}

/* A residual as a phone that bends colors leaves it: each patch off by about 3 in each of L*, a*, b*. */
static void bent_add(dw_random *random) {
  dw__sample samples[24];
  for (size_t i = 0; i < 24; i++) {
    const dw_lab lab = s.card->lab[i];
    dw__sample_target(&samples[i], lab);
    scene_see(&curved, lab, samples[i].rgb);
    samples[i].place[0] = samples[i].place[1] = 0.0;
    samples[i].lab.L += 3.0 * dw_random_normal(random);
    samples[i].lab.a += 3.0 * dw_random_normal(random);
    samples[i].lab.b += 3.0 * dw_random_normal(random);
  }
  dw__residual_free(&light->model.residual);
  assert_int_equal(dw__residual_fit(samples, 24, &light->model, &err), DW_OK);
}

/* The tables answer as the model does, over and beyond the range of colors; in place; finite for anything. */
static void test_rows_agree_with_single_colors(void **state) {
  (void)state;
  enum { N = 2000 };
  static float rgb[3 * N], xyz[3 * N];
  dw_random random = dw_random_seed(3);
  double most = 0.0, sum = 0.0;
  scene_paint_all(&s, &curved);
  assert_int_equal(fit(), DW_OK);
  bent_add(&random);
  dw__table_make(&light->model, light->table);
  for (size_t i = 0; i < N; i++) {
    double one[3];
    for (int c = 0; c < 3; c++) one[c] = dw_srgb_decode(dw_random_uniform(&random));
    scene_see(&curved, dw_lab_from_xyz(dw_xyz_from_linear(one)), one);
    for (size_t c = 0; c < 3; c++) rgb[3 * i + c] = (float)one[c];
  }
  dw_light_xyz(light, rgb, NULL, NULL, N, xyz);
  for (size_t i = 0; i < N; i++) {
    const double one[3] = {(double)rgb[3 * i], (double)rgb[3 * i + 1], (double)rgb[3 * i + 2]};
    const dw_lab lab =
        dw_lab_from_xyz((dw_xyz){(double)xyz[3 * i], (double)xyz[3 * i + 1], (double)xyz[3 * i + 2]});
    const double off = dw_de00(lab, dw_light_lab(light, one));
    most = fmax(most, off);
    sum += off;
  }
  printf("tables against the model, strongly bent: mean %.4f max %.4f\n", sum / N, most);
  assert_true(sum / N < 0.1 && most < 0.5); /* against an error of the light itself of 1 and more */
  dw_light_xyz(light, rgb, NULL, NULL, N, rgb);
  assert_memory_equal(rgb, xyz, sizeof xyz);
}

static void test_odd_values_stay_finite(void **state) {
  (void)state;
  float rgb[3 * 6] = {0, 0, 0, -0.2f, 0.5f, -0.01f, 5, 5, 5, 1, 0, 0, 1e6f, 0, -1e6f, 0, 0, 1}, x[6], y[6];
  for (int i = 0; i < 6; i++) x[i] = y[i] = (i & 1) ? 1e9f : -1e9f;
  scene_paint_all(&s, &curved);
  assert_int_equal(fit(), DW_OK);
  dw_light_xyz(light, rgb, x, y, 6, rgb);
  for (int i = 0; i < 18; i++) assert_true(isfinite(rgb[i]));
}

/* A larger card than the folds of leave-one-out: 8 x 12, a lattice of colors and a row of grays. */
static void test_large_card_is_recovered(void **state) {
  (void)state;
  static dw_card large;
  const double corners[8] = {100, 100, 650, 100, 650, 450, 100, 450};
  large = (dw_card){.title = "large", .rows = 8, .cols = 12};
  for (size_t i = 0; i < 96; i++) {
    const double turn = 6.283185 * (double)(i % 12) / 12.0, chroma = 15.0 + 5.0 * (double)(i / 12);
    large.lab[i] = (dw_lab){35.0 + 6.0 * (double)(i / 12), chroma * cos(turn), chroma * sin(turn)};
    if (i >= 84) large.lab[i] = (dw_lab){15.0 + 7.0 * (double)(i - 84), 0.5, -0.5};
    snprintf(large.id[i], sizeof large.id[i], "%c%d", (char)('A' + i / 12), (int)(i % 12) + 1);
  }
  scene_close(&s);
  scene_open(&s, &large, corners);
  s.noise = 0.01;
  scene_paint_all(&s, &curved);
  assert_int_equal(fit(), DW_OK);
  printf("card of 96: residual %.3f left-out %.3f\n", light->info.residual.mean, light->info.left_out.mean);
  assert_int_equal(light->info.patches, 96);
  assert_true(light->info.residual.mean < 0.3 && light->info.left_out.mean < 0.4);
  assert_string_equal(light->info.method_text, "large");
}

/* A chart of one edition, photographed with noise; the card that it is said to be; the one that the light
 * takes. */
static void check_edition(const char *printed, const char *said, const char *taken, double off_most) {
  const scene_camera *const cameras[] = {&SCENE_PLAIN, &warm, &curved};
  const dw_lab bait = {94.0, 0.5, 6.0};
  for (size_t k = 0; k < 3; k++) {
    double rgb[3];
    scene_close(&s);
    scene_open(&s, dw_card_named(printed), NULL);
    s.noise = 0.01;
    s.stepped = true;
    scene_paint_all(&s, cameras[k]);
    s.card = dw_card_named(said);
    assert_int_equal(fit(), DW_OK);
    scene_see(cameras[k], bait, rgb);
    const double off = dw_de00(dw_light_lab(light, rgb), bait);
    printf("printed %s, said %s: %s, left-out %.2f, a white bait off by %.2f\n", printed, said,
           light->info.method_text, light->info.left_out.mean, off);
    assert_string_equal(light->info.method_text, taken);
    assert_true(off < off_most);
    dw_light_free(light);
    light = NULL;
  }
}

static void test_the_edition_is_seen(void **state) {
  (void)state;
  check_edition("grid24", "grid24", "grid24", 0.5);
  check_edition("grid24-late", "grid24", "grid24-late", 0.5);
  check_edition("grid24-late", "grid24-late", "grid24-late", 0.5);
  check_edition("grid24-late", "grid24-early", "grid24-early", 2.6); /* who names it is believed */
  assert_null(dw_card_named("grid25"));
}

/* Six rows of 24, the grays all in one column, as a left-out fold of every 24th patch would have them.
 */
static void test_grays_in_one_column_are_recovered(void **state) {
  (void)state;
  static dw_card wide;
  const double corners[8] = {60, 100, 840, 100, 840, 300, 60, 300};
  wide = (dw_card){.title = "wide", .rows = 6, .cols = 24};
  for (size_t i = 0; i < 144; i++) {
    const double turn = 6.283185 * (double)(i % 23) / 23.0, row = (double)(i / 24);
    wide.lab[i] = (dw_lab){30.0 + 10.0 * row, (15.0 + 6.0 * row) * cos(turn), (15.0 + 6.0 * row) * sin(turn)};
    if (i % 24 == 0) wide.lab[i] = (dw_lab){18.0 + 15.0 * row, 0.5, -0.5};
    snprintf(wide.id[i], sizeof wide.id[i], "%c%d", (char)('A' + i / 24), (int)(i % 24) + 1);
  }
  scene_close(&s);
  scene_open(&s, &wide, corners);
  scene_paint_all(&s, &curved);
  if (fit() != DW_OK) fail_msg("%s", err.text);
  assert_int_equal(light->info.patches, 144);
  assert_true(light->info.left_out.mean < 0.4);
}

/* More strays than there are notes: the slope of the light is still said, and every one left out counted
 * (glare of 0.3 on a light patch does not make it a stray). */
static void test_many_strays_leave_room_for_the_slope(void **state) {
  (void)state;
  static dw_card large;
  const double corners[8] = {100, 100, 700, 100, 700, 500, 100, 500};
  large = (dw_card){.title = "large", .rows = 12, .cols = 20};
  for (size_t i = 0; i < 240; i++) {
    const double turn = 6.283185 * (double)(i % 20) / 20.0, chroma = 15.0 + 3.0 * (double)(i / 20);
    large.lab[i] = (dw_lab){30.0 + 4.0 * (double)(i / 20), chroma * cos(turn), chroma * sin(turn)};
    if (i >= 220) large.lab[i] = (dw_lab){15.0 + 4.0 * (double)(i - 220), 0.5, -0.5};
    snprintf(large.id[i], sizeof large.id[i], "%c%d", (char)('A' + i / 20), (int)(i % 20) + 1);
  }
  scene_close(&s);
  scene_open(&s, &large, corners);
  for (size_t i = 0; i < 240; i++) {
    double rgb[3];
    const double gain = 0.6 * exp(0.3 * ((double)s.patches[i].rect.x - 400.0) / 600.0);
    scene_see(&SCENE_PLAIN, large.lab[i], rgb);
    for (int c = 0; c < 3; c++) rgb[c] = gain * (rgb[c] + (i < 220 && i % 17 == 3 ? 0.3 : 0.0));
    scene_paint(&s, i, rgb);
  }
  if (fit() != DW_OK) fail_msg("%s", err.text);
  const dw_notes *notes = &light->info.notes;
  assert_non_null(strstr(notes->text[0], "light changes"));
  assert_int_equal(notes->n, 5);
  assert_non_null(strstr(notes->text[4], "8 more of the card's patches"));
  assert_int_equal(light->info.patches, 240 - 11);
}

static void uneven_paint(const scene_camera *camera, double slope) {
  for (size_t i = 0; i < 24; i++) {
    double rgb[3];
    const double gain =
        exp(slope * ((double)s.patches[i].rect.x + s.patches[i].rect.w / 2.0 - 350.0) / 300.0);
    scene_see(camera, s.card->lab[i], rgb);
    for (int c = 0; c < 3; c++) rgb[c] *= gain;
    scene_paint(&s, i, rgb);
  }
}

/* Light of exp(0.3) from one end of the card to the other. */
static void test_slope_of_the_light_is_found(void **state) {
  (void)state;
  double rgb[3];
  float row[3], xyz[3], x = 500.0f, y = 380.0f;
  uneven_paint(&warm, 0.3);
  assert_int_equal(fit(), DW_OK);
  printf("light slope 0.3 is read as %.3f, %.3f; left-out %.2f\n", light->model.field[0],
         light->model.field[1], light->info.left_out.mean);
  assert_true(fabs(light->model.field[0] - 0.3) < 0.02 && fabs(light->model.field[1]) < 0.02);
  assert_non_null(strstr(light->info.notes.text[0], "light changes"));
  scene_see(&warm, s.card->lab[6], rgb);
  for (int c = 0; c < 3; c++) row[c] = (float)(rgb[c] * exp(0.15));
  dw_light_xyz(light, row, &x, &y, 1, xyz);
  assert_true(dw_de00(dw_lab_from_xyz((dw_xyz){(double)xyz[0], (double)xyz[1], (double)xyz[2]}),
                      s.card->lab[6]) < 0.7);
}

static void test_even_light_has_no_slope(void **state) {
  (void)state;
  s.noise = 0.02;
  scene_paint_all(&s, &warm);
  assert_int_equal(fit(), DW_OK);
  assert_true(fabs(light->model.field[0]) < 0.01 && fabs(light->model.field[1]) < 0.01);
  assert_int_equal(light->info.notes.n, 0);
}

static void refuses(const char *words) {
  assert_int_equal(fit(), DW_REFUSED);
  if (strstr(err.text, words) == NULL) fail_msg("\"%s\" does not say \"%s\"", err.text, words);
  assert_null(light);
}

static void test_clipped_white_is_refused(void **state) {
  (void)state;
  scene_paint_all(&s, &SCENE_PLAIN);
  scene_paint(&s, 18, (double[3]){1.1, 1.1, 1.1});
  refuses("The fourth row's first patch is clipped in 100% of its pixels");
}

static void test_many_clipped_patches_are_refused(void **state) {
  (void)state;
  scene_paint_all(&s, &SCENE_PLAIN);
  for (size_t i = 1; i < 5; i++) scene_paint(&s, i, (double[3]){1.1, 0.5, 0.5});
  refuses("The first row's second patch is clipped");
}

static void test_two_clipped_patches_are_left_out(void **state) {
  (void)state;
  scene_paint_all(&s, &warm);
  for (size_t i = 10; i < 12; i++) scene_paint(&s, i, (double[3]){1.1, 0.5, 0.1});
  assert_int_equal(fit(), DW_OK);
  assert_int_equal(light->info.patches, 22);
  assert_non_null(strstr(light->info.notes.text[0], "The second row's fifth patch is clipped"));
  assert_true(patches_error(&warm) < 0.5);
}

static void test_grays_out_of_order_are_refused(void **state) {
  (void)state;
  double rgb[3];
  scene_paint_all(&s, &SCENE_PLAIN);
  scene_see(&SCENE_PLAIN, s.card->lab[23], rgb);
  scene_paint(&s, 20, rgb);
  refuses("grays are out of order: the fourth row's third patch");
}

static void test_glare_on_a_patch_is_left_out(void **state) {
  (void)state;
  double rgb[3];
  s.noise = 0.01;
  scene_paint_all(&s, &warm);
  scene_see(&warm, s.card->lab[12], rgb);
  for (int c = 0; c < 3; c++) rgb[c] = rgb[c] + 0.25 * warm.gain[c];
  scene_paint(&s, 12, rgb);
  assert_int_equal(fit(), DW_OK);
  assert_int_equal(light->info.patches, 23);
  assert_non_null(strstr(light->info.notes.text[0], "The third row's first patch"));
  assert_non_null(strstr(light->info.notes.text[0], "glare"));
  assert_true(patches_error(&warm) < 1.0);
}

/* Half of every patch shows its border: the grid stands beside the patches. */
static void test_patches_not_where_marked_are_refused(void **state) {
  (void)state;
  scene_paint_all(&s, &SCENE_PLAIN);
  for (size_t i = 0; i < 24; i++)
    for (int k = 0; k < s.patches[i].rect.w * s.patches[i].rect.h; k++)
      if (k % s.patches[i].rect.w < s.patches[i].rect.w / 2)
        for (int c = 0; c < 3; c++) s.patches[i].rgb[3 * k + c] = 0.01f;
  refuses("is not even");
}

static void test_another_picture_is_refused(void **state) {
  (void)state;
  dw_random random = dw_random_seed(11);
  scene_paint_all(&s, &SCENE_PLAIN);
  for (size_t i = 0; i < 18; i++) {
    const double rgb[3] = {dw_random_uniform(&random), dw_random_uniform(&random),
                           dw_random_uniform(&random)};
    scene_paint(&s, i, rgb);
  }
  refuses("not found where marked");
}

static void test_flat_picture_is_refused(void **state) {
  (void)state;
  const scene_camera veil = {{0.1, 0.1, 0.1}, 1.0, {1, 0, 0, 0, 1, 0, 0, 0, 1}};
  for (size_t i = 0; i < 24; i++) {
    double rgb[3];
    scene_see(&veil, s.card->lab[i], rgb);
    for (int c = 0; c < 3; c++) rgb[c] += 0.5;
    scene_paint(&s, i, rgb);
  }
  refuses("hardly differ");
}

/* Paints the card as it stands, then marks it in each of the other seven orders: the sentence must give back
 * the right one. Turned by 90 degrees the sampled squares stand between patches, and only corners are right.
 */
static void test_wrong_order_of_corners_is_named(void **state) {
  (void)state;
  scene truth = s;
  scene_paint_all(&truth, &warm);
  for (size_t way = 1; way < 8; way++) {
    double xy[8], shown[8];
    for (size_t k = 0; k < 4; k++) {
      const size_t from = (way < 4 ? k + way : 8 - k + way) % 4;
      memcpy(&xy[2 * k], &truth.corners.xy[2 * from], 2 * sizeof *xy);
    }
    scene wrong;
    scene_open(&wrong, dw_card_named("grid24"), xy);
    for (size_t i = 0; i < 24; i++) { /* each square takes the nearest true patch */
      const double cx = wrong.rects[i].x + wrong.rects[i].w / 2.0,
                   cy = wrong.rects[i].y + wrong.rects[i].h / 2.0;
      const size_t column = (size_t)fmin(fmax(round((cx - 200) / 60), 0), 5),
                   row = (size_t)fmin(fmax(round((cy - 200) / 60), 0), 3);
      double rgb[3];
      scene_see(&warm, s.card->lab[6 * row + column], rgb);
      scene_paint(&wrong, i, rgb);
    }
    assert_int_equal(dw_light_card(wrong.card, &wrong.corners, wrong.patches, &light, &err), DW_REFUSED);
    const char *list = strstr(err.text, "try ");
    if (list == NULL) fail_msg("way %zu: %s", way, err.text);
    char numbers[160];
    dw_copy_text(numbers, sizeof numbers, list + 4);
    numbers[strlen(numbers) - 1] = '\0';
    assert_true(dw_parse_numbers(numbers, 8, shown));
    assert_memory_equal(shown, truth.corners.xy, sizeof shown);
    scene_close(&wrong);
  }
}

/* ---- gray and none ---- */

static void gray_fill(float *rgb, uint8_t *clip, size_t n, double r, double g, double b) {
  for (size_t i = 0; i < n; i++) {
    rgb[3 * i] = (float)r;
    rgb[3 * i + 1] = (float)g;
    rgb[3 * i + 2] = (float)b;
    clip[i] = 0;
  }
}

static void gray_refuses(const float *rgb, const uint8_t *clip, size_t n, double y, dw_status status,
                         const char *words) {
  assert_int_equal(dw_light_gray(rgb, clip, n, y, &light, &err), status);
  if (strstr(err.text, words) == NULL) fail_msg("\"%s\" does not say \"%s\"", err.text, words);
}

static void test_gray_balances_and_exposes(void **state) {
  (void)state;
  float rgb[300];
  uint8_t clip[100];
  gray_fill(rgb, clip, 100, 0.30, 0.20, 0.12);
  assert_int_equal(dw_light_gray(rgb, clip, 100, 0.18, &light, &err), DW_OK);
  const dw_lab gray = dw_light_lab(light, (double[3]){0.30, 0.20, 0.12}),
               half = dw_light_lab(light, (double[3]){0.15, 0.10, 0.06});
  assert_true(fabs(gray.L - 49.496) < 0.01); /* L* of Y = 0.18, CIE 15 */
  assert_true(hypot(gray.a, gray.b) < 0.1 && hypot(half.a, half.b) < 0.1);
  assert_true(fabs(half.L - 35.98) < 0.01); /* of Y = 0.09 */
}

static void test_gray_refusals(void **state) {
  (void)state;
  float rgb[300];
  uint8_t clip[100];
  gray_fill(rgb, clip, 100, 0.2, 0.2, 0.2);
  gray_refuses(rgb, clip, 10, 0.18, DW_TOO_FEW, "10 pixels");
  gray_refuses(rgb, clip, 100, 18.0, DW_BAD_INPUT, "not between 0 and 1");
  gray_refuses(rgb, clip, 100, NAN, DW_BAD_INPUT, "not between 0 and 1");
  for (int i = 0; i < 50; i++) clip[i] = DW_CLIP_HIGH;
  gray_refuses(rgb, clip, 100, 0.18, DW_REFUSED, "clipped in 50%");
  gray_fill(rgb, clip, 100, 0.001, 0.001, 0.001);
  gray_refuses(rgb, clip, 100, 0.18, DW_REFUSED, "too dark");
  gray_fill(rgb, clip, 100, 0.5, 0.1, 0.05);
  gray_refuses(rgb, clip, 100, 0.18, DW_REFUSED, "far from gray");
  gray_fill(rgb, clip, 100, 0.2, 0.2, 0.2);
  for (int i = 0; i < 150; i++) rgb[i] = 0.8f;
  gray_refuses(rgb, clip, 100, 0.18, DW_REFUSED, "not even");
}

static void test_none_is_the_photo_as_it_is(void **state) {
  (void)state;
  const uint8_t orange[3] = {214, 126, 44};
  double rgb[3];
  float row[3], xyz[3];
  for (int c = 0; c < 3; c++) row[c] = (float)(rgb[c] = dw_srgb_decode(orange[c] / 255.0));
  assert_int_equal(dw_light_none(&light, &err), DW_OK);
  assert_true(dw_de00(dw_light_lab(light, rgb), dw_lab_from_srgb8(orange)) < 1e-6);
  dw_light_xyz(light, row, NULL, NULL, 1, xyz);
  assert_true(dw_de00(dw_lab_from_xyz((dw_xyz){(double)xyz[0], (double)xyz[1], (double)xyz[2]}),
                      dw_lab_from_srgb8(orange)) < 1e-3);
  assert_non_null(strstr(dw_light_info_get(light)->notes.text[0], "No card"));
  assert_true(dw_light_uncertainty(light, (dw_lab){50, 0, 0}) > 5.0);
}

static void test_doubt_grows_away_from_the_patches(void **state) {
  (void)state;
  s.noise = 0.02;
  scene_paint_all(&s, &curved);
  assert_int_equal(fit(), DW_OK);
  const double near = dw_light_uncertainty(light, s.card->lab[6]),
               far = dw_light_uncertainty(light, (dw_lab){60, 110, 90});
  assert_true(near > 0.0 && far > 1.5 * near);
}

/* ---- threads ---- */

static void *fit_many(void *arg) {
  double *sum = arg;
  for (int i = 0; i < 10; i++) {
    dw_light *mine = NULL;
    if (dw_light_card(s.card, &s.corners, s.patches, &mine, NULL) != DW_OK) return NULL;
    *sum += dw_light_info_get(mine)->left_out.mean;
    dw_light_free(mine);
  }
  return arg;
}

static void test_threads_agree(void **state) {
  (void)state;
  pthread_t thread[4];
  double sum[4] = {0};
  s.noise = 0.02;
  scene_paint_all(&s, &curved);
  for (int i = 0; i < 4; i++) assert_int_equal(pthread_create(&thread[i], NULL, fit_many, &sum[i]), 0);
  for (int i = 0; i < 4; i++) pthread_join(thread[i], NULL);
  assert_int_equal(fit(), DW_OK);
  for (int i = 0; i < 4; i++) assert_true(fabs(sum[i] - 10.0 * light->info.left_out.mean) < 1e-9);
}

int main(void) {
#define T(name) cmocka_unit_test_setup_teardown(name, setup, teardown)
  const struct CMUnitTest tests[] = {
      T(test_linear_camera_is_recovered),
      T(test_gamma_camera_is_recovered),
      T(test_wide_photo_is_recovered),
      T(test_noise_and_8_bits_cost_little),
      T(test_large_card_is_recovered),
      T(test_the_edition_is_seen),
      T(test_grays_in_one_column_are_recovered),
      T(test_many_strays_leave_room_for_the_slope),
      T(test_white_is_the_lights_own_color),
      T(test_rows_agree_with_single_colors),
      T(test_odd_values_stay_finite),
      T(test_slope_of_the_light_is_found),
      T(test_even_light_has_no_slope),
      T(test_clipped_white_is_refused),
      T(test_many_clipped_patches_are_refused),
      T(test_two_clipped_patches_are_left_out),
      T(test_grays_out_of_order_are_refused),
      T(test_glare_on_a_patch_is_left_out),
      T(test_patches_not_where_marked_are_refused),
      T(test_another_picture_is_refused),
      T(test_flat_picture_is_refused),
      T(test_wrong_order_of_corners_is_named),
      T(test_gray_balances_and_exposes),
      T(test_gray_refusals),
      T(test_none_is_the_photo_as_it_is),
      T(test_doubt_grows_away_from_the_patches),
      T(test_threads_agree),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
