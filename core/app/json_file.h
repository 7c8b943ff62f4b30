/* A file that a person wrote as JSON. */
#ifndef POURTONE_APP_JSON_FILE_H
#define POURTONE_APP_JSON_FILE_H

#include "pourtone/base.h"

#include <jansson.h>

/* *out a new reference.  Errors as pt_file_read; PT_BAD_INPUT with the line that is not JSON, or names a key
 * twice */
pt_status pt__json_load(const char *path, size_t limit_bytes, json_t **out, pt_error *err);

#endif
