/* HEIC through libheif: the primary picture, turned and mirrored as the file itself says (EXIF's orientation
 * is then not applied again: ISO/IEC 23008-12, 7.2), decoded once and kept as long as the photo is open. */
#include "photo/decode.h"
#include "photo/decode/made_profile.h"

#include <libheif/heif.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

/* The HEVC decoder behind libheif is asked for a thread of its own, which the seal would refuse it; libheif
 * has no setting for that, but finds this function first. 0: as if it had gone well. */
__attribute__((visibility("default"))) int de265_start_worker_threads(void *context, int n);
int de265_start_worker_threads(void *context, int n) {
  (void)context;
  (void)n;
  return 0;
}

typedef struct heic {
  void *file; /* mapped */
  size_t file_bytes;
  struct heif_context *context;
  struct heif_image_handle *handle;
  struct heif_image *image; /* NULL until it is asked for */
  int bits;                 /* of the coded picture */
} heic;

static void heic_close(dw_photo *photo) {
  heic *h = photo->kept;
  if (!h) return;
  if (h->image) heif_image_release(h->image);
  if (h->handle) heif_image_handle_release(h->handle);
  if (h->context) heif_context_free(h->context);
  if (h->file) munmap(h->file, h->file_bytes);
  free(h);
  photo->kept = NULL;
}

static dw_status word_error(const dw_photo *photo, struct heif_error fault, dw_error *err) {
  char said[120];
  snprintf(said, sizeof said, "%.*s", (int)strcspn(fault.message, "\r\n"),
           fault.message); /* some end a line */
  switch (fault.code) {
  case heif_error_Memory_allocation_error:
    if (fault.subcode == heif_suberror_Security_limit_exceeded)
      return dw_fail(err, DW_TOO_LARGE, "%s asks for more than is safe to decode (%s): save it as JPEG.",
                     photo->path, said);
    return dw_fail_memory(err, "decoding the photo");
  case heif_error_Unsupported_filetype:
  case heif_error_Unsupported_feature:
    return dw_fail(err, DW_UNSUPPORTED, "%s is a rare kind of HEIC (%s): save it as JPEG.", photo->path,
                   said);
  default:
    return dw_fail(err, DW_CORRUPT, "%s is damaged (%s): copy it again.", photo->path, said);
  }
}

static dw_status map_file(dw_photo *photo, heic *h, dw_error *err) {
  int fd = fileno(photo->file);
  off_t n = lseek(fd, 0, SEEK_END);
  if (n <= 0) return dw_fail(err, DW_IO, "%s cannot be read.", photo->path);
  void *file = mmap(NULL, (size_t)n, PROT_READ, MAP_PRIVATE, fd, 0);
  if (file == MAP_FAILED) return dw_fail_memory(err, "the photo's file");
  h->file = file;
  h->file_bytes = (size_t)n;
  return DW_OK;
}

static dw_status parse(dw_photo *photo, heic *h, dw_error *err) {
  h->context = heif_context_alloc();
  if (!h->context) return dw_fail_memory(err, "decoding the photo");
  heif_context_set_max_decoding_threads(h->context, 0);
  struct heif_error fault =
      heif_context_read_from_memory_without_copy(h->context, h->file, h->file_bytes, NULL);
  if (fault.code == heif_error_Ok) fault = heif_context_get_primary_image_handle(h->context, &h->handle);
  return fault.code == heif_error_Ok ? DW_OK : word_error(photo, fault, err);
}

/* ---- header ----------------------------------------------------------------------------------------------
 */

static void read_exif(dw_photo *photo, const heic *h) {
  heif_item_id id;
  if (heif_image_handle_get_list_of_metadata_block_IDs(h->handle, "Exif", &id, 1) != 1) return;
  size_t n = heif_image_handle_get_metadata_size(h->handle, id);
  uint8_t *block = n > 4 && n <= h->file_bytes ? malloc(n) : NULL;
  if (block && heif_image_handle_get_metadata(h->handle, id, block).code == heif_error_Ok) {
    /* ISO/IEC 23008-12, A.2.1: how far behind these four bytes the TIFF header stands */
    size_t skip = (size_t)block[0] << 24 | (size_t)block[1] << 16 | (size_t)block[2] << 8 | block[3];
    if (skip <= n - 4) dw__exif_read(&photo->info, block + 4 + skip, n - 4 - skip);
  }
  free(block);
  photo->info.orientation = 1;
}

