/* The view in square cells, of which the board is made out. */
#ifndef BAIT_CELLS_H
#define BAIT_CELLS_H

#include "bait/view.h"

typedef struct dw__cells {
  int columns, rows;
  size_t n;
  float *lab;     /* n x 3 medians, then the board there: view->cell */
  float *surface; /* n x 3: the board as a smooth surface has it */
  float *spread;  /* n: how far a cell's own pixels typically lie off their median */
  int *part;      /* n: which connected area of plain cells, 1 and on; 0 none */
  int parts;
  int *queue; /* n */
  uint8_t *board;
} dw__cells;

/* Cells of one board differ from their neighbors by less than this, about CIEDE2000. */
#define DW__CELL_STEP 3.5f
/* A plain cell's own pixels typically lie within this of their median. */
#define DW__PLAIN_SPREAD 4.0f
/* Cells beyond this of what the board should be there are not believed to be board. */
#define DW__CELL_BEYOND 7.0f

/* ---- levels.c: a board under light of several levels, as where a shadow with an edge lies over a part of it ---- */

/* Adds to the board the parts that are board under another light.  which  the part that is the board
 * Errors DW_NO_MEMORY */
dw_status dw__levels_join(const dw__view *view, dw__cells *c, int which, dw_error *err);
/* Adds to the board what of it was kept (n, of cells), lies off the surface but not off the cells around, and reaches the
 * frame's edge.  added  how many cells.  Errors DW_NO_MEMORY */
dw_status dw__levels_add(const dw__view *view, dw__cells *c, const uint8_t *kept, size_t *added,
                         dw_error *err);
/* c->lab becomes the board at each cell: the median of the board's cells around, which keeps a shadow's edge.
 * Errors DW_NO_MEMORY */
dw_status dw__levels_fill(const dw__view *view, dw__cells *c, dw_error *err);

#endif
