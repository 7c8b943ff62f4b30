/* How large baits are, by the card's width or by their stated height: against places in mm that a camera maps, and the
 * rendered bodies' own mm. */
#include "check.h"

#include "boards.h"
#include "dropwise/numeric.h"
#include "dropwise/read_find.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { WIDTH = 800, BOARDS = 8, BAITS_MOST = 64 };

/* ---- a tilted camera --------------------------------------------------------------------------------------- */

/* mm on the board to pixels, the board tilted away to the upper right. */
static void seen(double x, double y, double *px, double *py) {
  const double u = x - 60, v = y - 60, w = 1 + .0012 * u - .0008 * v;
  *px = 400 + (5.1 * u + .3 * v) / w;
  *py = 300 + (-.2 * u + 4.8 * v) / w;
}

/* A card 60 mm wide, its patches 12 mm apart, and a bait 100 mm long and 18 mm high lying on its slant. */
static void tilted(dw_found *found, dw_bait *bait) {
  static const double card[8] = {0, 0, 60, 0, 60, 36, 0, 36};
  *found = (dw_found){.reading = {.has_corners = true, .card = *dw_card_named(DW_CARD_USUAL)}};
  for (size_t i = 0; i < 8; i += 2)
    seen(card[i], card[i + 1], &found->reading.corners.xy[i], &found->reading.corners.xy[i + 1]);
  *bait = (dw_bait){.n = 2, .blend = {{.width_share = .25}}};
  for (size_t i = 0; i < DW_BAIT_STATIONS; i++) {
    const double along = 100.0 * (double)i / (DW_BAIT_STATIONS - 1), x = 20 + .8 * along, y = 60 + .6 * along;
    dw_bait_station *s = &bait->station[i];
    seen(x, y, &s->x, &s->y);
    seen(x + .6 * 9, y - .8 * 9, &s->back_x, &s->back_y);
    seen(x - .6 * 9, y + .8 * 9, &s->belly_x, &s->belly_y);
    if (i) bait->length += hypot(s->x - s[-1].x, s->y - s[-1].y);
  }
}

static void test_through_a_tilted_camera(void **state) {
  (void)state;
  dw_bait_size size = {.height_mm = -1};
  dw_found *found = malloc(sizeof *found);
  dw_bait *bait = malloc(sizeof *bait);
  dw_find_wish wish = {0};
  assert_non_null(found);
  assert_non_null(bait);
  tilted(found, bait);
  assert_false(dw_bait_size_get(found, NULL, bait, &size));
  assert_false(dw_bait_size_get(found, &wish, bait, &size));
  assert_true(size.height_mm < 0);
  wish.card_mm = 60;
  assert_true(dw_bait_size_get(found, &wish, bait, &size));
  assert_near(size.length_mm, 100, 1e-6);
  assert_near(size.height_mm, 18, 1e-6);
  assert_near(size.blend_mm[0], 4.5, 1e-6);
  found->reading.has_corners = false; /* a photo without a card */
  assert_false(dw_bait_size_get(found, &wish, bait, &size));
  wish.bait_mm = 36;
  assert_true(dw_bait_size_get(found, &wish, bait, &size));
  assert_near(size.height_mm, 36, 1e-9);
  assert_true(size.length_mm > 160 && size.length_mm < 240); /* one pixel is not so long everywhere */
  found->reading.has_corners = true;
  assert_true(dw_bait_size_get(found, &wish, bait, &size)); /* and goes before the card */
  assert_near(size.height_mm, 36, 1e-9);
  free(found);
  free(bait);
}

/* ---- rendered ------------------------------------------------------------------------------------------------ */

static const body *nearest(const board *b, const dw_bait *bait) {
  const double x = (bait->box.x + bait->box.w / 2.0) * b->mm, y = (bait->box.y + bait->box.h / 2.0) * b->mm;
  const body *best = &b->bait[0];
  for (int i = 1; i < b->n; i++)
    if (hypot(b->bait[i].x - x, b->bait[i].y - y) < hypot(best->x - x, best->y - y)) best = &b->bait[i];
  return best;
}

static double height_of(const body *b) {
  double most = 0;
  for (size_t i = 0; i < BODY_RADII; i++) most = fmax(most, 2 * b->half[i]);
  return most;
}

/* By how much of itself each bait's height is off by the card's width. */
static void compare(const board *b, const dw_found *found, const dw_find_wish *wish, double *off, size_t *n) {
  for (size_t i = 0; i < found->baits.n && *n < BAITS_MOST; i++) {
    dw_bait_size size;
    const dw_bait *bait = &found->baits.bait[i];
    const double truth = height_of(nearest(b, bait));
    assert_true(dw_bait_size_get(found, wish, bait, &size));
    off[(*n)++] = fabs(size.height_mm / truth - 1);
    print_message("%.1f mm high, truth %.1f\n", size.height_mm, truth);
    for (size_t k = 0; k + 1 < bait->n; k++)
      assert_true(size.blend_mm[k] > 0 && size.blend_mm[k] <= bait->blend[k].width_share * size.height_mm);
  }
}

static void test_rendered(void **state) {
  (void)state;
  double off[BAITS_MOST];
  size_t n = 0;
  for (uint32_t seed = 0; seed < BOARDS; seed++) {
    static board b;
    char path[64] = "/tmp/dropwise-size-XXXXXX";
    dw_error err;
    b = board_make(seed, WIDTH, 4);
    if (!b.has_card) continue;
    dw_arena *arena = dw_arena_new(0);
    dw_found *found = calloc(1, sizeof *found);
    dw_find_wish wish = {.card_set = DW_CARD_USUAL, .card_mm = 5 * b.card[3]};
    assert_int_equal(board_save_new(&b, path), 0);
    if (dw_find_read(path, &wish, arena, found, &err) != DW_OK) fail_msg("%s", err.text);
    unlink(path);
    if (found->reading.has_corners) compare(&b, found, &wish, off, &n);
    free(found);
    dw_arena_free(arena);
  }
  assert_true(n >= 8);
  const double median = dw_median(off, n);
  print_message("%zu baits: %.1f%% in the median\n", n, 100 * median);
  assert_true(median < .03);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_through_a_tilted_camera),
                                     cmocka_unit_test(test_rendered)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
