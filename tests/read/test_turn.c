/* Pearl and plain baits photographed from two sides, told apart.  The truth is the renderer's: tests/bait/turned.h.
 * test_turn [BAITS [FIRST]]: how many of each kind, from number FIRST on. */
#include "check.h"

#include "dropwise/read_turn.h"
#include "turned.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { WIDTH = 640, USUAL = 9 };
static int baits = USUAL, first_bait;

static void photo_of(const turned *t, int which, char path[64]) {
  strcpy(path, "/tmp/dropwise-turned-XXXXXX");
  int file = mkstemp(path);
  assert_true(file >= 0);
  close(file);
  assert_int_equal(turned_save(t, which, path), 0);
}

/* The middle of the body, and the card, as a person marks them. */
static void marks_of(const board *b, dw_marks *out) {
  const body *one = &b->bait[0];
  dw_error err;
  *out = (dw_marks){.method = DW_LIGHT_CARD, .gray_y = DW_GRAY_Y_DEFAULT, .n = 1};
  assert_int_equal(dw_marks_set_card(out, "grid24", &err), DW_OK);
  board_card_corners(b, out->corners.xy);
  strcpy(out->layer[0].name, "body");
  out->layer[0].shape.kind = DW_SHAPE_ELLIPSE;
  const double at[4] = {one->x / b->mm, one->y / b->mm, .25 * one->length / b->mm, .5 * one->half[5] / b->mm};
  memcpy(out->layer[0].shape.xy, at, sizeof at);
}

static void say(const turned *t, const dw_turn *turn) {
  const dw_travel *travel = &turn->layer[0].travel;
  print_message("%-13s %3u  %-8s %5.1f doubt %4.1f  hue %6.1f (%4.1f)  p %.1e ", pearl_words[t->pearl],
                t->b.seed, dw_travel_verdict_text(travel->verdict), travel->de00, travel->doubt_de00,
                travel->hue_deg, travel->hue_doubt_deg, travel->p);
  for (size_t i = 0; i < turn->photos; i++) {
    const dw_reading *r = &turn->layer[0].at[i].reading;
    print_message(" (%.1f %.1f %.1f)", r->lab.L, r->lab.a, r->lab.b);
  }
  print_message("\n");
}

/* The verdict over the first n shots.  Nothing is marked; a bait of its board's color is, which is not found. */
static dw_travel judged(const turned *t, size_t n, bool talk, int *marked) {
  char name[TURNED_PHOTOS][64];
  const char *paths[TURNED_PHOTOS];
  dw_turn *turn = calloc(1, sizeof *turn);
  dw_marks *marks = calloc(TURNED_PHOTOS, sizeof *marks);
  dw_find_wish wish = {.card_set = "grid24", .rules = {.layers = 1}};
  dw_error err;
  assert_true(turn && marks);
  for (size_t i = 0; i < n; i++) photo_of(t, (int)i, name[i]), paths[i] = name[i];
  dw_status status = dw_turn_read(paths, n, NULL, &wish, turn, &err);
  if (status == DW_NOT_FOUND) {
    for (size_t i = 0; i < n; i++) marks_of(&t->b, &marks[i]);
    status = dw_turn_read(paths, n, marks, NULL, turn, &err);
    ++*marked;
  }
  for (size_t i = 0; i < n; i++) unlink(name[i]);
  if (status != DW_OK) fail_msg("%s bait %u: %s", pearl_words[t->pearl], t->b.seed, err.text);
  if (talk) say(t, turn);
  dw_travel travel = turn->layer[0].travel;
  free(turn);
  free(marks);
  return travel;
}

static int called_pearl(pearl_kind kind) {
  int n = 0, marked = 0;
  for (int i = 0; i < baits; i++) {
    static turned t;
    t = turned_make((uint32_t)(first_bait + i), kind, WIDTH);
    dw_travel travel = judged(&t, 2, baits > USUAL, &marked);
    assert_int_not_equal(travel.verdict, DW_TRAVEL_UNCLEAR);
    n += travel.verdict == DW_TRAVEL_TRAVELS;
  }
  print_message("%s: %d of %d called pearl, %d marked by hand\n", pearl_words[kind], n, baits, marked);
  return n;
}

