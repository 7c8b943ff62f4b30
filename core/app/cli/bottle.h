/* The parts of `dropwise bottle` that stand in files of their own. */
#ifndef DROPWISE_APP_CLI_BOTTLE_H
#define DROPWISE_APP_CLI_BOTTLE_H

#include "app/cli/book.h"

/* Prints a bottle when status is DW_OK; commits and closes the book. */
dw_status cli_bottle_say(const cli_args *args, dw_book *book, dw_status status, const char *slug,
                         dw_error *err);
dw_status cli_bottle_chips(const cli_args *args, dw_error *err);
dw_status cli_bottle_fit(const cli_args *args, dw_error *err);

#endif
