/* Cards, grays and no card at all on simulated phones: mean CIEDE2000 on colors that the card does not hold.
 * Simulated here with outside sensitivities and reflectances (../shared/data); skipped without them. */
#include "card/fit.h"
#include "card/light.h"
#include "card/phone.h"
#include "card/scene.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <string.h>

#include <cmocka.h>

static lab_bench bench;
static double card_spectra[24][WAVES];
static bool used[SPECTRA];
static dw_card card;

/* Sums over photos of one kind. */
typedef struct tally {
  double none, gray, carded, wild; /* mean CIEDE2000; wild: card, light ignored */
  double one, two;                 /* shares within one and two expected errors */
  double expected, left_out;
  size_t count, sloped, moved, photos;
} tally;

static void card_paint(scene *s, phone *p, const double field[2], const dw__board *board) {
  for (size_t i = 0; i < 24; i++) {
    const dw_rect *r = &s->rects[i];
    for (int k = 0; k < r->w * r->h; k++) {
      double place[2], rgb[3];
      dw__board_at(board, r->x + k % r->w, r->y + k / r->w, place);
      phone_see(p, card_spectra[i], exp(field[0] * place[0] + field[1] * place[1]), rgb);
      s->patches[i].clip[k] = 0;
      for (int c = 0; c < 3; c++) {
        s->patches[i].rgb[3 * k + c] = (float)rgb[c];
        if (rgb[c] >= 1.0) s->patches[i].clip[k] |= DW_CLIP_HIGH;
        if (rgb[c] <= 0.0) s->patches[i].clip[k] |= DW_CLIP_LOW;
      }
    }
  }
}

static dw_lab light_read(const dw_light *light, const double rgb[3], float x, float y) {
  float pixel[3] = {(float)rgb[0], (float)rgb[1], (float)rgb[2]}, xyz[3];
  dw_light_xyz(light, pixel, &x, &y, 1, xyz);
  return dw_lab_from_xyz((dw_xyz){(double)xyz[0], (double)xyz[1], (double)xyz[2]});
}

/* Colors beside the card, up to a card's length away. */
static void colors_read(phone *p, const dw_light *none, const dw_light *gray, const dw_light *carded,
                        const dw__board *board, const double field[2], tally *t) {
  for (size_t k = 0; k < SPECTRA; k++) {
    if (used[k]) continue;
    const float x = (float)(board->x + board->side_px * (dw_random_uniform(&p->random) - 0.5));
    const float y = (float)(board->y + board->side_px * (0.4 + 0.6 * dw_random_uniform(&p->random)));
    double place[2], rgb[3];
    dw__board_at(board, (double)x, (double)y, place);
    phone_see_mean(p, bench.spectra[k], exp(field[0] * place[0] + field[1] * place[1]), 200, rgb);
    const dw_lab truth = spectrum_lab(&bench, bench.spectra[k]), read = light_read(carded, rgb, x, y);
    const double off = dw_de00(read, truth), expected = dw_light_uncertainty(carded, read);
    t->none += dw_de00(light_read(none, rgb, x, y), truth);
    t->gray += dw_de00(light_read(gray, rgb, x, y), truth);
    t->wild += dw_de00(dw_light_lab(carded, rgb), truth);
    t->carded += off;
    t->expected += expected;
    t->one += off <= expected;
    t->two += off <= 2.0 * expected;
    t->count++;
  }
}

