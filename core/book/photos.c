#include "book/sql.h"

pt_status pt_book_keep_photo(pt_book *book, const pt_book_photo *photo, int64_t *id, pt_error *err) {
  static const char insert[] = "INSERT INTO photo (sha256, path, width, height, taken, added, preview)"
                               " VALUES (?, ?, ?, ?, ?, ?, ?)"
                               " ON CONFLICT (sha256) DO UPDATE SET path = excluded.path,"
                               " preview = coalesce(photo.preview, excluded.preview)";
  char now[PT_TIME_ROOM];
  pt__book_now(now);
  pt_status status = pt__book_run(book, NULL, err, insert, "ttiittb", photo->sha256, photo->path,
                                  (int64_t)photo->width, (int64_t)photo->height, photo->taken, now,
                                  (const void *)photo->preview, photo->preview_bytes);
  if (status != PT_OK) return status;
  return pt__book_integer(book, id, "The photo was not kept.", err, "SELECT id FROM photo WHERE sha256 = ?",
                          "t", photo->sha256);
}
