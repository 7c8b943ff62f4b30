/* Chips from CSV. */
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "dropwise/fit.h"
#include "mix/shelf.h"

enum { RECIPE, THICKNESS, OVER, LAB_L, LAB_A, LAB_B, CLIPPED, COLUMNS };
static const char *const column_names[COLUMNS] = {"recipe", "thickness_mm", "over", "L", "a", "b", "clipped"};

typedef struct reader {
  const dw_csv *csv;
  const char *name;
  int column[COLUMNS];
  dw_shelf *shelf;
  dw_notes *notes;
} reader;

/* Line of a row as a person counts it: the header is line 1. */
static size_t line_of(size_t row) {
  return row + 2;
}

static dw_status columns_find(reader *r, dw_error *err) {
  for (int c = 0; c < COLUMNS; c++) {
    r->column[c] = dw_csv_column(r->csv, column_names[c]);
    if (r->column[c] < 0 && c != CLIPPED)
      return dw_fail(err, DW_BAD_INPUT,
                     "%s has no column '%s': chips need recipe, thickness_mm, over, L, a, b.", r->name,
                     column_names[c]);
  }
  for (size_t i = 0; i < dw_csv_columns(r->csv); i++) {
    bool known = false;
    for (int c = 0; c < COLUMNS; c++) known |= r->column[c] == (int)i;
    if (!known && dw_csv_title(r->csv, i)[0])
      dw_note(r->notes, "Column '%.60s' is not one that chips have: ignored.", dw_csv_title(r->csv, i));
  }
  return DW_OK;
}

/* Adds the bottle unless the shelf has it. */
static dw_status bottle_admit(reader *r, const char *id, size_t line, dw_error *err) {
  if (!dw_id_valid(id))
    return dw_fail(err, DW_BAD_INPUT,
                   "%s, line %zu, column recipe: '%s' cannot name a bottle: use a-z, 0-9, '-' and '_'.",
                   r->name, line, id);
  if (dw_shelf_find(r->shelf, id) >= 0) return DW_OK;
  if (r->shelf->n == DW_SHELF_MAX)
    return dw_fail(err, DW_TOO_LARGE, "%s, line %zu: '%s' would be one bottle more than a shelf holds (%d).",
                   r->name, line, id, DW_SHELF_MAX);
  r->shelf->bottle[r->shelf->n++] = dw_bottle_blank(id, id, DW_ROLE_COLOR);
  dw_note(r->notes, "New on the shelf: %s.", id);
  return DW_OK;
}

/* What is no recipe is left to its parser to name. */
static dw_status bottles_admit(reader *r, const char *recipe, size_t line, dw_error *err) {
  dw_recipe_words words;
  dw_status status = DW_OK;
  if (dw_recipe_read(recipe, &words, NULL) != DW_OK) return DW_OK;
  for (size_t i = 0; i < words.n && status == DW_OK; i++)
    status = bottle_admit(r, words.part[i].id, line, err);
  return status;
}

/* Said, not refused: a chip may be as dark as one likes. */
static void loading_note(const reader *r, size_t line, const dw_recipe *recipe) {
  dw_error why;
  if (dw_loadings_question(recipe, &why) != DW_OK)
    dw_note(r->notes, "Line %zu: %.4g drops per fl oz are more than a cup holds: the drops of a whole cup?",
            line, dw_recipe_total(recipe));
}

/* Passes on an error of one cell with the place it came from in front. */
static dw_status cell_fail(const reader *r, size_t row, int column, const dw_error *inner, dw_error *err) {
  return dw_fail(err, DW_BAD_INPUT, "%s, line %zu, column %s: %s", r->name, line_of(row),
                 column_names[column], inner->text);
}

static dw_status clipped_read(const reader *r, size_t row, bool *out, dw_error *err) {
  *out = false;
  if (r->column[CLIPPED] < 0) return DW_OK;
  const char *cell = dw_csv_cell(r->csv, row, (size_t)r->column[CLIPPED]);
  cell += strspn(cell, " \t");
  if (*cell == 0 || strcmp(cell, "0") == 0 || strcasecmp(cell, "no") == 0) return DW_OK;
  *out = true;
  if (strcmp(cell, "1") == 0 || strcasecmp(cell, "yes") == 0) return DW_OK;
  return dw_fail(err, DW_BAD_INPUT, "%s, line %zu, column clipped: '%.40s' is neither 0, 1, yes nor no.",
                 r->name, line_of(row), cell);
}

