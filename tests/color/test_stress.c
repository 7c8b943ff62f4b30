#include "check.h"
#include "dropwise/color.h"

#include <jansson.h>
#include <stdio.h>

/* STRESS (Garcia, Huertas, Melgosa, Cui, JOSA A 24 (2007) 1823), in percent: how far computed differences dE
 * are from proportional to the visual ones dV. 100 sqrt(sum (dE - F dV)^2 / sum (F dV)^2), F = sum dE^2 / sum
 * dE dV. */
static double stress(const double *de, const double *dv, size_t n) {
  double ee = 0, ev = 0, vv = 0, misfit = 0;
  for (size_t i = 0; i < n; i++) {
    ee += de[i] * de[i];
    ev += de[i] * dv[i];
    vv += dv[i] * dv[i];
  }
  const double F = ee / ev;
  for (size_t i = 0; i < n; i++) misfit += (de[i] - F * dv[i]) * (de[i] - F * dv[i]);
  return 100 * sqrt(misfit / (F * F * vv));
}

static dw_xyz xyz_of(const json_t *row) {
  return (dw_xyz){json_number_value(json_array_get(row, 0)), json_number_value(json_array_get(row, 1)),
                  json_number_value(json_array_get(row, 2))};
}

/* CIELAB from the set's own white, as the published values were computed. */
static double set_stress(const char *name) {
  char path[600];
  snprintf(path, sizeof path, DW_SOURCE_DIR "/../shared/data/colordiff/%s", name);
  json_t *root = json_load_file(path, 0, NULL);
  if (!root) return NAN;
  const json_t *pairs = json_object_get(root, "pairs"), *xyz = json_object_get(root, "xyz");
  const json_t *visual = json_object_get(root, "dv");
  const dw_xyz white = xyz_of(json_object_get(root, "reference_white"));
  const size_t n = json_array_size(pairs);
  assert_true(n > 50 && json_array_size(visual) == n);
  double *de = calloc(n, sizeof *de), *dv = calloc(n, sizeof *dv);
  assert_true(de && dv);
  for (size_t i = 0; i < n; i++) {
    dw_lab lab[2];
    for (size_t k = 0; k < 2; k++) {
      const json_int_t at = json_integer_value(json_array_get(json_array_get(pairs, i), k));
      lab[k] = dw_lab_from_xyz_white(xyz_of(json_array_get(xyz, (size_t)at)), white);
    }
    de[i] = dw_de00(lab[0], lab[1]);
    dv[i] = json_number_value(json_array_get(visual, i));
  }
  const double value = stress(de, dv, n);
  free(de);
  free(dv);
  json_decref(root);
  return value;
}

/* Values for CIEDE2000 of Melgosa, Huertas, Berns, JOSA A 25 (2008) 1828 (from memory). */
int main(void) {
  static const struct {
    const char *name;
    double published;
  } sets[] = {{"rit-dupont.json", 19.47}, {"witt.json", 30.22}, {"leeds.json", 19.25}};
  int found = 0, wrong = 0;
  for (size_t i = 0; i < sizeof sets / sizeof *sets; i++) {
    const double value = set_stress(sets[i].name);
    if (isnan(value)) continue;
    found++;
    wrong += fabs(value - sets[i].published) > 0.005 + 1e-9;
    printf("%-16s STRESS %.2f, published %.2f\n", sets[i].name, value, sets[i].published);
  }
  if (!found) printf("skipped: no visual color-difference data beside the source\n");
  return found ? wrong != 0 : 77;
}
