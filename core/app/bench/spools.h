/* Inside bench/: decoding apart, and the decoded copies kept at hand. */
#ifndef POURTONE_APP_BENCH_SPOOLS_H
#define POURTONE_APP_BENCH_SPOOLS_H

#include "app/bench/photos.h"

/* Decodes the photo at path in child processes into "<folder>/<sha256>.spool"; older spools make room.
 * info  of the photo, checked.  The photos' lock is held by the caller. */
pt_status pt__spool_make(pt__photos *photos, const char *path, const char *sha256, pt_photo_info *info,
                         pt_error *err);
/* Removes every spool. */
void pt__spools_clear(pt__photos *photos);

#endif
