/* Which color space the stored numbers are in. */
#include "photo/decode.h"

#include <string.h>

/* ICC.1:2022, 7.2.6: the data color space signature stands at byte 16. */
static bool icc_is_for(const dw__header *header, const char *signature) {
  return header->icc_bytes >= 20 && memcmp(header->icc + 16, signature, 4) == 0;
}

static bool is_cmyk(dw_pixel_kind kind) {
  return kind == DW_PIXEL_CMYK || kind == DW_PIXEL_CMYK_INVERTED;
}

static dw_status open_srgb(dw_photo *photo, const char *title, dw_error *err) {
  dw_status status = dw_profile_open(NULL, 0, photo->pixel_kind, photo->info.bits, &photo->profile, err);
  if (status == DW_OK) dw_copy_text(photo->info.profile, sizeof photo->info.profile, title);
  return status;
}

dw_status dw__space_choose(dw_photo *photo, const dw__header *header, dw_error *err) {
  dw_photo_info *info = &photo->info;
  photo->pixel_kind = header->pixel_kind;
  if (!header->icc) {
    if (is_cmyk(header->pixel_kind))
      return dw_fail(err, DW_UNSUPPORTED,
                     "%s is a CMYK photo without a color profile, so its colors cannot be known: save it as "
                     "an RGB JPEG with its profile.",
                     photo->path);
    if (header->srgb_named) return open_srgb(photo, "sRGB (named in the file)", err);
    return open_srgb(photo, "sRGB (none embedded)", err);
  }
  /* Some programs keep the RGB profile when they turn a photo gray; then gray stands for R = G = B. */
  if (header->pixel_kind == DW_PIXEL_GRAY && icc_is_for(header, "RGB ")) photo->pixel_kind = DW_PIXEL_RGB;
  dw_error why;
  dw_status status =
      dw_profile_open(header->icc, header->icc_bytes, photo->pixel_kind, info->bits, &photo->profile, &why);
  if (status == DW_OK) {
    dw_copy_text(info->profile, sizeof info->profile,
                 header->title[0] ? header->title : dw_profile_title(photo->profile));
    return DW_OK;
  }
  if (status == DW_NO_MEMORY) return dw_fail(err, status, "%s", why.text);
  if (is_cmyk(header->pixel_kind))
    return dw_fail(err, DW_UNSUPPORTED,
                   "%s is a CMYK photo whose color profile is not usable (%s): save it "
                   "as an RGB JPEG.",
                   photo->path, why.text);
  dw_note(&info->notes, "The embedded color profile is not usable; the photo is read as sRGB. (%s)",
          why.text);
  photo->pixel_kind = header->pixel_kind;
  return open_srgb(photo, "sRGB (embedded profile not usable)", err);
}
