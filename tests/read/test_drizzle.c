/* Drops found and read in rendered photos, against the mixing model (Kubelka 1948 with Saunderson's surface, in
 * samples/renderer, which shares no code with core) of the same plastic where the drop is thickest. */
#include "check.h"

#include "boards.h"
#include "dropwise/read_drizzle.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { WIDTH = 1000, SCENES = 15, REFUSED_MOST = 1 };

static void save(const board *b, char path[64]) {
  strcpy(path, "/tmp/dropwise-drizzle-XXXXXX");
  assert_int_equal(board_save_new(b, path), 0);
}

/* A cup that is no white: of these a table hides the drops. */
static drizzle_cup any_cup(chance *dice) {
  drizzle_cup cup = {.thickness = exp(between(dice, log(.6), log(4)))};
  int colors = 1 + (int)(2 * chance_unit(dice));
  for (int i = 0; i < colors; i++)
    cup.meant.drops[(int)(WHITE * chance_unit(dice))] += exp(between(dice, log(1.), log(9)));
  if (chance_unit(dice) < .5) cup.meant.drops[WHITE] += between(dice, .3, 2);
  cup.put = cup.meant;
  return cup;
}

/* The film's true color over its middle: half the drop's radius about its center, as a mean of thickness. */
static dw_lab film_truth(const board *b, const table_drop *d, double radius) {
  double depth = 0, n = 0;
  for (int i = -20; i <= 20; i++)
    for (int k = -20; k <= 20; k++) {
      if (i * i + k * k > 400) continue;
      depth += drop_depth(d, d->x + radius * i / 20, d->y + radius * k / 20), n++;
    }
  spectrum seen = plastic_seen(&d->of, depth / n, &b->paint);
  lab_color lab = lab_of(xyz_of(&seen));
  return (dw_lab){lab.L, lab.a, lab.b};
}

static int by_value(const void *a, const void *b) {
  double p = *(const double *)a, q = *(const double *)b;
  return (p > q) - (p < q);
}

static void test_drops(void **state) {
  (void)state;
  static double off[SCENES * DROPS_MAX];
  static dw_drizzle read;
  size_t n = 0, refused = 0, within = 0;
  double table = 0;
  for (uint32_t seed = 0; seed < SCENES; seed++) {
    static board b;
    char path[64];
    dw_error err;
    chance dice = {seed * 77u + 3};
    drizzle_cup cups[4];
    int count = 2 + (int)(seed % 3 == 2) + (int)(seed % 10 == 9);
    for (int i = 0; i < count; i++) cups[i] = any_cup(&dice);
    b = drizzle_make(seed, WIDTH, cups, count);
    save(&b, path);
    dw_drizzle_wish wish = {
        .card_set = "grid24", .n = (size_t)count, .name = {"back", "side", "belly", "tips"}};
    dw_status status = dw_drizzle_read(path, &wish, &read, &err);
    unlink(path);
    if (status != DW_OK) {
      print_message("scene %u: %s\n", seed, err.text);
      assert_int_equal(status, DW_NOT_FOUND);
      refused++;
      continue;
    }
    assert_true(read.reading.has_corners);
    assert_int_equal(read.reading.n, count);
    table = fmax(table, fabs(read.reflectance - xyz_of(&b.paint).v[1]));
    for (int i = 0; i < count; i++) {
      const dw_layer_reading *layer = &read.reading.layer[i];
      assert_string_equal(layer->name, wish.name[i]);
      dw_lab truth = film_truth(&b, &b.drop[i], layer->shape.xy[2] * b.mm);
      off[n] = dw_de00(layer->reading.lab, truth);
      within += off[n] <= 2 * layer->reading.uncertainty_de00;
      print_message(
          "scene %u drop %d (%.1f mm): %.2f off, doubt %.2f; %.0f %.0f %.0f, truth %.0f %.0f %.0f\n", seed, i,
          b.drop[i].thickness, off[n], layer->reading.uncertainty_de00, layer->reading.lab.L,
          layer->reading.lab.a, layer->reading.lab.b, truth.L, truth.a, truth.b);
      n++;
    }
  }
  double mean = 0;
  for (size_t i = 0; i < n; i++) mean += off[i] / (double)n;
  qsort(off, n, sizeof *off, by_value);
  print_message("%zu drops, %zu of %d photos refused: mean %.2f, median %.2f, 95%% %.2f, within two doubts "
                "%.0f%%, table off "
                "%.3f at most\n",
                n, refused, SCENES, mean, off[n / 2], off[n * 95 / 100], 100.0 * (double)within / (double)n,
                table);
  assert_true(refused <= REFUSED_MOST);
  assert_true(mean < 1.2);
  assert_true((double)within >= .9 * (double)n);
  assert_true(table < .03);
}

static void refused(const board *b, size_t cups, const char *words) {
  static dw_drizzle read;
  char path[64];
  dw_error err = {0};
  save(b, path);
  dw_drizzle_wish wish = {.card_set = "grid24", .n = cups, .name = {"back", "side", "belly", "tips"}};
  dw_status status = dw_drizzle_read(path, &wish, &read, &err);
  unlink(path);
  print_message("%s\n", err.text);
  assert_int_equal(status, DW_NOT_FOUND);
  if (!strstr(err.text, words)) fail_msg("\"%s\" does not say \"%s\"", err.text, words);
}

static void test_no_drizzle(void **state) {
  (void)state;
  static board b;
  chance dice = {5};
  drizzle_cup cups[3];
  for (int i = 0; i < 3; i++) cups[i] = any_cup(&dice);
  b = drizzle_make(3, WIDTH, cups, 3);
  refused(&b, 2, "here are 2 cups, and 3 drops were found");
  refused(&b, 4, "here are 4 cups, and 3 drops were found");
  b.drops = 0;
  refused(&b, 3, "nothing that looks like a drop");
  b.paint = spectrum_flat(.3);
  refused(&b, 3, "not white");
  b.paint = spectrum_flat(.8);
  b.drops = 3;
  for (int i = 0; i < 3; i++) b.drop[i] = drizzle_make(3, WIDTH, cups, 3).drop[i]; /* in a triangle: */
  double size = b.drop[0].radius * 3, x = b.drop[1].x, y = b.drop[1].y;
  b.drop[0].x = x - size, b.drop[0].y = y, b.drop[2].x = x - size / 2, b.drop[2].y = y - size;
  refused(&b, 3, "in no row");
}

/* Baits on white boards are no drops. */
static void test_baits(void **state) {
  (void)state;
  for (uint32_t seed = 0; seed < 5; seed++) {
    static board b;
    static dw_drizzle read;
    char path[64];
    dw_error err = {0};
    b = board_make(7 * seed, 900, 3);
    assert_int_equal(b.color, BOARD_WHITE);
    save(&b, path);
    dw_drizzle_wish wish = {.card_set = "grid24"};
    dw_status status = dw_drizzle_read(path, &wish, &read, &err);
    unlink(path);
    print_message("board %u, %d baits of kind %s: %s\n", 7 * seed, b.n, body_kind_words[b.bait[0].kind],
                  status == DW_OK ? "taken for drops" : err.text);
    assert_int_equal(status, DW_NOT_FOUND);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_drops), cmocka_unit_test(test_no_drizzle),
                                     cmocka_unit_test(test_baits)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
