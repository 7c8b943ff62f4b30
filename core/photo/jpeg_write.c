/* JPEG bytes of a preview, in memory. */
#include "dropwise/photo.h"
#include "photo/guard.h"

#include <jpeglib.h>
#include <stdlib.h>

typedef struct writer {
  struct jpeg_compress_struct cinfo;
  struct jpeg_error_mgr errors;
  dw__guard guard;
  const dw_preview *preview;
  int quality;
  bool has_buffer;
  unsigned char *bytes;
  unsigned long n;
} writer;

static void on_error(j_common_ptr cinfo) {
  writer *w = cinfo->client_data;
  dw__guard_leave(&w->guard);
}

static void on_message(j_common_ptr cinfo, int level) {
  (void)cinfo;
  (void)level;
}

static void write_picture(void *ctx) {
  writer *w = ctx;
  w->cinfo.err = jpeg_std_error(&w->errors);
  w->errors.error_exit = on_error;
  w->errors.emit_message = on_message;
  w->cinfo.client_data = w;
  jpeg_create_compress(&w->cinfo);
  jpeg_mem_dest(&w->cinfo, &w->bytes, &w->n);
  w->has_buffer = true;
  w->cinfo.image_width = (JDIMENSION)w->preview->width;
  w->cinfo.image_height = (JDIMENSION)w->preview->height;
  w->cinfo.input_components = 3;
  w->cinfo.in_color_space = JCS_RGB;
  jpeg_set_defaults(&w->cinfo);
  jpeg_set_quality(&w->cinfo, w->quality, TRUE);
  jpeg_start_compress(&w->cinfo, TRUE);
  size_t row_bytes = (size_t)w->preview->width * 3;
  while (w->cinfo.next_scanline < w->cinfo.image_height) {
    JSAMPROW row = w->preview->rgb + w->cinfo.next_scanline * row_bytes;
    jpeg_write_scanlines(&w->cinfo, &row, 1);
  }
  jpeg_finish_compress(&w->cinfo);
}

dw_status dw_preview_jpeg(const dw_preview *preview, int quality, uint8_t **out, size_t *n, dw_error *err) {
  writer w = {.preview = preview, .quality = quality};
  bool done = dw__guard_run(&w.guard, write_picture, &w);
  /* The library's buffer moves as it grows; only this tells where it is now. */
  if (!done && w.has_buffer) w.cinfo.dest->term_destination(&w.cinfo);
  jpeg_destroy((j_common_ptr)&w.cinfo);
  if (!done) {
    free(w.bytes);
    return dw_fail_memory(err, "a preview picture");
  }
  *out = w.bytes;
  *n = w.n;
  return DW_OK;
}
