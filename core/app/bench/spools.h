/* Inside bench/: decoding apart, and the decoded copies kept at hand. */
#ifndef DROPWISE_APP_BENCH_SPOOLS_H
#define DROPWISE_APP_BENCH_SPOOLS_H

#include "app/bench/photos.h"

/* Decodes the photo at path (apart, as any photo) into "<folder>/<sha256>.spool"; older spools make room.
 * info  of the photo, checked.  The photos' lock is held by the caller. */
dw_status dw__spool_make(dw__photos *photos, const char *path, const char *sha256, dw_photo_info *info,
                         dw_error *err);
/* Removes every spool. */
void dw__spools_clear(dw__photos *photos);

#endif
