/* What a pour was, and what it taught; filled by pour.c, said by pour_say.c. */
#ifndef DROPWISE_APP_CLI_POUR_H
#define DROPWISE_APP_CLI_POUR_H

#include "app/cli/drizzle.h"
#include "dropwise/batch_heat.h"

/* One layer's cup after the command. */
typedef struct cli_poured_layer {
  const dw_pattern_layer *layer;
  bool has_cup;
  dw_book_cup kept;
  dw_cup cup;     /* its drops, as bottles of the shelf */
  size_t missing; /* bottles in it that can't be predicted */
  bool has_pour, has_measured;
  dw_pour_kept pour;           /* the last one; measured by its trusted readings, else by all */
  dw_set_aside aside;          /* readings of it that nothing was learned from */
  const dw_advice *advice;     /* the first one, of a cup that was measured; NULL: none */
  const dw_layer_state *state; /* of the layer it is for */
  const dw_layer *asked;       /* that layer, as it was asked for */
  const char *aim;             /* what its distances are to */
} cli_poured_layer;

typedef struct cli_poured {
  dw_pattern pattern;
  dw_batch batch;
  dw_shelf *shelf; /* owned */
  dw_book_shelf_info info;
  dw_slab slab;
  dw_learned learned;
  char warning[2 * DW_NOTE_TEXT]; /* of what was typed; "" */
  dw_heat_spread heat;            /* of the batch's cups, where a temperature was typed; words "" else */
  cli_photos photos;
  cli_drizzled *drizzled; /* owned; NULL: none */
  dw_plugins plugins;
  dw_batch_advice *advised;         /* of the cups to fill; owned */
  dw_batch_advice *advice;          /* of the cups as they are; owned */
  bool read[DW_PATTERN_LAYERS_MAX]; /* the batch's layers that were measured */
  char no_advice[512];              /* why none could be had; "" */
  size_t n;
  cli_poured_layer layer[DW_PATTERN_LAYERS_MAX]; /* those that the command touched */
} cli_poured;

dw_status cli_pour_say(const cli_args *args, const cli_poured *poured, dw_error *err);

/* Marks the batch good, or not; one that is far from its targets only with --force, and says so. */
dw_status cli_pour_good(const cli_args *args, dw_book *book, cli_poured *poured, dw_error *err);
/* Begins or adds to the layer's cup; *cup 0 when the command says nothing of one and there is none. */
dw_status cli_pour_cup(const cli_args *args, dw_book *book, int64_t batch, int64_t layer, int64_t *cup,
                       cli_poured *poured, dw_error *err);
/* "orange=12;brown=4", each part an addition; the bottles are the book's own, or the starter shelf's. */
dw_status cli_pour_drops(dw_book *book, int64_t cup, const char *text, dw_error *err);
/* Degrees as typed, with their unit or in that of the style; else as dw_heat_check. */
dw_status cli_temperature(const cli_args *args, const char *text, double *fahrenheit, char *warning,
                          size_t room, dw_error *err);
/* Notes --temperature of a cup as it is now. */
dw_status cli_cup_temperature(const cli_args *args, dw_book *book, int64_t cup, char *warning, size_t room,
                              dw_error *err);
/* Asks what fresh cups are to hold: before anything is written, since plugins take their time. */
dw_status cli_pour_ask(const cli_args *args, cli_poured *poured, dw_error *err);
/* Fresh cups of the batch with what is advised: of one layer, or of all (NULL). */
dw_status cli_pour_advised(const cli_args *args, dw_book *book, cli_poured *poured,
                           const dw_pattern_layer *only, dw_error *err);

#endif
