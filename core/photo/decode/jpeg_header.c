/* What a JPEG's header says. */
#include "photo/decode/jpeg.h"
#include "photo/decode/jpeg_half.h"

#include <stdlib.h>
#include <string.h>

static dw_status choose_kind(dw__jpeg *jpeg) {
  const struct jpeg_decompress_struct *cinfo = &jpeg->cinfo;
  dw_photo_info *info = &jpeg->photo->info;
  const char *kind;
  dw_pixel_kind pixels = DW_PIXEL_RGB;
  switch (cinfo->jpeg_color_space) {
  case JCS_GRAYSCALE:
    kind = "gray";
    pixels = DW_PIXEL_GRAY;
    break;
  case JCS_YCbCr:
    kind = "YCbCr";
    break;
  case JCS_RGB:
    kind = "RGB";
    break;
  case JCS_CMYK:
  case JCS_YCCK:
    kind = cinfo->jpeg_color_space == JCS_CMYK ? "CMYK" : "YCCK";
    /* Programs that write the Adobe marker store ink as 255 - ink (common practice, no published source). */
    pixels = cinfo->saw_Adobe_marker ? DW_PIXEL_CMYK_INVERTED : DW_PIXEL_CMYK;
    break;
  default:
    return dw_fail(jpeg->err, DW_UNSUPPORTED,
                   "%s is a JPEG of %d channels in an unknown color space: save it as a usual one.",
                   jpeg->photo->path, cinfo->num_components);
  }
  dw_copy_text(info->kind, sizeof info->kind, kind);
  jpeg->header->pixel_kind = pixels;
  return DW_OK;
}

static void take_profile(dw__jpeg *jpeg) {
  JOCTET *icc = NULL;
  unsigned n = 0;
  if (jpeg_read_icc_profile(&jpeg->cinfo, &icc, &n)) {
    jpeg->header->icc = icc;
    jpeg->header->icc_bytes = n;
  } else if (jpeg->icc_broken) {
    dw_note(&jpeg->photo->info.notes, "The embedded color profile is incomplete and was left out.");
  }
}

static void read_header(void *ctx) {
  dw__jpeg *jpeg = ctx;
  struct jpeg_decompress_struct *cinfo = &jpeg->cinfo;
  dw_photo_info *info = &jpeg->photo->info;
  dw__jpeg_source_keep_exif(jpeg);
  jpeg_save_markers(cinfo, JPEG_APP0 + 2, 0xFFFF);
  dw__jpeg_read_header(jpeg);
  dw_status status = dw__photo_check_size(jpeg->photo, cinfo->image_width, cinfo->image_height, jpeg->err);
  if (status == DW_OK) status = choose_kind(jpeg);
  if (status != DW_OK) dw__jpeg_stop(jpeg, status);
  info->stored_width = (int)cinfo->image_width;
  info->stored_height = (int)cinfo->image_height;
  info->bits = 8;
  info->staged = jpeg_has_multiple_scans(cinfo);
  dw_copy_text(info->format, sizeof info->format, "JPEG");
  if (jpeg->exif) dw__exif_read(info, jpeg->exif, jpeg->exif_bytes);
  take_profile(jpeg);
}

static dw_status jpeg_header(dw_photo *photo, dw__header *header, dw_error *err) {
  dw__jpeg *jpeg = calloc(1, sizeof *jpeg);
  if (!jpeg) return dw_fail_memory(err, "decoding the photo");
  jpeg->photo = photo;
  jpeg->header = header;
  jpeg->err = err;
  dw_status status = dw__jpeg_run(jpeg, read_header);
  free(jpeg);
  return status;
}

static dw_status decode_anew(dw_photo *photo, const dw__job *job, dw_error *err) {
  dw__jpeg *jpeg = calloc(1, sizeof *jpeg);
  if (!jpeg) return dw_fail_memory(err, "decoding the photo");
  jpeg->photo = photo;
  jpeg->job = job;
  jpeg->err = err;
  dw_status status = dw__jpeg_run(jpeg, dw__jpeg_rows);
  if (status == DW_OK) dw__jpeg_note_end(jpeg);
  free(jpeg);
  return status;
}

/* Keeps the picture at half its size, unless some of it is missing. */
static dw_status keep_half(dw_photo *photo, const dw__job *job, dw_error *err) {
  dw__span rows;
  dw__half *half = dw__half_new(photo);
  if (!half) return DW_OK;
  const dw__job whole = dw__half_job(half, job, &rows);
  dw_status status = decode_anew(photo, &whole, err);
  if (status == DW_OK && dw__half_whole(half))
    photo->kept = half;
  else
    dw__half_free(half);
  return status;
}

static dw_status jpeg_decode(dw_photo *photo, const dw__job *job, dw_error *err) {
  dw_status status = DW_OK;
  if (job->keep && !photo->kept && job->reduce > 1) status = keep_half(photo, job, err);
  if (status != DW_OK) return status;
  return photo->kept && job->reduce > 1 ? dw__half_rows(photo->kept, job, err) : decode_anew(photo, job, err);
}

static void jpeg_close(dw_photo *photo) {
  dw__half_free(photo->kept);
}

const dw__format dw__format_jpeg = {.name = "JPEG",
                                    .header = jpeg_header,
                                    .decode = jpeg_decode,
                                    .close = jpeg_close,
                                    .pixel_bytes = dw__coded_bytes,
                                    .linear = dw__coded_linear,
                                    .clip = dw__coded_clip,
                                    .max_reduce = 8};
