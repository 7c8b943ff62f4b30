/* A cup's color at a bait's thickness, told from a film of it over white whose thickness nobody knows.
 * Method and figures: docs/drizzle.md#from-a-film-to-a-bait */
#ifndef DROPWISE_MIX_FILM_H
#define DROPWISE_MIX_FILM_H

#include "dropwise/mix.h"

/* Beyond this doubt a color says too little about a cup to correct it by. */
#define DW_FILM_DOUBT_MOST_DE00 3.0

/* What was seen of the film. */
typedef struct dw_film_look {
  dw_lab lab;
  double doubt_de00; /* of lab, one standard deviation */
  double table;      /* reflectance of what it lies on, 0..1, in contact with it */
} dw_film_look;

typedef enum dw_film_verdict {
  DW_FILM_TOLD,
  DW_FILM_UNFITTED, /* no chips tell of one of its bottles: nothing below is known */
  DW_FILM_OTHER,    /* no thickness of these drops looks so */
  DW_FILM_UNSURE,   /* told with more doubt than DW_FILM_DOUBT_MOST_DE00: too thin, or too much stays open */
  DW_FILM_SILENT    /* it says hardly more than the drops do without it */
} dw_film_verdict;

typedef struct dw_film {
  dw_film_verdict verdict;
  double thickness_mm, thinnest_mm, thickest_mm; /* of the film; one standard deviation to either side */
  double off_de00; /* of the film from its drops at the thickness that comes nearest */
  dw_lab lab;      /* at the bait's thickness and over its backing */
  double doubt_de00;
  dw_lab predicted; /* the same by the drops alone */
  double predicted_doubt_de00;
  double evidence; /* ln of how well the drops explain the film: to tell cups apart by */
} dw_film;

const char *
dw_film_verdict_text(dw_film_verdict verdict); /* "told", "unfitted", "other", "unsure", "silent" */

/* loadings  of the cup, drops per fl oz
 * bait      what the color is wanted for
 * Errors    as dw_predict; DW_BAD_INPUT a table that is not 0..1 */
dw_status dw_film_judge(const dw_shelf *shelf, const dw_recipe *loadings, const dw_slab *bait,
                        const dw_film_look *look, dw_film *out, dw_error *err);

#endif
