/* Chips by the photo that they came from: what it made known, and how that goes again. */
#include "book/bottles.h"
#include "book/sql.h"

#include <stdlib.h>

/* Bottles of the photo's chips, and of no other chip. */
#define BOTTLES_OF_PHOTO                                                                                     \
  "SELECT b.slug FROM bottle b WHERE b.removed IS NULL AND EXISTS (SELECT 1 FROM lot"                        \
  " JOIN chip_part p ON p.lot = lot.id JOIN chip c ON c.id = p.chip JOIN photo ON photo.id = c.photo"        \
  " WHERE lot.bottle = b.id AND photo.sha256 = ?1) AND NOT EXISTS (SELECT 1 FROM lot"                        \
  " JOIN chip_part p ON p.lot = lot.id JOIN chip c ON c.id = p.chip LEFT JOIN photo ON photo.id = c.photo"   \
  " WHERE lot.bottle = b.id AND photo.sha256 IS NOT ?1) ORDER BY b.slug"

static dw_status slug_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw__query_copy(query, 0, element, DW_ID_ROOM);
  return DW_OK;
}

dw_status dw_chips_photo_bottles(dw_book *book, const char *sha256, char (**slug)[DW_ID_ROOM], size_t *n,
                                 dw_error *err) {
  *slug = NULL;
  *n = 0;
  return dw__book_list(book, DW_ID_ROOM, slug_from_row, slug, n, err, BOTTLES_OF_PHOTO, "t", sha256);
}

dw_status dw__fits_forget(dw_book *book, dw_error *err) {
  static const char needed[] =
      "SELECT EXISTS (SELECT 1 FROM chip_part) OR EXISTS (SELECT 1 FROM addition a JOIN lot ON lot.id = a.lot"
      " JOIN fit_bottle f ON f.bottle = lot.bottle)";
  int64_t is_needed = 0;
  dw_status status = dw__book_integer(book, &is_needed, "", err, needed, "");
  if (status != DW_OK || is_needed) return status;
  status = dw__book_run(book, NULL, err, "DELETE FROM strength WHERE fit IS NOT NULL", "");
  return status == DW_OK ? dw__book_run(book, NULL, err, "DELETE FROM fit", "") : status;
}

static dw_status forget_bottle(dw_book *book, const char *slug, dw_error *err) {
  static const char held[] = "SELECT EXISTS (SELECT 1 FROM addition a JOIN lot ON lot.id = a.lot"
                             " JOIN bottle b ON b.id = lot.bottle WHERE b.slug = ?)";
  int64_t is_held = 0;
  dw_status status = dw__book_integer(book, &is_held, "", err, held, "t", slug);
  return status == DW_OK && !is_held ? dw_book_bottle_remove(book, slug, err) : status;
}

dw_status dw_chips_forget_photo(dw_book *book, const char *sha256, size_t *left, dw_error *err) {
  char(*slug)[DW_ID_ROOM];
  size_t n;
  int64_t rest = 0;
  dw_status status = dw_chips_photo_bottles(book, sha256, &slug, &n, err);
  if (status == DW_OK)
    status = dw__book_change(book, "No chips of that photo are in the book.", err,
                             "DELETE FROM chip WHERE photo = (SELECT id FROM photo WHERE sha256 = ?)", "t",
                             sha256);
  if (status == DW_OK) status = dw__book_integer(book, &rest, "", err, "SELECT count(*) FROM chip", "");
  if (status == DW_OK) dw__tell(book, DW_ENTRY_CHIP, 0, 0, "", "a photo's chips and bottles taken away");
  if (status == DW_OK) status = dw__fits_forget(book, err);
  for (size_t i = 0; i < n && status == DW_OK; i++) status = forget_bottle(book, slug[i], err);
  free(slug);
  *left = (size_t)rest;
  return status;
}
