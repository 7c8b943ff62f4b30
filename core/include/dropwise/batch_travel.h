/* Colors that travel: a pattern as one file for another book, and layers of one pattern used in another.
 *
 * What was good goes along: the last good cup of each layer becomes a good batch of the new pattern, so that
 * it is proposed, judged and corrected there as any other. But only where its bottles are the very same ones:
 * a bottle is known by what its drops look like, never by its name alone. */
#ifndef DROPWISE_BATCH_TRAVEL_H
#define DROPWISE_BATCH_TRAVEL_H

#include "dropwise/batch.h"
#include "dropwise/json.h"

enum { DW_PATTERN_FILE_MAX_BYTES = 16 << 20 };
/* How near two bottles' swatches (dw_swatch_look_at) of so many drops per fl oz must be, over white and over
 * black, to be of the same bottle, CIEDE2000. */
#define DW_SAME_BOTTLE_LOADING 4.0
#define DW_SAME_BOTTLE_DE00 0.05

/* ---- as one file (docs/file-formats.md#pattern-file) --------------------------------------------------- */

/* Targets with doubt and photo preview, see-through, tones and good cups. Within a transaction.
 * shelf  the book's;  with_chips  the chips of the good cups' bottles too
 * out    a new reference */
dw_status dw_pattern_export(dw_book *book, const dw_pattern *pattern, const dw_shelf *shelf, bool with_chips,
                            json_t **out, dw_error *err);

typedef struct dw_pattern_import {
  const char *file;  /* for messages and as the place of its photos */
  const char *name;  /* of the pattern in this book; NULL: its own */
  bool with_bottles; /* bottles that are not on the shelf are added, with the chips that came */
} dw_pattern_import;
typedef struct dw_pattern_arrived {
  int64_t pattern;
  size_t chips;      /* added; a fit makes spectra of them */
  char bottles[256]; /* added: "white-2, rust"; "" */
  dw_notes notes;    /* what did not come along, and why */
} dw_pattern_arrived;
/* All of it or, on error, nothing (roll back then). In a transaction.
 * Errors DW_BAD_INPUT what is wrong, and where; there is a pattern of that name */
dw_status dw_pattern_import_json(dw_book *book, const json_t *root, const dw_shelf *shelf,
                                 const dw_pattern_import *how, dw_pattern_arrived *out, dw_error *err);

/* ---- in the same book ---------------------------------------------------------------------------------- */

/* A layer of a new pattern. */
typedef struct dw_layer_source {
  const char *name;
  const dw_pattern *pattern; /* whose layer it takes over; NULL: a new one without a target */
  size_t layer;
} dw_layer_source;
/* A pattern whose layers take over target, see-through, tone and the last good cup of others. In a
 * transaction.
 * notes  what was not taken over, and why.  Errors as dw_pattern_add */
dw_status dw_pattern_add_from(dw_book *book, const char *name, const char *note,
                              const dw_layer_source *layers, size_t n, const dw_shelf *shelf, int64_t *id,
                              dw_notes *notes, dw_error *err);

#endif
