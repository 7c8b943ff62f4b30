/* The parts of `dropwise bottle` that stand in files of their own. */
#ifndef DROPWISE_APP_CLI_BOTTLE_H
#define DROPWISE_APP_CLI_BOTTLE_H

#include "app/cli/book.h"

/* Every --photo: by its marks, or as a sheet whose rows --row names.  *out by cli_photos_free, on error too */
dw_status cli_sheets_read(const cli_args *args, cli_photos *out, dw_error *err);
dw_status cli_bottle_chips(const cli_args *args, dw_error *err);
dw_status cli_bottle_fit(const cli_args *args, dw_error *err);

#endif
