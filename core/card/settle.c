/* Corners pointed at by hand, laid on the patches that are there. */
#include "card/find.h"

enum { WAYS_ROUND = 8 }; /* from each corner, either way round */

static void in_picture(const dw_preview *view, const dw_corners *from, dw_corners *out) {
  for (int c = 0; c < 8; c++) out->xy[c] = (from->xy[c] + 0.5) * view->scale - 0.5;
}

/* Way 0 is the order as it is. */
static dw_corners going_round(const dw_corners *corners, size_t way) {
  dw_corners out;
  for (size_t i = 0; i < 4; i++) {
    size_t from = way < 4 ? (i + way) % 4 : (4 + way - i) % 4;
    out.xy[2 * i] = corners->xy[2 * from];
    out.xy[2 * i + 1] = corners->xy[2 * from + 1];
  }
  return out;
}

/* What can't be laid or is not believed is only another way that does not fit. */
static dw_status try_ways(const dw_preview *view, const dw__flats *flats, const dw_card *card,
                          const dw_corners *corners, dw_corners *out, bool *settled, dw_error *err) {
  for (size_t way = 0; way < WAYS_ROUND && !*settled; way++) {
    dw_error why;
    dw__laying laying = {.corners = going_round(corners, way)};
    dw_status status = dw__laying_refine(flats, card, &laying, &why);
    if (status == DW_OK) status = dw__laying_judge(view, card, &laying.corners, &why);
    if (status == DW_NO_MEMORY) {
      if (err) *err = why;
      return status;
    }
    if (status != DW_OK) continue;
    *out = laying.corners;
    *settled = true;
  }
  return DW_OK;
}

dw_status dw_card_settle(dw_photo *photo, const dw_card *card, dw_corners *corners, bool *settled,
                         dw_error *err) {
  dw_preview view;
  dw__flats flats = {0};
  dw_corners pointed, laid;
  dw_arena *arena = dw_arena_new(0);
  *settled = false;
  dw_status status = arena ? dw__find_view(photo, arena, &view, err) : dw_fail_memory(err, "the card");
  if (status == DW_OK) status = dw__flats_find(&view, card->rows * card->cols, &flats, err);
  if (status == DW_OK) {
    in_picture(&view, corners, &pointed);
    status = try_ways(&view, &flats, card, &pointed, &laid, settled, err);
  }
  if (status == DW_OK && *settled) dw__corners_to_photo(&view, &laid, corners);
  dw__flats_free(&flats);
  dw_arena_free(arena);
  return status;
}
