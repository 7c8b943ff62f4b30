/* Which of the things on a board are baits: whole, large enough, with a clear outline, alone on the board,
 * and no card or label. */
#include "bait/judge.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <string.h>

/* The least area as a share of the frame, and the least radius in view pixels. */
#define AREA_LEAST 0.0006
#define RADIUS_LEAST 3.0f
/* Scraps are smaller than this share of the things' median area. */
#define SCRAP_SHARE 0.15
/* Two pixels inside the outline the difference from the board is at least this share of that in the middle.
 */
#define SHARP_LEAST 0.3f
#define FAR_MOST 30.0f
/* Three pixels outside it is at most this share of the same. */
#define OUTSIDE_MOST 0.5f
/* The share of the ring around it that is board or its shadow. */
#define ALONE_LEAST 0.6
/* A card, a label or a ruler fills so much of the corners of its smallest rectangle; or, seen at an angle, of
 * the rectangle itself, and is no longer than so many times its width. */
#define CORNER_FULL 0.8
#define CARD_FULL 0.86
#define CARD_LONG 2.6
/* A photo whose colors all lie so near to gray has none to read. */
#define COLOR_LEAST 1.2
/* On a board of baits, most of what lies there is baits: no more other things than such a share of them, or than so many;
 * smaller ones than OTHER_SHARE of a bait do not count. */
#define OTHERS_SHARE 0.67
enum { OTHERS_MOST = 1 };
#define OTHER_SHARE 0.25
/* Beside so many whole baits, what is as large as they, within this factor, and has so few pixels at the frame's edge, of
 * its radius, is a bait of which an end or a claw is not in the photo. */
enum { WHOLE_LEAST = 3 };
#define CUT_SIZE 3.0
#define CUT_EDGE 2.6f
enum { OUTSIDE = 3, RING = 8, ANGLES = 45, SIDE_SAMPLE = 600 };

static bool owned(const dw__things *things, const dw__thing *t, size_t i) {
  return things->label[i] && things->owner[things->label[i]] == t->body;
}

/* ---- under the card --------------------------------------------------------------------------------------
 */

/* Whether a place lies in the card: its four corner patches' centers, a patch wider all around. */
static bool in_card(const dw_homography *to_grid, double x, double y) {
  double u, v;
  dw_homography_at(to_grid, x, y, &u, &v);
  return u > -.3 && u < 1.3 && v > -.4 && v < 1.4;
}

static bool under_card(const dw__view *view, const dw__things *things, const dw__thing *t,
                       const dw_homography *grid) {
  size_t in = 0, all = 0;
  for (int y = t->y0; y <= t->y1; y += 2)
    for (int x = t->x0; x <= t->x1; x += 2) {
      if (!owned(things, t, (size_t)(y * view->w + x))) continue;
      double px, py;
      dw__view_in_photo(view, x, y, &px, &py);
      in += in_card(grid, px, py);
      all++;
    }
  return 4 * in > all;
}

/* ---- a rectangle -----------------------------------------------------------------------------------------
 */

typedef struct box {
  double cos, sin, u0, u1, v0, v1;
} box;

static box box_at(const double (*xy)[2], size_t n, double angle) {
  box b = {cos(angle), sin(angle), INFINITY, -INFINITY, INFINITY, -INFINITY};
  for (size_t i = 0; i < n; i++) {
    double u = b.cos * xy[i][0] + b.sin * xy[i][1], v = -b.sin * xy[i][0] + b.cos * xy[i][1];
    b.u0 = u < b.u0 ? u : b.u0, b.u1 = u > b.u1 ? u : b.u1; /* fmin and fmax are calls */
    b.v0 = v < b.v0 ? v : b.v0, b.v1 = v > b.v1 ? v : b.v1;
  }
  return b;
}

/* Pixels of the outline, every step-th; only counted where xy is NULL. */
static size_t side_take(const dw__view *view, const dw__things *things, const dw__thing *t, size_t step,
                        double (*xy)[2]) {
  size_t n = 0, seen = 0;
  for (int y = t->y0; y <= t->y1; y++)
    for (int x = t->x0; x <= t->x1; x++) {
      size_t i = (size_t)(y * view->w + x);
      if (!owned(things, t, i) || things->depth[i] > 1.1f || seen++ % step) continue;
      if (xy && n < SIDE_SAMPLE) xy[n][0] = x, xy[n][1] = y;
      n++;
    }
  return n;
}