static void photo_take(size_t camera, lamp lit, phone_kind kind, double uneven, tally *t) {
  static scene s;
  phone p;
  dw_error err;
  dw_light *none = NULL, *gray = NULL, *carded = NULL;
  phone_make(&bench, camera, lit, kind, 100 * camera + (uint64_t)lit, &p);
  if (uneven > 0.0) p.exposure *= 0.75; /* room for the bright side */
  const double field[2] = {uneven * dw_random_normal(&p.random), uneven * dw_random_normal(&p.random)};
  scene_open(&s, &card, NULL);
  const dw__board board = dw__board_from_corners(&s.corners);
  card_paint(&s, &p, field, &board);
  assert_int_equal(dw_light_none(&none, &err), DW_OK);
  const dw_patch *g = &s.patches[21];
  const dw_status status = dw_light_gray(g->rgb, g->clip, (size_t)g->rect.w * (size_t)g->rect.h,
                                         dw_xyz_from_lab(card.lab[21]).Y, &gray, &err);
  if (status != DW_OK || dw_light_card(&card, &s.corners, s.patches, &carded, &err) != DW_OK)
    fail_msg("%s", err.text);
  colors_read(&p, none, gray, carded, &board, field, t);
  t->left_out += dw_light_info_get(carded)->left_out.mean;
  t->sloped += carded->model.field[0] != 0.0;
  t->moved += carded->model.residual.n > 0;
  t->photos++;
  dw_light_free(none);
  dw_light_free(gray);
  dw_light_free(carded);
  scene_close(&s);
}

static tally photos_take(lamp lit, phone_kind kind, double uneven) {
  static const char *const lamps[] = {"daylight", "LED", "tungsten"}, *const kinds[] = {"plain", "vivid"};
  tally t = {0};
  for (size_t camera = 0; camera < CAMERAS; camera++) photo_take(camera, lit, kind, uneven, &t);
  const double n = (double)t.count;
  t.none /= n, t.gray /= n, t.carded /= n, t.expected /= n, t.wild /= n, t.one /= n, t.two /= n;
  t.left_out /= (double)t.photos;
  printf("%-8s %-5s uneven %.2f: none %.2f gray %.2f card %.2f (place ignored %.2f), left-out %.2f, expected "
         "%.2f, within "
         "1x %.0f%% 2x "
         "%.0f%%, sloped %zu moved %zu of %zu\n",
         lamps[lit], kinds[kind], uneven, t.none, t.gray, t.carded, t.wild, t.left_out, t.expected,
         100 * t.one, 100 * t.two, t.sloped, t.moved, t.photos);
  return t;
}

/* Means of a plain and a vivid phone over eight cameras, a tenth above what was measured when this was
 * written. */
static const double card_most[PHONE_KINDS][LAMPS] = {{1.05, 1.40, 2.40}, {1.20, 1.60, 2.50}};

static void judge(const tally *t, double most) {
  assert_true(t->carded < most);
  assert_true(t->carded < 0.75 * t->gray && t->gray < 0.8 * t->none);
  assert_true(t->one > 0.45 && t->one < 0.75 && t->two > 0.82); /* the doubt told is the doubt met */
}

/* Of the rows of the table in docs/color-model.md#what-was-tried: what readings without a card are off by. */
static double none_sum, gray_sum;
static size_t rows;

static void row_add(const tally *t) {
  none_sum += t->none;
  gray_sum += t->gray;
  rows++;
}

static void test_even(void **state) {
  (void)state;
  for (int kind = 0; kind < PHONE_KINDS; kind++)
    for (int lit = 0; lit < LAMPS; lit++) {
      const tally t = photos_take((lamp)lit, (phone_kind)kind, 0.0);
      judge(&t, card_most[kind][lit]);
      row_add(&t);
      assert_true(t.wild <
                  t.carded + 0.05); /* where the light is even, the place of a pixel changes nothing */
    }
}

/* Light that differs by 15% and more from end to end of the card costs nothing once its slope is known. */
static void test_uneven(void **state) {
  (void)state;
  for (int lit = 0; lit < LAMPS; lit++) {
    const tally t = photos_take((lamp)lit, PHONE_PLAIN, 0.15);
    judge(&t, card_most[PHONE_PLAIN][lit]);
    if (lit == 0) row_add(&t); /* daylight stands there for all three */
    assert_true(t.wild > t.carded + 0.5);
    assert_true(t.sloped >= 6);
  }
}

