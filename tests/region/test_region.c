/* What the region code finds in simulated plastic, against the color it was made from. */
#include "region/simulate.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>

#include <cmocka.h>

/* Linear sRGB: orange, browns, black, gray, white, dark green, blue, red, near black, yellow, see-through. */
static const double bodies[][3] = {{.35, .12, .02},    {.05, .02, .008}, {.02, .02, .02}, {.18, .18, .18},
                                   {.6, .58, .5},      {.03, .06, .01},  {.01, .03, .2},  {.5, .02, .02},
                                   {.005, .006, .004}, {.12, .07, .03},  {.6, .45, .03},  {.25, .3, .33}};
enum { BODIES = sizeof bodies / sizeof *bodies, KINDS = SIM_GLOSS_KINDS * SIM_FLAKE_KINDS };

static dw_light *light;

static int setup(void **state) {
  (void)state;
  return dw_light_none(&light, NULL) == DW_OK ? 0 : -1;
}

static int teardown(void **state) {
  (void)state;
  dw_light_free(light);
  return 0;
}

static dw_lab lab_of(const double rgb[3]) {
  return dw_lab_from_xyz(dw_xyz_from_linear(rgb));
}

typedef struct figures {
  double mean, high, most, doubt, ratio; /* error: mean, 95%, largest; mean doubt; rms of error over doubt */
  size_t n, too_few;
} figures;

/* Every body with every kind of gloss and flake. */
static figures sweep(const sim_plan *like, const char *name) {
  double errors[BODIES * KINDS];
  figures out = {0};
  for (size_t i = 0; i < BODIES * KINDS; i++) {
    size_t b = i / KINDS, k = i % KINDS;
    sim_plan plan = *like;
    memcpy(plan.body, bodies[b], sizeof plan.body);
    memcpy(plan.other, bodies[(b + 1 + k) % BODIES], sizeof plan.other);
    plan.gloss_kind = (sim_gloss)(k % SIM_GLOSS_KINDS);
    plan.flake_kind = (sim_flake)(k / SIM_GLOSS_KINDS);
    plan.seed = 1000 * i;
    sim s;
    assert_true(sim_make(&plan, &s));
    dw_reading r;
    dw_error err;
    dw_status status = dw_region_measure(&s.patch, s.mask, light, &r, NULL, &err);
    sim_free(&s);
    out.too_few += status == DW_TOO_FEW;
    if (status == DW_TOO_FEW) continue;
    assert_int_equal(status, DW_OK);
    double error = dw_de00(lab_of(plan.body), r.lab);
    errors[out.n++] = error;
    double fit = dw_light_uncertainty(light, r.lab); /* not at stake here */
    double own = sqrt(r.uncertainty_de00 * r.uncertainty_de00 - fit * fit);
    out.doubt += own;
    out.ratio += pow(error / own, 2);
    assert_true(fabs(r.shares.kept + r.shares.gloss + r.shares.flake + r.shares.shadow + r.shares.clipped -
                     1) < 1e-9);
  }
  out.mean = dw_mean(errors, out.n);
  out.most = dw_quantile(errors, out.n, 1);
  out.high = dw_quantile(errors, out.n, 0.95);
  out.doubt /= (double)out.n;
  out.ratio = sqrt(out.ratio / (double)out.n);
  printf("  %-28s mean %.2f  95%% %.2f  most %.2f  doubt %.2f  ratio %.2f  too few %zu of %zu\n", name,
         out.mean, out.high, out.most, out.doubt, out.ratio, out.too_few, out.n + out.too_few);
  return out;
}

/* Bounds are what the method achieves, rounded up; the issue allows 2.0 in all for a reading with gloss over
 * 10% and flake over 8%, light included. */