static bool rectangular(const dw__view *view, const dw__things *things, const dw__thing *t) {
  double xy[SIDE_SAMPLE][2], least = INFINITY, emptiest = 1;
  size_t step = 1 + side_take(view, things, t, 1, NULL) / SIDE_SAMPLE,
         n = side_take(view, things, t, step, xy);
  box best = {0};
  for (int a = 0; a < ANGLES && n; a++) {
    box b = box_at((const double(*)[2])xy, n, a * 1.5707963267948966 / ANGLES);
    double area = (b.u1 - b.u0) * (b.v1 - b.v0);
    if (area < least) least = area, best = b;
  }
  double side = .2 * fmin(best.u1 - best.u0, best.v1 - best.v0);
  for (int corner = 0; corner < 4; corner++) {
    double in = 0, all = 0, u0 = corner % 2 ? best.u1 - side : best.u0,
           v0 = corner / 2 ? best.v1 - side : best.v0;
    for (int k = 0; k < 64; k++) {
      double u = u0 + side * (k % 8 + .5) / 8, v = v0 + side * (k / 8 + .5) / 8;
      int x = (int)lround(best.cos * u - best.sin * v), y = (int)lround(best.sin * u + best.cos * v);
      all++;
      if (dw__view_holds(view, x, y)) in += owned(things, t, (size_t)(y * view->w + x));
    }
    emptiest = fmin(emptiest, in / all);
  }
  double wide = best.u1 - best.u0 + 1, high = best.v1 - best.v0 + 1,
         full = (double)(t->area + t->limbs) / (wide * high);
  return emptiest >= CORNER_FULL || (full >= CARD_FULL && fmax(wide, high) < CARD_LONG * fmin(wide, high));
}

/* ---- its outline and what is around ----------------------------------------------------------------------
 */

/* The median difference from the board of pixels between two depths; beyond FAR_MOST it counts no more. */
static float far_between(const dw__view *view, const dw__things *things, const dw__thing *t, float low,
                         float high, float *sample) {
  size_t n = 0, seen = 0, step = 1 + t->area / (4 * SIDE_SAMPLE);
  for (int y = t->y0; y <= t->y1; y++)
    for (int x = t->x0; x <= t->x1 && n < SIDE_SAMPLE; x++) {
      size_t i = (size_t)(y * view->w + x);
      if (things->label[i] != t->body || things->depth[i] < low || things->depth[i] >= high || seen++ % step)
        continue;
      sample[n++] = fminf(view->far[i], FAR_MOST);
    }
  return dw_median_f(sample, n);
}

/* Whether the pixel is no thing and the first one of this thing lies OUTSIDE pixels away. */
static bool outside_of(const dw__view *view, const dw__things *things, const dw__thing *t, int x, int y) {
  static const int way[4][2] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}};
  if (x < OUTSIDE || y < OUTSIDE || x + OUTSIDE >= view->w || y + OUTSIDE >= view->h) return false;
  if (view->on[y * view->w + x] == DW__ON_THING) return false;
  for (int k = 0; k < 4; k++) {
    const int dx = way[k][0], dy = way[k][1];
    if (!owned(things, t, (size_t)((y + OUTSIDE * dy) * view->w + x + OUTSIDE * dx))) continue;
    bool near = false;
    for (int r = 1; r < OUTSIDE; r++) near |= owned(things, t, (size_t)((y + r * dy) * view->w + x + r * dx));
    if (!near) return true;
  }
  return false;
}

/* The median difference from the board just outside; shadow has none. */
static float far_outside(const dw__view *view, const dw__things *things, const dw__thing *t, float *sample) {
  size_t n = 0, seen = 0, step = 1 + t->area / (8 * SIDE_SAMPLE);
  for (int y = t->y0 - OUTSIDE; y <= t->y1 + OUTSIDE; y++)
    for (int x = t->x0 - OUTSIDE; x <= t->x1 + OUTSIDE && n < SIDE_SAMPLE; x++) {
      if (!outside_of(view, things, t, x, y) || seen++ % step) continue;
      size_t i = (size_t)(y * view->w + x);
      sample[n++] = view->on[i] == DW__ON_SHADOW ? 0 : view->far[i];
    }
  return dw_median_f(sample, n);
}

