/* ICC profiles for the photo tests, made with LittleCMS. */
#ifndef DROPWISE_TESTS_PROFILES_H
#define DROPWISE_TESTS_PROFILES_H

#include <stddef.h>

/* Chromaticities: IEC 61966-2-1 (sRGB); SMPTE EG 432-1 with a D65 white (Display P3). White, R, G, B. */
extern const double srgb_xy[8], p3_xy[8];

/* Matrix profile of p3_xy with the sRGB curve, titled "Wide test space". free() it. */
void *p3_profile(size_t *n);
/* Table profile for CMYK, titled "Made-up inks"; 17 points an ink make half a MiB, which a JPEG must carry in
 * several markers. free() it. */
void *ink_profile(unsigned points, size_t *n);

#endif
