/* The parts of `dropwise pattern` that stand in files of their own. */
#ifndef DROPWISE_APP_CLI_PATTERN_H
#define DROPWISE_APP_CLI_PATTERN_H

#include "app/cli/book.h"
#include "dropwise/batch_travel.h"

dw_status cli_pattern_export(const cli_args *args, dw_error *err);
dw_status cli_pattern_import(const cli_args *args, dw_error *err);

#endif
