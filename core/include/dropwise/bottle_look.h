/* How a bottle looks by itself, and how far it hides. */
#ifndef DROPWISE_BOTTLE_LOOK_H
#define DROPWISE_BOTTLE_LOOK_H

#include "dropwise/mix.h"

enum { DW_SWATCHES = 3 };
#define DW_SWATCH_MM 3.0      /* over white, and over black */
#define DW_HIDING_LOADING 4.0 /* drops per fl oz, a usual amount */
#define DW_HIDING_MM 10.0     /* a bait's thickness */

/* The bottle alone in clear base. */
typedef struct dw_swatch {
  double loading; /* drops per fl oz */
  dw_lab lab, over_black;
  double see_through;
} dw_swatch;
/* Errors as dw_predict */
dw_status dw_swatch_look_at(const dw_shelf *shelf, size_t bottle, double loading, dw_swatch *out,
                            dw_error *err);

typedef struct dw_bottle_look {
  dw_swatch swatch[DW_SWATCHES]; /* 0.5, 2, 8 drops per fl oz */
  double hiding; /* contrast ratio at DW_HIDING_LOADING and DW_HIDING_MM: 0 clear, 1 solid (ISO 6504-3) */
} dw_bottle_look;

/* Errors as dw_predict */
dw_status dw_bottle_look_at(const dw_shelf *shelf, size_t bottle, dw_bottle_look *out, dw_error *err);

#endif
