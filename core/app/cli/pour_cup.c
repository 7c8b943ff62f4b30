/* The cup of a layer as pour logs it: what it holds, what was added, how hot it is. */
#include "app/cli/pour.h"

#include <stdio.h>

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

dw_status cli_temperature(const cli_args *args, const char *text, double *fahrenheit, char *warning,
                          size_t room, dw_error *err) {
  dw_units units = args->style.units;
  if (!dw_parse_temperature(text, &units, fahrenheit))
    return dw_fail(err, DW_USAGE, "A temperature is in degrees, as in 350F or 177C, not \"%.40s\".", text);
  return dw_heat_check(*fahrenheit, units, warning, room, err);
}

dw_status cli_cup_temperature(const cli_args *args, dw_book *book, int64_t cup, char *warning, size_t room,
                              dw_error *err) {
  const char *text = cli_value(args, "--temperature");
  double fahrenheit;
  if (!text) return DW_OK;
  dw_status status = cli_temperature(args, text, &fahrenheit, warning, room, err);
  return status == DW_OK ? dw_book_heat_note(book, cup, fahrenheit, DW_HEAT_BY_CLOCK, false, err) : status;
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
