#include "app/held.h"

#include <stdlib.h>
#include <string.h>

bool pt__cups_lack(const json_t *cups, const pt_shelf *shelf) {
  size_t i;
  json_t *cup, *drops;
  const char *slug;
  json_array_foreach(cups, i, cup) json_object_foreach(json_object_get(cup, "drops"), slug,
                                                       drops) if (pt_shelf_find(shelf, slug) < 0) return true;
  return false;
}

/* As the book has it, else the starter shelf, else by its name alone. */
static pt_bottle bottle_of(const char *slug, const pt_book_bottle *kept, size_t n, const pt_shelf *starter) {
  int at = pt_shelf_find(starter, slug);
  pt_bottle bottle = at < 0 ? pt_bottle_blank(slug, slug, PT_ROLE_COLOR)
                            : pt_bottle_blank(slug, starter->bottle[at].title, starter->bottle[at].role);
  for (size_t i = 0; i < n; i++) {
    if (strcmp(kept[i].slug, slug) != 0) continue;
    bottle = pt_bottle_blank(slug, kept[i].title, kept[i].role);
    bottle.drop_ml = kept[i].drop_ml;
  }
  return bottle;
}

static void hold_cup(const json_t *cup, const pt_book_bottle *kept, size_t n, const pt_shelf *starter,
                     pt_shelf *shelf) {
  json_t *drops;
  const char *slug;
  json_object_foreach(json_object_get(cup, "drops"), slug, drops) {
    if (pt_shelf_find(shelf, slug) < 0 && shelf->n < PT_SHELF_MAX)
      shelf->bottle[shelf->n++] = bottle_of(slug, kept, n, starter);
  }
}

pt_status pt__shelf_hold(pt_book *book, const json_t *cups, pt_shelf *shelf, pt_error *err) {
  pt_book_bottle *kept = NULL;
  pt_shelf *starter = NULL;
  size_t n = 0, i;
  json_t *cup;
  pt_status status = pt_book_bottle_list(book, true, &kept, &n, err);
  if (status == PT_OK) status = pt_shelf_starter(&starter, err);
  json_array_foreach(cups, i, cup) if (status == PT_OK) hold_cup(cup, kept, n, starter, shelf);
  pt_shelf_free(starter);
  free(kept);
  return status;
}
