/* Any bytes as an EXIF block: an orientation and a date, or a note. */
#include "fuzz.h"

#include "photo/decode.h"

#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  dw_photo_info info = {.orientation = 1};
  dw__exif_read(&info, bytes, n);
  promise(info.orientation >= 1 && info.orientation <= 8, "an orientation is 1 to 8");
  promise(strnlen(info.taken, sizeof info.taken) < sizeof info.taken && dw_utf8_plain(info.taken),
          "a date is plain");
  promise(info.notes.n <= DW_NOTES_MAX, "few notes");
  return 0;
}
