/* Bottles that cups hold though the shelf has them no longer. */
#include "dropwise/batch.h"

#include <stdlib.h>
#include <string.h>

/* As the book has it, else the starter shelf, else by its name alone. */
static dw_bottle bottle_of(const char *slug, const dw_book_bottle *kept, size_t n, const dw_shelf *starter) {
  int at = dw_shelf_find(starter, slug);
  dw_bottle bottle = at < 0 ? dw_bottle_blank(slug, slug, DW_ROLE_COLOR)
                            : dw_bottle_blank(slug, starter->bottle[at].title, starter->bottle[at].role);
  for (size_t i = 0; i < n; i++) {
    if (strcmp(kept[i].slug, slug) != 0) continue;
    bottle = dw_bottle_blank(slug, kept[i].title, kept[i].role);
    bottle.drop_ml = kept[i].drop_ml;
  }
  return bottle;
}

/* What the book and the starter shelf know of bottles. */
typedef struct known {
  dw_book_bottle *kept;
  size_t n;
  dw_shelf *starter;
} known;

static dw_status hold_cup(dw_book *book, int64_t batch, int64_t layer, const known *of, dw_shelf *shelf,
                          dw_error *err) {
  dw_book_cup cup;
  dw_book_addition *list = NULL;
  size_t n = 0;
  dw_status status = dw_book_cup_contents(book, batch, layer, &cup, &list, &n, err);
  for (size_t i = 0; i < n && status == DW_OK; i++)
    if (list[i].slug[0] && dw_shelf_find(shelf, list[i].slug) < 0 && shelf->n < DW_SHELF_MAX)
      shelf->bottle[shelf->n++] = bottle_of(list[i].slug, of->kept, of->n, of->starter);
  free(list);
  return status;
}

dw_status dw_shelf_hold(dw_book *book, const dw_pattern *pattern, int64_t batch, dw_shelf *shelf,
                        dw_error *err) {
  known of = {0};
  dw_status status = dw_book_bottle_list(book, true, &of.kept, &of.n, err);
  if (status == DW_OK) status = dw_shelf_starter(&of.starter, err);
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++)
    status = hold_cup(book, batch, pattern->layer[i].id, &of, shelf, err);
  dw_shelf_free(of.starter);
  free(of.kept);
  return status;
}