/* Error and expected error of a flat gray, which the card need not reach, summed over all phones. */
static void gray_read(double reflectance, size_t camera, lamp lit, phone_kind kind, tally *t) {
  static scene s;
  phone p;
  dw_error err;
  dw_light *carded = NULL;
  const double even[2] = {0.0, 0.0};
  double spectrum[WAVES], rgb[3];
  phone_make(&bench, camera, lit, kind, 100 * camera + (uint64_t)lit, &p);
  scene_open(&s, &card, NULL);
  const dw__board board = dw__board_from_corners(&s.corners);
  card_paint(&s, &p, even, &board);
  if (dw_light_card(&card, &s.corners, s.patches, &carded, &err) != DW_OK) fail_msg("%s", err.text);
  for (size_t i = 0; i < WAVES; i++) spectrum[i] = reflectance;
  phone_see_mean(&p, spectrum, 1.0, 200, rgb);
  const dw_lab read = light_read(carded, rgb, (float)board.x, (float)board.y);
  const double off = dw_de00(read, spectrum_lab(&bench, spectrum)),
               expected = dw_light_uncertainty(carded, read);
  assert_true(read.L >= 0.0);
  t->carded += off;
  t->expected += expected;
  t->one += off <= expected;
  t->two += off <= 2.0 * expected;
  t->count++;
  dw_light_free(carded);
  scene_close(&s);
}

/* Beyond the card's black (3%) and white (90%) the tone is a guess, and the doubt says so. */
static void test_beyond(void **state) {
  (void)state;
  static const double reflectance[] = {0.002, 0.004, 0.008, 0.015, 0.025, 0.95, 0.99};
  tally all = {0};
  for (size_t f = 0; f < sizeof reflectance / sizeof *reflectance; f++) {
    tally t = {0};
    for (size_t k = 0; k < CAMERAS * PHONE_KINDS * LAMPS; k++)
      gray_read(reflectance[f], k % CAMERAS, (lamp)(k / CAMERAS % LAMPS), (phone_kind)(k / CAMERAS / LAMPS),
                &t);
    const double n = (double)t.count;
    printf("gray of %.1f%%: off %.2f, expected %.2f, within 1x %.0f%% 2x %.0f%%\n", 100 * reflectance[f],
           t.carded / n, t.expected / n, 100 * t.one / n, 100 * t.two / n);
    all.one += t.one, all.two += t.two, all.count += t.count;
    assert_true(t.carded < 1.5 * t.expected);
  }
  assert_true(all.two > 0.9 * (double)all.count);
}

/* Without a card the doubt is what such readings were off by: the mean of the seven rows above. */
static void test_doubt_without_a_card(void **state) {
  (void)state;
  float rgb[75];
  uint8_t clip[25] = {0};
  dw_error err;
  dw_light *none = NULL, *gray = NULL;
  for (size_t i = 0; i < 75; i++) rgb[i] = 0.2f;
  assert_int_equal(rows, 7);
  assert_int_equal(dw_light_none(&none, &err), DW_OK);
  assert_int_equal(dw_light_gray(rgb, clip, 25, 0.18, &gray, &err), DW_OK);
  const double doubts[2] = {dw_light_info_get(none)->uncertainty_de00,
                            dw_light_info_get(gray)->uncertainty_de00};
  printf("off by %.2f without a card, %.2f with a gray; told: %.1f and %.1f\n", none_sum / 7, gray_sum / 7,
         doubts[0], doubts[1]);
  dw_light_free(none);
  dw_light_free(gray);
  assert_true(fabs(doubts[0] - none_sum / 7) < 0.1 && fabs(doubts[1] - gray_sum / 7) < 0.1);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_even), cmocka_unit_test(test_uneven),
                                     cmocka_unit_test(test_beyond),
                                     cmocka_unit_test(test_doubt_without_a_card)};
  if (!lab_bench_load(&bench)) {
    printf("skipped: the outside data is absent\n");
    return 77;
  }
  spectra_card(&bench, card_spectra, used);
  card = *dw_card_named("grid24");
  for (size_t i = 0; i < 24; i++) card.lab[i] = spectrum_lab(&bench, card_spectra[i]);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
