/* EXIF through libexif: which way is up, when it was taken, and whether the camera used another color space.
 */
#include "photo/decode.h"

#include <ctype.h>
#include <libexif/exif-data.h>
#include <libexif/exif-utils.h>
#include <stdlib.h>
#include <string.h>

static const char exif_mark[6] = "Exif\0";
enum { EXIF_BYTES_MAX = 65536 };

static void read_orientation(dw_photo_info *info, ExifData *data) {
  ExifEntry *entry = exif_content_get_entry(data->ifd[EXIF_IFD_0], EXIF_TAG_ORIENTATION);
  if (!entry) return;
  int value = 0;
  if (entry->format == EXIF_FORMAT_SHORT && entry->size >= 2)
    value = exif_get_short(entry->data, exif_data_get_byte_order(data));
  if (value >= 1 && value <= 8)
    info->orientation = value;
  else
    dw_note(&info->notes, "The EXIF orientation is not one of 1 to 8; the photo is taken as it is stored.");
}

/* "2026:05:01 14:03:22" becomes "2026-05-01 14:03:22"; anything else is left out. */
static void read_taken(dw_photo_info *info, ExifData *data) {
  static const char form[] = "dddd:dd:dd dd:dd:dd";
  ExifEntry *entry = exif_content_get_entry(data->ifd[EXIF_IFD_EXIF], EXIF_TAG_DATE_TIME_ORIGINAL);
  const size_t n = sizeof form - 1;
  if (!entry || entry->format != EXIF_FORMAT_ASCII || entry->size < n) return;
  for (size_t i = 0; i < n; i++)
    if (form[i] == 'd' ? !isdigit(entry->data[i]) : entry->data[i] != form[i]) return;
  memcpy(info->taken, entry->data, n);
  info->taken[n] = '\0';
  info->taken[4] = info->taken[7] = '-';
}

/* DCF 2.0 (CIPA DC-009): interoperability index "R03" marks the optional color space, Adobe RGB (1998). */
static void read_color_space(dw_photo_info *info, ExifData *data) {
  ExifEntry *entry =
      exif_content_get_entry(data->ifd[EXIF_IFD_INTEROPERABILITY], EXIF_TAG_INTEROPERABILITY_INDEX);
  if (entry && entry->size >= 3 && memcmp(entry->data, "R03", 3) == 0)
    dw_note(&info->notes, "The camera marked this photo as Adobe RGB: without an embedded profile its colors "
                          "are read too dull; set the camera to sRGB.");
}

void dw__exif_read(dw_photo_info *info, const uint8_t *bytes, size_t n) {
  uint8_t *block = NULL;
  ExifData *data = NULL;
  if (n >= sizeof exif_mark && memcmp(bytes, exif_mark, sizeof exif_mark) == 0) {
    bytes += sizeof exif_mark;
    n -= sizeof exif_mark;
  }
  if (n > EXIF_BYTES_MAX) {
    dw_note(&info->notes, "The EXIF block is larger than 64 KiB and was left out.");
    goto done;
  }
  block = malloc(sizeof exif_mark + n);
  if (!block) goto done;
  memcpy(block, exif_mark, sizeof exif_mark);
  if (n) memcpy(block + sizeof exif_mark, bytes, n);
  data = exif_data_new_from_data(block, (unsigned)(sizeof exif_mark + n));
  if (!data || (data->ifd[EXIF_IFD_0]->count == 0 && data->ifd[EXIF_IFD_EXIF]->count == 0)) {
    dw_note(&info->notes, "The EXIF block is broken; the photo is taken as it is stored.");
    goto done;
  }
  read_orientation(info, data);
  read_taken(info, data);
  read_color_space(info, data);
done:
  exif_data_unref(data);
  free(block);
}
