/* The tone of a layer that came in a pattern's file. */
#ifndef DROPWISE_BATCH_TONE_READ_H
#define DROPWISE_BATCH_TONE_READ_H

#include "dropwise/book.h"
#include "dropwise/json.h"

/* Gives the layer that tone, which is added to the book unless it has one of that name and these colors; under
 * another name where the name means other colors here.  In a transaction.
 * json  {"name", "note", "invented", "colors": [[L, a, b] ...]}, or null */
dw_status dw__tone_read(dw_book *book, const json_t *json, int64_t layer, dw_error *err);

#endif