static bool outline_clear(const dw__view *view, const dw__things *things, const dw__thing *t) {
  float sample[SIDE_SAMPLE];
  float near = far_between(view, things, t, 1.9f, 2.9f, sample);
  float deep = far_between(view, things, t, fmaxf(3.3f, .45f * t->radius), 1e9f, sample);
  return near >= SHARP_LEAST * deep && far_outside(view, things, t, sample) <= OUTSIDE_MOST * near;
}

static bool near_thing(const dw__view *view, const dw__things *things, const dw__thing *t, int x, int y) {
  for (int k = 0; k < 8; k++) {
    static const int way[8][2] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {-1, 1}, {1, -1}, {-1, -1}};
    int nx = x + RING * way[k][0] / 2, ny = y + RING * way[k][1] / 2;
    if (dw__view_holds(view, nx, ny) && owned(things, t, (size_t)(ny * view->w + nx))) return true;
  }
  return false;
}

/* Every second pixel of every second row is enough. */
static bool alone(const dw__view *view, const dw__things *things, const dw__thing *t) {
  double plain = 0, all = 0;
  for (int y = t->y0 - RING; y <= t->y1 + RING; y += 2)
    for (int x = t->x0 - RING; x <= t->x1 + RING; x += 2) {
      if (x < 0 || y < 0 || x >= view->w || y >= view->h) continue;
      size_t i = (size_t)(y * view->w + x);
      uint16_t owner = things->label[i] ? things->owner[things->label[i]] : 0;
      if (owner || !near_thing(view, things, t, x, y)) continue;
      all++;
      plain += view->on[i] != DW__ON_THING;
    }
  return all > 0 && plain >= ALONE_LEAST * all;
}

/* ---- all of it -------------------------------------------------------------------------------------------
 */

static bool colorless(const dw__view *view) {
  double sum = 0, n = 0;
  for (size_t i = 0, area = (size_t)view->w * (size_t)view->h; i < area; i += 7) {
    sum += (double)hypotf(view->lab[1][i], view->lab[2][i]);
    n++;
  }
  return sum / n < COLOR_LEAST / 4;
}

static bool large_enough(const dw__view *view, const dw__thing *t) {
  double frame = (double)view->w * (double)view->h;
  return (double)(t->area + t->limbs) >= AREA_LEAST * frame && t->radius >= RADIUS_LEAST;
}

static dw__fate fate_of(const dw__view *view, const dw__things *things, const dw__thing *t,
                        const dw_homography *card) {
  if (!large_enough(view, t)) return DW__SCRAP;
  if ((card && under_card(view, things, t, card)) || rectangular(view, things, t)) return DW__FLAT_SHEET;
  if (!outline_clear(view, things, t) || !alone(view, things, t)) return DW__OTHER_THING;
  return t->edge ? DW__BAIT_CUT : DW__BAIT_PERHAPS;
}

/* The median area of those of one fate; 0 where there are none. */
static double usual_area(const dw__things *things, dw__fate fate, double *area) {
  size_t n = 0;
  for (size_t i = 0; i < things->n; i++)
    if (things->thing[i].fate == fate) area[n++] = (double)things->thing[i].area;
  return n ? dw_median(area, n) : 0;
}

static size_t count_of(const dw__things *things, dw__fate fate, double area_least) {
  size_t n = 0;
  for (size_t i = 0; i < things->n; i++)
    n += things->thing[i].fate == fate && (double)things->thing[i].area >= area_least;
  return n;
}

/* From now on none of them is a bait. */
static void none_is(dw__things *things) {
  for (size_t i = 0; i < things->n; i++)
    if (things->thing[i].fate == DW__BAIT_PERHAPS) things->thing[i].fate = DW__OTHER_THING;
}

