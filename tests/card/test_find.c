/* The card found in photos that nobody marked. By argument: how many scenes (20; the long test 400).
 *
 * The scenes are of many kinds on purpose: cameras, lamps, grounds, borders, sizes, tilts. What counts is
 * what the project promises: at least 95% found, corners within 2% of the card's width, readings within 0.2.
 */
#include "card/find_scene.h"
#include "card/phone.h"
#include "card/real.h"
#include "dropwise/card_find.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>
#include <jansson.h>

static int scenes = 20;
static lab_bench bench;
static bool have_bench;

static const dw_card *grid24(void) {
  return dw_card_named("grid24");
}

/* Largest distance of a corner from where it is, in widths of the card (first patch to end of first row). */
static double corners_off(const dw_corners *found, const dw_corners *truth) {
  double off = 0.0;
  const double *a = found->xy, *b = truth->xy;
  for (int k = 0; k < 8; k += 2) off = fmax(off, hypot(a[k] - b[k], a[k + 1] - b[k + 1]));
  return off / hypot(b[2] - b[0], b[3] - b[1]);
}

static dw_status light_fit(dw_photo *photo, const dw_corners *corners, dw_light **out, dw_error *err) {
  dw_rect rects[24];
  dw_patch patches[24];
  dw_arena *arena = dw_arena_new(0);
  dw_status status = dw_card_rects(grid24(), corners, dw_photo_info_get(photo), rects, err);
  if (status == DW_OK) status = dw_photo_patches(photo, rects, 24, arena, patches, err);
  if (status == DW_OK) status = dw_light_card(grid24(), corners, patches, out, err);
  dw_arena_free(arena);
  return status;
}

/* Mean CIEDE2000 between what two lights make of colors all over the range of the photo's patches. */
static double lights_apart(const dw_light *one, const dw_light *two) {
  double sum = 0.0, white[3];
  int n = 0;
  dw_light_white(two, white);
  for (int i = 1; i < 64; i++) {
    const double share[3] = {(i % 4 + 0.3) / 4.0, (i / 4 % 4 + 0.3) / 4.0, (i / 16 + 0.3) / 4.0};
    double rgb[3];
    const double middle = (share[0] + share[1] + share[2]) / 3.0; /* half way to gray: as plastics are */
    for (int c = 0; c < 3; c++) rgb[c] = 0.5 * (share[c] + middle) * white[c];
    sum += dw_de00(dw_light_lab(one, rgb), dw_light_lab(two, rgb));
    n++;
  }
  return sum / n;
}

/* The 24 patches as a simulated phone shows them. */
static void phone_patches(dw_random *random, double seen[72]) {
  static double spectra[24][WAVES];
  static bool made, used[SPECTRA];
  phone p;
  if (!made) spectra_card(&bench, spectra, used);
  made = true;
  phone_make(&bench, (size_t)(8.0 * dw_random_uniform(random)), (lamp)(3.0 * dw_random_uniform(random)),
             (phone_kind)(2.0 * dw_random_uniform(random)), (uint64_t)(1e9 * dw_random_uniform(random)), &p);
  for (size_t i = 0; i < 24; i++) phone_see_mean(&p, spectra[i], 1.0, 50, &seen[3 * i]);
}

/* Counts by a property, in groups. */
typedef struct tally {
  int n, found;
} tally;
typedef struct figures {
  tally all, tilt[3], size[3];
  int far, lights, unread;
  double off_most, apart_sum, apart_most;
  double offs[1000];
} figures;

static void tally_add(figures *f, const find_look *l, double share, bool found) {
  const int tilt = l->tilt_deg < 8.0    ? 0
                   : l->tilt_deg < 17.0 ? 1
                                        : 2,
            size = share < 18.0   ? 0
                   : share < 40.0 ? 1
                                  : 2;
  tally *each[3] = {&f->all, &f->tilt[tilt], &f->size[size]};
  for (int i = 0; i < 3; i++) {
    each[i]->n++;
    each[i]->found += found;
  }
}

static void lights_compare(dw_photo *photo, const dw_corners *found, const dw_corners *truth, figures *f) {
  dw_light *one = NULL, *two = NULL;
  if (light_fit(photo, truth, &two, NULL) == DW_OK && light_fit(photo, found, &one, NULL) == DW_OK) {
    const double apart = lights_apart(one, two);
    f->lights++;
    f->apart_sum += apart;
    f->apart_most = fmax(f->apart_most, apart);
  }
  dw_light_free(one);
  dw_light_free(two);
}

static bool light_readable(dw_photo *photo, const dw_corners *truth) {
  dw_light *light = NULL;
  const bool readable = light_fit(photo, truth, &light, NULL) == DW_OK;
  dw_light_free(light);
  return readable;
}

