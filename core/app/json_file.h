/* A file that a person wrote as JSON. */
#ifndef DROPWISE_APP_JSON_FILE_H
#define DROPWISE_APP_JSON_FILE_H

#include "dropwise/base.h"

#include <jansson.h>

/* *out a new reference.  Errors as dw_file_read; DW_BAD_INPUT with the line that is not JSON, or names a key
 * twice */
dw_status dw__json_load(const char *path, size_t limit_bytes, json_t **out, dw_error *err);

#endif
