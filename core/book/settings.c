/* Settings kept in the book. */
#include "book/bottles.h"
#include "book/sql.h"
#include "dropwise/book_settings.h"

#include <stdlib.h>
#include <string.h>

enum {
  UNITS,
  VOLUME,
  MAX_DROPS,
  MAX_BOTTLES,
  STEP,
  UNWANTED,
  HEAT_LIMIT,
  CARD_WIDTH,
  NUMBER /* of a plugin */
};
enum { DROPS_MOST = 2000 };
#define CARD_MM_MOST 2000.0

static const struct {
  const char *name, *takes;
} settings[DW_SETTINGS_COUNT] = {
    [UNITS] = {"units", "us (default) or metric: shown, and for numbers given without a unit"},
    [VOLUME] = {"volume", "clear base in a fresh cup, as in 4floz (default) or 120ml"},
    [MAX_DROPS] = {"max-drops", "most drops in a cup, 1 to 2000, or by-volume (default)"},
    [MAX_BOTTLES] = {"max-bottles", "most different bottles in a cup, 1 to 12; default 4"},
    [STEP] = {"step", "drops (default), half (half drops) or syringe (0.1 ml)"},
    [UNWANTED] = {"unwanted",
                  "bottles that no cup is to get anything of, as in green,blue, or none (default)"},
    [HEAT_LIMIT] =
        {"heat-limit",
         "how far apart in temperature the cups of a pour may be, as in 5F or 3C, or none (default)"},
    [CARD_WIDTH] =
        {"card-width",
         "mm from the middle of the card's first patch to the middle of the last in its row, or none "
         "(default): baits are measured by it"},
};

static const struct {
  const char *name;
  double drops;
} steps[] = {{"drops", 1}, {"half", 0.5}, {"syringe", 0}};
enum { N_STEPS = sizeof steps / sizeof *steps };

const char *dw_setting_name(size_t i) {
  return settings[i].name;
}

const char *dw_setting_takes(size_t i) {
  return settings[i].takes;
}

dw_settings dw_settings_default(void) {
  const dw_rules rules = dw_rules_default();
  return (dw_settings){.units = DW_UNITS_US,
                       .volume_floz = DW_USUAL_VOLUME_FLOZ,
                       .max_drops = rules.max_drops,
                       .max_bottles = rules.max_bottles,
                       .step_drops = rules.step_drops};
}

void dw_settings_rules(const dw_settings *own, const dw_shelf *shelf, dw_rules *rules) {
  rules->max_drops = own->max_drops;
  rules->max_bottles = own->max_bottles;
  rules->step_drops = own->step_drops;
  dw_unwanted_rules(own->unwanted, shelf, rules);
}

/* ---- values -------------------------------------------------------------------------------------------- */

static bool step_parse(const char *value, double *out) {
  for (size_t i = 0; i < N_STEPS; i++) {
    if (strcmp(value, steps[i].name) != 0) continue;
    *out = steps[i].drops;
    return true;
  }
  return false;
}

static bool units_parse(const char *value, dw_units *out) {
  if (strcmp(value, "us") != 0 && strcmp(value, "metric") != 0) return false;
  *out = *value == 'm' ? DW_UNITS_METRIC : DW_UNITS_US;
  return true;
}

static bool heat_limit_parse(const char *value, dw_units units, double *out) {
  double step = 0;
  if (strcmp(value, "none") != 0 &&
      (!dw_parse_temperature_step(value, &units, &step) || !(step > 0 && step <= 1000)))
    return false;
  *out = step;
  return true;
}

static bool card_width_parse(const char *value, double *out) {
  double mm = 0;
  if (strcmp(value, "none") != 0 && !(dw_parse_number_in(value, 1, CARD_MM_MOST, &mm))) return false;
  *out = mm;
  return true;
}