static void scene_run(dw_random *random, int i, figures *f) {
  dw_error err = {0};
  dw_corners found;
  double seen[72];
  const double share = exp(log(12.5) + log(10.0) * dw_random_uniform(random));
  const double tilt = 25.0 * sqrt(dw_random_uniform(random));
  const int longest = (int)exp(log(900.0) + log(2.4) * dw_random_uniform(random));
  const double reduced = dw_card_find_side(longest, longest) / (double)longest;
  const find_look look =
      find_look_draw(random, grid24(), longest, share * 1200.0 / (longest * reduced), tilt);
  const bool by_phone = have_bench && i % 2 == 0;
  if (by_phone) phone_patches(random, seen);
  uint8_t *rgb = find_look_render(&look, grid24(), by_phone ? seen : NULL);
  dw_photo *photo = find_look_photo(&look, rgb);
  assert_non_null(photo);
  const dw_corners truth = find_look_corners(&look, grid24());
  const double patch = look.patch_px * reduced;
  const bool good = dw_card_find(photo, grid24(), &found, &err) == DW_OK;

  if (!good && !light_readable(photo, &truth)) {
    f->unread++; /* too much glare for whoever marks it by hand, too */
  } else {
    tally_add(f, &look, patch, good);
  }
  if (good) {
    const double off = corners_off(&found, &truth);
    if (off > 0.02) f->far++;
    f->off_most = fmax(f->off_most, off);
    f->offs[f->all.found - 1] = off;
    lights_compare(photo, &found, &truth, f);
  }
  if (!good || corners_off(&found, &truth) > 0.02)
    printf(
        "scene %d (patch %.0f px, tilt %.0f, ground %d, gap %.2f, quality %d, blur %.1f, noise %.3f, glares "
        "%d, uneven %.2f, shadow %.2f): off %.3f %s\n",
        i, patch, look.tilt_deg, look.ground, look.gap, look.quality, look.blur_px, look.noise, look.glares,
        look.uneven, look.shadow, good ? corners_off(&found, &truth) : 0.0, err.text);
  dw_photo_close(photo);
  free(rgb);
}

static void test_found_in_scenes(void **state) {
  (void)state;
  static figures f;
  dw_random random = dw_random_seed(2024);
  for (int i = 0; i < scenes; i++) scene_run(&random, i, &f);
  printf("found %d of %d (%.1f%%); by tilt to 8, 17, 25 degrees: %d of %d, %d of %d, %d of %d; by patch to "
         "18, 40, "
         "125 px: %d of %d, %d of %d, %d of %d\n",
         f.all.found, f.all.n, 100.0 * f.all.found / f.all.n, f.tilt[0].found, f.tilt[0].n, f.tilt[1].found,
         f.tilt[1].n, f.tilt[2].found, f.tilt[2].n, f.size[0].found, f.size[0].n, f.size[1].found,
         f.size[1].n, f.size[2].found, f.size[2].n);
  printf("not counted, for no light is read with corners by hand either: %d\n", f.unread);
  printf("corners off by median %.4f, most %.4f of the card's width; readings apart mean %.3f, most %.3f in "
         "%d\n",
         dw_median(f.offs, (size_t)f.all.found), f.off_most, f.apart_sum / f.lights, f.apart_most, f.lights);
  assert_true(f.all.found >= 0.95 * f.all.n);
  assert_true(f.unread <= 0.1 * scenes);
  assert_int_equal(f.far, 0);
  assert_true(f.apart_sum / f.lights < 0.2);
}

static void file_expect(const char *path, const dw_corners *truth) {
  dw_error err;
  dw_photo *photo = NULL;
  dw_corners found;
  dw_light *one = NULL, *two = NULL;
  if (dw_photo_open(path, NULL, &photo, &err) != DW_OK ||
      dw_card_find(photo, grid24(), &found, &err) != DW_OK)
    fail_msg("%s", err.text);
  assert_int_equal(light_fit(photo, truth, &two, &err), DW_OK);
  assert_int_equal(light_fit(photo, &found, &one, &err), DW_OK);
  printf("%s: corners off by %.4f of the width, readings by %.3f\n", path, corners_off(&found, truth),
         lights_apart(one, two));
  assert_true(corners_off(&found, truth) < 0.02);
  assert_true(lights_apart(one, two) < 0.2);
  dw_light_free(one);
  dw_light_free(two);
  dw_photo_close(photo);
}

static void test_found_in_real_pictures(void **state) {
  (void)state;
  int there = 0;
  for (size_t i = 0; i < REAL_CARDS; i++) {
    if (access(real_cards[i].path, R_OK) == 0)
      there++, file_expect(real_cards[i].path, &real_cards[i].corners);
    else
      printf("skipped: %s is absent\n", real_cards[i].path);
  }
  if (!there) skip();
}

static void test_found_in_the_samples(void **state) {
  (void)state;
  static const char *const names[] = {"baitfish-1", "baitfish-2", "chips-1",
                                      "crawfish-1", "crawfish-2", "crawfish-3"};
  for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
    char path[512];
    dw_corners truth;
    snprintf(path, sizeof path, "%s/samples/%s.marks.json", DW_SOURCE_DIR, names[i]);
    json_t *marks = json_load_file(path, 0, NULL);
    const json_t *corners = json_object_get(json_object_get(marks, "card"), "corners");
    for (size_t k = 0; k < 8; k++) truth.xy[k] = json_number_value(json_array_get(corners, k));
    json_decref(marks);
    snprintf(path, sizeof path, "%s/samples/%s.jpg", DW_SOURCE_DIR, names[i]);
    file_expect(path, &truth);
  }
}

int main(int argc, char **argv) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_found_in_real_pictures),
      cmocka_unit_test(test_found_in_the_samples),
      cmocka_unit_test(test_found_in_scenes),
  };
  if (argc > 1) scenes = atoi(argv[1]);
  setvbuf(stdout, NULL, _IOLBF, 0);
  have_bench = lab_bench_load(&bench);
  if (!have_bench) printf("without the simulated phones: the outside data is absent\n");
  return cmocka_run_group_tests(tests, NULL, NULL);
}
