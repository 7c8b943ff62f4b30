/* Tones: reference colors of a layer. */
#include "book/sql.h"
#include "dropwise/book_aims.h"

dw_status dw_tone_add(dw_book *book, const char *name, const char *note, bool invented, int64_t *id,
                      dw_error *err) {
  char now[DW_TIME_ROOM];
  int64_t there;
  dw__book_now(now);
  dw_status status = dw__name_check("tone", name, DW_TONE_NAME_ROOM, err);
  if (status == DW_OK) status = dw__note_check(note, err);
  if (status != DW_OK) return status;
  status = dw__book_integer(book, &there, "", err, "SELECT id FROM tone WHERE name = ?", "t", name);
  if (status == DW_OK) return dw_fail(err, DW_BAD_INPUT, "There is a tone \"%s\" already.", name);
  if (status != DW_NOT_FOUND) return status;
  dw__tell(book, DW_ENTRY_TONE, 0, 0, "", "tone %s added", name);
  return dw__book_run(book, id, err, "INSERT INTO tone (name, note, invented, created) VALUES (?, ?, ?, ?)",
                      "ttit", name, note, (int64_t)invented, now);
}

/* "to tone claw" */
static dw_status tone_place(dw_book *book, int64_t id, const char *before, char out[DW__PLACE_ROOM],
                            dw_error *err) {
  dw__query query;
  bool row = false;
  dw_status status = dw__query_open(book, "SELECT name FROM tone WHERE id = ?", &query, err, "i", id);
  if (status == DW_OK) status = dw__query_next(&query, &row, err);
  snprintf(out, DW__PLACE_ROOM, "%s tone %s", before,
           status == DW_OK && row ? dw__query_text(&query, 0) : "");
  if (status == DW_OK) status = dw__query_whole(&query, err);
  dw__query_close(&query);
  return status;
}

dw_status dw_tone_color_add(dw_book *book, int64_t tone, dw_lab lab, int64_t photo, const char *detail,
                            dw_error *err) {
  char place[DW__PLACE_ROOM];
  int64_t n = 0;
  dw_status status = dw__lab_check("A tone's color", lab, err);
  if (status == DW_OK) status = dw__json_check("A tone's detail", detail, '{', err);
  if (status == DW_OK)
    status = dw__book_integer(book, &n, "There is no such tone in the book.", err,
                              "SELECT (SELECT count(*) FROM tone_color WHERE tone = t.id) FROM tone t"
                              " WHERE id = ?",
                              "i", tone);
  if (status == DW_OK && n >= DW_TONE_COLORS_MAX)
    status = dw_fail(err, DW_TOO_LARGE, "A tone holds at most %d colors.", DW_TONE_COLORS_MAX);
  if (status == DW_OK) status = tone_place(book, tone, "to", place, err);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_TONE, 0, 0, place, "color %.2f,%.2f,%.2f", lab.L, lab.a, lab.b);
  return dw__book_run(book, NULL, err,
                      "INSERT INTO tone_color (tone, l, a, b, photo, detail) VALUES (?, ?, ?, ?, ?, ?)",
                      "idddrt", tone, lab.L, lab.a, lab.b, photo, detail ? detail : "{}");
}

dw_status dw_tone_remove(dw_book *book, int64_t id, dw_error *err) {
  char place[DW__PLACE_ROOM];
  dw_status status = tone_place(book, id, "of", place, err);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_TONE, 0, 0, place, "removal");
  return dw__book_change(book, "There is no such tone in the book.", err, "DELETE FROM tone WHERE id = ?",
                         "i", id);
}

#define TONE_SELECT                                                                                          \
  "SELECT id, name, note, invented, created, (SELECT count(*) FROM tone_color c WHERE c.tone = t.id)"        \
  " FROM tone t "

static dw_status tone_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_tone *out = element;
  *out = (dw_tone){.id = dw__query_integer(query, 0),
                   .invented = dw__query_integer(query, 3) != 0,
                   .n = (size_t)dw__query_integer(query, 5)};
  dw__query_copy(query, 1, out->name, sizeof out->name);
  dw__query_copy(query, 2, out->note, sizeof out->note);
  dw__query_copy(query, 4, out->created, sizeof out->created);
  return DW_OK;
}

dw_status dw_tone_find(dw_book *book, const char *name, dw_tone *out, dw_error *err) {
  char missing[160];
  snprintf(missing, sizeof missing, "There is no tone \"%.80s\" in the book; dropwise tone list shows them.",
           name);
  return dw__book_row(book, tone_from_row, out, missing, err, TONE_SELECT "WHERE name = ?", "t", name);
}

dw_status dw_tone_list(dw_book *book, dw_tone **out, size_t *n, dw_error *err) {
  return dw__book_list(book, sizeof(dw_tone), tone_from_row, out, n, err, TONE_SELECT "ORDER BY name", "");
}

static dw_status color_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  *(dw_lab *)element = dw__query_lab(query, 0);
  return DW_OK;
}

dw_status dw_tone_colors(dw_book *book, int64_t id, dw_lab **out, size_t *n, dw_error *err) {
  return dw__book_list(book, sizeof(dw_lab), color_from_row, out, n, err,
                       "SELECT l, a, b FROM tone_color WHERE tone = ? ORDER BY id", "i", id);
}
