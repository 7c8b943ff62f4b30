/* Source: EXIF 2.32 (CIPA DC-008), tag 0x0112: the value names where the stored row 0 and column 0 lie. */
#include "photo/orient.h"

/* Stored to oriented: exchange x and y, then mirror. */
static const struct {
  bool swap, mirror_x, mirror_y;
} turns[9] = {
    {false, false, false}, {false, false, false}, {false, true, false},
    {false, true, true},   {false, false, true},  {true, false, false},
    {true, true, false},   {true, true, true},    {true, false, true},
};

bool dw__orient_swaps(int orientation) {
  return turns[orientation].swap;
}

dw_rect dw__orient_to_stored(int orientation, int width, int height, dw_rect r) {
  bool swap = turns[orientation].swap;
  int oriented_width = swap ? height : width, oriented_height = swap ? width : height;
  if (turns[orientation].mirror_x) r.x = oriented_width - r.x - r.w;
  if (turns[orientation].mirror_y) r.y = oriented_height - r.y - r.h;
  return swap ? (dw_rect){r.y, r.x, r.h, r.w} : r;
}

dw__places dw__orient_places(int orientation, int w, int h) {
  bool swap = turns[orientation].swap;
  ptrdiff_t wide = swap ? h : w, high = swap ? w : h;
  ptrdiff_t right = 1, down = wide;
  dw__places p = {0, 0, 0};
  if (turns[orientation].mirror_x) {
    p.first += wide - 1;
    right = -1;
  }
  if (turns[orientation].mirror_y) {
    p.first += (high - 1) * wide;
    down = -wide;
  }
  p.step_x = swap ? down : right;
  p.step_y = swap ? right : down;
  return p;
}
