/* Inside bench/: a kept photo read by its marks, as what the book keeps of a look. */
#ifndef POURTONE_APP_BENCH_LOOKS_H
#define POURTONE_APP_BENCH_LOOKS_H

#include "app/bench/server.h"
#include "app/keep.h"

/* Reads every marked layer. out  the caller's, pt__read_photo_free; large: on the heap, zeroed
 * Errors as pt__flow_read, PT_NOT_FOUND no such photo, PT_USAGE no layer is marked */
pt_status pt__look_read(pt_bench *bench, const char *sha256, const json_t *marks, pt_read_photo *out,
                        pt_error *err);
/* A photo that the command line read, taken in from where the book says it lay, if it is still the same file.
 * Errors PT_NOT_FOUND */
pt_status pt__look_fetch(pt_bench *bench, const char *sha256, pt_error *err);
/* Keeps a photo's hash, place and small preview in the book, so that work can refer to it. */
pt_status pt__look_keep_photo(pt_bench *bench, const char *sha256, int64_t *id, pt_error *err);

#endif
