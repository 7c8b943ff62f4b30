/* The card in a photo that nobody marked: flat spots, lattices of them, the card laid on each, the best
 * layings judged by the fit of their light. */
#include "card/find.h"

#include <stdlib.h>
#include <string.h>

typedef struct search {
  const dw_preview *view;
  const dw_card *card;
  dw__layings best;
} search;

static dw_status lattice_take(void *ctx, const dw__lattice *lattice, dw_error *err) {
  (void)err;
  search *s = ctx;
  dw__card_lay(s->view, s->card, lattice, &s->best);
  return DW_OK;
}

void dw__corners_to_photo(const dw_preview *view, const dw_corners *from, dw_corners *out) {
  for (int c = 0; c < 8; c++) out->xy[c] = (from->xy[c] + 0.5) / view->scale - 0.5;
}

static dw_status laying_refuse(const char *name, const dw__laying *laying, const char *why, dw_error *err) {
  const double *xy = laying->corners.xy;
  return dw_fail(err, DW_REFUSED,
                 "%s shows something like the card around %.0f,%.0f that is not believed: %s "
                 "Mark its corners with --card if it is the card.",
                 name, (xy[0] + xy[4]) / 2.0, (xy[1] + xy[5]) / 2.0, why);
}

/* Judges one laying; out in photo pixels. */
static dw_status laying_accept(const search *s, const char *name, const dw__laying *laying, dw_corners *out,
                               dw_error *err) {
  dw__laying in_photo = *laying;
  dw_error why;
  dw__corners_to_photo(s->view, &laying->corners, &in_photo.corners);
  if (laying->mirrored) return laying_refuse(name, &in_photo, "It is mirrored.", err);
  if (laying->cut) return laying_refuse(name, &in_photo, "It is cut off by the photo's edge.", err);
  dw_status status = dw__laying_judge(s->view, s->card, &laying->corners, &why);
  if (status == DW_REFUSED || status == DW_BAD_INPUT) return laying_refuse(name, &in_photo, why.text, err);
  if (status != DW_OK) {
    if (err != NULL) *err = why;
    return status;
  }
  *out = in_photo.corners;
  return DW_OK;
}

/* The best laying that is believed; the best one's fault where none is. */
static dw_status search_settle(const search *s, const char *name, dw_corners *out, dw_error *err) {
  dw_status first = DW_OK;
  if (s->best.n == 0)
    return dw_fail(err, DW_NOT_FOUND,
                   "No card was found in %s: mark its corners with --card, or photograph it whole, from "
                   "above, larger and without glare.",
                   name);
  for (size_t i = 0; i < s->best.n; i++) {
    dw_status status = laying_accept(s, name, &s->best.laying[i], out, i == 0 ? err : NULL);
    if (status != DW_REFUSED) return status;
    first = status;
  }
  return first;
}

dw_status dw_card_find_in(const dw_preview *view, const char *name, const dw_card *card, dw_corners *out,
                          dw_error *err) {
  dw__flats flats;
  const dw__lattice_size size = dw__card_lattice(card);
  search *s = calloc(1, sizeof *s);
  if (s == NULL) return dw_fail_memory(err, "the search for a card");
  s->view = view;
  s->card = card;
  dw_status status = dw__flats_find(view, card->rows * card->cols, &flats, err);
  if (status == DW_OK) status = dw__lattices_visit(&flats, &size, lattice_take, s, err);
  for (size_t i = 0; i < s->best.n && status == DW_OK; i++)
    status = dw__laying_refine(&flats, card, &s->best.laying[i], err);
  if (status == DW_OK) status = search_settle(s, name, out, err);
  dw__flats_free(&flats);
  free(s);
  return status;
}

int dw_card_find_side(int width, int height) {
  int side = width > height ? width : height;
  while (side >= DW_CARD_FIND_SIDE) side /= 2;
  return side;
}

dw_status dw__find_view(dw_photo *photo, dw_arena *arena, dw_preview *out, dw_error *err) {
  const dw_photo_info *info = dw_photo_info_get(photo);
  return dw_photo_preview(photo, dw_card_find_side(info->width, info->height), arena, out, err);
}

dw_status dw_card_find(dw_photo *photo, const dw_card *card, dw_corners *out, dw_error *err) {
  dw_preview view;
  dw_arena *arena = dw_arena_new(0);
  dw_status status =
      arena == NULL ? dw_fail_memory(err, "the search for a card") : dw__find_view(photo, arena, &view, err);
  if (status == DW_OK) status = dw_card_find_in(&view, dw_photo_path(photo), card, out, err);
  dw_arena_free(arena);
  return status;
}
