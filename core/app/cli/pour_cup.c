/* The cup of a layer as pour logs it: what it holds, what was added, how hot it is. */
#include "app/cli/pour.h"

#include <stdio.h>

/* Of a cup of plastisol, in F: what can be, and what is usual (common practice, no source). */
#define CUP_COLDEST_F 60.0
#define CUP_HOTTEST_F 450.0
#define CUP_USUAL_LEAST_F 250.0
#define CUP_USUAL_MOST_F 375.0

dw_status cli_pour_drops(dw_book *book, int64_t cup, const char *text, dw_error *err) {
  dw_recipe_words words;
  dw_status status = dw_recipe_read(text, &words, err);
  for (size_t i = 0; i < words.n && status == DW_OK; i++)
    if (words.part[i].amount > 0)
      status = dw_book_cup_add(book, cup, words.part[i].id, words.part[i].amount, err);
  return status;
}

static dw_status begin_cup(const cli_args *args, dw_book *book, int64_t batch, int64_t layer, int64_t *cup,
                           dw_error *err) {
  double volume, capacity;
  dw_status status = cli_volume(args, "--volume", 0.01, 1000, args->settings.volume_floz, &volume, err);
  if (status == DW_OK)
    status = cli_volume(args, "--capacity", 0.01, 2000, DW_USUAL_CAPACITY * volume, &capacity, err);
  if (status == DW_OK) status = dw_book_cup_begin(book, batch, layer, volume, capacity, cup, err);
  return status == DW_OK ? cli_pour_drops(book, *cup, cli_value(args, "--cup"), err) : status;
}

static double shown(double fahrenheit, dw_units units) {
  return units == DW_UNITS_METRIC ? dw_celsius_from_fahrenheit(fahrenheit) : fahrenheit;
}

/* What a temperature was meant to be where the same number is usual in the other unit; "" where it is not. */
static void other_unit(double value, dw_units units, char *out, size_t room) {
  double other = units == DW_UNITS_METRIC ? value : dw_fahrenheit_from_celsius(value);
  out[0] = '\0';
  if (other >= CUP_USUAL_LEAST_F && other <= CUP_USUAL_MOST_F)
    snprintf(out, room, ", or mean %.0f%s", value, units == DW_UNITS_METRIC ? "F" : "C");
}

/* Beside the usual is said, beyond what a cup of plastisol can be is refused: a slip of the finger, or the
 * other unit. */
static dw_status check_temperature(double fahrenheit, dw_units units, char *warning, size_t room,
                                   dw_error *err) {
  const char *unit = units == DW_UNITS_METRIC ? "C" : "F";
  double value = shown(fahrenheit, units);
  char meant[40];
  if (fahrenheit < CUP_COLDEST_F || fahrenheit > CUP_HOTTEST_F) {
    other_unit(value, units, meant, sizeof meant);
    return dw_fail(err, DW_USAGE,
                   "A cup of %.0f %s can't be poured (%.0f to %.0f %s can): did you mistype%s?", value, unit,
                   shown(CUP_COLDEST_F, units), shown(CUP_HOTTEST_F, units), unit, meant);
  }
  if (fahrenheit < CUP_USUAL_LEAST_F || fahrenheit > CUP_USUAL_MOST_F)
    snprintf(
        warning, room,
        "%.0f %s is outside the usual %.0f to %.0f %s (common practice, no source; the maker's data sheet "
        "rules): did you mistype?",
        value, unit, shown(CUP_USUAL_LEAST_F, units), shown(CUP_USUAL_MOST_F, units), unit);
  return DW_OK;
}

dw_status cli_cup_temperature(const cli_args *args, dw_book *book, int64_t cup, char *warning, size_t room,
                              dw_error *err) {
  const char *text = cli_value(args, "--temperature");
  dw_units units = args->style.units;
  double fahrenheit;
  if (!text) return DW_OK;
  if (!dw_parse_temperature(text, &units, &fahrenheit))
    return dw_fail(err, DW_USAGE, "--temperature takes degrees, as in 350F or 177C, not \"%.40s\".", text);
  dw_status status = check_temperature(fahrenheit, units, warning, room, err);
  return status == DW_OK ? dw_book_cup_set_temperature(book, cup, fahrenheit, err) : status;
}

static dw_status add_to_cup(const cli_args *args, dw_book *book, int64_t cup, cli_poured *poured,
                            dw_error *err) {
  const char *add = cli_value(args, "--add");
  double clear = 0;
  dw_status status = add ? cli_pour_drops(book, cup, add, err) : DW_OK;
  if (status == DW_OK) status = cli_volume(args, "--clear", 0.001, 1000, 0, &clear, err);
  if (status == DW_OK && clear > 0) status = dw_book_cup_add(book, cup, NULL, clear, err);
  return status == DW_OK ? cli_cup_temperature(args, book, cup, poured->warning, sizeof poured->warning, err)
                         : status;
}

dw_status cli_pour_cup(const cli_args *args, dw_book *book, int64_t batch, int64_t layer, int64_t *cup,
                       cli_poured *poured, dw_error *err) {
  dw_book_cup kept;
  dw_status status = dw_book_cup_find(book, batch, layer, &kept, err);
  bool there = status == DW_OK, fresh = cli_has(args, "--cup");
  *cup = 0;
  if (!there && status != DW_NOT_FOUND) return status;
  if (there && fresh && kept.additions > 0)
    return dw_fail(err, DW_USAGE, "That cup is in the book already; say what was added since with --add.");
  if (!there && !fresh) {
    if (!cli_has(args, "--add") && !cli_has(args, "--clear") && !cli_has(args, "--temperature")) return DW_OK;
    return dw_fail(err, DW_USAGE, "The book has no such cup yet; say what it holds with --cup.");
  }
  if (there && !fresh)
    *cup = kept.id;
  else
    status = begin_cup(args, book, batch, layer, cup, err);
  return status == DW_OK ? add_to_cup(args, book, *cup, poured, err) : status;
}
