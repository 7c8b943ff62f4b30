/* Spots on one field of a sheet: what differs from the field, and the grid they lie in. */
#ifndef READ_CHIP_SPOTS_H
#define READ_CHIP_SPOTS_H

#include "dropwise/card.h"
#include "read/strip_edge.h"

enum { DW__SPOTS_MAX = 512, DW__GRID_MAX = 64 };

typedef struct dw__spot {
  double x, y, w, h; /* middle and size, pixels of the patch */
  int row, column;
} dw__spot;

typedef struct dw__spots {
  size_t n;
  dw__spot spot[DW__SPOTS_MAX];
} dw__spots;

/* side  -1 the black field, 1 the white one;  card  NULL, or where none is looked for, pixels of the patch */
dw_status dw__spots_find(const dw_patch *photo, const dw__edge *edge, int side, const dw_corners *card,
                         dw__spots *out, dw_error *err);
/* Counts rows from the top and columns from the left, by what both fields show: rows run through both of them, beside
 * each other; columns are found on one of them at least.  False where they lie in no such grid. */
bool dw__grids_order(const dw__edge *edge, dw__spots *black, dw__spots *white, size_t rows, size_t columns);
/* The same where nobody says how many there are.  *rows, *columns as counted */
bool dw__grids_count(const dw__edge *edge, dw__spots *black, dw__spots *white, size_t *rows, size_t *columns);
/* Where row and column meet, by the field's own spots, and how large a chip is.
 * seen  a spot lies there.  False with too few of them to tell */
bool dw__spots_place(const dw__spots *spots, size_t row, size_t column, dw__spot *out, bool *seen);

#endif
