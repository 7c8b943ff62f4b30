#include "layout.h"

#include <math.h>
#include <string.h>

static void spots_of(const body *b, double gap, bool free_there, layout *l, bool *clear) {
  double reach = b->length * .9 + 40;
  for (int y = (int)fmax(b->y - reach, 0); y < fmin(b->y + reach, l->h); y++)
    for (int x = (int)fmax(b->x - reach, 0); x < fmin(b->x + reach, l->w); x++) {
      if (body_at(b, x + .5, y + .5).inside < -gap) continue;
      bool edge = x < 14 || y < 14 || x >= l->w - 14 || y >= l->h - 14;
      if (free_there && (edge || l->taken[y][x])) {
        *clear = false;
        return;
      }
      if (!free_there) l->taken[y][x] = 1;
    }
}

bool layout_put(body *b, layout *l, chance *dice) {
  for (int attempt = 0; attempt < 60; attempt++) {
    bool clear = true;
    b->x = between(dice, 15, l->w - 15);
    b->y = between(dice, 15, l->h - 15);
    spots_of(b, 3.5, true, l, &clear);
    if (!clear) continue;
    spots_of(b, 0, false, l, &clear);
    return true;
  }
  return false;
}

bool layout_beside(const body *first, body *b, layout *l, chance *dice) {
  bool clear = true, side = chance_unit(dice) < .5;
  b->angle = first->angle + (side ? 0 : between(dice, -.5, .5));
  double gap = side ? 0 : .1 * b->length;
  body_place(first, side ? first->length * .5 : first->length + b->length * .5 - gap * .1,
             side ? first->half[4] + b->half[4] - .4 : 0, &b->x, &b->y);
  spots_of(b, -1.5, true, l, &clear);
  if (clear) spots_of(b, 0, false, l, &clear);
  return clear;
}

void layout_borders(body *b, chance *dice) {
  double least = b->layers == 4 ? .14 : .16, sum = 0, share[LAYERS_MAX], at = 0;
  for (int k = 0; k < b->layers; k++) sum += share[k] = between(dice, .5, 1.3);
  for (int k = 0; k + 1 < b->layers; k++) {
    at += least + (1 - least * b->layers) * share[k] / sum;
    b->border[k] = at;
  }
}

void layout_card(board *b, layout *l, double low, double high, chance *dice) {
  double pitch = between(dice, low, high);
  b->has_card = true;
  memcpy(b->card,
         (double[4]){between(dice, 4.2 * pitch, l->w - 4.2 * pitch), 3.6 * pitch + 3,
                     between(dice, -.25, .25), pitch},
         sizeof b->card);
  if (chance_unit(dice) < .5) b->card[1] = l->h - b->card[1];
  for (int y = 0; y < l->h; y++)
    for (int x = 0; x < l->w; x++)
      if (hypot(x - b->card[0], y - b->card[1]) < 4.6 * pitch) l->taken[y][x] = 1;
}

void layout_bars(board *b, layout *l, chance *dice) {
  for (int i = 0; i < b->n && b->bars < BARS_MAX; i++) {
    if (chance_unit(dice) > .25) continue;
    const body *p = &b->bait[i];
    bar *r = &b->bar[b->bars];
    body_place(p, 2, 0, &r->x0, &r->y0);
    body_place(p, -between(dice, 8, 16), between(dice, -4, 4), &r->x1, &r->y1);
    if (r->x1 < 3 || r->y1 < 3 || r->x1 > l->w - 3 || r->y1 > l->h - 3) continue;
    int x = (int)r->x1, y = (int)r->y1;
    if (l->taken[y][x]) continue;
    r->radius = between(dice, 1.4, 2.6);
    r->of = p->layer[0];
    b->bars++;
  }
}
