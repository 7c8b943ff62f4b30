/* Decoding a JPEG's wanted rows and columns, and no others.
 *
 * Rows without a rectangle are skipped (jpeg_skip_scanlines), columns left and right of all rectangles are
 * not transformed (jpeg_crop_scanline); those behind the last wanted row are looked at for damage, once.
 * Chroma is upsampled smoothly, so pixels at the edge of a crop would lack their neighbor: the crop is one
 * block wider. */
#include "photo/decode/jpeg.h"

#include <string.h>

static dw_status check_same(dw__jpeg *jpeg) {
  const dw_photo_info *info = &jpeg->photo->info;
  if (jpeg->cinfo.image_width == (JDIMENSION)info->stored_width &&
      jpeg->cinfo.image_height == (JDIMENSION)info->stored_height)
    return DW_OK;
  return dw_fail(jpeg->err, DW_CORRUPT, "%s was changed while it was being read: read it again.",
                 jpeg->photo->path);
}

static double padded_blocks(JDIMENSION blocks, int sampling) {
  JDIMENSION step = (JDIMENSION)sampling;
  return (double)((blocks + step - 1) / step * step);
}

/* Several scans need every coefficient of the picture at once: 64 of 2 bytes a block. */
static double staged_bytes(const struct jpeg_decompress_struct *cinfo) {
  double blocks = 0;
  for (int i = 0; i < cinfo->num_components; i++) {
    const jpeg_component_info *c = &cinfo->comp_info[i];
    blocks += padded_blocks(c->width_in_blocks, c->h_samp_factor) *
              padded_blocks(c->height_in_blocks, c->v_samp_factor);
  }
  return blocks * DCTSIZE2 * sizeof(JCOEF);
}

/* One scan: a few rows of blocks per component, before and behind the upsampling. */
static double plain_bytes(const struct jpeg_decompress_struct *cinfo) {
  double row = (double)cinfo->image_width * cinfo->num_components;
  return row * cinfo->max_v_samp_factor * DCTSIZE * 4;
}

static dw_status check_memory(dw__jpeg *jpeg) {
  double need = plain_bytes(&jpeg->cinfo);
  if (jpeg_has_multiple_scans(&jpeg->cinfo)) need += staged_bytes(&jpeg->cinfo);
  if (need <= (double)jpeg->job->max_bytes) {
    jpeg->cinfo.mem->max_memory_to_use = (long)jpeg->photo->limits.max_bytes;
    return DW_OK;
  }
  return dw_fail(
      jpeg->err, DW_TOO_LARGE,
      "%s needs %.0f MiB to decode, over the limit of %zu MiB: save it as a plain (not progressive) "
      "JPEG or reduce it.",
      jpeg->photo->path, need / (1 << 20), jpeg->photo->limits.max_bytes >> 20);
}

/* The slow integer transform and smooth upsampling: the most faithful that the library has. */
static void set_up(dw__jpeg *jpeg) {
  struct jpeg_decompress_struct *cinfo = &jpeg->cinfo;
  cinfo->dct_method = JDCT_ISLOW;
  cinfo->do_fancy_upsampling = TRUE;
  cinfo->scale_num = 1;
  cinfo->scale_denom = (unsigned)jpeg->job->reduce;
  int samples = dw__coded_samples(jpeg->photo);
  cinfo->out_color_space = samples == 1 ? JCS_GRAYSCALE : samples == 3 ? JCS_RGB : JCS_CMYK;
}

/* Narrows the output to the wanted columns; returns the column its first sample stands for. */
static JDIMENSION crop(dw__jpeg *jpeg) {
  struct jpeg_decompress_struct *cinfo = &jpeg->cinfo;
  JDIMENSION block = (JDIMENSION)(cinfo->max_h_samp_factor * DCTSIZE / jpeg->job->reduce);
  if (block == 0) block = 1;
  JDIMENSION first = (JDIMENSION)jpeg->job->columns.first, end = (JDIMENSION)jpeg->job->columns.end;
  JDIMENSION from = first > block ? first - block : 0;
  JDIMENSION to = end + block < cinfo->output_width ? end + block : cinfo->output_width;
  JDIMENSION width = to - from;
  if (width < cinfo->output_width) jpeg_crop_scanline(cinfo, &from, &width);
  return from;
}

