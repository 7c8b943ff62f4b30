/* Which color space the stored numbers are in. */
#include "photo/decode.h"

#include <string.h>

/* ICC.1:2022, 7.2.6: the data color space signature stands at byte 16. */
static bool icc_is_for(const pt__header *header, const char *signature) {
  return header->icc_bytes >= 20 && memcmp(header->icc + 16, signature, 4) == 0;
}

static bool is_cmyk(pt_pixel_kind kind) {
  return kind == PT_PIXEL_CMYK || kind == PT_PIXEL_CMYK_INVERTED;
}

static pt_status open_srgb(pt_photo *photo, const char *title, pt_error *err) {
  pt_status status = pt_profile_open(NULL, 0, photo->pixel_kind, photo->info.bits, &photo->profile, err);
  if (status == PT_OK) pt_copy_text(photo->info.profile, sizeof photo->info.profile, title);
  return status;
}

pt_status pt__space_choose(pt_photo *photo, const pt__header *header, pt_error *err) {
  pt_photo_info *info = &photo->info;
  photo->pixel_kind = header->pixel_kind;
  if (!header->icc) {
    if (is_cmyk(header->pixel_kind))
      return pt_fail(
          err, PT_UNSUPPORTED,
          "%s is a CMYK picture without a color profile, so its colors cannot be known: save it as "
          "an RGB JPEG with its profile.",
          photo->path);
    if (header->srgb_named) return open_srgb(photo, "sRGB (named in the file)", err);
    return open_srgb(photo, "sRGB (none embedded)", err);
  }
  /* Some programs keep the RGB profile when they turn a photo gray; then gray stands for R = G = B. */
  if (header->pixel_kind == PT_PIXEL_GRAY && icc_is_for(header, "RGB ")) photo->pixel_kind = PT_PIXEL_RGB;
  pt_error why;
  pt_status status =
      pt_profile_open(header->icc, header->icc_bytes, photo->pixel_kind, info->bits, &photo->profile, &why);
  if (status == PT_OK) {
    pt_copy_text(info->profile, sizeof info->profile,
                 header->title[0] ? header->title : pt_profile_title(photo->profile));
    return PT_OK;
  }
  if (status == PT_NO_MEMORY) return pt_fail(err, status, "%s", why.text);
  if (is_cmyk(header->pixel_kind))
    return pt_fail(err, PT_UNSUPPORTED,
                   "%s is a CMYK picture whose color profile is not usable (%s): save it "
                   "as an RGB JPEG.",
                   photo->path, why.text);
  pt_note(&info->notes, "The embedded color profile is not usable; the photo is read as sRGB. (%s)",
          why.text);
  photo->pixel_kind = header->pixel_kind;
  return open_srgb(photo, "sRGB (embedded profile not usable)", err);
}
