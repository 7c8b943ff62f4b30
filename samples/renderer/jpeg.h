#ifndef RENDERER_JPEG_H
#define RENDERER_JPEG_H

#include <stdint.h>

/* Writes an upright RGB picture as JPEG. orientation 1: as it is; 6: stored lying on its left side,
 * with the EXIF tag that tells viewers to turn it clockwise.  Nonzero on failure, with a sentence on stderr.
 */
typedef enum jpeg_chroma { JPEG_420, JPEG_444 } jpeg_chroma;
int jpeg_save_as(const char *path, const uint8_t *rgb, int width, int height, int quality, int orientation,
                 jpeg_chroma chroma);
/* The same as 4:2:0. */
int jpeg_save(const char *path, const uint8_t *rgb, int width, int height, int quality, int orientation);

#endif
