#include "jpeg.h"

#include <stdio.h>
#include <stdlib.h>

#include <jpeglib.h>

/* EXIF 2.3: one little-endian TIFF directory with the orientation tag alone. */
static void write_orientation(struct jpeg_compress_struct *c, int orientation) {
  const uint8_t exif[] = {'E', 'x',  'i',  'f', 0,
                          0,   'I',  'I',  42,  0,
                          8,   0,    0,    0,   1,
                          0,   0x12, 0x01, 3,   0,
                          1,   0,    0,    0,   (uint8_t)orientation,
                          0,   0,    0,    0,   0,
                          0,   0};
  jpeg_write_marker(c, JPEG_APP0 + 1, exif, sizeof exif);
}

/* One stored row: the picture's own, or for orientation 6 the column that comes to lie there. */
static void stored_row(const uint8_t *rgb, int width, int height, int orientation, int row, uint8_t *out) {
  int n = orientation == 6 ? height : width;
  for (int i = 0; i < n; i++) {
    int x = orientation == 6 ? width - 1 - row : i, y = orientation == 6 ? i : row;
    const uint8_t *px = rgb + ((size_t)y * (size_t)width + (size_t)x) * 3;
    for (int k = 0; k < 3; k++) out[3 * i + k] = px[k];
  }
}

int jpeg_save_as(const char *path, const uint8_t *rgb, int width, int height, int quality, int orientation,
                 jpeg_chroma chroma) {
  struct jpeg_compress_struct c;
  struct jpeg_error_mgr handler;
  int stored_width = orientation == 6 ? height : width, stored_height = orientation == 6 ? width : height;
  FILE *file = fopen(path, "wb");
  uint8_t *row = malloc((size_t)stored_width * 3);
  int failed = !file || !row;
  if (failed) goto done;
  c.err = jpeg_std_error(&handler);
  jpeg_create_compress(&c);
  jpeg_stdio_dest(&c, file);
  c.image_width = (JDIMENSION)stored_width;
  c.image_height = (JDIMENSION)stored_height;
  c.input_components = 3;
  c.in_color_space = JCS_RGB;
  jpeg_set_defaults(&c);
  jpeg_set_quality(&c, quality, TRUE);
  if (chroma == JPEG_444) c.comp_info[0].h_samp_factor = c.comp_info[0].v_samp_factor = 1;
  c.optimize_coding = TRUE;
  c.write_JFIF_header = orientation == 1;
  jpeg_start_compress(&c, TRUE);
  if (orientation != 1) write_orientation(&c, orientation);
  for (int y = 0; y < stored_height; y++) {
    stored_row(rgb, width, height, orientation, y, row);
    jpeg_write_scanlines(&c, &row, 1);
  }
  jpeg_finish_compress(&c);
  jpeg_destroy_compress(&c);
done:
  free(row);
  if (file && fclose(file) != 0) failed = 1;
  if (failed) fprintf(stderr, "%s could not be written.\n", path);
  return failed;
}

int jpeg_save(const char *path, const uint8_t *rgb, int width, int height, int quality, int orientation) {
  return jpeg_save_as(path, rgb, width, height, quality, orientation, JPEG_420);
}
