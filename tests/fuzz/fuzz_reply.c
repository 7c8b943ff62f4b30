/* What a photo's decoder answers: a sound reply with some of its bytes changed (fuzz_patch). */
#include "fuzz.h"

#include "photo/wire.h"

static const dw_photo_info sound = {.width = 40,
                                    .height = 30,
                                    .stored_width = 40,
                                    .stored_height = 30,
                                    .bits = 8,
                                    .orientation = 1,
                                    .format = "JPEG",
                                    .profile = "sRGB"};

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  static const dw_photo_limits limits = {.max_megapixels = 100, .max_bytes = 1 << 30};
  static dw__reply reply;
  dw_photo_info info = {0};
  dw_error err;
  reply = (dw__reply){.status = DW_OK, .info = sound};
  fuzz_patch(&reply, sizeof reply, bytes, n);
  for (int known = 0; known < 2; known++) {
    dw_status status = dw__reply_take(&reply, known ? &sound : NULL, &limits, "the photo", &info, &err);
    promise(status == DW_OK || (err.code == status && dw_utf8_plain(err.text)),
            "a refusal has a plain sentence");
    if (status != DW_OK) continue;
    promise(info.width > 0 && info.height > 0 && (double)info.width * info.height <= 100e6,
            "a photo has a size");
    promise(info.orientation >= 1 && info.orientation <= 8, "an orientation is 1 to 8");
    promise(dw_utf8_plain(info.profile) && dw_utf8_plain(info.taken), "texts are plain");
  }
  return 0;
}
