/* A sheet of chips over a black and a white field, found in a photo. docs/bait.md#chips */
#ifndef DROPWISE_READ_CHIPS_H
#define DROPWISE_READ_CHIPS_H

#include "dropwise/read.h"

enum { DW_CHIP_ROWS_MAX = 16, DW_CHIP_COLUMNS_MAX = 16 };

/* What lies in one row of the sheet, left to right. */
typedef struct dw_chip_row {
  size_t n;
  char name[DW_CHIP_COLUMNS_MAX][DW_LAYER_NAME_ROOM]; /* "orange 2", "orange 4;brown 2", "clear" */
} dw_chip_row;
/* "orange=0.5,2,8" (0: clear), or recipes: "orange=4;brown=2/orange=4;brown=4/clear".  Errors DW_USAGE */
dw_status dw_chip_row_parse(const char *text, dw_chip_row *out, dw_error *err);

/* Marks every chip of the rows, from the top, on the black field and again on the white one, and the card where one
 * is given or found: layers named "orange 2 over black", which dw_chips_text understands.
 * card_set, light  as dw_find_wish's
 * Errors    DW_NOT_FOUND no black and white field, or not the rows that are expected (which); as
 *           dw_marks_find_card; DW_USAGE more chips than marks have room for */
dw_status dw_marks_find_chips(const char *path, const char *card_set, const dw_marks *light,
                              const dw_chip_row *rows, size_t n, dw_marks *out, dw_notes *notes,
                              dw_error *err);

/* The chips of a sheet before anybody says what they are, in rows from the top, each from the left. */
typedef struct dw_chip_spot {
  bool seen;           /* on this field; else it is where the grid has it */
  double x, y, rx, ry; /* what is read of the chip, an ellipse in photo pixels */
} dw_chip_spot;
typedef struct dw_chip_grid {
  size_t n_rows, n[DW_CHIP_ROWS_MAX];                          /* chips of each row */
  dw_chip_spot chip[DW_CHIP_ROWS_MAX][DW_CHIP_COLUMNS_MAX][2]; /* over black, over white */
  bool has_card;
  dw_corners card;
  dw_notes notes;
} dw_chip_grid;
/* photo   open
 * Errors  as dw_marks_find_chips; DW_NOT_FOUND the chips lie in no rows, the same on both fields; the card is
 *         set all the same */
dw_status dw_chip_grid_find(dw_photo *photo, const char *card_set, dw_chip_grid *out, dw_error *err);

#endif
