#include "picture.h"

#include <png.h>
#include <stdlib.h>
#include <string.h>

/* Nonzero where the file is no such picture; a picture kept in *out is the caller's all the same. */
static int rows_read(png_structp png, png_infop info, FILE *f, uint16_t **out, int *w, int *h) {
  if (setjmp(png_jmpbuf(png))) return 1;
  png_init_io(png, f);
  png_read_png(png, info, PNG_TRANSFORM_SWAP_ENDIAN, NULL);
  *w = (int)png_get_image_width(png, info), *h = (int)png_get_image_height(png, info);
  if (png_get_bit_depth(png, info) != 16 || png_get_color_type(png, info) != PNG_COLOR_TYPE_RGB) return 1;
  size_t row = (size_t)*w * 3;
  *out = malloc(row * (size_t)*h * sizeof **out);
  for (int y = 0; y < *h && *out; y++)
    memcpy(*out + (size_t)y * row, png_get_rows(png, info)[y], row * sizeof **out);
  return 0;
}

uint16_t *picture16_read(const char *path, int *w, int *h) {
  uint16_t *out = NULL;
  FILE *f = fopen(path, "rb");
  png_structp png = f ? png_create_read_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL) : NULL;
  png_infop info = png ? png_create_info_struct(png) : NULL;
  if (info && rows_read(png, info, f, &out, w, h)) {
    free(out);
    out = NULL;
  }
  png_destroy_read_struct(&png, &info, NULL);
  if (f) fclose(f);
  return out;
}
