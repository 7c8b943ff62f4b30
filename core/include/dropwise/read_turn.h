/* A bait turned in the light: how far its color travels with the angle. docs/effects.md#pearl-and-color-shift */
#ifndef DROPWISE_READ_TURN_H
#define DROPWISE_READ_TURN_H

#include "dropwise/read_find.h"

enum { DW_TURN_PHOTOS_MAX = 3 };

/* The chance below which what was seen is no plain bait's. */
#define DW_TRAVEL_CHANCE 0.01

typedef enum dw_travel_verdict {
  DW_TRAVEL_UNCLEAR, /* can't be judged; words say why */
  DW_TRAVEL_STEADY,  /* no travel beyond what these photos can tell */
  DW_TRAVEL_TRAVELS
} dw_travel_verdict;

/* What is known of one layer in one photo. */
typedef struct dw_turn_view {
  dw_lab lab;
  double own_de00;   /* doubt of the reading without its light, one standard deviation */
  double light_de00; /* what the light adds to it */
  bool lit;          /* by a card or a gray: colors of several photos compare */
} dw_turn_view;

typedef struct dw_travel {
  size_t from, to; /* the two views between which it travels farthest, beside the doubt */
  double de00, doubt_de00;
  double dl, dc, dh;             /* signed terms of CIEDE2000, from .. to */
  double hue_deg, hue_doubt_deg; /* signed, counter-clockwise; NAN where one of the two has no sure hue */
  double p; /* chance of so much on a plain bait, glossy and lit unevenly; 1 when unclear */
  dw_travel_verdict verdict;
  char words[DW_NOTE_TEXT]; /* a sentence */
} dw_travel;

/* views   n of the same layer, one an angle
 * repeat  n x n, row-major: how far one and the same color reads from itself in photos i and j, CIEDE2000; NAN
 *         where that is not known: then both lights' doubts count in full.  May be NULL: known of none
 * Errors  DW_BAD_INPUT n is 0 or above DW_TURN_PHOTOS_MAX */
dw_status dw_travel_judge(const dw_turn_view *views, size_t n, const double *repeat, dw_travel *out,
                          dw_error *err);
const char *dw_travel_verdict_text(dw_travel_verdict verdict); /* "travels", "steady", "unclear"; static */

typedef struct dw_turn_layer {
  char name[DW_LAYER_NAME_ROOM];
  dw_layer_reading at[DW_TURN_PHOTOS_MAX]; /* one a photo */
  dw_travel travel;
} dw_turn_layer;

typedef struct dw_turn {
  size_t photos, n;
  dw_photo_reading photo[DW_TURN_PHOTOS_MAX]; /* path, photo, light and card; no layers */
  char sha256[DW_TURN_PHOTOS_MAX][DW_SHA256_ROOM];
  dw_turn_layer layer[DW_READ_LAYERS_MAX];
  dw_notes notes;
} dw_turn;

/* Reads one bait in each of n photos (1 to DW_TURN_PHOTOS_MAX) and judges each layer's travel.
 * marks   n, one a photo, or NULL; where the first marks no layer, none does: the one bait of each photo is found, in the
 *         light that its marks name
 * wish    what is found then
 * out     large: on the heap; unchanged on error
 * Errors  as dw_flow_read and dw_find_read; DW_NOT_FOUND no bait; DW_BAD_INPUT more than one bait in a photo, other
 *         layers in one than in another, the same photo twice */
dw_status dw_turn_read(const char *const *paths, size_t n, const dw_marks *marks, const dw_find_wish *wish,
                       dw_turn *out, dw_error *err);
/* A layer's travel beside that of the same layer read before. */
typedef struct dw_travel_against {
  bool known, apart;                 /* apart: they differ beyond two deviations */
  double de00, doubt_de00;           /* of the other */
  double more_de00, more_doubt_de00; /* this less the other */
  char words[DW_NOTE_TEXT];
} dw_travel_against;
/* A travel and its doubt (NAN: none) beside another, whose de00 and doubt_de00 are in out already.
 * other  what the words call it, as in "the target" */
void dw_travel_compare(double de00, double doubt_de00, const char *other, dw_travel_against *out);
/* path  what dw_json_turn gave for the other bait, as a file
 * out   turn->n
 * Errors  as dw_json_load; DW_BAD_INPUT it has not all of the layers */
dw_status dw_turn_against(const dw_turn *turn, const char *path, dw_travel_against *out, dw_error *err);

/* against  turn->n, or NULL.  As JSON (docs/file-formats.md#json): a new reference, or NULL when out of memory. */
json_t *dw_json_turn(const dw_turn *turn, const dw_travel_against *against);

#endif
