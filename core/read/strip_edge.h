/* The straight edge between a black and a white strip. */
#ifndef READ_STRIP_EDGE_H
#define READ_STRIP_EDGE_H

#include "dropwise/photo.h"

/* Pixels (x, y) of a patch with nx x + ny y < c lie on the black strip. */
typedef struct dw__edge {
  double nx, ny, c;
} dw__edge;

static inline double dw__edge_away(const dw__edge *edge, double x, double y) {
  return edge->nx * x + edge->ny * y - edge->c;
}

/* Errors DW_NOT_FOUND, DW_NO_MEMORY */
dw_status dw__edge_find(const dw_patch *photo, const char *name, dw__edge *out, dw_error *err);

#endif
