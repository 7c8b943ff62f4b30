/* Inside bench/: the photo folder beside the book. Photos come in by streams, are decoded once in a child
 * process, and are known by their SHA-256 only: no name from a client ever reaches the file system. */
#ifndef DROPWISE_APP_BENCH_PHOTOS_H
#define DROPWISE_APP_BENCH_PHOTOS_H

#include "dropwise/photo.h"

#include <pthread.h>

enum {
  DW__SHA_ROOM = 65,
  DW__PHOTO_BYTES_MAX = 64 << 20, /* of one photo's file */
  DW__PHOTO_MEGAPIXELS_MAX = 60
};

typedef struct dw__photos {
  char folder[3800];
  int folder_fd, lock_fd;
  pthread_mutex_t lock; /* one decoding at a time; also guards uploads */
  unsigned uploads;     /* going on */
} dw__photos;

/* Makes the folder "<book>.photos" when absent and clears what an earlier run left half done. */
dw_status dw__photos_start(dw__photos *photos, const char *book, dw_error *err);
void dw__photos_stop(dw__photos *photos);

/* A photo coming in. Errors DW_LOCKED too many at once; DW_TOO_LARGE the photo, or the folder, is full; DW_IO
 */
typedef struct dw__upload dw__upload;
dw_status dw__upload_begin(dw__photos *photos, dw__upload **out, dw_error *err);
dw_status dw__upload_put(dw__upload *upload, const void *bytes, size_t n, dw_error *err);
/* Decodes it and keeps it under its hash; the same photo again is the same. upload stays the caller's.
 * Errors those of dw_photo_open and dw_spool_fill, in words about "the photo" */
dw_status dw__upload_finish(dw__upload *upload, char sha256[DW__SHA_ROOM], dw_error *err);
/* The hash of what has come in so far. */
void dw__upload_digest(const dw__upload *upload, char sha256[DW__SHA_ROOM]);
void dw__upload_free(dw__upload *upload); /* NULL is fine; removes what was not kept */

/* A kept photo, ready for quick reading (a spool), decoded anew when it is no longer at hand.
 * Errors DW_NOT_FOUND; DW_LOCKED the bench is busy decoding others */
dw_status dw__photos_open(dw__photos *photos, const char *sha256, dw_photo **out, dw_error *err);
/* A kept photo as its file has it, for what a command finds in that file, too: a spool can't be decoded at half its size.
 * Errors as dw_photo_open */
dw_status dw__photos_decode(const dw__photos *photos, const char *sha256, dw_photo **out, dw_error *err);
/* A reduced picture as JPEG, kept for the next time. *out owned by the caller (free). */
dw_status dw__photos_preview(dw__photos *photos, const char *sha256, int side, uint8_t **out, size_t *n,
                             dw_error *err);
/* Where the photo's file lies. DW_NOT_FOUND */
dw_status dw__photos_path(const dw__photos *photos, const char *sha256, char *out, size_t room,
                          dw_error *err);

#endif
