/* Names other kinds of files by their first bytes, so that a person learns what to do with them. */
#include "photo/decode.h"

#include <string.h>

typedef struct magic {
  size_t offset, n;
  const char *bytes;
  const char *words;
} magic;

#define MAGIC(offset, bytes, words)                                                                          \
  { offset, sizeof(bytes) - 1, bytes, words }
/* The more special ones first: many RAW kinds begin as a TIFF does. */
static const magic kinds[] = {
    MAGIC(4, "ftypmif1", "a HEIF photo other than HEIC: save it as JPEG"),
    MAGIC(4, "ftypavif", "an AVIF photo: save it as JPEG or PNG"),
    MAGIC(4, "ftypcrx", "a camera RAW file: develop it and save it as JPEG or PNG"),
    MAGIC(4, "ftyp", "a video: take a photo, or save one frame of it as JPEG"),
    MAGIC(8, "WEBP", "a WebP photo: save it as JPEG or PNG"),
    MAGIC(0, "GIF8", "a GIF file: its colors are too few to measure, use the original photo"),
    MAGIC(8, "CR\2", "a camera RAW file: develop it and save it as JPEG or PNG"),
    MAGIC(0, "IIU\0", "a camera RAW file: develop it and save it as JPEG or PNG"),
    MAGIC(0, "IIRO", "a camera RAW file: develop it and save it as JPEG or PNG"),
    MAGIC(0, "IIRS", "a camera RAW file: develop it and save it as JPEG or PNG"),
    MAGIC(0, "FUJIFILM", "a camera RAW file: develop it and save it as JPEG or PNG"),
    MAGIC(0, "FOVb", "a camera RAW file: develop it and save it as JPEG or PNG"),
    MAGIC(0, "II*\0", "a TIFF photo or a camera RAW file: save it as JPEG or PNG"),
    MAGIC(0, "MM\0*", "a TIFF photo or a camera RAW file: save it as JPEG or PNG"),
    MAGIC(0, "\xFF\x0A", "a JPEG XL photo: save it as JPEG or PNG"),
    MAGIC(4, "JXL ", "a JPEG XL photo: save it as JPEG or PNG"),
    MAGIC(4, "jP  ", "a JPEG 2000 photo: save it as JPEG or PNG"),
    MAGIC(0, "BM", "a BMP photo: save it as JPEG or PNG"),
    MAGIC(0, "8BPS", "a layered photo: save it as JPEG or PNG"),
    MAGIC(0, "\x8AMNG", "an MNG animation: save it as PNG"),
    MAGIC(0, "%PDF", "a PDF document: use the photo itself"),
    MAGIC(0, "PK\3\4", "a ZIP archive: unpack the photo first"),
    MAGIC(0, "<", "a text or web page: use the photo itself"),
};

const char *dw__sniff_other(const uint8_t *bytes, size_t n) {
  for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
    if (n >= kinds[i].offset + kinds[i].n && memcmp(bytes + kinds[i].offset, kinds[i].bytes, kinds[i].n) == 0)
      return kinds[i].words;
  return NULL;
}

/* ISO/IEC 23008-12, annex B: brands of a file with HEVC-coded pictures. A general brand (mif1) needs one of
 * them among the compatible ones, which stand behind the version, 4 bytes each. */
static bool is_heic(const uint8_t *bytes, size_t n) {
  static const char brands[][5] = {"heic", "heix", "heim", "heis"};
  if (n < 16 || memcmp(bytes + 4, "ftyp", 4) != 0) return false;
  size_t box = (size_t)bytes[0] << 24 | (size_t)bytes[1] << 16 | (size_t)bytes[2] << 8 | bytes[3];
  for (size_t at = 8; at + 4 <= n && at + 4 <= box; at += at == 8 ? 8 : 4)
    for (size_t i = 0; i < sizeof brands / sizeof *brands; i++)
      if (memcmp(bytes + at, brands[i], 4) == 0) return true;
  return false;
}

const char *dw__sniff(const uint8_t *bytes, size_t n) {
  if (n >= 3 && memcmp(bytes, "\xFF\xD8\xFF", 3) == 0) return "JPEG";
  if (n >= 8 && memcmp(bytes, "\x89PNG\r\n\x1A\n", 8) == 0) return "PNG";
  return is_heic(bytes, n) ? "HEIC" : NULL;
}
