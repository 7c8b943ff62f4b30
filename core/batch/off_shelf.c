/* Bottles that cups hold though the shelf has them no longer. */
#include "dropwise/batch.h"

#include <stdlib.h>
#include <string.h>

/* As the book has it, which has every bottle that was ever in a cup. */
static void add_blank(const char *slug, const dw_book_bottle *kept, size_t n, dw_shelf *shelf) {
  for (size_t i = 0; i < n; i++) {
    if (strcmp(kept[i].slug, slug) != 0) continue;
    dw_bottle *bottle = &shelf->bottle[shelf->n++];
    *bottle = dw_bottle_blank(slug, kept[i].title, kept[i].role);
    bottle->drop_ml = kept[i].drop_ml;
    return;
  }
}

static dw_status add_of_cup(dw_book *book, int64_t batch, int64_t layer, const dw_book_bottle *kept,
                            size_t n_kept, dw_shelf *shelf, dw_error *err) {
  dw_book_cup cup;
  dw_book_addition *list = NULL;
  size_t n = 0;
  dw_status status = dw_book_cup_contents(book, batch, layer, &cup, &list, &n, err);
  for (size_t i = 0; i < n && status == DW_OK; i++)
    if (list[i].slug[0] && dw_shelf_find(shelf, list[i].slug) < 0 && shelf->n < DW_SHELF_MAX)
      add_blank(list[i].slug, kept, n_kept, shelf);
  free(list);
  return status;
}

dw_status dw_shelf_add_blanks(dw_book *book, const dw_pattern *pattern, int64_t batch, dw_shelf *shelf,
                              dw_error *err) {
  dw_book_bottle *kept = NULL;
  size_t n = 0;
  dw_status status = dw_book_bottle_list(book, true, &kept, &n, err);
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++)
    status = add_of_cup(book, batch, pattern->layer[i].id, kept, n, shelf, err);
  free(kept);
  return status;
}