static dw_status number_read(const reader *r, size_t row, int column, double min, double max, double *out,
                             dw_error *err) {
  dw_status status = dw_csv_number(r->csv, row, r->column[column], out, err);
  if (status != DW_OK) return status;
  if (*out >= min && *out <= max) return DW_OK;
  return dw_fail(err, DW_BAD_INPUT, "%s, line %zu, column %s: %g is out of range, give %g to %g.", r->name,
                 line_of(row), column_names[column], *out, min, max);
}

static dw_status row_read(reader *r, size_t row, dw_chip *out, dw_error *err) {
  dw_error inner;
  const char *recipe = dw_csv_cell(r->csv, row, (size_t)r->column[RECIPE]);
  memset(out, 0, sizeof *out);
  dw_status status = bottles_admit(r, recipe, line_of(row), err);
  if (status != DW_OK) return status;
  if (dw_recipe_parse(recipe, r->shelf, &out->recipe, &inner) != DW_OK)
    return cell_fail(r, row, RECIPE, &inner, err);
  loading_note(r, line_of(row), &out->recipe);
  if (dw_backing_parse(dw_csv_cell(r->csv, row, (size_t)r->column[OVER]), &out->backing, &inner) != DW_OK)
    return cell_fail(r, row, OVER, &inner, err);
  status = number_read(r, row, THICKNESS, 0.1, DW_THICKNESS_MAX_MM, &out->thickness_mm, err);
  if (status == DW_OK) status = number_read(r, row, LAB_L, 0, 110, &out->lab.L, err);
  if (status == DW_OK) status = number_read(r, row, LAB_A, -200, 200, &out->lab.a, err);
  if (status == DW_OK) status = number_read(r, row, LAB_B, -200, 200, &out->lab.b, err);
  if (status == DW_OK) status = clipped_read(r, row, &out->clipped, err);
  return status;
}

static dw_status rows_read(reader *r, dw_chips *out, dw_error *err) {
  size_t rows = dw_csv_rows(r->csv);
  if (rows == 0) return dw_fail(err, DW_TOO_FEW, "%s holds no chips: give one a line.", r->name);
  if (rows > DW_CHIPS_MAX)
    return dw_fail(err, DW_TOO_LARGE, "%s holds %zu chips: the most is %d.", r->name, rows, DW_CHIPS_MAX);
  out->chip = calloc(rows, sizeof *out->chip);
  if (!out->chip) return dw_fail_memory(err, "the chips");
  dw_status status = DW_OK;
  for (; status == DW_OK && out->n < rows; out->n++) status = row_read(r, out->n, &out->chip[out->n], err);
  return status;
}

dw_status dw_chips_parse(const char *text, size_t n, const char *name, dw_shelf *shelf, dw_chips **out,
                         dw_error *err) {
  dw_csv *csv = NULL;
  size_t shelf_n = shelf->n;
  dw_chips *chips = calloc(1, sizeof *chips);
  if (!chips) return dw_fail_memory(err, "the chips");
  dw_status status = dw_csv_parse(text, n, name, &csv, err);
  if (status == DW_OK && dw_csv_may_be_cut(csv))
    dw_note(&chips->notes, "The last line of %s has no end, so the file may be cut: look at its last chip.",
            name);
  if (status == DW_OK) {
    reader r = {.csv = csv, .name = name, .shelf = shelf, .notes = &chips->notes};
    status = columns_find(&r, err);
    if (status == DW_OK) status = rows_read(&r, chips, err);
  }
  if (status == DW_OK) {
    *out = chips;
    chips = NULL;
  } else {
    shelf->n = shelf_n;
  }
  dw_chips_free(chips);
  dw_csv_free(csv);
  return status;
}

void dw_chips_free(dw_chips *chips) {
  if (!chips) return;
  free(chips->chip);
  free(chips);
}

static void backing_words(double backing, char *out, size_t room) {
  if (backing == DW_BACKING_BLACK)
    snprintf(out, room, "black");
  else if (backing == DW_BACKING_WHITE)
    snprintf(out, room, "white");
  else if (backing == DW_BACKING_GRAY)
    snprintf(out, room, "gray");
  else
    snprintf(out, room, "%.2f", backing);
}

void dw_chip_words(const dw_chip *chip, const dw_shelf *shelf, char *out, size_t room) {
  char recipe[80], backing[16];
  dw_recipe_format(&chip->recipe, shelf, recipe, sizeof recipe);
  backing_words(chip->backing, backing, sizeof backing);
  snprintf(out, room, "%s over %s, %.3g mm", recipe[0] ? recipe : "clear base", backing, chip->thickness_mm);
}