static void test_error_and_its_doubt(void **state) {
  (void)state;
  static const struct {
    const char *name;
    sim_plan plan;
    double mean, most, ratio;
  } cases[] = {
      {"clean", {.w = 120, .h = 90, .noise = 1}, 0.03, 0.15, 1.5},
      {"light +-15%", {.w = 120, .h = 90, .shade = .15, .noise = 1}, 0.03, 0.2, 1.5},
      {"twice the noise", {.w = 120, .h = 90, .shade = .05, .noise = 2}, 0.1, 0.4, 2},
      {"gloss 15%", {.w = 120, .h = 90, .gloss = .15, .shade = .05, .noise = 1}, 0.05, 0.25, 1.5},
      {"gloss 25%", {.w = 120, .h = 90, .gloss = .25, .shade = .1, .noise = 1}, 0.06, 0.3, 1.5},
      {"flake 8%", {.w = 120, .h = 90, .flake = .08, .shade = .05, .noise = 1}, 0.04, 0.2, 1.5},
      {"flake 15%", {.w = 120, .h = 90, .flake = .15, .shade = .1, .noise = 1}, 0.05, 0.25, 1.5},
      {"gloss 15%, flake 10%",
       {.w = 120, .h = 90, .gloss = .15, .flake = .1, .shade = .1, .noise = 1},
       0.06,
       0.3,
       1.5},
      {"the same, sharpened",
       {.w = 120, .h = 90, .gloss = .15, .flake = .1, .shade = .1, .noise = 1, .sharpen = .7},
       0.07,
       0.35,
       1.5},
      {"15% of another layer", {.w = 120, .h = 90, .strip = .15, .shade = .05, .noise = 1}, 0.04, 0.2, 1.5},
      {"rounded bait", {.w = 120, .h = 90, .round = .8, .noise = 1}, 0.15, 0.25, 1.5},
      {"rounded, gloss 15%, flake 5%",
       {.w = 120, .h = 90, .round = .8, .gloss = .15, .flake = .05, .noise = 1},
       0.2,
       0.8,
       1.5},
      {"wide sheen of 0.02", {.w = 120, .h = 90, .sheen = .02, .gloss = .05, .noise = 1}, 0.7, 3.5, 5},
      {"600 px, gloss 15%, flake 10%",
       {.w = 30, .h = 20, .gloss = .15, .flake = .1, .shade = .1, .noise = 1},
       0.2,
       0.8,
       1.5},
      {"600 px, 15% another layer",
       {.w = 30, .h = 20, .strip = .15, .shade = .05, .noise = 1},
       0.15,
       0.8,
       1.5},
      {"60 px", {.w = 10, .h = 6, .shade = .05, .noise = 1}, 0.3, 1.2, 2},
  };
  bool all_good = true;
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    figures got = sweep(&cases[i].plan, cases[i].name);
    bool good = got.n > BODIES * KINDS / 2 && got.mean <= cases[i].mean && got.most <= cases[i].most &&
                got.ratio <= cases[i].ratio;
    if (!good)
      printf("  ^ beyond mean %.2f, most %.2f or ratio %.2f\n", cases[i].mean, cases[i].most, cases[i].ratio);
    all_good = all_good && good;
  }
  assert_true(all_good);
}

/* A patch of one value. */
static sim flat(int w, int h, float r, float g, float b, uint8_t clip) {
  sim s = {.patch = {.rect = {0, 0, w, h}}};
  size_t area = (size_t)w * (size_t)h;
  s.patch.rgb = malloc(area * 3 * sizeof(float));
  s.patch.clip = malloc(area);
  s.mask = malloc(area);
  assert_true(s.patch.rgb && s.patch.clip && s.mask);
  memset(s.patch.clip, clip, area);
  memset(s.mask, 1, area);
  for (size_t i = 0; i < area; i++) memcpy(s.patch.rgb + 3 * i, (float[]){r, g, b}, 3 * sizeof(float));
  return s;
}

static void test_flat_patch_is_exact(void **state) {
  (void)state;
  const double rgb[3] = {.3, .2, .05};
  sim s = flat(40, 30, .3f, .2f, .05f, 0);
  dw_reading r;
  uint8_t classes[40 * 30];
  assert_int_equal(dw_region_measure(&s.patch, s.mask, light, &r, classes, NULL), DW_OK);
  assert_true(dw_de00(lab_of(rgb), r.lab) < 0.001);
  assert_true(r.shares.kept == 1 && r.pixels == 1200 && r.notes.n == 0);
  assert_true(r.spread_de00 < 0.001);
  assert_true(r.uncertainty_de00 < dw_light_uncertainty(light, r.lab) + 0.1);
  for (size_t i = 0; i < sizeof classes; i++) assert_int_equal(classes[i], DW_PIXEL_KEPT);
  sim_free(&s);
}

