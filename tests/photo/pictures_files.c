#include "pictures.h"

#include <jpeglib.h>
#include <png.h>
#include <stdlib.h>
#include <string.h>

/* A TIFF block with orientation in IFD 0 and, with `taken`, DateTimeOriginal in the EXIF IFD (EXIF 2.32). */
size_t exif_make(uint8_t out[80], int orientation, const char *taken) {
  static const uint8_t form[56] = {
      'I',  'I',  42,   0,    8, 0, 0,  0,                                  /* header, IFD 0 at 8 */
      2,    0,    0x12, 0x01, 3, 0, 1,  0, 0,  0, 1,  0, 0, 0,              /* orientation, short */
      0x69, 0x87, 4,    0,    1, 0, 0,  0, 38, 0, 0,  0, 0, 0, 0, 0,        /* EXIF IFD at 38; no next */
      1,    0,    0x03, 0x90, 2, 0, 20, 0, 0,  0, 56, 0, 0, 0, 0, 0, 0, 0}; /* date, 20 bytes at 56 */
  memcpy(out, form, sizeof form);
  out[18] = (uint8_t)orientation;
  memset(out + sizeof form, 0, 20);
  memcpy(out + sizeof form, taken ? taken : "2026:05:01 14:03:22", 19);
  return sizeof form + 20;
}

static void jpeg_set_up(struct jpeg_compress_struct *c, const picture *p, const jpeg_how *how) {
  c->image_width = (JDIMENSION)p->w;
  c->image_height = (JDIMENSION)p->h;
  c->input_components = p->samples;
  c->in_color_space = p->samples == 1 ? JCS_GRAYSCALE : p->samples == 3 ? JCS_RGB : JCS_CMYK;
  jpeg_set_defaults(c);
  if (how->space) jpeg_set_colorspace(c, (J_COLOR_SPACE)how->space);
  jpeg_set_quality(c, how->quality ? how->quality : 90, TRUE);
  c->comp_info[0].h_samp_factor = how->h ? how->h : 1;
  c->comp_info[0].v_samp_factor = how->v ? how->v : 1;
  c->restart_in_rows = how->restart_rows;
  c->arith_code = how->arithmetic != 0;
  if (how->no_adobe) c->write_Adobe_marker = FALSE;
}

/* The mean of all three components, then single coefficients of one component each. */
static void jpeg_many_scans(struct jpeg_compress_struct *c, int n) {
  static jpeg_scan_info script[JPEG_TEST_SCANS_MAX];
  assert_in_range(n, 1, JPEG_TEST_SCANS_MAX);
  script[0] = (jpeg_scan_info){3, {0, 1, 2}, 0, 0, 0, 0};
  for (int i = 1; i < n; i++) {
    int coefficient = 1 + (i - 1) % 63;
    script[i] = (jpeg_scan_info){1, {(i - 1) / 63}, coefficient, coefficient, 0, 0};
  }
  c->scan_info = script;
  c->num_scans = n;
}

void jpeg_write(const char *path, const picture *p, const jpeg_how *how) {
  struct jpeg_compress_struct c;
  struct jpeg_error_mgr errors;
  static const jpeg_scan_info apart[3] = {
      {1, {0}, 0, 63, 0, 0}, {1, {1}, 0, 63, 0, 0}, {1, {2}, 0, 63, 0, 0}};
  FILE *file = fopen(path, "wb");
  assert_non_null(file);
  c.err = jpeg_std_error(&errors);
  jpeg_create_compress(&c);
  jpeg_stdio_dest(&c, file);
  jpeg_set_up(&c, p, how);
  if (how->progressive) jpeg_simple_progression(&c);
  if (how->one_component_scans) {
    c.scan_info = apart;
    c.num_scans = 3;
  }
  if (how->scans) jpeg_many_scans(&c, how->scans);
  jpeg_start_compress(&c, TRUE);
  if (how->orientation || how->taken) {
    uint8_t block[96] = "Exif\0";
    size_t n = exif_make(block + 6, how->orientation, how->taken);
    jpeg_write_marker(&c, JPEG_APP0 + 1, block, (unsigned)n + 6);
  }
  if (how->icc) jpeg_write_icc_profile(&c, how->icc, (unsigned)how->icc_bytes);
  size_t row = (size_t)p->w * (size_t)p->samples;
  for (int y = 0; y < p->h; y++) {
    JSAMPROW line = p->bytes + (size_t)y * row;
    jpeg_write_scanlines(&c, &line, 1);
  }
  jpeg_finish_compress(&c);
  jpeg_destroy_compress(&c);
  fclose(file);
}

