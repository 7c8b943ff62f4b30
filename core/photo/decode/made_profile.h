/* Color profiles made from bare numbers, which some files carry instead of one. */
#ifndef DROPWISE_PHOTO_DECODE_MADE_PROFILE_H
#define DROPWISE_PHOTO_DECODE_MADE_PROFILE_H

#include "photo/decode.h"

/* The curve from a stored number to light, as LittleCMS numbers ICC's parametric curves: type 1 is a power,
 * type 4 a power with a straight begin. */
typedef struct dw__curve {
  int type;
  double parameter[5];
} dw__curve;

/* Sets header->icc; left NULL when memory is out or the numbers make no profile.
 * xy  white, red, green, blue */
void dw__profile_make(dw__header *header, const dw__curve *curve, const double xy[8]);

/* From the code points of ITU-T H.273: sRGB is named as such, other known curves with primaries make a
 * profile, unknown ones are noted and left.
 * xy  of the primaries, 0 where unknown
 * Errors DW_UNSUPPORTED light that goes far beyond white (PQ, HLG) */
dw_status dw__profile_from_codes(dw_photo *photo, dw__header *header, int primaries, int transfer,
                                 const double xy[8], dw_error *err);

#endif