static dw_status take_icc(const heic *h, dw__header *header, dw_error *err) {
  size_t n = heif_image_handle_get_raw_color_profile_size(h->handle);
  if (n == 0 || n > h->file_bytes) return DW_OK;
  header->icc = malloc(n);
  if (!header->icc) return dw_fail_memory(err, "the photo's color profile");
  if (heif_image_handle_get_raw_color_profile(h->handle, header->icc).code == heif_error_Ok)
    header->icc_bytes = n;
  return DW_OK;
}

static dw_status take_codes(dw_photo *photo, const heic *h, dw__header *header, dw_error *err) {
  struct heif_color_profile_nclx *codes = NULL;
  if (heif_image_handle_get_nclx_color_profile(h->handle, &codes).code != heif_error_Ok || !codes)
    return DW_OK;
  const double xy[8] = {codes->color_primary_white_x, codes->color_primary_white_y,
                        codes->color_primary_red_x,   codes->color_primary_red_y,
                        codes->color_primary_green_x, codes->color_primary_green_y,
                        codes->color_primary_blue_x,  codes->color_primary_blue_y};
  dw_status status = dw__profile_from_codes(photo, header, (int)codes->color_primaries,
                                            (int)codes->transfer_characteristics, xy, err);
  heif_nclx_color_profile_free(codes);
  return status;
}

static dw_status take_color(dw_photo *photo, const heic *h, dw__header *header, dw_error *err) {
  switch (heif_image_handle_get_color_profile_type(h->handle)) {
  case heif_color_profile_type_prof:
  case heif_color_profile_type_rICC:
    return take_icc(h, header, err);
  case heif_color_profile_type_nclx:
    return take_codes(photo, h, header, err);
  default:
    return DW_OK;
  }
}

/* As coded and, beside it, as converted. */
static double decoded_bytes(const dw_photo *photo) {
  return 6.0 * photo->info.stored_width * photo->info.stored_height * (photo->info.bits / 8);
}

static dw_status describe(dw_photo *photo, heic *h, dw__header *header, dw_error *err) {
  dw_photo_info *info = &photo->info;
  int width = heif_image_handle_get_width(h->handle), height = heif_image_handle_get_height(h->handle);
  h->bits = heif_image_handle_get_luma_bits_per_pixel(h->handle);
  if (width < 1 || height < 1 || h->bits < 8 || h->bits > 16)
    return dw_fail(err, DW_CORRUPT, "%s is damaged (it does not say how large the photo is): copy it again.",
                   photo->path);
  dw_status status = dw__photo_check_size(photo, width, height, err);
  if (status != DW_OK) return status;
  info->stored_width = width;
  info->stored_height = height;
  info->bits = h->bits > 8 ? 16 : 8;
  info->staged = true;
  dw_copy_text(info->format, sizeof info->format, "HEIC");
  snprintf(info->kind, sizeof info->kind, "YCbCr, %d bits", h->bits);
  header->pixel_kind = DW_PIXEL_RGB;
  if (heif_image_handle_has_alpha_channel(h->handle))
    dw_note(&info->notes, "Transparency is ignored: every pixel counts with the color stored for it.");
  read_exif(photo, h);
  return take_color(photo, h, header, err);
}

static dw_status heic_header(dw_photo *photo, dw__header *header, dw_error *err) {
  heic *h = calloc(1, sizeof *h);
  if (!h) return dw_fail_memory(err, "decoding the photo");
  photo->kept = h;
  dw_status status = map_file(photo, h, err);
  if (status == DW_OK) status = parse(photo, h, err);
  return status == DW_OK ? describe(photo, h, header, err) : status;
}

/* ---- pixels ----------------------------------------------------------------------------------------------
 */

