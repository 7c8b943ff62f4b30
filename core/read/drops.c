/* What lies on the table is marked as baits are (core/bait); what is a drop by its form is put in a row. */
#include "read/drops.h"

#include "dropwise/numeric.h"
#include "read/drops_blob.h"
#include "read/strip_half.h"

#include <stdlib.h>
#include <string.h>

/* A pale film differs from the table by about this: what does is no part of it. */
#define PALE_LEAST 3.0
/* Of the photo's longer side: a drop is at least so wide, ... */
#define WIDTH_LEAST 0.02
/* ... and of the largest drop's area at least so large: what is smaller was spilled. */
#define AREA_LEAST 0.06
/* Neighbors of a row lie at least so far apart along it, of their distance. */
#define ROW_LEAST 0.5
/* The ring about a drop in which the table is looked at, of its reach. */
#define RING_FROM 1.15
#define RING_TO 1.7
/* From the card's middle, of its corner patches' distance: it ends well before. */
#define CARD_REACH 1.3

enum { RING_LEAST = 60 };
/* What a pixel of the view is, too: it was looked at, or the card covers it. */
enum { TAKEN = DW__ON_THING + 1 };

typedef struct place {
  double x, y, reach; /* to the farthest of its pixels; of the view */
} place;

typedef struct table {
  dw__view view;
  dw__blob_room room;
  uint32_t *pixel; /* as many as pixels */
  dw__drops *out;
  double area[DW__DROPS_MAX], other_area;
  place place[DW__DROPS_MAX];
} table;

static void to_linear(const float lab[3], double rgb[3]) {
  dw_linear_from_xyz(dw_xyz_from_lab((dw_lab){(double)lab[0], (double)lab[1], (double)lab[2]}), rgb);
}

/* The bare table's median in a ring about a place; as the search continues it where there is too little of it.  The
 * search's own surface may follow a pale drop. */
static void table_color(table *t, double x, double y, double inner, double outer, double rgb[3]) {
  const dw__view *view = &t->view;
  float lab[3];
  size_t n = 0;
  for (int k = 0; k < 3; k++) {
    n = 0;
    for (int py = (int)fmax(y - outer, 0); py < fmin(y + outer, view->h); py++)
      for (int px = (int)fmax(x - outer, 0); px < fmin(x + outer, view->w); px++) {
        double away = hypot(px - x, py - y);
        int at = py * view->w + px;
        if (away >= inner && away < outer && view->on[at] == DW__ON_BOARD)
          t->room.channel[n++] = view->lab[k][at];
      }
    if (n < RING_LEAST) break;
    lab[k] = dw_median_f(t->room.channel, n);
  }
  if (n < RING_LEAST)
    dw__view_board(view, (int)fmin(fmax(x, 0), view->w - 1), (int)fmin(fmax(y, 0), view->h - 1), lab);
  to_linear(lab, rgb);
}

static double reach_of(const table *t, const dw__blob *b, double x, double y) {
  double most = 0;
  for (size_t i = 0; i < b->n; i++)
    most = fmax(most, hypot((double)(b->pixel[i] % (uint32_t)t->view.w) - x,
                            (double)(b->pixel[i] / (uint32_t)t->view.w) - y));
  return most;
}

static void other_take(table *t, const dw__blob *b, const char *why) {
  t->out->others++;
  if ((double)b->n <= t->other_area) return;
  t->other_area = (double)b->n;
  dw_copy_text(t->out->other, sizeof t->out->other, why);
}

static bool large(const table *t, const dw__blob *b) {
  double least = WIDTH_LEAST * (t->view.w > t->view.h ? t->view.w : t->view.h);
  return (double)b->n >= least * least * .7853981633974483;
}

static void drop_take(table *t, const dw__blob *b) {
  dw__drops *out = t->out;
  if (out->n == DW__DROPS_MAX) {
    other_take(t, b, "is one of too many");
    return;
  }
  dw__circle c = dw__blob_circle(&t->room, b);
  t->place[out->n] = (place){c.x, c.y, reach_of(t, b, c.x, c.y)};
  t->area[out->n] = (double)b->n;
  dw__drop *drop = &out->drop[out->n++];
  dw__view_in_photo(&t->view, c.x, c.y, &drop->x, &drop->y);
  drop->radius = c.radius * t->view.unit;
}

static const char *why_no_drop(const table *t, const dw__blob *b) {
  dw__circle c = dw__blob_circle(&t->room, b);
  return dw__blob_no_drop(&t->room, b, &c);
}

/* Drops that touch, each of which is one; else one drop; else something else. */
static void thing_judge(table *t, dw__blob *whole) {
  dw__blob piece[DW__PIECES_MAX];
  const char *why = NULL;
  if (!large(t, whole)) return;
  int n = dw__blob_part(&t->room, whole, piece);
  for (int i = 0; i < n && !why; i++)
    if (n == 1 || large(t, &piece[i])) why = why_no_drop(t, &piece[i]);
  if (why && n > 1 && !why_no_drop(t, whole)) why = NULL, n = 1, piece[0] = *whole;
  if (why) other_take(t, whole, why);
  for (int i = 0; i < n && !why; i++)
    if (large(t, &piece[i])) drop_take(t, &piece[i]);
}

/* ---- all of them -------------------------------------------------------------------------------------------------- */