picture jpeg_read(const char *path, int samples, int reduce) {
  struct jpeg_decompress_struct d;
  struct jpeg_error_mgr errors;
  FILE *file = fopen(path, "rb");
  assert_non_null(file);
  d.err = jpeg_std_error(&errors);
  jpeg_create_decompress(&d);
  jpeg_stdio_src(&d, file);
  jpeg_read_header(&d, TRUE);
  d.out_color_space = samples == 1 ? JCS_GRAYSCALE : samples == 3 ? JCS_RGB : JCS_CMYK;
  d.dct_method = JDCT_ISLOW;
  d.scale_num = 1;
  d.scale_denom = (unsigned)reduce;
  jpeg_start_decompress(&d);
  picture p = {(int)d.output_width, (int)d.output_height, samples, 8, NULL};
  size_t row = (size_t)p.w * (size_t)samples;
  p.bytes = malloc(row * (size_t)p.h);
  assert_non_null(p.bytes);
  while (d.output_scanline < d.output_height) {
    JSAMPROW line = p.bytes + d.output_scanline * row;
    jpeg_read_scanlines(&d, &line, 1);
  }
  jpeg_finish_decompress(&d);
  jpeg_destroy_decompress(&d);
  fclose(file);
  return p;
}

static void png_color_chunks(png_structp png, png_infop info, const png_how *how) {
  if (how->icc) png_set_iCCP(png, info, "made", 0, how->icc, (png_uint_32)how->icc_bytes);
  if (how->srgb) png_set_sRGB(png, info, PNG_sRGB_INTENT_RELATIVE);
  if (how->gamma > 0) png_set_gAMA(png, info, how->gamma);
  if (how->cicp) {
    png_unknown_chunk chunk = {"cICP", NULL, 4, PNG_HAVE_IHDR};
    png_byte data[4];
    memcpy(data, how->cicp, 4);
    chunk.data = data;
    png_set_keep_unknown_chunks(png, PNG_HANDLE_CHUNK_ALWAYS, chunk.name, 1);
    png_set_unknown_chunks(png, info, &chunk, 1);
  }
  if (how->chroma) {
    const double *c = how->chroma;
    png_set_cHRM(png, info, c[0], c[1], c[2], c[3], c[4], c[5], c[6], c[7]);
  }
}

/* A palette in which no two entries and no two channels are alike. */
static void png_palette(png_structp png, png_infop info, const png_how *how) {
  png_color palette[256];
  int n = 1 << how->depth;
  for (int i = 0; i < n; i++)
    palette[i] = (png_color){(png_byte)(i * 255 / (n - 1)), (png_byte)((i * 97 + 31) & 255),
                             (png_byte)(255 - i * 200 / n)};
  png_set_PLTE(png, info, palette, n);
}

static void png_transparency(png_structp png, png_infop info, const png_how *how) {
  png_byte alpha[2] = {0, 128};
  png_color_16 color = {0};
  if (how->type == PNG_COLOR_TYPE_PALETTE)
    png_set_tRNS(png, info, alpha, 2, NULL);
  else
    png_set_tRNS(png, info, NULL, 0, &color);
}

void png_write(const char *path, const picture *p, const png_how *how) {
  uint8_t exif[80];
  FILE *file = fopen(path, "wb");
  assert_non_null(file);
  png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
  png_infop info = png_create_info_struct(png);
  if (setjmp(png_jmpbuf(png))) fail_msg("libpng cannot write %s", path);
  png_init_io(png, file);
  png_set_IHDR(png, info, (png_uint_32)p->w, (png_uint_32)p->h, how->depth, how->type,
               how->interlaced ? PNG_INTERLACE_ADAM7 : PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT,
               PNG_FILTER_TYPE_DEFAULT);
  if (how->type == PNG_COLOR_TYPE_PALETTE) png_palette(png, info, how);
  if (how->transparent) png_transparency(png, info, how);
  png_color_chunks(png, info, how);
  if (how->orientation) png_set_eXIf_1(png, info, (png_uint_32)exif_make(exif, how->orientation, NULL), exif);
  png_write_info(png, info);
  if (how->depth < 8) png_set_packing(png);
  if (how->depth == 16) png_set_swap(png); /* the tests run on little-endian machines or swap twice */
  int passes = how->interlaced ? png_set_interlace_handling(png) : 1;
  size_t row = (size_t)p->w * picture_pixel_bytes(p);
  for (int pass = 0; pass < passes; pass++)
    for (int y = 0; y < p->h; y++) png_write_row(png, p->bytes + (size_t)y * row);
  png_write_end(png, NULL);
  png_destroy_write_struct(&png, &info);
  fclose(file);
}
