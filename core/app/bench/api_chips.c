/* Chips of the book: shown, corrected, removed. */
#include "app/bench/on_bench.h"
#include "app/bench/request.h"
#include "dropwise/read_chips.h"

#include <math.h>
#include <stdlib.h>

#define AS_SHOWN 0.0051 /* a color sent back as it was shown, to hundredths, is the same */

/* The list as it is now; in a transaction. */
static dw_status list_json(dw_book *book, json_t **out, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_chip_kept *kept = NULL;
  size_t n = 0;
  json_t *list = json_array();
  dw_status status = dw_chip_list(book, &shelf, &kept, &n, err);
  for (size_t i = 0; i < n; i++) list = dw_json_and(list, dw_json_chip(&kept[i], shelf));
  *out = json_pack("{s:o}", "chips", list);
  if (status == DW_OK && !*out) status = dw_fail_memory(err, "the chips");
  free(kept);
  dw_shelf_free(shelf);
  return status;
}

dw_status dw__chips_get(dw__exchange *x, dw_error *err) {
  dw_status status = dw__book_begin_reading(x->bench, err);
  return status == DW_OK ? dw__book_end(x->bench, list_json(x->bench->book, &x->json, err), err) : status;
}

static dw_status lab_of(const json_t *value, dw_lab *lab, dw_error *err) {
  dw_lab sent;
  dw_status status = dw_json_lab_of(value, "lab", &sent, err);
  if (status != DW_OK) return status;
  if (fabs(sent.L - lab->L) > AS_SHOWN || fabs(sent.a - lab->a) > AS_SHOWN ||
      fabs(sent.b - lab->b) > AS_SHOWN)
    *lab = sent;
  return DW_OK;
}

static dw_status over_of(const json_t *body, double *backing, dw_error *err) {
  const json_t *over = json_object_get(body, "over");
  if (json_is_string(over)) return dw_backing_parse(json_string_value(over), backing, err);
  return dw_json_number_of(body, "over", 0, 1, *backing, backing, err);
}

/* What the body says of the chip; the rest stays as it is. */
static dw_status change_of(const json_t *body, const dw_shelf *shelf, dw_chip *chip, dw_error *err) {
  const json_t *lab = json_object_get(body, "lab");
  const char *recipe;
  dw_status status = dw_json_text_of(body, "recipe", false, &recipe, err);
  if (status == DW_OK && recipe) status = dw_recipe_parse(recipe, shelf, &chip->recipe, err);
  if (status == DW_OK)
    status = dw_json_number_of(body, "thickness_mm", 0.1, 100, chip->thickness_mm, &chip->thickness_mm, err);
  if (status == DW_OK) status = over_of(body, &chip->backing, err);
  return status == DW_OK && !dw_json_absent(lab) ? lab_of(lab, &chip->lab, err) : status;
}

static dw_status correct(dw_book *book, int64_t id, const json_t *body, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_chip_kept *kept = NULL;
  size_t n = 0, at = 0;
  dw_status status = dw_chip_list(book, &shelf, &kept, &n, err);
  while (at < n && kept[at].id != id) at++;
  if (status == DW_OK && at == n) status = dw_fail(err, DW_NOT_FOUND, "There is no such chip in the book.");
  if (status == DW_OK) status = dw_book_shelf_name(book, shelf, err);
  if (status == DW_OK) status = change_of(body, shelf, &kept[at].chip, err);
  if (status == DW_OK) status = dw_chip_correct(book, id, shelf, &kept[at].chip, err);
  free(kept);
  dw_shelf_free(shelf);
  return status;
}

static dw_status end_with_list(dw__exchange *x, dw_status status, dw_error *err) {
  if (status == DW_OK) status = list_json(x->bench->book, &x->json, err);
  return dw__book_end(x->bench, status, err);
}

dw_status dw__chip_patch(dw__exchange *x, dw_error *err) {
  dw_status status = dw__book_begin(x, err);
  if (status != DW_OK) return status;
  return end_with_list(x, correct(x->bench->book, dw__id(x, 0), x->body, err), err);
}

dw_status dw__chip_delete(dw__exchange *x, dw_error *err) {
  dw_status status = dw__book_begin(x, err);
  return status == DW_OK ? end_with_list(x, dw_chip_remove(x->bench->book, dw__id(x, 0), err), err) : status;
}

/* ---- a sheet of them in a photo -------------------------------------------------------------------------- */

static json_t *spot_json(const dw_chip_spot *spot) {
  return json_sprintf("ellipse:%.1f,%.1f,%.1fx%.1f", spot->x, spot->y, spot->rx, spot->ry);
}

static json_t *row_json(const dw_chip_grid *grid, size_t row) {
  json_t *list = json_array();
  for (size_t i = 0; i < grid->n[row]; i++) {
    const dw_chip_spot *chip = grid->chip[row][i];
    list = dw_json_and(list, json_pack("{s:o, s:o, s:b}", "black", spot_json(&chip[0]), "white",
                                       spot_json(&chip[1]), "seen", chip[0].seen && chip[1].seen));
  }
  return list;
}

static json_t *sheet_json(const dw_chip_grid *grid, const char *why) {
  json_t *rows = json_array();
  for (size_t i = 0; i < grid->n_rows; i++) rows = dw_json_and(rows, row_json(grid, i));
  json_t *card = grid->has_card ? json_pack("{s:o}", "corners", dw_json_corners(&grid->card)) : json_null();
  return json_pack("{s:o, s:o, s:s, s:o}", "rows", rows, "card", card, "why", why, "warnings",
                   dw_json_notes(&grid->notes));
}

/* No sheet is no error: the chips are pointed at one by one then. */
dw_status dw__sheet_post(dw__exchange *x, dw_error *err) {
  dw_photo *photo = NULL;
  dw_error none = {0};
  dw_chip_grid *grid = calloc(1, sizeof *grid);
  dw_status status =
      grid ? dw__photos_open(&x->bench->photos, x->part[0], &photo, err) : dw_fail_memory(err, "the chips");
  if (status == DW_OK) {
    status = dw_chip_grid_find(photo, DW_CARD_USUAL, grid, &none);
    if (status == DW_NOT_FOUND) status = DW_OK;
    if (status != DW_OK) dw_fail(err, status, "%s", none.text);
  }
  if (status == DW_OK && !(x->json = sheet_json(grid, none.text))) status = dw_fail_memory(err, "the chips");
  dw_photo_close(photo);
  free(grid);
  return status;
}
