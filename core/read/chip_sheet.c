/* The chips of a sheet as marks. */
#include "dropwise/read_chips.h"
#include "read/chip_spots.h"
#include "read/finding.h"

#include <stdlib.h>
#include <string.h>

#define INNER_SHARE 0.33 /* of a chip's size, the half axes of what is read: no rim, no rounded edge */

typedef struct sheet {
  dw__finding f;
  dw_patch whole;
  dw__edge edge;
  const dw_chip_row *rows;
  size_t n, longest;  /* rows; chips in the longest */
  dw__spots spots[2]; /* over black, over white */
} sheet;

/* What is read of a chip. */
static dw_chip_spot inner_of(const sheet *s, const dw__spot *spot, bool seen) {
  const int step = dw_patch_step(&s->whole);
  return (dw_chip_spot){seen, s->whole.rect.x + step * spot->x, s->whole.rect.y + step * spot->y,
                        step * INNER_SHARE * spot->w, step * INNER_SHARE * spot->h};
}

static dw_status chip_mark(const sheet *s, const dw__spot *spot, const char *name, const char *over,
                           dw_error *err) {
  dw_text text = {0};
  const dw_chip_spot at = inner_of(s, spot, true);
  dw_text_add(&text, "%s over %s=ellipse:%.1f,%.1f,%.1fx%.1f", name, over, at.x, at.y, at.rx, at.ry);
  dw_status status =
      text.failed ? dw_fail_memory(err, "the chips") : dw_marks_add_layer(s->f.marks, text.data, err);
  dw_text_free(&text);
  return status;
}

static dw_status no_grid(const sheet *s, dw_error *err) {
  return dw_fail(
      err, DW_NOT_FOUND,
      "%s: the chips found (%zu over black, %zu over white) do not lie in the %zu rows of up to %zu that "
      "--row names, the same beside each other on both fields; mark them instead: --marks FILE.",
      dw_photo_path(s->f.photo), s->spots[0].n, s->spots[1].n, s->n, s->longest);
}

static dw_status field_mark(const sheet *s, int white, dw_notes *notes, dw_error *err) {
  const char *over = white ? "white" : "black";
  size_t guessed = 0;
  bool seen = true;
  dw__spot spot;
  dw_status status = DW_OK;
  for (size_t r = 0; r < s->n && status == DW_OK; r++)
    for (size_t c = 0; c < s->rows[r].n && status == DW_OK; c++) {
      if (!dw__spots_place(&s->spots[white], r, c, &spot, &seen)) return no_grid(s, err);
      status = chip_mark(s, &spot, s->rows[r].name[c], over, err);
      guessed += !seen;
    }
  if (status == DW_OK && guessed)
    dw_note(notes, "%zu chip%s hardly differ%s from the %s field and %s read where the grid has %s.", guessed,
            guessed == 1 ? "" : "s", guessed == 1 ? "s" : "", over, guessed == 1 ? "is" : "are",
            guessed == 1 ? "it" : "them");
  return status;
}

/* The two fields, and the spots on each. */
static dw_status sheet_see(sheet *s, dw_error *err) {
  dw_corners card;
  dw_status status = dw__finding_pixels(&s->f, &s->whole, err);
  if (status == DW_OK) status = dw__edge_find(&s->whole, dw_photo_path(s->f.photo), &s->edge, err);
  const dw_corners *covered = dw__finding_card(&s->f, &s->whole, &card);
  for (int white = 0; white < 2 && status == DW_OK; white++)
    status = dw__spots_find(&s->whole, &s->edge, white ? 1 : -1, covered, &s->spots[white], err);
  return status;
}

static dw_status sheet_mark(sheet *s, dw_notes *notes, dw_error *err) {
  dw_status status = sheet_see(s, err);
  if (status == DW_OK && !dw__grids_order(&s->edge, &s->spots[0], &s->spots[1], s->n, s->longest))
    status = no_grid(s, err);
  for (int white = 0; white < 2 && status == DW_OK; white++) status = field_mark(s, white, notes, err);
  if (status == DW_OK && *s->f.why) dw_note(notes, "%s", s->f.why);
  return status;
}

static dw_status rows_check(const dw_chip_row *rows, size_t n, size_t *longest, dw_error *err) {
  size_t all = 0;
  for (size_t r = 0; r < n; r++) {
    all += 2 * rows[r].n;
    if (rows[r].n > *longest) *longest = rows[r].n;
  }
  if (all <= DW_READ_LAYERS_MAX) return DW_OK;
  return dw_fail(err, DW_USAGE, "A photo may have at most %d chips, each counted over black and over white.",
                 DW_READ_LAYERS_MAX);
}

