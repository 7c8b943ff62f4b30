/* Inside bench/: photos read as swirls. */
#ifndef DROPWISE_APP_BENCH_SWIRLS_H
#define DROPWISE_APP_BENCH_SWIRLS_H

#include "app/bench/server.h"
#include "dropwise/batch_find.h"

/* Marks for a swirl's areas: the body's "areas", shapes, with the card or gray of `light`; without a layer where there
 * are none: the baits are found in that light.  *out owned by the caller (free), on error too */
dw_status dw__swirl_areas(const json_t *body, const json_t *light, dw_marks **out, dw_error *err);
/* Every bait of a kept photo as a swirl of the pattern, ready to be kept; one search at a time.
 * areas  as dw__swirl_areas has them
 * out  an array of n, dw_found_photos_free */
dw_status dw__swirl_baits(dw_bench *bench, const char *sha256, const dw_marks *areas,
                          const dw_pattern *pattern, dw_read_photo **out, size_t *n, dw_error *err);

#endif
