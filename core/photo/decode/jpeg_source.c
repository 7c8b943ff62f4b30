/* Where libjpeg's bytes come from: a file, 64 KiB at a time, with a limit on the header. */
#include "photo/decode/jpeg.h"

#include <jerror.h>
#include <stddef.h>
#include <string.h>

static void source_begin(j_decompress_ptr cinfo) {
  (void)cinfo;
}

static size_t read_more(dw__jpeg *jpeg) {
  size_t n = fread(jpeg->buffer, 1, sizeof jpeg->buffer, jpeg->photo->file);
  if (n == 0 && ferror(jpeg->photo->file))
    dw__jpeg_stop(jpeg, dw_fail(jpeg->err, DW_IO, "%s cannot be read to its end.", jpeg->photo->path));
  jpeg->source.next_input_byte = jpeg->buffer;
  jpeg->source.bytes_in_buffer = n;
  return n;
}

/* At the end of the file libjpeg is given an end-of-image marker, so that it never runs on; that it was not
 * in the file is remembered. */
static boolean source_fill(j_decompress_ptr cinfo) {
  dw__jpeg *jpeg = cinfo->client_data;
  if (jpeg->in_header) {
    if (jpeg->header_left < JPEG_BUFFER_BYTES)
      dw__jpeg_stop(jpeg,
                    dw_fail(jpeg->err, DW_TOO_LARGE,
                            "%s has more than %d MiB before the photo itself: save it again without extras.",
                            jpeg->photo->path, JPEG_HEADER_BYTES_MAX >> 20));
    jpeg->header_left -= JPEG_BUFFER_BYTES;
  }
  if (read_more(jpeg) == 0) {
    if (!jpeg->cut) jpeg->damaged_before_cut = jpeg->damaged;
    jpeg->cut = true;
    jpeg->buffer[0] = 0xFF;
    jpeg->buffer[1] = JPEG_EOI;
    jpeg->source.bytes_in_buffer = 2;
    WARNMS(cinfo, JWRN_JPEG_EOF);
  }
  return TRUE;
}

static void source_skip(j_decompress_ptr cinfo, long n) {
  dw__jpeg *jpeg = cinfo->client_data;
  struct jpeg_source_mgr *source = &jpeg->source;
  if (n <= 0) return;
  size_t here = (size_t)n < source->bytes_in_buffer ? (size_t)n : source->bytes_in_buffer;
  if (jpeg->in_header) jpeg->header_left += here; /* what is passed over takes no memory */
  source->next_input_byte += here;
  source->bytes_in_buffer -= here;
  long beyond = n - (long)here; /* a seek past the end shows as an end of file in the next fill */
  if (beyond > 0 && fseek(jpeg->photo->file, beyond, SEEK_CUR) != 0)
    dw__jpeg_stop(jpeg, dw_fail(jpeg->err, DW_IO, "%s cannot be read to its end.", jpeg->photo->path));
}

void dw__jpeg_source_init(dw__jpeg *jpeg) {
  jpeg->source = (struct jpeg_source_mgr){.init_source = source_begin,
                                          .fill_input_buffer = source_fill,
                                          .skip_input_data = source_skip,
                                          .resync_to_restart = jpeg_resync_to_restart,
                                          .term_source = source_begin};
  jpeg->cinfo.src = &jpeg->source;
  jpeg->in_header = true;
  jpeg->header_left = JPEG_HEADER_BYTES_MAX;
}

static int next_byte(j_decompress_ptr cinfo) {
  struct jpeg_source_mgr *source = cinfo->src;
  if (source->bytes_in_buffer == 0) source->fill_input_buffer(cinfo);
  source->bytes_in_buffer--;
  return *source->next_input_byte++;
}

static boolean take_app1(j_decompress_ptr cinfo) {
  static const char mark[6] = "Exif\0";
  dw__jpeg *jpeg = cinfo->client_data;
  int high = next_byte(cinfo);
  int n = (high << 8 | next_byte(cinfo)) - 2;
  if (n < 0) ERREXIT(cinfo, JERR_BAD_LENGTH);
  uint8_t start[sizeof mark];
  int got = 0;
  while (got < n && got < (int)sizeof mark) start[got++] = (uint8_t)next_byte(cinfo);
  if (jpeg->exif || got < (int)sizeof mark || memcmp(start, mark, sizeof mark) != 0) {
    source_skip(cinfo, n - got);
    return TRUE;
  }
  jpeg->exif = cinfo->mem->alloc_small((j_common_ptr)cinfo, JPOOL_PERMANENT, (size_t)n);
  memcpy(jpeg->exif, start, sizeof mark);
  while (got < n) jpeg->exif[got++] = (uint8_t)next_byte(cinfo);
  jpeg->exif_bytes = (size_t)n;
  return TRUE;
}

void dw__jpeg_source_keep_exif(dw__jpeg *jpeg) {
  jpeg_set_marker_processor(&jpeg->cinfo, JPEG_APP0 + 1, take_app1);
}

/* Of bytes that were passed over, as many as the buffer still holds. */
bool dw__jpeg_source_padded(const dw__jpeg *jpeg, int n) {
  const JOCTET *end = jpeg->source.next_input_byte;
  ptrdiff_t held = end - jpeg->buffer;
  const JOCTET *from = end - (n < held ? n : held);
  for (const JOCTET *p = from; p < end; p++)
    if (*p != *from) return false;
  return true;
}
