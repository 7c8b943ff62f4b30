/* Inside photo/: a JPEG's picture at half its size, kept. */
#ifndef DROPWISE_PHOTO_DECODE_JPEG_HALF_H
#define DROPWISE_PHOTO_DECODE_JPEG_HALF_H

#include "photo/decode.h"

typedef struct dw__half dw__half;

/* Room for a photo's; NULL where it would be too large, or memory is out. */
dw__half *dw__half_new(const dw_photo *photo);
void dw__half_free(dw__half *half);
/* What decodes it, as forgiving and with as much memory as another job.  rows  the job's, to live as long */
dw__job dw__half_job(dw__half *half, const dw__job *job, dw__span *rows);
/* Whether all of its rows have come. */
bool dw__half_whole(const dw__half *half);
/* A job of reduce 2 or more from it.  Errors DW_NO_MEMORY */
dw_status dw__half_rows(const dw__half *half, const dw__job *job, dw_error *err);

#endif