/* The thing's pixels from one on, taken off the view; *cut: it reaches the photo's edge. */
static size_t thing_take(table *t, size_t begin, bool *cut) {
  dw__view *view = &t->view;
  size_t n = 0;
  t->pixel[n++] = (uint32_t)begin;
  view->on[begin] = TAKEN;
  *cut = false;
  for (size_t head = 0; head < n; head++) {
    int x = (int)t->pixel[head] % view->w, y = (int)t->pixel[head] / view->w;
    static const int way[4][2] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}};
    for (int k = 0; k < 4; k++) {
      int nx = x + way[k][0], ny = y + way[k][1];
      if (nx < 0 || ny < 0 || nx >= view->w || ny >= view->h) {
        *cut = true;
        continue;
      }
      size_t next = (size_t)ny * (size_t)view->w + (size_t)nx;
      if (view->on[next] != DW__ON_THING) continue;
      view->on[next] = TAKEN;
      t->pixel[n++] = (uint32_t)next;
    }
  }
  return n;
}

static void card_leave(dw__view *view, const dw_corners *card) {
  for (int y = 0; y < view->h; y++)
    for (int x = 0; x < view->w; x++) {
      double px, py;
      dw__view_in_photo(view, x, y, &px, &py);
      if (dw__card_covers(card, px, py)) view->on[y * view->w + x] = TAKEN;
    }
}

/* What was spilled beside the drops is none. */
static void small_leave(table *t) {
  double most = 0;
  size_t n = 0;
  for (size_t i = 0; i < t->out->n; i++) most = fmax(most, t->area[i]);
  for (size_t i = 0; i < t->out->n; i++) {
    if (t->area[i] < AREA_LEAST * most) continue;
    t->area[n] = t->area[i];
    t->place[n] = t->place[i];
    t->out->drop[n++] = t->out->drop[i];
  }
  t->out->n = n;
  if (n && t->other_area < AREA_LEAST * most) t->out->others = 0;
}

static int by_x(const void *a, const void *b) {
  const dw__drop *p = a, *q = b;
  return (p->x > q->x) - (p->x < q->x);
}

static int by_y(const void *a, const void *b) {
  const dw__drop *p = a, *q = b;
  return (p->y > q->y) - (p->y < q->y);
}

static void row_order(dw__drops *out) {
  double low[2] = {INFINITY, INFINITY}, high[2] = {-INFINITY, -INFINITY};
  for (size_t i = 0; i < out->n; i++) {
    const double at[2] = {out->drop[i].x, out->drop[i].y};
    for (int k = 0; k < 2; k++) low[k] = fmin(low[k], at[k]), high[k] = fmax(high[k], at[k]);
  }
  bool beside = high[0] - low[0] >= high[1] - low[1];
  qsort(out->drop, out->n, sizeof *out->drop, beside ? by_x : by_y);
  out->in_row = true;
  for (size_t i = 0; i + 1 < out->n; i++) {
    double dx = out->drop[i + 1].x - out->drop[i].x, dy = out->drop[i + 1].y - out->drop[i].y;
    if ((beside ? dx : dy) < ROW_LEAST * hypot(dx, dy)) out->in_row = false;
  }
}

static void tables_look(table *t, const dw_corners *card) {
  const dw__view *view = &t->view;
  double x = view->w / 2.0, y = view->h / 2.0, reach = (view->w + view->h) / 40.0, cx, cy;
  if (card) {
    dw_corners_middle(card, &x, &y);
    dw__photo_in_view(view, x, y, &x, &y);
    dw__photo_in_view(view, card->xy[0], card->xy[1], &cx, &cy);
    reach = CARD_REACH * hypot(cx - x, cy - y);
  }
  table_color(t, x, y, card ? reach : 0, RING_TO * reach, t->out->card_table);
  for (size_t i = 0; i < t->out->n; i++) {
    const place *p = &t->place[i];
    table_color(t, p->x, p->y, RING_FROM * p->reach, RING_TO * p->reach + 4, t->out->drop[i].table);
  }
}

static dw_status things_part(table *t, const dw_corners *card, dw_error *err) {
  dw_status status = dw__things_mark(&t->view, err);
  t->pixel = dw_arena_take(t->view.arena, (size_t)t->view.w * (size_t)t->view.h, sizeof *t->pixel);
  if (status == DW_OK && !t->pixel) status = dw_fail_memory(err, "the drops");
  if (status == DW_OK) status = dw__blob_room_take(&t->view, &t->room, err);
  if (status != DW_OK) return status;
  if (card) card_leave(&t->view, card);
  size_t n = (size_t)t->view.w * (size_t)t->view.h;
  for (size_t i = 0; i < n; i++) {
    bool cut;
    if (t->view.on[i] != DW__ON_THING) continue;
    dw__blob whole = {.pixel = t->pixel, .n = thing_take(t, i, &cut)};
    if (!cut) thing_judge(t, &whole);
  }
  small_leave(t);
  tables_look(t, card);
  row_order(t->out);
  return DW_OK;
}

dw_status dw__drops_find(const dw_preview *view, const dw_corners *card, dw__drops *out, dw_error *err) {
  double share;
  dw_lab unused;
  dw__drops found = {0};
  table t = {.out = &found};
  dw_arena *own = dw_arena_new(0);
  dw_status status = own ? dw__view_of_preview(view, own, &t.view, err) : dw_fail_memory(err, "the drops");
  t.view.beyond = PALE_LEAST;
  if (status == DW_OK) status = dw__board_fit(&t.view, &share, &unused, err);
  found.table = status == DW_OK && share > 0;
  if (found.table) status = things_part(&t, card, err);
  dw_arena_free(own);
  if (status == DW_OK) *out = found;
  return status;
}
