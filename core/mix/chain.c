#include "mix/chain.h"

#include <string.h>

void dw__lab_slopes(dw_lab lab, double out[9]) {
  const double white[3] = {DW_D50_X, DW_D50_Y, DW_D50_Z}, y = (lab.L + 16) / 116;
  const double f[3] = {y + lab.a / 500, y, y - lab.b / 200};
  double slope[3];
  for (int i = 0; i < 3; i++) slope[i] = (f[i] > 6.0 / 29 ? 1 / (3 * f[i] * f[i]) : 841.0 / 108) / white[i];
  const double matrix[9] = {
      0, 116 * slope[1], 0, 500 * slope[0], -500 * slope[1], 0, 0, 200 * slope[1], -200 * slope[2]};
  memcpy(out, matrix, sizeof matrix);
}

void dw__multiply3(const double A[9], const double B[9], double out[9]) {
  for (int i = 0; i < 3; i++)
    for (int j = 0; j < 3; j++)
      out[3 * i + j] = A[3 * i] * B[j] + A[3 * i + 1] * B[3 + j] + A[3 * i + 2] * B[6 + j];
}
