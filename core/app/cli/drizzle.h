/* Drops on a white table, as drizzle reads them and pour keeps them. */
#ifndef DROPWISE_APP_CLI_DRIZZLE_H
#define DROPWISE_APP_CLI_DRIZZLE_H

#include "app/cli/book.h"
#include "dropwise/batch_drizzle.h"

#define CLI_ORDER_OPTION                                                                                     \
  {                                                                                                          \
    "--order", "NAME,NAME,...",                                                                              \
        "of drops: whose lie where, from the left or from the top; default the pattern's order"              \
  }

typedef struct cli_drizzled cli_drizzled;
/* Reads the photo of --drizzle; *out NULL without one, else cli_drizzled_free, on error too. */
dw_status cli_drizzled_read(const cli_args *args, const char *pattern, cli_drizzled **out, dw_error *err);
/* Keeps what the drops tell of the batch's cups, which hold by now what the call says.  d  or NULL
 * Errors  as dw_drops_keepable */
dw_status cli_drizzled_keep(const cli_args *args, dw_book *book, const dw_pattern *pattern, int64_t batch,
                            const dw_shelf *shelf, const dw_slab *slab, cli_drizzled *d, dw_error *err);
void cli_drizzled_say(const cli_drizzled *d, dw_text *out);
json_t *cli_drizzled_json(const cli_drizzled *d, json_t *all); /* all, with "drizzle" */
void cli_drizzled_free(cli_drizzled *d);

#endif
