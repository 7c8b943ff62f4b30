/* Inside bench/: the photo folder beside the book. Photos come in by streams, are decoded once in a child
 * process, and are known by their SHA-256 only: no name from a client ever reaches the file system. */
#ifndef POURTONE_APP_BENCH_PHOTOS_H
#define POURTONE_APP_BENCH_PHOTOS_H

#include "pourtone/photo.h"

#include <pthread.h>

enum {
  PT__SHA_ROOM = 65,
  PT__PHOTO_BYTES_MAX = 64 << 20, /* of one photo's file */
  PT__PHOTO_MEGAPIXELS_MAX = 60
};

typedef struct pt__photos {
  char folder[3800];
  int folder_fd, lock_fd;
  pthread_mutex_t lock; /* one decoding at a time; also guards uploads */
  unsigned uploads;     /* going on */
} pt__photos;

/* Makes the folder "<book>.photos" when absent and clears what an earlier run left half done. */
pt_status pt__photos_start(pt__photos *photos, const char *book, pt_error *err);
void pt__photos_stop(pt__photos *photos);

/* A photo coming in. Errors PT_LOCKED too many at once; PT_TOO_LARGE the photo, or the folder, is full; PT_IO
 */
typedef struct pt__upload pt__upload;
pt_status pt__upload_begin(pt__photos *photos, pt__upload **out, pt_error *err);
pt_status pt__upload_put(pt__upload *upload, const void *bytes, size_t n, pt_error *err);
/* Decodes it and keeps it under its hash; the same photo again is the same. upload stays the caller's.
 * Errors those of pt_photo_open and pt_spool_fill, in words about "the photo" */
pt_status pt__upload_finish(pt__upload *upload, char sha256[PT__SHA_ROOM], pt_error *err);
/* The hash of what has come in so far. */
void pt__upload_digest(const pt__upload *upload, char sha256[PT__SHA_ROOM]);
void pt__upload_free(pt__upload *upload); /* NULL is fine; removes what was not kept */

/* A kept photo, ready for quick reading (a spool), decoded anew when it is no longer at hand.
 * Errors PT_NOT_FOUND; PT_LOCKED the bench is busy decoding others */
pt_status pt__photos_open(pt__photos *photos, const char *sha256, pt_photo **out, pt_error *err);
/* A reduced picture as JPEG, kept for the next time. *out owned by the caller (free). */
pt_status pt__photos_preview(pt__photos *photos, const char *sha256, int side, uint8_t **out, size_t *n,
                             pt_error *err);
/* Where the photo's file lies. PT_NOT_FOUND */
pt_status pt__photos_path(const pt__photos *photos, const char *sha256, char *out, size_t room,
                          pt_error *err);

#endif
