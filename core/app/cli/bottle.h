/* The parts of `pourtone bottle` that stand in files of their own. */
#ifndef POURTONE_APP_CLI_BOTTLE_H
#define POURTONE_APP_CLI_BOTTLE_H

#include "app/cli/book.h"

/* Prints a bottle when status is PT_OK; commits and closes the book. */
pt_status cli_bottle_say(const cli_args *args, pt_book *book, pt_status status, const char *slug,
                         pt_error *err);
pt_status cli_bottle_chips(const cli_args *args, pt_error *err);
pt_status cli_bottle_fit(const cli_args *args, pt_error *err);

#endif
