/* What is drawn over a photo in which something was marked or found, whatever draws it. */
#ifndef REPORT_FOUND_DRAWING_H
#define REPORT_FOUND_DRAWING_H

#include "dropwise/report_found.h"

typedef enum dw__line { DW__LINE_CARD, DW__LINE_OUTLINE, DW__LINE_AXIS, DW__LINE_BORDER } dw__line;

typedef struct dw__pen {
  void *paper;
  /* n points, photo pixels; closed back to the first one or not */
  void (*line)(void *paper, dw__line kind, const double *xy, size_t n, bool closed);
  /* Around (x, y); large: a bait's number, else the name of a layer. */
  void (*label)(void *paper, double x, double y, const char *text, bool large);
} dw__pen;

/* Photo pixels of a hair line: what all sizes of lines and letters go by. */
double dw__found_unit(const dw_photo_info *photo);
/* The card's patches, then every marked layer's shape and name. */
void dw__reading_draw(const dw_photo_reading *reading, const dw__pen *pen);
/* The card's patches, then of every bait outline, axis, borders, its number and its layers' names. */
void dw__found_draw(const dw_found *found, const dw_find_wish *wish, const dw__pen *pen);

#endif
