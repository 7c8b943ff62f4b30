/* Lines printed on a board, as on a cutting mat: thin, and running over the photo's edge.  They join all that lies
 * there, and the squares between them look like holes of one thing; so they are taken away before. */
#include "bait/view.h"

#include <string.h>

/* So many places of the photo's edge that are crossed by something no broader than LINE_MOST view pixels make it a
 * lined board; what is thinner than THICK everywhere is a line. */
#define LINES_SHARE 0.03  /* of the photo, at least */
#define LINES_OF_ALL 0.25 /* of what lies on the board */
enum { CROSSINGS_LEAST = 10, LINE_MOST = 6, THICK = 7 };

typedef struct crossings {
  size_t thin, broad;
  int run;
} crossings;

static void edge_step(crossings *c, uint8_t on) {
  if (on) {
    c->run++;
  } else if (c->run) {
    *(c->run <= LINE_MOST ? &c->thin : &c->broad) += 1;
    c->run = 0;
  }
}

/* Whether lines cross the photo's edge, and hardly anything else does. */
static bool is_lined(const dw__view *view) {
  crossings c = {0};
  int w = view->w, h = view->h;
  for (int side = 0; side < 2; side++) {
    for (int x = 0; x < w; x++) edge_step(&c, view->on[(side ? h - 1 : 0) * w + x] == DW__ON_THING);
    edge_step(&c, 0);
    for (int y = 0; y < h; y++) edge_step(&c, view->on[y * w + (side ? w - 1 : 0)] == DW__ON_THING);
    edge_step(&c, 0);
  }
  return c.thin >= CROSSINGS_LEAST && 4 * c.broad <= c.thin;
}

/* Along lines of n pixels: keeps runs of at least THICK. */
static void runs_keep(uint8_t *mask, int lines, int n, size_t next_line, size_t next) {
  for (int line = 0; line < lines; line++) {
    uint8_t *at = mask + (size_t)line * next_line;
    for (int i = 0; i < n;) {
      int from = i;
      while (i < n && at[(size_t)i * next]) i++;
      for (int k = from; k < i && i - from < THICK; k++) at[(size_t)k * next] = 0;
      i = i == from ? i + 1 : i;
    }
  }
}

void dw__lines_leave(dw__view *view, uint8_t *spare) {
  size_t n = (size_t)view->w * (size_t)view->h;
  if (!is_lined(view)) return;
  for (size_t i = 0; i < n; i++) spare[i] = view->on[i] == DW__ON_THING;
  for (int pass = 0; pass < 2; pass++) { /* a line's crossings are left by the first */
    runs_keep(spare, view->h, view->w, (size_t)view->w, 1);
    runs_keep(spare, view->w, view->h, 1, (size_t)view->w);
  }
  double kept = 0, all = 0;
  for (size_t i = 0; i < n; i++) kept += spare[i], all += view->on[i] == DW__ON_THING;
  if (all - kept < LINES_SHARE * (double)n || all - kept < LINES_OF_ALL * all) return;
  for (size_t i = 0; i < n; i++)
    if (!spare[i]) view->on[i] = DW__ON_BOARD;
}
