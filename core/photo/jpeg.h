/* Inside photo/: one JPEG decoder with its source, limits and error handling. */
#ifndef POURTONE_PHOTO_JPEG_H
#define POURTONE_PHOTO_JPEG_H

#include "photo/decode.h"
#include "photo/guard.h"

#include <jpeglib.h>

enum {
  JPEG_BUFFER_BYTES = 65536,
  /* What the header may take in memory; a color profile is at most a few MiB. Skipped markers don't count. */
  JPEG_HEADER_BYTES_MAX = 8 << 20,
  /* A usual progressive photo has 10 scans; each costs a pass over the whole picture. */
  JPEG_SCANS_MAX = 60
};

typedef struct pt__jpeg {
  struct jpeg_decompress_struct cinfo;
  struct jpeg_error_mgr errors;
  struct jpeg_source_mgr source;
  struct jpeg_progress_mgr progress;
  pt__guard guard;
  pt_photo *photo;
  const pt__job *job; /* NULL while only the header is read */
  pt__header *header; /* where the header goes, else NULL */
  pt_error *err;
  pt_status status;
  bool in_header;
  size_t header_left; /* bytes the header may still take */
  bool cut;           /* the file ended before the picture did */
  bool damaged;       /* the coded picture is broken at or above the current row */
  bool icc_broken;
  char warning[JMSG_LENGTH_MAX]; /* the first one */
  uint8_t *exif;                 /* in cinfo's memory */
  size_t exif_bytes;
  JOCTET buffer[JPEG_BUFFER_BYTES];
} pt__jpeg;

/* Runs work on a fresh decoder at the file's begin and frees it. What work finds wrong it words through
 * pt__jpeg_stop. */
pt_status pt__jpeg_run(pt__jpeg *jpeg, void (*work)(void *jpeg));
/* Leaves the work with an error already worded in jpeg->err. */
static inline _Noreturn void pt__jpeg_stop(pt__jpeg *jpeg, pt_status status) {
  jpeg->status = status;
  pt__guard_leave(&jpeg->guard);
}

/* jpeg_read_header, within the header's limit. */
void pt__jpeg_read_header(pt__jpeg *jpeg);

/* Work for pt__jpeg_run: delivers jpeg->job's rows. */
void pt__jpeg_rows(void *jpeg);

void pt__jpeg_source_init(pt__jpeg *jpeg);
/* Keeps the EXIF block of the header in jpeg->exif; other APP1 markers are passed over without a copy. */
void pt__jpeg_source_keep_exif(pt__jpeg *jpeg);
/* Reads on to the end-of-image marker; false when the file ends without one. */
bool pt__jpeg_source_find_end(pt__jpeg *jpeg);

#endif
