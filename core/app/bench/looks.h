/* Inside bench/: a kept photo read by its marks, as what the book keeps of a look. */
#ifndef DROPWISE_APP_BENCH_LOOKS_H
#define DROPWISE_APP_BENCH_LOOKS_H

#include "app/bench/server.h"
#include "dropwise/batch.h"

/* Reads every marked layer. out  the caller's, dw_read_photo_free; large: on the heap, zeroed
 * Errors as dw_flow_read, DW_NOT_FOUND no such photo, DW_USAGE no layer is marked */
dw_status dw__look_read(dw_bench *bench, const char *sha256, const json_t *marks, dw_read_photo *out,
                        dw_error *err);
/* Opens a kept photo, and fills what the book asks of it besides its marks. photo  the caller's to close, on error
 * too;  out  zeroed */
dw_status dw__look_describe(dw_bench *bench, const char *sha256, dw_photo **photo, dw_read_photo *out,
                            dw_error *err);
/* A photo that the command line read, taken in from where the book says it lay, if it is still the same file.
 * Errors DW_NOT_FOUND */
dw_status dw__look_fetch(dw_bench *bench, const char *sha256, dw_error *err);
/* Keeps a photo's hash, place and small preview in the book, so that work can refer to it. */
dw_status dw__look_keep_photo(dw_bench *bench, const char *sha256, int64_t *id, dw_error *err);

#endif