static void test_told_apart(void **state) {
  (void)state;
  int plain = 3 * baits, right = 0, called[PEARL_KINDS];
  for (int kind = 0; kind < PEARL_KINDS; kind++) called[kind] = called_pearl((pearl_kind)kind);
  /* three kinds of pearl stand against one of plain baits: weigh them alike */
  right = 3 * (baits - called[PEARL_NONE]);
  for (int kind = PEARL_SILVER; kind < PEARL_KINDS; kind++) right += called[kind];
  print_message("told apart: %.1f%%\n", 100.0 * right / (2 * plain));
  assert_true(20 * called[PEARL_NONE] <= baits);
  assert_true(right >= .95 * 2 * plain);
}

static dw_travel of_views(const dw_turn_view *views, size_t n, const double *repeat) {
  dw_travel travel;
  dw_error err;
  assert_int_equal(dw_travel_judge(views, n, repeat, &travel, &err), DW_OK);
  return travel;
}

static dw_turn_view view(double L, double a, double b) {
  return (dw_turn_view){.lab = {L, a, b}, .own_de00 = .3, .light_de00 = 1, .lit = true};
}

static void test_no_verdict_without_grounds(void **state) {
  (void)state;
  dw_travel travel;
  dw_error err;
  dw_turn_view views[] = {view(60, 20, 10), view(60, -20, 10), view(60, 0, 0), view(60, 0, 0)};
  assert_int_equal(of_views(views, 1, NULL).verdict, DW_TRAVEL_UNCLEAR);
  views[1].lit = false; /* neither card nor gray */
  assert_int_equal(of_views(views, 2, NULL).verdict, DW_TRAVEL_UNCLEAR);
  assert_int_equal(dw_travel_judge(views, 4, NULL, &travel, &err), DW_BAD_INPUT);
  assert_int_equal(dw_travel_judge(views, 0, NULL, &travel, &err), DW_BAD_INPUT);
}

/* A plain color under more or less light keeps its chromaticity (CIE 15): XYZ times a factor. */
static void test_light_alone_is_no_travel(void **state) {
  (void)state;
  for (double factor = .9; factor < 1.12; factor += .05) {
    dw_turn_view views[] = {view(60, 30, 20), view(0, 0, 0)};
    dw_xyz xyz = dw_xyz_from_lab(views[0].lab);
    views[1].lab = dw_lab_from_xyz((dw_xyz){factor * xyz.X, factor * xyz.Y, factor * xyz.Z});
    assert_int_equal(of_views(views, 2, NULL).verdict, DW_TRAVEL_STEADY);
  }
}

static void test_hue_travels(void **state) {
  (void)state;
  const double repeat[9] = {0, .5, .5, .5, 0, .5, .5, .5, 0};
  dw_turn_view views[3] = {view(60, 30, 0), view(60, 0, 0), view(60, 0, 0)};
  dw_lch near = {60, 30, 350}, far = {60, 30, 330};
  views[1].lab = dw_lab_from_lch(near), views[2].lab = dw_lab_from_lch(far);
  dw_travel travel = of_views(views, 3, repeat);
  assert_int_equal(travel.verdict, DW_TRAVEL_TRAVELS);
  assert_int_equal(travel.from, 0);
  assert_int_equal(travel.to, 2);
  assert_true(fabs(travel.hue_deg + 30) < 1e-9);
  assert_true(fabs(travel.de00 - dw_de00(views[0].lab, views[2].lab)) < 1e-12);
  assert_true(travel.hue_doubt_deg > 0 && travel.hue_doubt_deg < 5);
  /* the same move is nothing to photos that differ by as much themselves */
  const double poor[4] = {0, 12, 12, 0};
  assert_int_equal(of_views(views, 2, poor).verdict, DW_TRAVEL_STEADY);
}

int main(int argc, char **argv) {
  if (argc > 1) baits = atoi(argv[1]);
  if (argc > 2) first_bait = atoi(argv[2]);
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_no_verdict_without_grounds),
                                     cmocka_unit_test(test_light_alone_is_no_travel),
                                     cmocka_unit_test(test_hue_travels), cmocka_unit_test(test_told_apart)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
