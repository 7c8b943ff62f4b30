/* The sRGB matrices, row-major, for the parts of this folder that work on rows of floats. */
#ifndef DROPWISE_COLOR_SRGB_H
#define DROPWISE_COLOR_SRGB_H

extern const double dw__xyz_from_linear[9]; /* linear sRGB to XYZ D50 */
extern const double dw__linear_from_xyz[9]; /* its inverse */

#endif
