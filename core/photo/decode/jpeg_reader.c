/* A JPEG decoder's life, and its errors in words. */
#include "photo/decode/jpeg.h"

#include <jerror.h>
#include <stdlib.h>
#include <string.h>

static dw_status word_error(dw__jpeg *jpeg, int code, const char *text) {
  const char *path = jpeg->photo->path;
  switch (code) {
  case JERR_OUT_OF_MEMORY:
    return dw_fail_memory(jpeg->err, "decoding the photo");
  case JERR_NO_BACKING_STORE:
    return dw_fail(jpeg->err, DW_TOO_LARGE,
                   "%s needs more memory than the limit of %zu MiB: reduce it first.", path,
                   jpeg->photo->limits.max_bytes >> 20);
  case JERR_IMAGE_TOO_BIG:
    return dw_fail(jpeg->err, DW_TOO_LARGE, "%s is larger than a JPEG can be: reduce it first.", path);
  case JERR_BAD_PRECISION:
  case JERR_SOF_UNSUPPORTED:
  case JERR_ARITH_NOTIMPL:
  case JERR_CONVERSION_NOTIMPL:
  case JERR_NOTIMPL:
  case JERR_NOT_COMPILED:
    return dw_fail(jpeg->err, DW_UNSUPPORTED, "%s is a rare kind of JPEG (%s): save it as a usual one.", path,
                   text);
  default:
    if (jpeg->cut)
      return dw_fail(jpeg->err, DW_CORRUPT, "%s is cut off before the photo itself begins: copy it again.",
                     path);
    return dw_fail(jpeg->err, DW_CORRUPT, "%s is damaged (%s): copy it again.", path, text);
  }
}

static void on_error(j_common_ptr cinfo) {
  dw__jpeg *jpeg = cinfo->client_data;
  char text[JMSG_LENGTH_MAX];
  cinfo->err->format_message(cinfo, text);
  if (jpeg->in_rest && cinfo->err->msg_code != JERR_OUT_OF_MEMORY) { /* the wanted rows have been delivered */
    jpeg->damaged = true;
    dw_copy_text(jpeg->warning, sizeof jpeg->warning, text);
    dw__jpeg_stop(jpeg, DW_OK);
  }
  dw__jpeg_stop(jpeg, word_error(jpeg, cinfo->err->msg_code, text));
}

/* The end of the file alone is no damage to a single scan: libjpeg reads ahead, and says so (HIT_MARKER) when
 * it lacks bits. Where more scans may be missing, or with arithmetic coding, which never says so, it is.
 * Some cameras pad before the end marker, which harms nothing; stray bytes elsewhere are lost picture. */
static bool is_damage(const dw__jpeg *jpeg) {
  switch (jpeg->errors.msg_code) {
  case JWRN_JPEG_EOF:
    return jpeg->photo->info.staged || jpeg->cinfo.arith_code;
  case JWRN_HIT_MARKER:
  case JWRN_HUFF_BAD_CODE:
  case JWRN_ARITH_BAD_CODE:
  case JWRN_MUST_RESYNC:
    return true;
  case JWRN_EXTRANEOUS_DATA:
    return jpeg->errors.msg_parm.i[1] != JPEG_EOI ||
           !dw__jpeg_source_padded(jpeg, jpeg->errors.msg_parm.i[0]);
  default:
    return false;
  }
}

static void on_message(j_common_ptr cinfo, int level) {
  dw__jpeg *jpeg = cinfo->client_data;
  if (level >= 0) return;
  cinfo->err->num_warnings++;
  if (jpeg->warning[0] == '\0' && cinfo->err->msg_code != JWRN_JPEG_EOF)
    cinfo->err->format_message(cinfo, jpeg->warning);
  if (is_damage(jpeg)) jpeg->damaged = true;
  if (cinfo->err->msg_code == JWRN_BOGUS_ICC) jpeg->icc_broken = true;
}

/* Called for every row of blocks of every scan: a file of thousands of scans must not keep the machine. */
static void on_progress(j_common_ptr cinfo) {
  dw__jpeg *jpeg = cinfo->client_data;
  if (jpeg->cinfo.input_scan_number > JPEG_SCANS_MAX)
    dw__jpeg_stop(jpeg,
                  dw_fail(jpeg->err, DW_TOO_LARGE,
                          "%s is a progressive JPEG of more than %d scans, which no camera writes: save "
                          "it again.",
                          jpeg->photo->path, JPEG_SCANS_MAX));
}

static void create(dw__jpeg *jpeg) {
  jpeg->cinfo.err = jpeg_std_error(&jpeg->errors);
  jpeg->errors.error_exit = on_error;
  jpeg->errors.emit_message = on_message;
  jpeg->progress.progress_monitor = on_progress;
  jpeg->cinfo.client_data = jpeg;
  jpeg_create_decompress(&jpeg->cinfo);
  jpeg->cinfo.progress = &jpeg->progress;
  dw__jpeg_source_init(jpeg);
}

typedef struct task {
  dw__jpeg *jpeg;
  void (*work)(void *jpeg);
} task;

static void run(void *ctx) {
  task *t = ctx;
  create(t->jpeg);
  t->work(t->jpeg);
}

dw_status dw__jpeg_run(dw__jpeg *jpeg, void (*work)(void *jpeg)) {
  rewind(jpeg->photo->file);
  jpeg->status = DW_OK;
  dw__guard_run(&jpeg->guard, run, &(task){jpeg, work});
  jpeg_destroy((j_common_ptr)&jpeg->cinfo);
  return jpeg->status;
}

void dw__jpeg_read_header(dw__jpeg *jpeg) {
  jpeg_read_header(&jpeg->cinfo, TRUE);
  jpeg->in_header = false;
}
