/* Volumes and temperatures with their units. */
#include "dropwise/base.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

/* NIST SP 811 (2008), appendix B.8: t/C = (t/F - 32) / 1.8 */
double dw_fahrenheit_from_celsius(double c) {
  return c * 9.0 / 5.0 + 32.0;
}

double dw_celsius_from_fahrenheit(double f) {
  return (f - 32.0) * 5.0 / 9.0;
}

typedef struct unit {
  const char *name; /* without blanks and points */
  dw_units units;
  double floz;
} unit;

/* NIST Handbook 44, appendix C, section 4 (units of liquid volume): 1 gallon = 4 quarts = 8 pints = 16 cups =
 * 128 fluid ounces; 1 fluid ounce = 29.573 529 562 5 ml. */
static const unit volumes[] = {
    {"floz", DW_UNITS_US, 1},
    {"cup", DW_UNITS_US, 8},
    {"cups", DW_UNITS_US, 8},
    {"pt", DW_UNITS_US, 16},
    {"qt", DW_UNITS_US, 32},
    {"gal", DW_UNITS_US, 128},
    {"ml", DW_UNITS_METRIC, 1 / DW_ML_PER_FLOZ},
    {"l", DW_UNITS_METRIC, 1000 / DW_ML_PER_FLOZ},
};
enum { N_VOLUMES = sizeof volumes / sizeof *volumes, UNIT_ROOM = 16 };

/* The number in front, and what stands behind it without blanks and points. */
static bool split(const char *text, double *number, char *name) {
  const char *rest;
  size_t n = 0;
  text += strspn(text, " \t");
  if (!dw_parse_number(text, &rest, number)) return false;
  for (; *rest; rest++) {
    if (strchr(" \t.", *rest)) continue;
    if (n + 1 == UNIT_ROOM) return false;
    name[n++] = *rest;
  }
  name[n] = '\0';
  return true;
}

bool dw_parse_volume(const char *text, dw_units *units, double *floz) {
  char name[UNIT_ROOM];
  double number;
  if (!split(text, &number, name)) return false;
  const char *wanted = *name ? name : *units == DW_UNITS_METRIC ? "ml" : "floz";
  for (size_t i = 0; i < N_VOLUMES; i++) {
    if (strcasecmp(wanted, volumes[i].name) != 0) continue;
    const double volume = number * volumes[i].floz;
    if (!isfinite(volume)) return false;
    *units = volumes[i].units;
    *floz = volume;
    return true;
  }
  return false;
}

dw_status dw_volume_within(const char *what, const char *text, dw_units units, double min_floz,
                           double max_floz, double *floz, dw_error *err) {
  double number;
  if (dw_parse_volume(text, &units, &number) && number >= min_floz && number <= max_floz) {
    *floz = number;
    return DW_OK;
  }
  const bool metric = units == DW_UNITS_METRIC;
  const double per_floz = metric ? DW_ML_PER_FLOZ : 1;
  return dw_fail(err, DW_USAGE,
                 "%s takes a volume from %.3g to %.5g %s, not \"%.40s\"; its unit may stand behind "
                 "it, as in 4floz or 120ml.",
                 what, min_floz * per_floz, max_floz * per_floz, metric ? "ml" : "fl oz", text);
}

/* In degrees F, and the units it was given in. */
static bool parse_degrees(const char *text, double (*from_celsius)(double), dw_units *units, double *out) {
  static const char degree[] = "\xC2\xB0";
  char name[UNIT_ROOM];
  double number;
  if (!split(text, &number, name)) return false;
  const char *letter = strncmp(name, degree, 2) == 0 ? name + 2 : name;
  const bool metric = *name ? strcasecmp(letter, "C") == 0 : *units == DW_UNITS_METRIC;
  if (*name && !metric && strcasecmp(letter, "F") != 0) return false;
  if (metric) number = from_celsius(number);
  if (!isfinite(number)) return false;
  *units = metric ? DW_UNITS_METRIC : DW_UNITS_US;
  *out = number;
  return true;
}

bool dw_parse_temperature(const char *text, dw_units *units, double *fahrenheit) {
  return parse_degrees(text, dw_fahrenheit_from_celsius, units, fahrenheit);
}

static double fahrenheit_step(double c) {
  return c * DW_FAHRENHEIT_PER_CELSIUS;
}

bool dw_parse_temperature_step(const char *text, dw_units *units, double *fahrenheit) {
  return parse_degrees(text, fahrenheit_step, units, fahrenheit);
}

const char *dw_temperature_text(double fahrenheit, dw_units units, char *out, size_t room) {
  if (units == DW_UNITS_METRIC)
    snprintf(out, room, "%.0f C", dw_celsius_from_fahrenheit(fahrenheit));
  else
    snprintf(out, room, "%.0f F", fahrenheit);
  return out;
}

const char *dw_temperature_step_text(double fahrenheit, dw_units units, char *out, size_t room) {
  const bool metric = units == DW_UNITS_METRIC;
  snprintf(out, room, "%.3g %s", fahrenheit / (metric ? DW_FAHRENHEIT_PER_CELSIUS : 1), metric ? "C" : "F");
  return out;
}
