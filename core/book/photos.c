/* Photos by hash, and how they were read. */
#include "book/sql.h"

#include <stdlib.h>
#include <string.h>

dw_status dw_photo_keep(dw_book *book, const dw_book_photo *photo, int64_t *id, dw_error *err) {
  static const char insert[] = "INSERT INTO photo (sha256, path, width, height, taken, added, preview)"
                               " VALUES (?, ?, ?, ?, ?, ?, ?)"
                               " ON CONFLICT (sha256) DO UPDATE SET path = excluded.path,"
                               " preview = coalesce(photo.preview, excluded.preview)";
  char now[DW_TIME_ROOM];
  dw__book_now(now);
  if (!dw_sha256_valid(photo->sha256))
    return dw_fail(err, DW_BAD_INPUT, "\"%.80s\" is no SHA-256.", photo->sha256);
  /* A path is only where to look first: one that is no UTF-8 can't be kept as text. */
  const char *path = dw__utf8_valid(photo->path) ? photo->path : "";
  const char *taken = dw__utf8_valid(photo->taken) ? photo->taken : "";
  dw__tell(book, DW_ENTRY_PHOTO, 0, 0, "", "a photo");
  dw_status status =
      dw__book_run(book, NULL, err, insert, "ttiittb", photo->sha256, path, (int64_t)photo->width,
                   (int64_t)photo->height, taken, now, (const void *)photo->preview, photo->preview_bytes);
  return status == DW_OK ? dw_photo_find(book, photo->sha256, id, err) : status;
}

dw_status dw_photo_find(dw_book *book, const char *sha256, int64_t *id, dw_error *err) {
  char missing[160];
  snprintf(missing, sizeof missing, "The book knows no photo %.64s.", sha256);
  return dw__book_integer(book, id, missing, err, "SELECT id FROM photo WHERE sha256 = ?", "t", sha256);
}

static dw_status photo_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_photo_kept *out = element;
  *out = (dw_photo_kept){.id = dw__query_integer(query, 0),
                         .width = (int)dw__query_integer(query, 3),
                         .height = (int)dw__query_integer(query, 4),
                         .preview_bytes = (size_t)dw__query_integer(query, 7)};
  dw__query_copy(query, 1, out->sha256, sizeof out->sha256);
  dw__query_copy(query, 2, out->path, sizeof out->path);
  dw__query_copy(query, 5, out->taken, sizeof out->taken);
  dw__query_copy(query, 6, out->added, sizeof out->added);
  return DW_OK;
}

dw_status dw_photo_get(dw_book *book, int64_t id, dw_photo_kept *out, dw_error *err) {
  static const char sql[] = "SELECT id, sha256, path, width, height, taken, added,"
                            " coalesce(length(preview), 0) FROM photo WHERE id = ?";
  char missing[80];
  snprintf(missing, sizeof missing, "The book has no photo %lld.", (long long)id);
  return dw__book_row(book, photo_from_row, out, missing, err, sql, "i", id);
}

dw_status dw_photo_kept_preview(dw_book *book, int64_t id, uint8_t **out, size_t *n, dw_error *err) {
  dw__query query;
  bool row = false;
  dw_status status = dw__query_open(book, "SELECT preview FROM photo WHERE id = ? AND preview IS NOT NULL",
                                    &query, err, "i", id);
  if (status == DW_OK) status = dw__query_next(&query, &row, err);
  if (status == DW_OK && !row)
    status = dw_fail(err, DW_NOT_FOUND, "The book holds no preview of photo %lld.", (long long)id);
  if (status == DW_OK) {
    const void *bytes = sqlite3_column_blob(query.stmt, 0);
    size_t size = (size_t)sqlite3_column_bytes(query.stmt, 0);
    uint8_t *copy = malloc(size + 1);
    if (copy && bytes) memcpy(copy, bytes, size);
    if (!copy || (size > 0 && !bytes)) status = dw_fail_memory(err, "a photo's preview");
    if (status == DW_OK)
      *out = copy, *n = size;
    else
      free(copy);
  }
  dw__query_close(&query);
  return status;
}

dw_status dw_look_keep(dw_book *book, int64_t photo, const char *marks, const char *light, int64_t *id,
                       dw_error *err) {
  char now[DW_TIME_ROOM];
  dw__book_now(now);
  dw_status status = dw__json_check("The marks", marks, '{', err);
  if (status == DW_OK) status = dw__json_check("The light", light, '{', err);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_PHOTO, 0, 0, "", "a photo's marks");
  return dw__book_run(book, id, err, "INSERT INTO look (photo, marks, light, looked) VALUES (?, ?, ?, ?)",
                      "ittt", photo, marks ? marks : "{}", light ? light : "{}", now);
}
