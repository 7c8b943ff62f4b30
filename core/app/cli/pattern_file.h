/* A pattern's layers with their targets, and cups where known, from a file.
 * File form: JSON, docs/file-formats.md#patterns */
#ifndef DROPWISE_APP_CLI_PATTERN_FILE_H
#define DROPWISE_APP_CLI_PATTERN_FILE_H

#include "dropwise/report.h"

/* Fills out->n and out->layer from the pattern of that name (NULL: the file's only one).
 * out->shelf must be set: cups name its bottles. A layer without a cup gets an empty one of out->layer[0]'s
 * volume and capacity as set by the caller. Errors DW_NOT_FOUND, DW_BAD_INPUT with what is missing */
dw_status cli_targets_load(const char *path, const char *pattern, dw_advice_request *out, dw_error *err);

#endif
