#ifndef RENDERER_JPEG_H
#define RENDERER_JPEG_H

#include <stdint.h>

/* Writes an upright RGB picture as 4:2:0 JPEG. orientation 1: as it is; 6: stored lying on its left side,
 * with the EXIF tag that tells viewers to turn it clockwise.  Nonzero on failure, with a sentence on stderr.
 */
int jpeg_save(const char *path, const uint8_t *rgb, int width, int height, int quality, int orientation);

#endif