static bool value_parse(size_t i, const char *value, dw_settings *out) {
  dw_units units = out->units;
  double number;
  switch (i) {
  case UNITS:
    return units_parse(value, &out->units);
  case VOLUME:
    if (!dw_parse_volume(value, &units, &number) || !(number >= 0.01 && number <= 1000)) return false;
    out->volume_floz = number;
    return true;
  case MAX_DROPS:
    number = DW_DROPS_BY_VOLUME;
    if (strcmp(value, "by-volume") != 0 && !dw_parse_number_in(value, 1, DROPS_MOST, &number)) return false;
    out->max_drops = number;
    return true;
  case MAX_BOTTLES:
    if (!dw_parse_number_in(value, 1, DW_CUP_BOTTLES_MAX, &number) || number != (double)(size_t)number)
      return false;
    out->max_bottles = (size_t)number;
    return true;
  case UNWANTED:
    return dw_unwanted_parse(value, out->unwanted);
  case HEAT_LIMIT:
    return heat_limit_parse(value, units, &out->heat_limit_f);
  case CARD_WIDTH:
    return card_width_parse(value, &out->card_mm);
  default:
    return step_parse(value, &out->step_drops);
  }
}

bool dw_setting_is_number(const char *name) {
  return strchr(name, '.') != NULL;
}

static dw_status setting_find(const char *name, size_t *out, dw_error *err) {
  char known[128] = "";
  *out = NUMBER;
  if (dw_setting_is_number(name)) return DW_OK;
  for (*out = 0; *out < DW_SETTINGS_COUNT; ++*out) {
    if (strcmp(settings[*out].name, name) == 0) return DW_OK;
    size_t used = strlen(known);
    snprintf(known + used, sizeof known - used, "%s%s", used ? ", " : "", settings[*out].name);
  }
  return dw_fail(err, DW_NOT_FOUND, "There is no setting \"%.60s\"; there are %s.", name, known);
}

static dw_status number_parse(const char *name, const char *value, dw_numbers *out, dw_error *err) {
  double number;
  if (!dw_parse_number_in(value, -1e300, 1e300, &number))
    return dw_fail(err, DW_USAGE, "\"%.40s\" is no value of %.100s, which takes a number.", value, name);
  if (dw_numbers_set(out, name, number)) return DW_OK;
  return dw_fail(err, DW_USAGE, "At most %d numbers of plugins can be kept, with names of up to %d letters.",
                 DW_NUMBERS_MAX, DW_NUMBER_NAME_ROOM - 1);
}

static dw_status parse_as(size_t i, const char *name, const char *value, dw_settings *out, dw_error *err) {
  if (i == NUMBER) return number_parse(name, value, &out->numbers, err);
  if (value_parse(i, value, out)) return DW_OK;
  return dw_fail(err, DW_USAGE, "\"%.40s\" is no value of %s, which takes %s.", value, name,
                 settings[i].takes);
}

dw_status dw_setting_parse(const char *name, const char *value, dw_settings *out, dw_error *err) {
  size_t i;
  dw_status status = setting_find(name, &i, err);
  return status == DW_OK ? parse_as(i, name, value, out, err) : status;
}

static void step_format(double drops, char *out, size_t room) {
  for (size_t i = 0; i < N_STEPS; i++)
    if (steps[i].drops == drops) snprintf(out, room, "%s", steps[i].name);
}

void dw_setting_format(const dw_settings *own, size_t i, char *out, size_t room) {
  const bool metric = own->units == DW_UNITS_METRIC;
  if (i == UNITS)
    snprintf(out, room, "%s", metric ? "metric" : "us");
  else if (i == VOLUME)
    snprintf(out, room, "%.6g%s", own->volume_floz * (metric ? DW_ML_PER_FLOZ : 1), metric ? "ml" : "floz");
  else if (i == MAX_DROPS && own->max_drops < 0)
    snprintf(out, room, "by-volume");
  else if (i == MAX_DROPS)
    snprintf(out, room, "%.6g", own->max_drops);
  else if (i == MAX_BOTTLES)
    snprintf(out, room, "%zu", own->max_bottles);
  else if (i == UNWANTED)
    snprintf(out, room, "%s", *own->unwanted ? own->unwanted : "none");
  else if ((i == HEAT_LIMIT && !(own->heat_limit_f > 0)) || (i == CARD_WIDTH && !(own->card_mm > 0)))
    snprintf(out, room, "none");
  else if (i == CARD_WIDTH)
    snprintf(out, room, "%.6g", own->card_mm);
  else if (i == HEAT_LIMIT)
    snprintf(out, room, "%.4g%s", own->heat_limit_f / (metric ? DW_FAHRENHEIT_PER_CELSIUS : 1),
             metric ? "C" : "F");
  else
    step_format(own->step_drops, out, room);
}

