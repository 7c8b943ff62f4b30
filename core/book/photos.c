/* Photos by hash, and how they were read. */
#include "book/sql.h"

#include <stdlib.h>
#include <string.h>

static bool hash_valid(const char *sha256) {
  return strlen(sha256) == PT_SHA256_ROOM - 1 && strspn(sha256, "0123456789abcdef") == PT_SHA256_ROOM - 1;
}

pt_status pt_photo_keep(pt_book *book, const pt_book_photo *photo, int64_t *id, pt_error *err) {
  static const char insert[] = "INSERT INTO photo (sha256, path, width, height, taken, added, preview)"
                               " VALUES (?, ?, ?, ?, ?, ?, ?)"
                               " ON CONFLICT (sha256) DO UPDATE SET path = excluded.path,"
                               " preview = coalesce(photo.preview, excluded.preview)";
  char now[PT_TIME_ROOM];
  pt__book_now(now);
  if (!hash_valid(photo->sha256))
    return pt_fail(err, PT_BAD_INPUT, "\"%.80s\" is no SHA-256.", photo->sha256);
  /* A path is only where to look first: one that is no UTF-8 can't be kept as text. */
  const char *path = pt__utf8_valid(photo->path) ? photo->path : "";
  const char *taken = pt__utf8_valid(photo->taken) ? photo->taken : "";
  pt_status status =
      pt__book_run(book, NULL, err, insert, "ttiittb", photo->sha256, path, (int64_t)photo->width,
                   (int64_t)photo->height, taken, now, (const void *)photo->preview, photo->preview_bytes);
  return status == PT_OK ? pt_photo_find(book, photo->sha256, id, err) : status;
}

pt_status pt_photo_find(pt_book *book, const char *sha256, int64_t *id, pt_error *err) {
  char missing[160];
  snprintf(missing, sizeof missing, "The book knows no photo %.64s.", sha256);
  return pt__book_integer(book, id, missing, err, "SELECT id FROM photo WHERE sha256 = ?", "t", sha256);
}

static pt_status photo_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  pt_photo_kept *out = element;
  *out = (pt_photo_kept){.id = pt__query_integer(query, 0),
                         .width = (int)pt__query_integer(query, 3),
                         .height = (int)pt__query_integer(query, 4),
                         .preview_bytes = (size_t)pt__query_integer(query, 7)};
  pt__query_copy(query, 1, out->sha256, sizeof out->sha256);
  pt__query_copy(query, 2, out->path, sizeof out->path);
  pt__query_copy(query, 5, out->taken, sizeof out->taken);
  pt__query_copy(query, 6, out->added, sizeof out->added);
  return PT_OK;
}

pt_status pt_photo_get(pt_book *book, int64_t id, pt_photo_kept *out, pt_error *err) {
  static const char sql[] = "SELECT id, sha256, path, width, height, taken, added,"
                            " coalesce(length(preview), 0) FROM photo WHERE id = ?";
  char missing[80];
  snprintf(missing, sizeof missing, "The book has no photo %lld.", (long long)id);
  return pt__book_row(book, photo_from_row, out, missing, err, sql, "i", id);
}

pt_status pt_photo_kept_preview(pt_book *book, int64_t id, uint8_t **out, size_t *n, pt_error *err) {
  pt__query query;
  bool row = false;
  pt_status status = pt__query_open(book, "SELECT preview FROM photo WHERE id = ? AND preview IS NOT NULL",
                                    &query, err, "i", id);
  if (status == PT_OK) status = pt__query_next(&query, &row, err);
  if (status == PT_OK && !row)
    status = pt_fail(err, PT_NOT_FOUND, "The book holds no picture of photo %lld.", (long long)id);
  if (status == PT_OK) {
    const void *bytes = sqlite3_column_blob(query.stmt, 0);
    size_t size = (size_t)sqlite3_column_bytes(query.stmt, 0);
    uint8_t *copy = malloc(size + 1);
    if (copy && bytes) memcpy(copy, bytes, size);
    if (copy) *out = copy, *n = size;
    if (!copy) status = pt_fail_memory(err, "a photo's preview");
  }
  pt__query_close(&query);
  return status;
}

pt_status pt_look_keep(pt_book *book, int64_t photo, const char *marks, const char *light, int64_t *id,
                       pt_error *err) {
  char now[PT_TIME_ROOM];
  pt__book_now(now);
  pt_status status = pt__json_check("The marks", marks, '{', err);
  if (status == PT_OK) status = pt__json_check("The light", light, '{', err);
  if (status != PT_OK) return status;
  return pt__book_run(book, id, err, "INSERT INTO look (photo, marks, light, looked) VALUES (?, ?, ?, ?)",
                      "ittt", photo, marks ? marks : "{}", light ? light : "{}", now);
}
