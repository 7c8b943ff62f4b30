/* Color values shared by the library and the plugin interface.
 *
 * Space   CIELAB for the ICC connection space: white D50 (0.9642, 1, 0.8249), CIE 1931 2 degree observer,
 *         XYZ scaled so that Y of the perfect diffuser is 1.
 * Source  CIE 15:2018 (CIELAB); ICC.1:2022 (D50 white of the connection space). */
#ifndef DROPWISE_LAB_H
#define DROPWISE_LAB_H

typedef struct dw_lab {
  double L; /* lightness L*, 0 black to 100 the perfect white */
  double a; /* a*, green (-) to red (+) */
  double b; /* b*, blue (-) to yellow (+) */
} dw_lab;

typedef struct dw_lch {
  double L; /* lightness L* */
  double C; /* chroma C*ab, 0 is gray */
  double h; /* hue angle hab in degrees, 0 <= h < 360; 0 for a gray */
} dw_lch;

typedef struct dw_xyz {
  double X, Y, Z; /* tristimulus values, perfect white has Y = 1 */
} dw_xyz;

/* A layer whose contrast ratio lies more than this above its neighbor's drowns it (common practice, no source
 * for the figure). */
#define DW_OPACITY_GAP 0.35

#endif
