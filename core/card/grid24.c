/* The usual 24-patch chart.
 *
 * The chart: C. S. McCamy, H. Marcus, J. G. Davidson, "A color-rendition chart", J. Appl. Photogr. Eng. 2
 * (1976) 95. The values: the maker's published CIELAB (D50, 2 degree) averages for charts made before
 * November 2014, typed in from memory. They lie within CIEDE2000 4.1 (mean 1.6) of the sRGB values published
 * for the chart, and within 2.0 (mean 0.8) of the averages published for later charts
 * (tests/card/test_grid24.c). */
#include "pourtone/card.h"

static const pt_card grid24 = {
    .title = "grid24",
    .rows = 4,
    .cols = 6,
    .lab =
        {
            {37.986, 13.555, 14.059},   /* brown */
            {65.711, 18.130, 17.810},   /* light skin */
            {49.927, -4.880, -21.905},  /* blue sky */
            {43.139, -13.095, 21.905},  /* foliage */
            {55.112, 8.844, -25.399},   /* blue flower */
            {70.719, -33.397, -0.199},  /* bluish green */
            {62.661, 36.067, 57.096},   /* orange */
            {40.020, 10.410, -45.964},  /* purplish blue */
            {51.124, 48.239, 16.248},   /* moderate red */
            {30.325, 22.976, -21.587},  /* purple */
            {72.532, -23.709, 57.255},  /* yellow green */
            {71.941, 19.363, 67.857},   /* orange yellow */
            {28.778, 14.179, -50.297},  /* blue */
            {55.261, -38.342, 31.370},  /* green */
            {42.101, 53.378, 28.190},   /* red */
            {81.733, 4.039, 79.819},    /* yellow */
            {51.935, 49.986, -14.574},  /* magenta */
            {51.038, -28.631, -28.638}, /* cyan */
            {96.539, -0.425, 1.186},    /* white */
            {81.257, -0.638, -0.335},   /* gray */
            {66.766, -0.734, -0.504},   /* gray */
            {50.867, -0.153, -0.270},   /* gray */
            {35.656, -0.421, -1.231},   /* gray */
            {20.461, -0.079, -0.973},   /* black */
        },
    .id = {"A1", "A2", "A3", "A4", "A5", "A6", "B1", "B2", "B3", "B4", "B5", "B6",
           "C1", "C2", "C3", "C4", "C5", "C6", "D1", "D2", "D3", "D4", "D5", "D6"},
};

const pt_card *pt_card_grid24(void) {
  return &grid24;
}
