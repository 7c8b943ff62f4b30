/* Bottles that cups hold though the shelf has them no longer. */
#include "dropwise/batch.h"

#include <stdlib.h>
#include <string.h>

bool dw_cups_lack(const json_t *cups, const dw_shelf *shelf) {
  size_t i;
  json_t *cup, *drops;
  const char *slug;
  json_array_foreach(cups, i, cup) json_object_foreach(json_object_get(cup, "drops"), slug,
                                                       drops) if (dw_shelf_find(shelf, slug) < 0) return true;
  return false;
}

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

static void hold_cup(const json_t *cup, const dw_book_bottle *kept, size_t n, const dw_shelf *starter,
                     dw_shelf *shelf) {
  json_t *drops;
  const char *slug;
  json_object_foreach(json_object_get(cup, "drops"), slug, drops) {
    if (dw_shelf_find(shelf, slug) < 0 && shelf->n < DW_SHELF_MAX)
      shelf->bottle[shelf->n++] = bottle_of(slug, kept, n, starter);
  }
}

dw_status dw_shelf_hold(dw_book *book, const json_t *cups, dw_shelf *shelf, dw_error *err) {
  dw_book_bottle *kept = NULL;
  dw_shelf *starter = NULL;
  size_t n = 0, i;
  json_t *cup;
  dw_status status = dw_book_bottle_list(book, true, &kept, &n, err);
  if (status == DW_OK) status = dw_shelf_starter(&starter, err);
  json_array_foreach(cups, i, cup) if (status == DW_OK) hold_cup(cup, kept, n, starter, shelf);
  dw_shelf_free(starter);
  free(kept);
  return status;
}