/* ---- in the book --------------------------------------------------------------------------------------- */

typedef struct setting_row {
  char name[DW_NUMBER_NAME_ROOM], value[DW_SETTING_ROOM];
} setting_row;

static dw_status setting_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  setting_row *out = element;
  dw__query_copy(query, 0, out->name, sizeof out->name);
  dw__query_copy(query, 1, out->value, sizeof out->value);
  return DW_OK;
}

dw_status dw_book_settings_get(dw_book *book, dw_settings *out, bool *is_set, dw_error *err) {
  setting_row *rows = NULL;
  size_t n = 0, index;
  dw_error ignored;
  *out = dw_settings_default();
  if (is_set) memset(is_set, 0, DW_SETTINGS_COUNT * sizeof *is_set);
  dw_status status = dw__book_list(book, sizeof *rows, setting_from_row, &rows, &n, err,
                                   "SELECT name, value FROM setting ORDER BY id", "");
  for (size_t i = 0; i < n; i++)
    if (setting_find(rows[i].name, &index, &ignored) == DW_OK &&
        parse_as(index, rows[i].name, rows[i].value, out, &ignored) == DW_OK && is_set && index != NUMBER)
      is_set[index] = true;
  free(rows);
  return status;
}

/* As it is kept: with its unit, so that it means the same when the units are others. */
static void value_to_keep(const dw_settings *own, size_t i, const char *name, char *out) {
  if (i == NUMBER)
    snprintf(out, DW_SETTING_ROOM, "%.15g", *dw_numbers_find(&own->numbers, name));
  else if (i == VOLUME)
    snprintf(out, DW_SETTING_ROOM, "%.15gfloz", own->volume_floz);
  else if (i == HEAT_LIMIT && own->heat_limit_f > 0)
    snprintf(out, DW_SETTING_ROOM, "%.15gF", own->heat_limit_f);
  else
    dw_setting_format(own, i, out, DW_SETTING_ROOM);
}

dw_status dw_book_fresh_cup(dw_book *book, double *volume_floz, double *capacity_floz, dw_error *err) {
  dw_settings own;
  dw_status status = dw_book_settings_get(book, &own, NULL, err);
  if (status != DW_OK) return status;
  *volume_floz = own.volume_floz;
  *capacity_floz = DW_USUAL_CAPACITY * own.volume_floz;
  return DW_OK;
}

dw_status dw_book_setting_set(dw_book *book, const char *name, const char *value, dw_error *err) {
  static const char sql[] = "INSERT INTO setting (name, value) VALUES (?, ?)"
                            " ON CONFLICT (name) DO UPDATE SET value = excluded.value"
                            " WHERE value IS NOT excluded.value";
  dw_settings now;
  size_t i;
  char kept[DW_SETTING_ROOM], shown[DW_SETTING_ROOM];
  dw_status status = setting_find(name, &i, err);
  if (status == DW_OK) status = dw_book_settings_get(book, &now, NULL, err);
  if (status == DW_OK && value) status = parse_as(i, name, value, &now, err);
  if (status == DW_OK && value && i == UNWANTED) status = dw__unwanted_check(book, now.unwanted, err);
  if (status != DW_OK) return status;
  if (!value) {
    dw__tell(book, DW_ENTRY_SETTING, 0, 0, "", "setting %s as at first", name);
    return dw__book_run(book, NULL, err, "DELETE FROM setting WHERE name = ?", "t", name);
  }
  value_to_keep(&now, i, name, kept);
  const bool in_units = i == VOLUME || i == HEAT_LIMIT;
  if (in_units) dw_setting_format(&now, i, shown, sizeof shown); /* in the units that are shown */
  dw__tell(book, DW_ENTRY_SETTING, 0, 0, "", "setting %s %s", name, in_units ? shown : kept);
  return dw__book_run(book, NULL, err, sql, "tt", name, kept);
}