dw_status dw__things_judge(const dw__view *view, const dw_bait_rules *rules, dw__things *things,
                           dw_notes *notes, dw_error *err) {
  static const double unit[8] = {0, 0, 1, 0, 1, 1, 0, 1};
  dw_homography grid;
  bool card = rules->has_card && dw_homography_fit(rules->card.xy, unit, &grid, NULL) == DW_OK;
  double *area = dw_arena_take(view->arena, things->n + 1, sizeof *area);
  if (!area) return dw_fail_memory(err, "the baits' outlines");
  if (things->n && colorless(view)) {
    dw_note(notes, "The photo is black and white, so no layer's color can be read in it.");
    things->n = 0;
  }
  for (size_t i = 0; i < things->n; i++)
    things->thing[i].fate = fate_of(view, things, &things->thing[i], card ? &grid : NULL);
  double scrap = SCRAP_SHARE * usual_area(things, DW__BAIT_PERHAPS, area);
  for (size_t i = 0; i < things->n; i++)
    if (things->thing[i].fate == DW__BAIT_PERHAPS && (double)things->thing[i].area < scrap)
      things->thing[i].fate = DW__SCRAP;
  size_t perhaps = count_of(things, DW__BAIT_PERHAPS, 0);
  if (perhaps <= DW_BAITS_MAX) return DW_OK;
  dw_note(notes, "%zu separate things lie on the board, more than the %d baits that are read from one photo.",
          perhaps, DW_BAITS_MAX);
  none_is(things);
  return DW_OK;
}

/* What has grown together with something that is no bait is a part of that. */
static void groups_settle(dw__things *things) {
  for (size_t i = 0; i < things->n; i++)
    for (size_t k = 0; k < things->n && things->thing[i].touches; k++) {
      dw__thing *other = &things->thing[k];
      bool drags = things->thing[i].fate == DW__OTHER_THING || things->thing[i].edge;
      if (drags && other->group == things->thing[i].group && other->fate == DW__BAIT_PERHAPS)
        other->fate = DW__OTHER_THING;
    }
}

dw_status dw__things_cut_short(const dw__view *view, dw__things *things, dw_error *err) {
  double *area = dw_arena_take(view->arena, things->n + 1, sizeof *area);
  if (!area) return dw_fail_memory(err, "the baits' outlines");
  double usual = usual_area(things, DW__BAIT_PERHAPS, area);
  size_t baits = count_of(things, DW__BAIT_PERHAPS, 0), most = baits >= WHOLE_LEAST ? DW_BAITS_MAX : 0;
  for (size_t i = 0; i < things->n && baits < most; i++) {
    dw__thing *t = &things->thing[i];
    double size = (double)t->area / usual;
    if (t->fate != DW__BAIT_CUT || t->touches || size > CUT_SIZE || size < 1 / CUT_SIZE) continue;
    if ((float)t->edge > CUT_EDGE * t->radius) continue;
    t->fate = DW__BAIT_SHORT;
    baits++;
  }
  return DW_OK;
}

void dw__things_note(const dw__things *things, dw_notes *notes) {
  size_t cut = count_of(things, DW__BAIT_CUT, 0);
  if (cut)
    dw_note(notes, "%zu thing%s reach%s over the photo's edge and %s not read.", cut, cut == 1 ? "" : "s",
            cut == 1 ? "es" : "", cut == 1 ? "was" : "were");
}

dw_status dw__things_settle(const dw__view *view, dw__things *things, dw_notes *notes, dw_error *err) {
  double *area = dw_arena_take(view->arena, things->n + 1, sizeof *area);
  if (!area) return dw_fail_memory(err, "the baits' outlines");
  groups_settle(things);
  double least = OTHER_SHARE * usual_area(things, DW__BAIT_PERHAPS, area);
  size_t baits = count_of(things, DW__BAIT_PERHAPS, 0),
         others = count_of(things, DW__OTHER_THING, least) + count_of(things, DW__BAIT_CUT, least);
  if (!baits || (double)others <= fmax(OTHERS_SHARE * (double)baits, OTHERS_MOST)) return DW_OK;
  dw_note(notes,
          "More lies there that is no bait (%zu things) than what could be one (%zu): this is no board of "
          "baits; mark the layers.",
          others, baits);
  none_is(things);
  return DW_OK;
}
