/* What a PNG's header says.
 *
 * Color, by the order of the PNG specification (third edition, 4.3): cICP, iCCP, sRGB, gAMA with cHRM. */
#include "photo/decode/made_profile.h"
#include "photo/decode/png_reader.h"

#include <stdlib.h>
#include <string.h>

static void choose_kind(dw__png *png) {
  dw_photo_info *info = &png->photo->info;
  int type = png_get_color_type(png->png, png->info);
  bool gray = type == PNG_COLOR_TYPE_GRAY || type == PNG_COLOR_TYPE_GRAY_ALPHA;
  const char *kind = type == PNG_COLOR_TYPE_PALETTE      ? "palette"
                     : type == PNG_COLOR_TYPE_GRAY       ? "gray"
                     : type == PNG_COLOR_TYPE_GRAY_ALPHA ? "gray alpha"
                     : type == PNG_COLOR_TYPE_RGB        ? "RGB"
                                                         : "RGBA";
  dw_copy_text(info->kind, sizeof info->kind, kind);
  png->header->pixel_kind = gray ? DW_PIXEL_GRAY : DW_PIXEL_RGB;
  if ((type & PNG_COLOR_MASK_ALPHA) || png_get_valid(png->png, png->info, PNG_INFO_tRNS))
    dw_note(&info->notes, "Transparency is ignored: every pixel counts with the color stored for it.");
}

static bool near(double a, double b) {
  return a > b - 0.002 && a < b + 0.002;
}

/* Red, green, blue and white of IEC 61966-2-1. */
static bool is_srgb_chroma(const double xy[8]) {
  static const double srgb[8] = {0.3127, 0.3290, 0.64, 0.33, 0.30, 0.60, 0.15, 0.06};
  for (int i = 0; i < 8; i++)
    if (!near(xy[i], srgb[i])) return false;
  return true;
}

/* A profile out of the bare numbers of gAMA and cHRM. */
static void make_profile(dw__png *png, double gamma, const double xy[8]) {
  dw__profile_make(png->header, &(dw__curve){1, {1 / gamma}}, xy);
  snprintf(png->header->title, sizeof png->header->title, "gamma %.3g (from the gAMA%s)", 1 / gamma,
           png_get_valid(png->png, png->info, PNG_INFO_cHRM) ? " and cHRM chunks" : " chunk");
}

static void take_gamma(dw__png *png) {
  double xy[8] = {0.3127, 0.3290, 0.64, 0.33, 0.30, 0.60, 0.15, 0.06}, gamma = 1 / 2.2;
  bool has_gamma = png_get_gAMA(png->png, png->info, &gamma) != 0;
  bool has_chroma =
      png_get_cHRM(png->png, png->info, &xy[0], &xy[1], &xy[2], &xy[3], &xy[4], &xy[5], &xy[6], &xy[7]) != 0;
  if (!has_gamma && !has_chroma) return;
  /* Writers put 1/2.2 beside sRGB colors for readers that know no sRGB chunk (PNG specification, 11.3.2.5).
   */
  if (near(gamma, 1 / 2.2) && is_srgb_chroma(xy))
    png->header->srgb_named = true;
  else
    make_profile(png, gamma, xy);
}

/* A chunk that libpng hands over unread, or NULL. */
static const png_unknown_chunk *raw_chunk(dw__png *png, const char *name) {
  png_unknown_chunkp chunks = NULL;
  int n = png_get_unknown_chunks(png->png, png->info, &chunks);
  for (int i = 0; i < n; i++)
    if (memcmp(chunks[i].name, name, 4) == 0) return &chunks[i];
  return NULL;
}

/* H.273 codes: primaries 1 with transfer 13 is sRGB. */
static bool take_cicp(dw__png *png) {
  const png_unknown_chunk *chunk = raw_chunk(png, "cICP");
  if (!chunk || chunk->size != 4) return false;
  if (chunk->data[0] == 1 && chunk->data[1] == 13) return png->header->srgb_named = true;
  dw_note(&png->photo->info.notes, "The PNG names a color space by a cICP chunk that is not sRGB, which is "
                                   "not read: save it with an ICC profile.");
  return false;
}

static void take_color(dw__png *png) {
  png_charp name;
  int compression;
  png_bytep icc;
  png_uint_32 n;
  if (take_cicp(png)) return;
  if (png_get_iCCP(png->png, png->info, &name, &compression, &icc, &n)) {
    png->header->icc = malloc(n);
    /* -fanalyzer: dw__png_stop does not return; the header owns it */
    if (!png->header->icc) dw__png_stop(png, dw_fail_memory(png->err, "the photo's color profile"));
    memcpy(png->header->icc, icc, n);
    png->header->icc_bytes = n;
  } else if (png_get_valid(png->png, png->info, PNG_INFO_sRGB)) {
    png->header->srgb_named = true;
  } else {
    take_gamma(png);
  }
}

/* Every PNG ends with an empty IEND chunk. */
static void check_end(dw__png *png) {
  uint8_t end[12] = {0};
  dw_photo *photo = png->photo;
  bool there = fseek(photo->file, -(long)sizeof end, SEEK_END) == 0;
  bool whole =
      there && fread(end, 1, sizeof end, photo->file) == sizeof end && memcmp(end + 4, "IEND", 4) == 0;
  if (!there || ferror(photo->file))
    dw__png_stop(png, dw_fail(png->err, DW_IO, "%s cannot be read to its end.", photo->path));
  if (!whole) dw_note(&photo->info.notes, "The file does not end as a PNG does; it may be cut off.");
}

static void read_header(void *ctx) {
  dw__png *png = ctx;
  dw_photo_info *info = &png->photo->info;
  png_uint_32 width = png_get_image_width(png->png, png->info);
  png_uint_32 height = png_get_image_height(png->png, png->info);
  dw_status status = dw__photo_check_size(png->photo, width, height, png->err);
  if (status != DW_OK) dw__png_stop(png, status);
  info->stored_width = (int)width;
  info->stored_height = (int)height;
  info->bits = png_get_bit_depth(png->png, png->info) == 16 ? 16 : 8;
  info->staged = png_get_interlace_type(png->png, png->info) != PNG_INTERLACE_NONE;
  dw_copy_text(info->format, sizeof info->format, "PNG");
  choose_kind(png);
  const png_unknown_chunk *exif = raw_chunk(png, "eXIf");
  if (exif) dw__exif_read(info, exif->data, exif->size);
  take_color(png);
  check_end(png);
}

static dw_status png_header(dw_photo *photo, dw__header *header, dw_error *err) {
  dw__png png = {.photo = photo, .header = header, .err = err};
  return dw__png_run(&png, read_header);
}

static dw_status png_decode(dw_photo *photo, const dw__job *job, dw_error *err) {
  dw_error local;
  dw__png png = {.photo = photo, .job = job, .err = err ? err : &local};
  dw_status status = dw__png_run(&png, dw__png_rows);
  if (status == DW_CORRUPT && job->forgiving) {
    dw__png_deliver_kept(&png);
    if (png.delivered) {
      dw_note(&photo->info.notes, "The file %s; part of the photo is missing.",
              png.cut ? "ends early" : "is damaged");
      status = DW_OK;
    }
  }
  free(png.line);
  free(png.kept);
  return status;
}

const dw__format dw__format_png = {.name = "PNG",
                                   .header = png_header,
                                   .decode = png_decode,
                                   .pixel_bytes = dw__coded_bytes,
                                   .linear = dw__coded_linear,
                                   .clip = dw__coded_clip,
                                   .max_reduce = 1};
