/* A pattern's layers with their targets, and cups where known, from a file.
 * File form: JSON, docs/file-formats.md#patterns */
#ifndef POURTONE_APP_TARGETS_H
#define POURTONE_APP_TARGETS_H

#include "pourtone/report.h"

/* Fills out->n and out->layer from the pattern of that name (NULL: the file's only one).
 * out->shelf must be set: cups name its bottles. A layer without a cup gets an empty one of out->layer[0]'s
 * volume and capacity as set by the caller. Errors PT_NOT_FOUND, PT_BAD_INPUT with what is missing */
pt_status pt__targets_load(const char *path, const char *pattern, pt_advice_request *out, pt_error *err);

#endif
