/* Tones: reference colors of a layer. */
#include "book/sql.h"
#include "pourtone/book_aims.h"

pt_status pt_tone_add(pt_book *book, const char *name, const char *note, bool invented, int64_t *id,
                      pt_error *err) {
  char now[PT_TIME_ROOM];
  int64_t there;
  pt__book_now(now);
  pt_status status = pt__name_check("tone", name, PT_TONE_NAME_ROOM, err);
  if (status == PT_OK) status = pt__note_check(note, err);
  if (status != PT_OK) return status;
  status = pt__book_integer(book, &there, "", err, "SELECT id FROM tone WHERE name = ?", "t", name);
  if (status == PT_OK) return pt_fail(err, PT_BAD_INPUT, "There is a tone \"%s\" already.", name);
  if (status != PT_NOT_FOUND) return status;
  return pt__book_run(book, id, err, "INSERT INTO tone (name, note, invented, created) VALUES (?, ?, ?, ?)",
                      "ttit", name, note, (int64_t)invented, now);
}

pt_status pt_tone_color_add(pt_book *book, int64_t tone, pt_lab lab, int64_t photo, const char *detail,
                            pt_error *err) {
  int64_t n = 0;
  pt_status status = pt__lab_check("A tone's color", lab, err);
  if (status == PT_OK) status = pt__json_check("A tone's detail", detail, '{', err);
  if (status == PT_OK)
    status = pt__book_integer(book, &n, "There is no such tone in the book.", err,
                              "SELECT (SELECT count(*) FROM tone_color WHERE tone = t.id) FROM tone t"
                              " WHERE id = ?",
                              "i", tone);
  if (status == PT_OK && n >= PT_TONE_COLORS_MAX)
    status = pt_fail(err, PT_TOO_LARGE, "A tone holds at most %d colors.", PT_TONE_COLORS_MAX);
  if (status != PT_OK) return status;
  return pt__book_run(book, NULL, err,
                      "INSERT INTO tone_color (tone, l, a, b, photo, detail) VALUES (?, ?, ?, ?, ?, ?)",
                      "idddrt", tone, lab.L, lab.a, lab.b, photo, detail ? detail : "{}");
}

pt_status pt_tone_remove(pt_book *book, int64_t id, pt_error *err) {
  return pt__book_change(book, "There is no such tone in the book.", err, "DELETE FROM tone WHERE id = ?",
                         "i", id);
}

#define TONE_SELECT                                                                                          \
  "SELECT id, name, note, invented, created, (SELECT count(*) FROM tone_color c WHERE c.tone = t.id)"        \
  " FROM tone t "

static pt_status tone_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  pt_tone *out = element;
  *out = (pt_tone){.id = pt__query_integer(query, 0),
                   .invented = pt__query_integer(query, 3) != 0,
                   .n = (size_t)pt__query_integer(query, 5)};
  pt__query_copy(query, 1, out->name, sizeof out->name);
  pt__query_copy(query, 2, out->note, sizeof out->note);
  pt__query_copy(query, 4, out->created, sizeof out->created);
  return PT_OK;
}

pt_status pt_tone_find(pt_book *book, const char *name, pt_tone *out, pt_error *err) {
  char missing[160];
  snprintf(missing, sizeof missing, "There is no tone \"%.80s\" in the book; pourtone tone list shows them.",
           name);
  return pt__book_row(book, tone_from_row, out, missing, err, TONE_SELECT "WHERE name = ?", "t", name);
}

pt_status pt_tone_list(pt_book *book, pt_tone **out, size_t *n, pt_error *err) {
  return pt__book_list(book, sizeof(pt_tone), tone_from_row, out, n, err, TONE_SELECT "ORDER BY name", "");
}

static pt_status color_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  *(pt_lab *)element = pt__query_lab(query, 0);
  return PT_OK;
}

pt_status pt_tone_colors(pt_book *book, int64_t id, pt_lab **out, size_t *n, pt_error *err) {
  return pt__book_list(book, sizeof(pt_lab), color_from_row, out, n, err,
                       "SELECT l, a, b FROM tone_color WHERE tone = ? ORDER BY id", "i", id);
}
