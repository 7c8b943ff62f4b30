#include "photo/decode/made_profile.h"

#include <lcms2.h>
#include <stdlib.h>

static void keep_icc(dw__header *header, cmsHPROFILE profile) {
  cmsUInt32Number n = 0;
  if (!profile || !cmsSaveProfileToMem(profile, NULL, &n)) return;
  header->icc = malloc(n);
  if (header->icc && cmsSaveProfileToMem(profile, header->icc, &n)) {
    header->icc_bytes = n;
    return;
  }
  free(header->icc);
  header->icc = NULL;
}

void dw__profile_make(dw__header *header, const dw__curve *how, const double xy[8]) {
  cmsContext lcms = cmsCreateContext(NULL, NULL);
  cmsToneCurve *curve = lcms ? cmsBuildParametricToneCurve(lcms, how->type, how->parameter) : NULL;
  cmsHPROFILE profile = NULL;
  if (curve) {
    cmsCIExyY white = {xy[0], xy[1], 1};
    cmsCIExyYTRIPLE primaries = {{xy[2], xy[3], 1}, {xy[4], xy[5], 1}, {xy[6], xy[7], 1}};
    cmsToneCurve *const curves[3] = {curve, curve, curve};
    profile = header->pixel_kind == DW_PIXEL_GRAY ? cmsCreateGrayProfileTHR(lcms, &white, curve)
                                                  : cmsCreateRGBProfileTHR(lcms, &white, &primaries, curves);
    keep_icc(header, profile);
  }
  if (profile) cmsCloseProfile(profile);
  if (curve) cmsFreeToneCurve(curve);
  if (lcms) cmsDeleteContext(lcms);
}

/* ITU-T H.273, table 3, inverted where it gives the stored number from the light. False: not one of these. */
static bool curve_of(int transfer, dw__curve *out) {
  static const dw__curve bt709 = {4, {1 / 0.45, 1 / 1.099, 0.099 / 1.099, 1 / 4.5, 0.081}};
  static const dw__curve srgb = {4, {2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045}};
  switch (transfer) {
  case 1: /* BT.709, and BT.601 and BT.2020, which use the same */
  case 6:
  case 14:
  case 15:
    *out = bt709;
    return true;
  case 4:
    *out = (dw__curve){1, {2.2}};
    return true;
  case 5:
    *out = (dw__curve){1, {2.8}};
    return true;
  case 8:
    *out = (dw__curve){1, {1}};
    return true;
  case 2: /* unspecified */
  case 13:
    *out = srgb;
    return true;
  default:
    return false;
  }
}

static const char *name_of(int primaries) {
  return primaries == 1    ? "BT.709"
         : primaries == 9  ? "BT.2020"
         : primaries == 12 ? "Display P3"
                           : "other primaries";
}

dw_status dw__profile_from_codes(dw_photo *photo, dw__header *header, int primaries, int transfer,
                                 const double xy[8], dw_error *err) {
  enum { SRGB_PRIMARIES = 1, UNSPECIFIED = 2, SRGB_TRANSFER = 13, PQ = 16, HLG = 18 };
  dw__curve curve;
  if (transfer == PQ || transfer == HLG)
    return dw_fail(
        err, DW_UNSUPPORTED,
        "%s is a photo of high dynamic range (PQ or HLG), whose colors depend on the screen: save it as "
        "JPEG.",
        photo->path);
  bool usual = primaries == SRGB_PRIMARIES || primaries == UNSPECIFIED;
  bool srgb = usual && (transfer == SRGB_TRANSFER || transfer == UNSPECIFIED);
  bool known = curve_of(transfer, &curve) && (primaries == UNSPECIFIED || xy[1] > 0);
  if (srgb) {
    header->srgb_named = primaries == SRGB_PRIMARIES && transfer == SRGB_TRANSFER;
  } else if (known) {
    static const double srgb_xy[8] = {0.3127, 0.3290, 0.64, 0.33, 0.30, 0.60, 0.15, 0.06};
    dw__profile_make(header, &curve, primaries == UNSPECIFIED ? srgb_xy : xy);
    snprintf(header->title, sizeof header->title, "%s (color codes %d and %d)", name_of(primaries), primaries,
             transfer);
  } else {
    dw_note(&photo->info.notes, "The photo's color codes (%d and %d) are not known here; it is read as sRGB.",
            primaries, transfer);
  }
  return DW_OK;
}
