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

static dw_status chip_mark(const sheet *s, const dw__spot *spot, const char *name, const char *over,
                           dw_error *err) {
  dw_text text = {0};
  int step = dw_patch_step(&s->whole);
  dw_text_add(&text, "%s over %s=ellipse:%.1f,%.1f,%.1fx%.1f", name, over, s->whole.rect.x + step * spot->x,
              s->whole.rect.y + step * spot->y, step * INNER_SHARE * spot->w, step * INNER_SHARE * spot->h);
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

static dw_status sheet_mark(sheet *s, dw_notes *notes, dw_error *err) {
  dw_corners card;
  dw_status status = dw__finding_pixels(&s->f, &s->whole, err);
  if (status == DW_OK) status = dw__edge_find(&s->whole, dw_photo_path(s->f.photo), &s->edge, err);
  const dw_corners *covered = dw__finding_card(&s->f, &s->whole, &card);
  for (int white = 0; white < 2 && status == DW_OK; white++)
    status = dw__spots_find(&s->whole, &s->edge, white ? 1 : -1, covered, &s->spots[white], err);
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

dw_status dw_marks_find_chips(const char *path, const char *card_set, const dw_chip_row *rows, size_t n,
                              dw_marks *out, dw_notes *notes, dw_error *err) {
  dw_photo_limits most = dw_photo_limits_default();
  sheet *s = calloc(1, sizeof *s);
  if (!s) return dw_fail_memory(err, "the chips");
  *out = (dw_marks){.gray_y = DW_GRAY_Y_DEFAULT};
  s->rows = rows;
  s->n = n;
  s->f.marks = out;
  s->f.pixels = dw_arena_new(most.max_bytes);
  dw_status status = s->f.pixels ? rows_check(rows, n, &s->longest, err) : dw_fail_memory(err, "the chips");
  if (status == DW_OK) status = dw_marks_set_card(out, card_set, err);
  if (status == DW_OK) status = dw_photo_open(path, &most, &s->f.photo, err);
  if (status == DW_OK) status = dw__finding_light(&s->f, most.max_bytes, err);
  if (status == DW_OK) status = sheet_mark(s, notes, err);
  dw_light_free(s->f.light);
  dw_arena_free(s->f.pixels);
  dw_photo_close(s->f.photo);
  free(s);
  return status;
}