static dw_status decode_whole(dw_photo *photo, heic *h, dw_error *err) {
  struct heif_decoding_options *how = heif_decoding_options_alloc();
  if (!how) return dw_fail_memory(err, "decoding the photo");
  how->strict_decoding = 1; /* a damaged picture is refused, not patched up */
  struct heif_error fault =
      heif_decode_image(h->handle, &h->image, heif_colorspace_RGB,
                        h->bits > 8 ? heif_chroma_interleaved_RRGGBB_LE : heif_chroma_interleaved_RGB, how);
  heif_decoding_options_free(how);
  if (fault.code != heif_error_Ok) return word_error(photo, fault, err);
  struct heif_error warning;
  if (heif_image_get_decoding_warnings(h->image, 0, &warning, 1) > 0)
    dw_note(&photo->info.notes, "The HEIC decoder warned: %s.", warning.message);
  return DW_OK;
}

/* The picture's plane, if it is what the header promised. */
static const uint8_t *plane_of(const dw_photo *photo, heic *h, int *stride) {
  const enum heif_channel channel = heif_channel_interleaved;
  bool same = heif_image_get_width(h->image, channel) == photo->info.stored_width &&
              heif_image_get_height(h->image, channel) == photo->info.stored_height;
  if (!same) return NULL;
  h->bits = heif_image_get_bits_per_pixel_range(h->image, channel);
  const uint8_t *plane = heif_image_get_plane_readonly(h->image, channel, stride);
  bool fits = (h->bits > 8) == (photo->info.bits == 16) && h->bits >= 8 && h->bits <= 16 &&
              *stride >= photo->info.stored_width * 3 * (photo->info.bits / 8);
  return fits ? plane : NULL;
}

/* 9 to 16 bits spread over 16, so that the largest value stays the largest. The plane is little-endian. */
static void widen(const uint8_t *in, int bits, size_t n, uint16_t *out) {
  for (size_t i = 0; i < n; i++) {
    unsigned v = (unsigned)in[2 * i] | (unsigned)in[2 * i + 1] << 8;
    out[i] = (uint16_t)(v << (16 - bits) | v >> (2 * bits - 16));
  }
}

static void deliver(const heic *h, const dw__job *job, const uint8_t *plane, int stride, uint16_t *line) {
  size_t first = 3 * (size_t)job->columns.first, n = 3 * (size_t)(job->columns.end - job->columns.first);
  for (size_t i = 0; i < job->n_rows; i++)
    for (int y = job->rows[i].first; y < job->rows[i].end; y++) {
      const uint8_t *row = plane + (size_t)y * (size_t)stride;
      if (line) widen(row + 2 * first, h->bits, n, line);
      job->row(job->ctx, y, line ? (const void *)line : row + first);
    }
}

static dw_status heic_decode(dw_photo *photo, const dw__job *job, dw_error *err) {
  heic *h = photo->kept;
  int stride = 0;
  if (decoded_bytes(photo) > (double)job->max_bytes)
    return dw_fail(err, DW_TOO_LARGE, "%s needs more than %zu MiB to decode: reduce it first.", photo->path,
                   photo->limits.max_bytes >> 20);
  dw_status status = h->image ? DW_OK : decode_whole(photo, h, err);
  if (status != DW_OK) return status;
  const uint8_t *plane = plane_of(photo, h, &stride);
  if (!plane)
    return dw_fail(err, DW_CORRUPT, "%s is damaged (the photo in it is of another size): copy it again.",
                   photo->path);
  uint16_t *line = NULL;
  if (photo->info.bits == 16) {
    line = malloc(3 * sizeof *line * (size_t)(job->columns.end - job->columns.first));
    if (!line) return dw_fail_memory(err, "decoding the photo");
  }
  deliver(h, job, plane, stride, line);
  free(line);
  return DW_OK;
}

const dw__format dw__format_heic = {.name = "HEIC",
                                    .header = heic_header,
                                    .decode = heic_decode,
                                    .close = heic_close,
                                    .pixel_bytes = dw__coded_bytes,
                                    .linear = dw__coded_linear,
                                    .clip = dw__coded_clip,
                                    .max_reduce = 1};
