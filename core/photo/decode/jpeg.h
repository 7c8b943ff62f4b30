/* Inside photo/: one JPEG decoder with its source, limits and error handling. */
#ifndef DROPWISE_PHOTO_DECODE_JPEG_H
#define DROPWISE_PHOTO_DECODE_JPEG_H

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

typedef struct dw__jpeg {
  struct jpeg_decompress_struct cinfo;
  struct jpeg_error_mgr errors;
  struct jpeg_source_mgr source;
  struct jpeg_progress_mgr progress;
  dw__guard guard;
  dw_photo *photo;
  const dw__job *job; /* NULL while only the header is read */
  dw__header *header; /* where the header goes, else NULL */
  dw_error *err;
  dw_status status;
  bool in_header;
  size_t header_left; /* bytes the header may still take */
  bool cut;           /* the file ended before the picture did */
  bool damaged;       /* the coded picture is broken at or above the current row */
  bool damaged_before_cut;
  bool in_rest; /* behind the last wanted row */
  bool icc_broken;
  char warning[JMSG_LENGTH_MAX]; /* the first one */
  uint8_t *exif;                 /* in cinfo's memory */
  size_t exif_bytes;
  JOCTET buffer[JPEG_BUFFER_BYTES];
} dw__jpeg;

/* Runs work on a fresh decoder at the file's begin and frees it. What work finds wrong it words through
 * dw__jpeg_stop. */
dw_status dw__jpeg_run(dw__jpeg *jpeg, void (*work)(void *jpeg));
/* Leaves the work with an error already worded in jpeg->err. */
static inline _Noreturn void dw__jpeg_stop(dw__jpeg *jpeg, dw_status status) {
  jpeg->status = status;
  dw__guard_leave(&jpeg->guard);
}

/* jpeg_read_header, within the header's limit. */
void dw__jpeg_read_header(dw__jpeg *jpeg);

/* Work for dw__jpeg_run: delivers jpeg->job's rows. */
void dw__jpeg_rows(void *jpeg);
/* After them, when they were delivered: notes what the rest of the file tells of them. */
void dw__jpeg_note_end(dw__jpeg *jpeg);

void dw__jpeg_source_init(dw__jpeg *jpeg);
/* Keeps the EXIF block of the header in jpeg->exif; other APP1 markers are passed over without a copy. */
void dw__jpeg_source_keep_exif(dw__jpeg *jpeg);
/* The n bytes just passed over are all alike, as cameras fill a file up. */
bool dw__jpeg_source_padded(const dw__jpeg *jpeg, int n);

#endif
