/* What a JPEG's header says. */
#include "photo/jpeg.h"

#include <stdlib.h>
#include <string.h>

static pt_status choose_kind(pt__jpeg *jpeg) {
  const struct jpeg_decompress_struct *cinfo = &jpeg->cinfo;
  pt_photo_info *info = &jpeg->photo->info;
  const char *kind;
  pt_pixel_kind pixels = PT_PIXEL_RGB;
  switch (cinfo->jpeg_color_space) {
  case JCS_GRAYSCALE:
    kind = "gray";
    pixels = PT_PIXEL_GRAY;
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
    pixels = cinfo->saw_Adobe_marker ? PT_PIXEL_CMYK_INVERTED : PT_PIXEL_CMYK;
    break;
  default:
    return pt_fail(jpeg->err, PT_UNSUPPORTED,
                   "%s is a JPEG of %d channels in an unknown color space: save it as a usual one.",
                   jpeg->photo->path, cinfo->num_components);
  }
  pt_copy_text(info->kind, sizeof info->kind, kind);
  jpeg->header->pixel_kind = pixels;
  return PT_OK;
}

static void take_profile(pt__jpeg *jpeg) {
  JOCTET *icc = NULL;
  unsigned n = 0;
  if (jpeg_read_icc_profile(&jpeg->cinfo, &icc, &n)) {
    jpeg->header->icc = icc;
    jpeg->header->icc_bytes = n;
  } else if (jpeg->icc_broken) {
    pt_note(&jpeg->photo->info.notes, "The embedded color profile is incomplete and was left out.");
  }
}

static void read_header(void *ctx) {
  pt__jpeg *jpeg = ctx;
  struct jpeg_decompress_struct *cinfo = &jpeg->cinfo;
  pt_photo_info *info = &jpeg->photo->info;
  pt__jpeg_source_keep_exif(jpeg);
  jpeg_save_markers(cinfo, JPEG_APP0 + 2, 0xFFFF);
  pt__jpeg_read_header(jpeg);
  pt_status status = pt__photo_check_size(jpeg->photo, cinfo->image_width, cinfo->image_height, jpeg->err);
  if (status == PT_OK) status = choose_kind(jpeg);
  if (status != PT_OK) pt__jpeg_stop(jpeg, status);
  info->stored_width = (int)cinfo->image_width;
  info->stored_height = (int)cinfo->image_height;
  info->bits = 8;
  info->staged = jpeg_has_multiple_scans(cinfo);
  pt_copy_text(info->format, sizeof info->format, "JPEG");
  if (jpeg->exif) pt__exif_read(info, jpeg->exif, jpeg->exif_bytes);
  take_profile(jpeg);
}

static pt_status jpeg_header(pt_photo *photo, pt__header *header, pt_error *err) {
  pt__jpeg *jpeg = calloc(1, sizeof *jpeg);
  if (!jpeg) return pt_fail_memory(err, "decoding the photo");
  jpeg->photo = photo;
  jpeg->header = header;
  jpeg->err = err;
  pt_status status = pt__jpeg_run(jpeg, read_header);
  free(jpeg);
  return status;
}

static pt_status jpeg_decode(pt_photo *photo, const pt__job *job, pt_error *err) {
  pt__jpeg *jpeg = calloc(1, sizeof *jpeg);
  if (!jpeg) return pt_fail_memory(err, "decoding the photo");
  jpeg->photo = photo;
  jpeg->job = job;
  jpeg->err = err;
  pt_status status = pt__jpeg_run(jpeg, pt__jpeg_rows);
  free(jpeg);
  return status;
}

const pt__format pt__format_jpeg = {.header = jpeg_header,
                                    .decode = jpeg_decode,
                                    .pixel_bytes = pt__coded_bytes,
                                    .linear = pt__coded_linear,
                                    .clip = pt__coded_clip,
                                    .max_reduce = 8};