static bool report_damage(dw__jpeg *jpeg, int y) {
  const char *path = jpeg->photo->path;
  const char *what = jpeg->cut ? "ends early" : "is damaged";
  if (jpeg->job->forgiving) {
    dw_note(&jpeg->photo->info.notes, "The file %s; part of the photo is missing.", what);
    return false;
  }
  dw__jpeg_stop(jpeg, dw_fail(jpeg->err, DW_CORRUPT,
                              "%s %s, and a marked area lies in the lost part (at stored row %d): copy the "
                              "photo again or mark elsewhere.",
                              path, what, y));
}

/* False when the rows end here because of damage that the job forgives. */
static bool deliver_row(dw__jpeg *jpeg, JSAMPROW line, size_t offset, int y) {
  if (jpeg_read_scanlines(&jpeg->cinfo, &line, 1) != 1) jpeg->damaged = true;
  if (jpeg->damaged && !report_damage(jpeg, y)) return false;
  jpeg->job->row(jpeg->job->ctx, y, line + offset);
  return true;
}

static void deliver_rows(dw__jpeg *jpeg, JDIMENSION from) {
  struct jpeg_decompress_struct *cinfo = &jpeg->cinfo;
  const dw__job *job = jpeg->job;
  size_t samples = (size_t)cinfo->output_components;
  size_t offset = ((size_t)job->columns.first - from) * samples;
  JSAMPROW line = cinfo->mem->alloc_large((j_common_ptr)cinfo, JPOOL_IMAGE, cinfo->output_width * samples);
  for (size_t i = 0; i < job->n_rows; i++) {
    JDIMENSION first = (JDIMENSION)job->rows[i].first;
    if (first > cinfo->output_scanline) jpeg_skip_scanlines(cinfo, first - cinfo->output_scanline);
    for (int y = job->rows[i].first; y < job->rows[i].end; y++)
      if (!deliver_row(jpeg, line, offset, y)) return;
  }
}

/* Takes the codes behind the last wanted row without their transform: one that breaks there, or bytes too
 * few or too many, show that a row above may have gone wrong unseen. The last row is read, as skipping all
 * of them would skip their codes too. What is wrong here is for dw__jpeg_note_end. */
static void take_rest(dw__jpeg *jpeg) {
  struct jpeg_decompress_struct *cinfo = &jpeg->cinfo;
  size_t samples = (size_t)cinfo->output_components;
  JSAMPROW line = cinfo->mem->alloc_large((j_common_ptr)cinfo, JPOOL_IMAGE, cinfo->output_width * samples);
  jpeg->in_rest = true;
  JDIMENSION left = cinfo->output_height - cinfo->output_scanline;
  if (left > 1) jpeg_skip_scanlines(cinfo, left - 1);
  if (left > 0) jpeg_read_scanlines(cinfo, &line, 1);
  if (!jpeg->damaged) jpeg_finish_decompress(cinfo);
}

void dw__jpeg_note_end(dw__jpeg *jpeg) {
  dw_notes *notes = &jpeg->photo->info.notes;
  if (!jpeg->in_rest) return;
  jpeg->photo->ended = true;
  if (jpeg->cut && !jpeg->damaged_before_cut)
    dw_note(notes, "The file ends early; the areas read are whole.");
  else if (jpeg->damaged)
    dw_note(notes, "The photo's file is damaged (%s): colors below may be wrong.", jpeg->warning);
  else if (jpeg->warning[0])
    dw_note(notes, "The JPEG decoder warned: %s.", jpeg->warning);
}

void dw__jpeg_rows(void *ctx) {
  dw__jpeg *jpeg = ctx;
  dw__jpeg_read_header(jpeg);
  dw_status status = check_same(jpeg);
  if (status == DW_OK) status = check_memory(jpeg);
  if (status != DW_OK) dw__jpeg_stop(jpeg, status);
  set_up(jpeg);
  jpeg_start_decompress(&jpeg->cinfo);
  deliver_rows(jpeg, crop(jpeg));
  if (!jpeg->damaged && !jpeg->photo->ended) take_rest(jpeg);
}
