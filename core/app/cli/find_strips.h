/* See-through read from a photo of strips, as the commands share it. */
#ifndef DROPWISE_APP_CLI_FIND_STRIPS_H
#define DROPWISE_APP_CLI_FIND_STRIPS_H

#include "app/cli/book.h"
#include "dropwise/read_strips.h"

typedef struct cli_strips_wish {
  dw_pattern pattern;  /* n 0: none is named */
  dw_marks *light;     /* owned: the card or gray that is marked */
  dw_find_wish find;   /* borrows from both */
  double thickness_mm; /* of the baits; NAN: not stated */
} cli_strips_wish;

/* pattern  its name, or NULL;  out  must not move; cli_strips_wish_free, on error too */
dw_status cli_strips_wish_from(const cli_args *args, const char *pattern, cli_strips_wish *out,
                               dw_error *err);
void cli_strips_wish_free(cli_strips_wish *wish);
void cli_strips_text(const dw_strips *strips, const cli_strips_wish *wish, dw_text *out);
/* A new reference, NULL when out of memory. */
json_t *cli_strips_json(const dw_strips *strips, const cli_strips_wish *wish);
/* find --strips */
dw_status cli_find_strips(const cli_args *args, dw_error *err);
/* pattern see-through NAME --photo PHOTO: every layer's wish is what the photo shows. */
dw_status cli_pattern_strips(const cli_args *args, dw_error *err);

#define CLI_SWIRL_OPTION                                                                                     \
  {                                                                                                          \
    "--swirl", "N",                                                                                          \
        "baits are swirls of 2, 3 or any number of colors without order: the share of each, and its color"   \
  }
/* Whether photos can be read as swirls of the pattern's layers, as many as --swirl says where it is given. */
dw_status cli_swirl_colors(const cli_args *args, const dw_pattern *pattern, dw_error *err);
/* Pictures and marks are of layers.  Errors DW_USAGE one is wished for */
dw_status cli_swirl_files_check(const cli_args *args, dw_error *err);
/* Reads the photo that the command names as swirls, found or marked, and reports them; --pattern's layers are their
 * colors. */
dw_status cli_find_swirl(const cli_args *args, dw_error *err);

#endif
