/* The two constants of the CIELAB curve, as CIE 15:2004 gives them exactly: 216/24389 = (6/29)^3 and
 * 24389/27 = (29/3)^3. */
#ifndef DROPWISE_COLOR_CURVE_H
#define DROPWISE_COLOR_CURVE_H

#define DW__LAB_KNEE (216.0 / 24389.0)
#define DW__LAB_SLOPE (24389.0 / 27.0)

#endif
