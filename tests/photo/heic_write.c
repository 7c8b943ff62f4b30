#include "heic_write.h"

#include <libheif/heif.h>

static void must(struct heif_error fault) {
  if (fault.code != heif_error_Ok) fail_msg("libheif: %s", fault.message);
}

static struct heif_image *image_of(const picture *p, int bits) {
  struct heif_image *image;
  int stride;
  bool wide = bits > 8;
  must(heif_image_create(p->w, p->h, heif_colorspace_RGB,
                         wide ? heif_chroma_interleaved_RRGGBB_LE : heif_chroma_interleaved_RGB, &image));
  must(heif_image_add_plane(image, heif_channel_interleaved, p->w, p->h, bits));
  uint8_t *plane = heif_image_get_plane(image, heif_channel_interleaved, &stride);
  for (int y = 0; y < p->h; y++)
    for (int i = 0; i < 3 * p->w; i++) {
      size_t from = (size_t)y * 3 * (size_t)p->w + (size_t)i;
      uint8_t *to = plane + y * stride;
      if (wide) {
        unsigned v = ((const uint16_t *)(const void *)p->bytes)[from] >> (16 - bits);
        to[2 * i] = (uint8_t)v;
        to[2 * i + 1] = (uint8_t)(v >> 8);
      } else {
        to[i] = p->bytes[from];
      }
    }
  return image;
}

static void put_colors(struct heif_image *image, struct heif_color_profile_nclx *codes, const heic_how *how) {
  if (how->icc) must(heif_image_set_raw_color_profile(image, "prof", how->icc, how->icc_bytes));
  if (!how->primaries) return;
  must(heif_nclx_color_profile_set_color_primaries(codes, (uint16_t)how->primaries));
  must(heif_nclx_color_profile_set_transfer_characteristics(codes, (uint16_t)how->transfer));
  must(heif_nclx_color_profile_set_matrix_coefficients(codes, 6)); /* BT.601, as phones use */
  codes->full_range_flag = 1;
  must(heif_image_set_nclx_color_profile(image, codes));
}

static void encode(struct heif_context *context, struct heif_image *image, struct heif_encoder *encoder,
                   const heic_how *how) {
  struct heif_encoding_options *options = heif_encoding_options_alloc();
  struct heif_color_profile_nclx *codes = heif_nclx_color_profile_alloc();
  struct heif_image_handle *handle;
  put_colors(image, codes, how);
  must(heif_encoder_set_lossy_quality(encoder, 98));
  if (how->primaries) options->output_nclx_profile = codes;
  options->macOS_compatibility_workaround_no_nclx_profile = !how->primaries;
  if (how->orientation) options->image_orientation = (enum heif_orientation)how->orientation;
  must(heif_context_encode_image(context, image, encoder, options, &handle));
  if (how->exif_orientation) {
    uint8_t exif[80];
    must(heif_context_add_exif_metadata(context, handle, exif,
                                        (int)exif_make(exif, how->exif_orientation, NULL)));
  }
  heif_image_handle_release(handle);
  heif_nclx_color_profile_free(codes);
  heif_encoding_options_free(options);
}

/* The encoder keeps some of its memory for good; that is no leak of ours. Absent without the leak sanitizer.
 */
__attribute__((weak)) void __lsan_disable(void);
__attribute__((weak)) void __lsan_enable(void);

bool heic_write(const char *path, const picture *p, const heic_how *how) {
  struct heif_context *context = heif_context_alloc();
  struct heif_encoder *encoder = NULL;
  bool can =
      heif_context_get_encoder_for_format(context, heif_compression_HEVC, &encoder).code == heif_error_Ok;
  if (__lsan_disable) __lsan_disable();
  if (can) {
    struct heif_image *image = image_of(p, how->bits);
    encode(context, image, encoder, how);
    must(heif_context_write_to_file(context, path));
    heif_image_release(image);
    heif_encoder_release(encoder);
  }
  if (__lsan_enable) __lsan_enable();
  heif_context_free(context);
  return can;
}
