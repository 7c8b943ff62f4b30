/* The usual 24-patch chart, in its two editions.
 *
 * The chart: C. S. McCamy, H. Marcus, J. G. Davidson, "A color-rendition chart", J. Appl. Photogr. Eng. 2
 * (1976) 95. The values: the maker's published CIELAB (D50, 2 degree) averages for charts made before and
 * since November 2014. The earlier ones are held to the edition that Debian's argyll-ref carries, to its last
 * digit; the later ones are from memory, and lie within CIEDE2000 2.0 (mean 0.8) of the earlier ones
 * (tests/card/test_card.c). */
#include "dropwise/card.h"

#include <string.h>

#define GRID24(name, ...)                                                                                    \
  {                                                                                                          \
    .title = name, .rows = 4, .cols = 6, .lab = {__VA_ARGS__},                                               \
    .id = {"A1", "A2", "A3", "A4", "A5", "A6", "B1", "B2", "B3", "B4", "B5", "B6",                           \
           "C1", "C2", "C3", "C4", "C5", "C6", "D1", "D2", "D3", "D4", "D5", "D6"},                          \
  }

/* In the chart's own order, row by row from the dark brown corner, three patches a line. */
/* clang-format off */
#define EARLIER \
  {37.986, 13.555, 14.059}, {65.711, 18.130, 17.810}, {49.927, -4.880, -21.925}, \
  {43.139, -13.095, 21.905}, {55.112, 8.844, -25.399}, {70.719, -33.397, -0.199}, \
  {62.661, 36.067, 57.096}, {40.020, 10.410, -45.964}, {51.124, 48.239, 16.248}, \
  {30.325, 22.976, -21.587}, {72.532, -23.709, 57.255}, {71.941, 19.363, 67.857}, \
  {28.778, 14.179, -50.297}, {55.261, -38.342, 31.370}, {42.101, 53.378, 28.190}, \
  {81.733, 4.039, 79.819}, {51.935, 49.986, -14.574}, {51.038, -28.631, -28.638}, \
  {96.539, -0.425, 1.186}, {81.257, -0.638, -0.335}, {66.766, -0.734, -0.504}, \
  {50.867, -0.153, -0.270}, {35.656, -0.421, -1.231}, {20.461, -0.079, -0.973}
#define LATER \
  {37.54, 14.37, 14.92}, {64.66, 19.27, 17.50}, {49.32, -3.82, -22.54}, \
  {43.46, -12.74, 22.72}, {54.94, 9.61, -24.79}, {70.48, -32.26, -0.37}, \
  {62.73, 35.83, 56.50}, {39.43, 10.75, -45.17}, {50.57, 48.64, 16.67}, \
  {30.10, 22.54, -20.87}, {71.77, -24.13, 58.19}, {71.51, 18.24, 67.37}, \
  {28.37, 15.42, -49.80}, {54.38, -39.72, 32.27}, {42.43, 51.05, 28.62}, \
  {81.80, 2.67, 80.41}, {50.63, 51.28, -14.12}, {49.57, -29.71, -28.32}, \
  {95.19, -1.03, 2.93}, {81.29, -0.57, 0.44}, {66.89, -0.75, -0.06}, \
  {50.76, -0.13, 0.14}, {35.63, -0.46, -0.48}, {20.64, 0.07, -0.46}
/* clang-format on */

static const dw_card cards[] = {
    GRID24("grid24", EARLIER),
    GRID24("grid24-early", EARLIER),
    GRID24("grid24-late", LATER),
};

const dw_card *dw_card_named(const char *name) {
  for (size_t i = 0; i < sizeof cards / sizeof *cards; i++)
    if (strcmp(cards[i].title, name) == 0) return &cards[i];
  return NULL;
}