static void too_few(sim s, const char *word) {
  dw_reading r, before;
  dw_error err;
  memset(&r, 0x5a, sizeof r);
  before = r;
  assert_int_equal(dw_region_measure(&s.patch, s.mask, light, &r, NULL, &err), DW_TOO_FEW);
  assert_memory_equal(&r, &before, sizeof r);
  if (!strstr(err.text, word)) fail_msg("'%s' should say '%s'", err.text, word);
  sim_free(&s);
}

static void test_nothing_to_read(void **state) {
  (void)state;
  too_few(flat(20, 20, 1, 1, 1, DW_CLIP_HIGH), "clipped");
  too_few(flat(20, 20, 0, 0, 0, DW_CLIP_LOW), "clipped");
  too_few(flat(7, 7, .2f, .2f, .2f, 0), "larger area");
  too_few(flat(20, 20, NAN, .2f, .2f, 0), "clipped");
  sim s = flat(20, 20, .2f, .2f, .2f, 0);
  memset(s.mask, 0, 400);
  too_few(s, "larger area");
}

/* A saturated plastic has a channel at 0 by right. */
static void test_zero_channel_is_a_color(void **state) {
  (void)state;
  sim s = flat(20, 20, .4f, .1f, 0, DW_CLIP_LOW);
  dw_reading r;
  assert_int_equal(dw_region_measure(&s.patch, s.mask, light, &r, NULL, NULL), DW_OK);
  assert_true(r.shares.kept == 1);
  assert_true(r.notes.n == 1 && strstr(r.notes.text[0], "saturated"));
  sim_free(&s);
}

/* Gloss and flake as drawn are found as such. */
static void test_classes_match_what_was_drawn(void **state) {
  (void)state;
  sim_plan plan = {.w = 160,
                   .h = 120,
                   .body = {.1, .3, .08},
                   .gloss = .12,
                   .flake = .08,
                   .shade = .05,
                   .noise = 1,
                   .gloss_kind = SIM_BLOBS,
                   .flake_kind = SIM_COLORED,
                   .seed = 5};
  sim s;
  assert_true(sim_make(&plan, &s));
  uint8_t *classes = malloc(160 * 120);
  assert_non_null(classes);
  dw_reading r;
  assert_int_equal(dw_region_measure(&s.patch, s.mask, light, &r, classes, NULL), DW_OK);
  size_t drawn = 0, found = 0, kept = 0, kept_drawn = 0;
  for (size_t i = 0; i < 160 * 120; i++) {
    drawn += s.truth[i] == DW_PIXEL_GLOSS;
    found += s.truth[i] == DW_PIXEL_GLOSS && (classes[i] == DW_PIXEL_GLOSS || classes[i] == DW_PIXEL_CLIPPED);
    kept_drawn += s.truth[i] == DW_PIXEL_KEPT;
    kept += s.truth[i] == DW_PIXEL_KEPT && classes[i] == DW_PIXEL_KEPT;
  }
  printf("  gloss found %.3f, plastic kept %.3f\n", (double)found / (double)drawn,
         (double)kept / (double)kept_drawn);
  assert_true(found > drawn * 9 / 10);
  assert_true(kept > kept_drawn * 8 / 10);
  free(classes);
  sim_free(&s);
}

/* Under a warm lamp gloss is warm: it is found along the light's own color, and leaves the reading as it is.
 */
static void test_gloss_has_the_color_of_the_light(void **state) {
  (void)state;
  const double lamp[3] = {1.0, 0.7, 0.35};
  float gray[100 * 3];
  uint8_t clip[100] = {0};
  for (size_t i = 0; i < 300; i++) gray[i] = (float)(0.18 * lamp[i % 3]);
  dw_light *warm;
  dw_error err;
  if (dw_light_gray(gray, clip, 100, 0.18, &warm, &err) != DW_OK) fail_msg("%s", err.text);
  sim_plan plan = {.w = 120, .h = 90, .body = {.12, .07, .03}, .shade = .05, .noise = 1, .seed = 9};
  memcpy(plan.white, lamp, sizeof lamp);
  dw_reading r[2];
  for (int glossy = 0; glossy < 2; glossy++) {
    plan.gloss = 0.15 * glossy;
    sim s;
    assert_true(sim_make(&plan, &s));
    assert_int_equal(dw_region_measure(&s.patch, s.mask, warm, &r[glossy], NULL, &err), DW_OK);
    sim_free(&s);
  }
  printf("  warm: gloss %.3f flake %.3f, moved by %.3f\n", r[1].shares.gloss, r[1].shares.flake,
         dw_de00(r[0].lab, r[1].lab));
  assert_true(r[1].shares.gloss > 0.13 && r[1].shares.flake < 0.03);
  assert_true(dw_de00(r[0].lab, r[1].lab) < 0.15);
  dw_light_free(warm);
}

