/* The shares that are reported and the classes that are drawn, against what was simulated. */
#include "region/simulate.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>

#include <cmocka.h>

/* Linear sRGB: orange, gray, white, red, yellow, see-through. */
static const double bodies[][3] = {{.35, .12, .02}, {.18, .18, .18}, {.6, .58, .5},
                                   {.5, .02, .02},  {.6, .45, .03},  {.25, .3, .33}};
enum { BODIES = sizeof bodies / sizeof *bodies };

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

static double drawn_share(const sim *s, dw_pixel_class cls) {
  size_t n = 0, area = (size_t)s->patch.rect.w * (size_t)s->patch.rect.h;
  for (size_t i = 0; i < area; i++) n += s->truth[i] == cls;
  return (double)n / (double)area;
}

/* Reads a plan with body b; *drawn gets the shares of what was simulated. */
static dw_shares read_body(sim_plan plan, size_t b, dw_shares *drawn) {
  sim s;
  dw_reading r;
  dw_error err;
  memcpy(plan.body, bodies[b], sizeof plan.body);
  memcpy(plan.other, bodies[(b + 1) % BODIES], sizeof plan.other);
  plan.seed += b;
  assert_true(sim_make(&plan, &s));
  if (dw_region_measure(&s.patch, s.mask, light, &r, NULL, &err) != DW_OK) fail_msg("%s", err.text);
  *drawn = (dw_shares){.gloss = drawn_share(&s, DW_PIXEL_GLOSS), .flake = drawn_share(&s, DW_PIXEL_FLAKE)};
  sim_free(&s);
  return r.shares;
}

/* A color that changes smoothly is no flake: wholly, half and a quarter over to the next layer's, in wide and
 * in narrow marks, and on a rounded bait.  A neutral color that grows lighter may be gloss for all that a
 * photo can tell, so gloss is held to only where the light alone changes. */
static void test_smooth_change_is_no_flake(void **state) {
  (void)state;
  static const sim_plan plans[] = {{.w = 120, .h = 90, .blend = 1, .noise = 1},
                                   {.w = 134, .h = 24, .blend = .5, .noise = 1},
                                   {.w = 400, .h = 300, .blend = .25, .noise = 1},
                                   {.w = 120, .h = 90, .round = .8, .noise = 1}};
  double flake = 0, shadow = 0, gloss = 0;
  for (size_t p = 0; p < sizeof plans / sizeof *plans; p++)
    for (size_t b = 0; b < BODIES; b++) {
      dw_shares drawn, got = read_body(plans[p], b, &drawn);
      flake = fmax(flake, got.flake);
      shadow = fmax(shadow, got.shadow);
      if (plans[p].blend <= 0) gloss = fmax(gloss, got.gloss);
    }
  printf("  smooth: flake %.3f, shadow %.3f, gloss where rounded %.3f\n", flake, shadow, gloss);
  assert_true(flake < 0.03 && shadow < 0.03 && gloss < 0.03);
}

/* Largest error of the share; glints counts what is read as gloss too. */
static double speck_error(sim_flake kind, double share, double glints) {
  double most = 0;
  for (size_t b = 0; b < BODIES; b++) {
    sim_plan plan = {.w = 160, .h = 120, .flake = share, .shade = .08, .noise = 1, .seed = 100};
    plan.flake_kind = kind;
    dw_shares drawn, got = read_body(plan, b, &drawn);
    most = fmax(most, fabs(got.flake + glints * got.gloss - drawn.flake));
  }
  printf("  %s specks on %.0f%%: share off by %.3f at most\n", kind == SIM_DARK ? "dark" : "colored",
         100 * share, most);
  return most;
}

/* A speck of the light's own color looks like a glint of it, so among specks of all colors both count. */
static void test_specks_are_flake(void **state) {
  (void)state;
  for (int step = 0; step <= 2; step++) {
    assert_true(speck_error(SIM_DARK, 0.05 * step, 0) < 0.05);
    assert_true(speck_error(SIM_COLORED, 0.05 * step, 1) < 0.05);
  }
}

/* Dark specks are drawn with .4 to 1 of a fiftieth of white, .014 in the mean; none are seen where none are. */
static void test_color_of_specks(void **state) {
  (void)state;
  const double dark[3] = {.014, .014, .014};
  dw_lab truth = dw_lab_from_xyz(dw_xyz_from_linear(dark));
  size_t told = 0;
  for (size_t b = 0; b < BODIES; b++) {
    sim_plan plan = {.w = 160, .h = 120, .shade = .05, .noise = 1, .seed = 100 + b, .flake_kind = SIM_DARK};
    for (int k = 0; k < 3; k++) plan.body[k] = bodies[b][k];
    for (int specked = 0; specked < 2; specked++) {
      sim s;
      dw_reading r;
      plan.flake = .08 * specked;
      assert_true(sim_make(&plan, &s));
      assert_int_equal(dw_region_measure(&s.patch, s.mask, light, &r, NULL, NULL), DW_OK);
      sim_free(&s);
      if (!specked) {
        assert_true(r.flake.pixels < 60);
        continue;
      }
      if (!r.flake.pixels) continue; /* dark flake on near-black plastic is not told from it */
      double off = dw_de00(truth, r.flake.lab);
      printf("  body L* %.0f: specks off by %.1f, doubt %.1f, the plastic is %.1f away\n", r.lab.L, off,
             r.flake.uncertainty_de00, dw_de00(truth, r.lab));
      assert_true(off < 2 * r.flake.uncertainty_de00 && off < .33 * dw_de00(truth, r.lab));
      told++;
    }
  }
  assert_true(told >= BODIES - 1);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_smooth_change_is_no_flake),
      cmocka_unit_test(test_specks_are_flake),
      cmocka_unit_test(test_color_of_specks),
  };
  return cmocka_run_group_tests(tests, setup, teardown);
}