/* f.photo is open; the sheet's own is given back, not the photo. */
static dw_status sheet_begin(sheet *s, dw_marks *marks, const char *card_set, const dw_marks *light,
                             dw_error *err) {
  const size_t most = dw_photo_limits_default().max_bytes;
  s->f.marks = marks;
  s->f.pixels = dw_arena_new(most);
  dw_status status = s->f.pixels ? DW_OK : dw_fail_memory(err, "the chips");
  if (status == DW_OK) status = dw__finding_marks(card_set, light, marks, err);
  return status == DW_OK ? dw__finding_light(&s->f, most, err) : status;
}

static void sheet_end(sheet *s) {
  dw_light_free(s->f.light);
  dw_arena_free(s->f.pixels);
  free(s);
}

dw_status dw_marks_find_chips(const char *path, const char *card_set, const dw_marks *light,
                              const dw_chip_row *rows, size_t n, dw_marks *out, dw_notes *notes,
                              dw_error *err) {
  dw_photo_limits most = dw_photo_limits_default();
  dw_photo *photo = NULL;
  sheet *s = calloc(1, sizeof *s);
  if (!s) return dw_fail_memory(err, "the chips");
  s->rows = rows;
  s->n = n;
  dw_status status = rows_check(rows, n, &s->longest, err);
  if (status == DW_OK) status = dw_photo_open(path, &most, &photo, err);
  s->f.photo = photo;
  if (status == DW_OK) status = sheet_begin(s, out, card_set, light, err);
  if (status == DW_OK) status = sheet_mark(s, notes, err);
  sheet_end(s);
  dw_photo_close(photo);
  return status;
}

/* ---- before anybody says what they are ------------------------------------------------------------------ */

static dw_status no_rows(const sheet *s, dw_error *err) {
  return dw_fail(
      err, DW_NOT_FOUND,
      "The chips found (%zu over black, %zu over white) do not lie in rows, the same beside each other on "
      "both fields.",
      s->spots[0].n, s->spots[1].n);
}

/* One chip of the grid on both fields; false where neither shows it. */
static bool cell_of(const sheet *s, size_t row, size_t column, dw_chip_spot out[2]) {
  bool any = false;
  for (int white = 0; white < 2; white++) {
    dw__spot spot;
    bool seen;
    if (!dw__spots_place(&s->spots[white], row, column, &spot, &seen)) return false;
    out[white] = inner_of(s, &spot, seen);
    any |= seen;
  }
  return any;
}

static dw_status grid_take(sheet *s, dw_chip_grid *out, dw_error *err) {
  size_t rows, columns;
  dw_status status = sheet_see(s, err);
  if (status != DW_OK) return status;
  if (!dw__grids_count(&s->edge, &s->spots[0], &s->spots[1], &rows, &columns) || rows > DW_CHIP_ROWS_MAX ||
      columns > DW_CHIP_COLUMNS_MAX)
    return no_rows(s, err);
  out->n_rows = rows;
  for (size_t r = 0; r < rows; r++)
    for (size_t c = 0; c < columns; c++)
      if (cell_of(s, r, c, out->chip[r][c])) out->n[r] = c + 1;
  return DW_OK;
}

static void card_take(const sheet *s, dw_chip_grid *out) {
  out->has_card = s->f.marks->method == DW_LIGHT_CARD;
  out->card = s->f.marks->corners;
  if (*s->f.why) dw_note(&out->notes, "%s", s->f.why);
}

dw_status dw_chip_grid_find(dw_photo *photo, const char *card_set, dw_chip_grid *out, dw_error *err) {
  sheet *s = calloc(1, sizeof *s);
  dw_marks *marks = calloc(1, sizeof *marks);
  dw_status status = s && marks ? DW_OK : dw_fail_memory(err, "the chips");
  *out = (dw_chip_grid){0};
  if (status == DW_OK) {
    s->f.photo = photo;
    status = sheet_begin(s, marks, card_set, NULL, err);
  }
  if (status == DW_OK) card_take(s, out);
  if (status == DW_OK) status = grid_take(s, out, err);
  if (s) sheet_end(s);
  free(marks);
  return status;
}