/* Random pixels, sizes and masks: an answer with sane numbers or a sentence. */
static void test_any_pixels(void **state) {
  (void)state;
  dw_random random = dw_random_seed(77);
  for (int round = 0; round < 300; round++) {
    int w = 1 + (int)sim_between(&random, 0, 60), h = 1 + (int)sim_between(&random, 0, 60);
    sim s = flat(w, h, .2f, .1f, .05f, 0);
    double noise = pow(10, sim_between(&random, -6, 1)), hole = sim_between(&random, 0, 1);
    for (int i = 0; i < w * h; i++) {
      for (int k = 0; k < 3; k++)
        s.patch.rgb[3 * i + k] += (float)(noise * (dw_random_uniform(&random) - 0.3));
      s.mask[i] = dw_random_uniform(&random) > hole;
      s.patch.clip[i] = (uint8_t)(round % 4);
    }
    dw_reading r;
    dw_error err = {0};
    dw_status status = dw_region_measure(&s.patch, s.mask, light, &r, NULL, &err);
    assert_true(status == DW_OK || (status == DW_TOO_FEW && err.text[0]));
    if (status == DW_OK)
      assert_true(isfinite(r.lab.L) && isfinite(r.lab.a) && isfinite(r.lab.b) &&
                  isfinite(r.uncertainty_de00) && isfinite(r.spread_de00));
    sim_free(&s);
  }
}

static bool noted(const dw_reading *r, const char *word) {
  for (size_t i = 0; i < r->notes.n; i++)
    if (strstr(r->notes.text[i], word)) return true;
  return false;
}

/* A fluorescent orange sends back more light than falls on it there; this one beyond what a gray alone leaves in doubt
 * (luminance factor .9 where .5 is the most). A lemon does not. */
static void test_lighter_than_a_surface_can_be(void **state) {
  (void)state;
  const double body[2][3] = {{2.6, .48, .01}, {.85, .70, .03}};
  float gray[300];
  uint8_t clip[100] = {0};
  for (size_t i = 0; i < 300; i++) gray[i] = 0.18f;
  dw_light *lamp;
  dw_error err;
  if (dw_light_gray(gray, clip, 100, 0.18, &lamp, &err) != DW_OK) fail_msg("%s", err.text);
  for (int i = 0; i < 2; i++) {
    sim s = flat(40, 40, (float)body[i][0], (float)body[i][1], (float)body[i][2], 0);
    dw_reading r;
    assert_int_equal(dw_region_measure(&s.patch, s.mask, lamp, &r, NULL, &err), DW_OK);
    printf("  L* %.1f a* %.1f b* %.1f, a surface at most %.1f\n", r.lab.L, r.lab.a, r.lab.b,
           dw_surface_lightest(r.lab).L);
    assert_true(noted(&r, "fluorescent") == (i == 0));
    sim_free(&s);
  }
  dw_light_free(lamp);
}

static dw_reading read_plan(const sim_plan *plan) {
  sim s;
  assert_true(sim_make(plan, &s));
  dw_reading r;
  dw_error err;
  if (dw_region_measure(&s.patch, s.mask, light, &r, NULL, &err) != DW_OK) fail_msg("%s", err.text);
  sim_free(&s);
  return r;
}

/* A layer of a bent bait: a round band along an arc, whose light falls off to both sides as it turns away.  Its centroid
 * lies beside it, and its middle is as light as the plastic.  along  where it ends, radians from the arc's top */
static dw_lab bent_band_read(const sim *plain, const float *flat, const double along[2]) {
  enum { WIDE = 240, RADIUS = 120, HALF = 12 };
  sim s = *plain;
  for (int i = 0; i < WIDE * WIDE / 2; i++) {
    double x = i % WIDE - RADIUS + .5, y = RADIUS + 5 - i / WIDE, angle = atan2(x, y),
           off = (hypot(x, y) - (RADIUS - HALF)) / HALF;
    s.mask[i] = fabs(off) < 1 && angle > along[0] && angle < along[1];
    for (int k = 0; k < 3; k++)
      s.patch.rgb[3 * i + k] = flat[3 * i + k] * (float)sqrt(1 - .6 * fmin(off * off, 1));
  }
  dw_reading r;
  dw_error err;
  if (dw_region_measure(&s.patch, s.mask, light, &r, NULL, &err) != DW_OK) fail_msg("%s", err.text);
  return r.lab;
}

