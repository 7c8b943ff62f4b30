/* Inside card/: steps of the search for a card: flat spots, lattices of them, the card laid on a lattice. */
#ifndef DROPWISE_CARD_FIND_INNER_H
#define DROPWISE_CARD_FIND_INNER_H

#include "dropwise/card_find.h"
#include "dropwise/numeric.h"

/* A flat spot with the second moments of a parallelogram. */
typedef struct dw__flat {
  double x, y, area;
  double metric[3]; /* xx, xy, yy: the square of a distance in units of the spot's own sides */
} dw__flat;
/* Length of a step by the spot's own sides: 1 to a touching neighbor, in any view. */
double dw__flat_length(const dw__flat *flat, double dx, double dy);

typedef struct dw__flats {
  size_t n, room;
  dw__flat *flat; /* by x, ascending; owned */
} dw__flats;
/* Spots no larger than an even share of the picture for each patch.  Errors DW_NO_MEMORY */
dw_status dw__flats_find(const dw_preview *view, size_t patches, dw__flats *out, dw_error *err);
void dw__flats_free(dw__flats *flats);

/* Flat spots that stand as the cells of one projective grid. */
enum { DW__LATTICE_REACH = 48, DW__LATTICE_SIDE = 2 * DW__LATTICE_REACH + 1 };
typedef struct dw__lattice {
  size_t n;
  int16_t cell[DW__LATTICE_SIDE][DW__LATTICE_SIDE]; /* [j][i]: a flat's index, or -1 */
  int low[2], high[2];                              /* extent in cells; i, j run from -REACH to REACH */
  dw_homography map; /* cell i, j to picture pixels, the turn from i to j as from x to y */
} dw__lattice;
/* Cells that a lattice needs and may have, and where growing it ends. */
typedef struct dw__lattice_size {
  size_t least, most, grown; /* grown: at most 3 * DW_CARD_PATCHES_MAX */
} dw__lattice_size;
/* Called for each lattice that was not met before. Any other status than DW_OK ends it. */
typedef dw_status dw__lattice_visit(void *ctx, const dw__lattice *lattice, dw_error *err);
dw_status dw__lattices_visit(const dw__flats *flats, const dw__lattice_size *size, dw__lattice_visit *visit,
                             void *ctx, dw_error *err);

/* The card laid on a lattice. */
typedef struct dw__laying {
  dw_corners corners; /* picture pixels */
  double match;       /* share of the variance of the card's colors that the picture explains */
  bool mirrored, cut;
} dw__laying;
enum { DW__LAYINGS = 6 };
typedef struct dw__layings {
  size_t n;
  dw__laying laying[DW__LAYINGS]; /* best match first */
} dw__layings;
/* Colors that a picture shows of the card: less than this share explained is no card. */
#define DW__MATCH_LEAST 0.70
/* Lattices that the card may be: half of its patches are seen, and not much more stands in line with them. */
dw__lattice_size dw__card_lattice(const dw_card *card);
/* Lays the card on the lattice in every way, keeps what matches best. */
void dw__card_lay(const dw_preview *view, const dw_card *card, const dw__lattice *lattice, dw__layings *best);

/* Fits the laying anew to the flats at its own patches only: what else stands in line with them on a mat or
 * on tiles would draw it aside.  Errors as dw_homography_fit_many */
dw_status dw__laying_refine(const dw__flats *flats, const dw_card *card, dw__laying *laying, dw_error *err);

/* The photo reduced to the size that the search was measured with.  Errors as dw_photo_preview */
dw_status dw__find_view(dw_photo *photo, dw_arena *arena, dw_preview *out, dw_error *err);
/* Picture pixels to photo pixels; both have the center of their first pixel at 0. */
void dw__corners_to_photo(const dw_preview *view, const dw_corners *from, dw_corners *out);

/* Whether the picture's own colors at these corners are the card's.  Errors as dw_light_card */
dw_status dw__laying_judge(const dw_preview *view, const dw_card *card, const dw_corners *corners,
                           dw_error *err);

#endif
