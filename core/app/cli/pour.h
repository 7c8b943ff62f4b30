/* What a pour was, and what it taught; filled by pour.c, said by pour_say.c. */
#ifndef POURTONE_APP_CLI_POUR_H
#define POURTONE_APP_CLI_POUR_H

#include "app/cli/book.h"

/* One layer's cup after the command. */
typedef struct cli_poured_layer {
  const pt_pattern_layer *layer;
  bool has_cup;
  pt_book_cup kept;
  pt_cup cup;     /* its drops, as bottles of the shelf */
  size_t missing; /* bottles in it that can't be predicted */
  bool has_pour, has_measured;
  pt_pour_kept pour; /* the last one */
  bool has_advice;
  char no_advice[512]; /* why none could be worked out; "" when there is nothing to say */
  pt_stop stop;
  pt_solution solution;
} cli_poured_layer;

typedef struct cli_poured {
  pt_pattern pattern;
  pt_batch batch;
  pt_shelf *shelf; /* owned */
  pt_book_shelf_info info;
  pt_slab slab;
  pt_learned learned;
  cli_photos photos;
  size_t n;
  cli_poured_layer layer[PT_PATTERN_LAYERS_MAX]; /* those that the command touched */
} cli_poured;

pt_status cli_pour_say(const cli_args *args, const cli_poured *poured, pt_error *err);

#endif