static void test_bent_band_reads_as_its_middle(void **state) {
  static const double ends[][2] = {{-1.1, 1.1}, {-1.05, 1.1}, {-1.1, 1.0}, {-1, 1}};
  double worst = 0;
  (void)state;
  for (size_t b = 0; b < BODIES; b++) {
    sim_plan plan = {.w = 240, .h = 120, .noise = 1, .seed = b};
    memcpy(plan.body, bodies[b], sizeof plan.body);
    sim s;
    assert_true(sim_make(&plan, &s));
    size_t size = (size_t)plan.w * (size_t)plan.h * 3 * sizeof(float);
    float *flat = malloc(size);
    assert_non_null(flat);
    memcpy(flat, s.patch.rgb, size);
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
      double off = dw_de00(bent_band_read(&s, flat, ends[i]), lab_of(plan.body));
      worst = fmax(worst, off);
    }
    free(flat);
    sim_free(&s);
  }
  printf("  bent bands: %.2f off at worst\n", worst);
  assert_true(worst < 1.0);
}

static void test_warnings(void **state) {
  (void)state;
  sim_plan plan = {.w = 120, .h = 90, .body = {.35, .12, .02}, .noise = 1};
  dw_reading r = read_plan(&plan);
  assert_int_equal(r.notes.n, 0);
  sim_plan two = plan;
  two.strip = .35;
  memcpy(two.other, (double[]){.03, .06, .2}, sizeof two.other);
  r = read_plan(&two);
  assert_true(noted(&r, "two colors"));
  sim_plan glossy = plan;
  glossy.gloss = .4;
  r = read_plan(&glossy);
  assert_true(noted(&r, "is gloss"));
  assert_false(noted(&r, "two colors"));
  sim_plan small = plan;
  small.w = 10, small.h = 8;
  r = read_plan(&small);
  assert_true(noted(&r, "larger area"));
}

static void test_mean_of_readings(void **state) {
  (void)state;
  dw_reading in[3] = {
      {.lab = {50, 10, 20}, .uncertainty_de00 = 1, .pixels = 100, .shares = {.kept = 1}},
      {.lab = {51, 11, 19}, .uncertainty_de00 = 1, .pixels = 100, .shares = {.kept = .5, .gloss = .5}},
      {.lab = {52, 12, 21}, .uncertainty_de00 = 1, .pixels = 200, .shares = {.kept = 1}}};
  dw_note(&in[0].notes, "One.");
  dw_note(&in[2].notes, "One.");
  dw_reading out;
  dw_error err;
  assert_int_equal(dw_reading_mean(in, 3, &out, &err), DW_OK);
  assert_true(fabs(out.lab.L - 51) + fabs(out.lab.a - 11) + fabs(out.lab.b - 20) < 1e-9);
  assert_true(out.uncertainty_de00 == 1 && out.pixels == 400 && out.notes.n == 1);
  assert_true(fabs(out.shares.kept - .875) < 1e-12 && fabs(out.shares.gloss - .125) < 1e-12);
  in[2].lab.L = 70; /* now they differ far more than they doubt */
  assert_int_equal(dw_reading_mean(in, 3, &out, &err), DW_OK);
  assert_true(out.uncertainty_de00 > 5 && noted(&out, "differ"));
  assert_int_equal(dw_reading_mean(in, 0, &out, &err), DW_TOO_FEW);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_flat_patch_is_exact),
      cmocka_unit_test(test_nothing_to_read),
      cmocka_unit_test(test_zero_channel_is_a_color),
      cmocka_unit_test(test_classes_match_what_was_drawn),
      cmocka_unit_test(test_gloss_has_the_color_of_the_light),
      cmocka_unit_test(test_lighter_than_a_surface_can_be),
      cmocka_unit_test(test_any_pixels),
      cmocka_unit_test(test_bent_band_reads_as_its_middle),
      cmocka_unit_test(test_warnings),
      cmocka_unit_test(test_mean_of_readings),
      cmocka_unit_test(test_error_and_its_doubt),
  };
  return cmocka_run_group_tests(tests, setup, teardown);
}
