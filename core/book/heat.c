/* Temperatures of cups, and reheats, by the minute. A cup's row has the temperature that was taken last. */
#include "book/heat.h"

#include "book/bottles.h"
#include "book/sql.h"
#include "dropwise/book_heat.h"
#include "dropwise/book_pours.h"

#include <math.h>

static const char set_last[] =
    "UPDATE cup AS c SET temperature_f = " DW__HEAT_LAST("temperature_f") " WHERE id = ?";

static dw_status check_degrees(double temperature_f, dw_error *err) {
  return dw__number_check("A cup's temperature in degrees F", temperature_f, DW__HEAT_LEAST_F,
                          DW__HEAT_MOST_F, err);
}

/* ---- noted --------------------------------------------------------------------------------------------- */

/* Whole minutes from the batch's first note until now. */
static dw_status minute_now(dw_book *book, int64_t cup, int *out, dw_error *err) {
  static const char sql[] =
      "SELECT coalesce((SELECT h.minute + (strftime('%s', 'now') - strftime('%s', h.noted)) / 60"
      " FROM heat h JOIN cup c ON c.id = h.cup WHERE c.batch = (SELECT batch FROM cup WHERE id = ?)"
      " ORDER BY h.id LIMIT 1), 0)";
  int64_t minute;
  dw_status status = dw__book_integer(book, &minute, "", err, sql, "i", cup);
  if (status == DW_OK) *out = minute < 0 ? 0 : minute > DW_HEAT_MINUTE_MAX ? DW_HEAT_MINUTE_MAX : (int)minute;
  return status;
}

/* Whether the cup's newest note says just this. */
static dw_status noted_already(dw_book *book, int64_t cup, double temperature_f, int minute, bool reheat,
                               bool *out, dw_error *err) {
  static const char sql[] =
      "SELECT EXISTS (SELECT 1 FROM heat WHERE id = (SELECT max(id) FROM heat WHERE cup = ?)"
      " AND temperature_f IS ? AND minute = ? AND reheat = ?)";
  int64_t same = 0;
  dw_status status = dw__book_integer(book, &same, "", err, sql, "idii", cup, temperature_f, (int64_t)minute,
                                      (int64_t)reheat);
  *out = same != 0;
  return status;
}

/* "temperature (F) 340 at minute 12 of the belly of batch 2 of frog" */
static dw_status tell_noted(dw_book *book, int64_t cup, double temperature_f, int minute, bool reheat,
                            dw_error *err) {
  char place[DW__PLACE_ROOM], degrees[40] = "";
  dw__where where;
  dw_status status = dw__where_cup(book, cup, &where, err);
  dw__where_words(&where, "of", place);
  if (!isnan(temperature_f)) snprintf(degrees, sizeof degrees, "temperature (F) %.4g ", temperature_f);
  dw__tell(book, DW_ENTRY_POUR, where.pattern, where.batch, place, "%s%sat minute %d", degrees,
           reheat ? "reheated " : "", minute);
  return status;
}

static dw_status check_note(double temperature_f, int minute, bool reheat, dw_error *err) {
  if (isnan(temperature_f) && !reheat)
    return dw_fail(err, DW_BAD_INPUT, "A note of heat has a temperature, or says that the cup was reheated.");
  dw_status status = isnan(temperature_f) ? DW_OK : check_degrees(temperature_f, err);
  if (status != DW_OK || minute == DW_HEAT_BY_CLOCK) return status;
  return dw__number_check("A minute", minute, 0, DW_HEAT_MINUTE_MAX, err);
}

dw_status dw_book_heat_note(dw_book *book, int64_t cup, double temperature_f, int minute, bool reheat,
                            dw_error *err) {
  static const char sql[] =
      "INSERT INTO heat (cup, temperature_f, minute, reheat, noted) VALUES (?, ?, ?, ?, ?)";
  char now[DW_TIME_ROOM];
  dw_book_cup kept;
  bool already = false;
  dw__book_now(now);
  dw_status status = check_note(temperature_f, minute, reheat, err);
  if (status == DW_OK) status = dw__cup_get(book, cup, &kept, err);
  if (status == DW_OK && minute == DW_HEAT_BY_CLOCK) status = minute_now(book, cup, &minute, err);
  if (status == DW_OK) status = noted_already(book, cup, temperature_f, minute, reheat, &already, err);
  if (status != DW_OK || already) return status;
  status = tell_noted(book, cup, temperature_f, minute, reheat, err);
  if (status == DW_OK)
    status = dw__book_run(book, NULL, err, sql, "idiit", cup, temperature_f, (int64_t)minute, (int64_t)reheat,
                          now);
  if (status != DW_OK || isnan(temperature_f)) return status;
  return dw__book_run(book, NULL, err, set_last, "i", cup);
}

/* ---- corrected ----------------------------------------------------------------------------------------- */

static dw_status tell_corrected(dw_book *book, int64_t cup, double was_f, double is_f, dw_error *err) {
  char place[DW__PLACE_ROOM];
  dw__where where;
  dw_status status = dw__where_cup(book, cup, &where, err);
  if (status != DW_OK) return status;
  dw__where_words(&where, "of", place);
  dw__tell(book, DW_ENTRY_CORRECTION, where.pattern, where.batch, "", "temperature %s: was %.4g F, is %.4g F",
           place, was_f, is_f);
  return DW_OK;
}

dw_status dw_book_heat_correct(dw_book *book, int64_t cup, double temperature_f, dw_error *err) {
  static const char note[] = "UPDATE heat SET temperature_f = ?1 WHERE id ="
                             " (SELECT " DW__HEAT_LAST("id") " FROM cup c WHERE c.id = ?2)";
  dw_book_cup kept;
  dw_status status = check_degrees(temperature_f, err);
  if (status == DW_OK) status = dw__cup_get(book, cup, &kept, err);
  if (status != DW_OK || kept.temperature_f == temperature_f) return status;
  if (isnan(kept.temperature_f))
    return dw_book_heat_note(book, cup, temperature_f, DW_HEAT_BY_CLOCK, false, err);
  status = tell_corrected(book, cup, kept.temperature_f, temperature_f, err);
  if (status == DW_OK) status = dw__book_run(book, NULL, err, note, "di", temperature_f, cup);
  if (status != DW_OK) return status;
  /* an older book has the cup's temperature alone */
  return dw__book_run(book, NULL, err, "UPDATE cup SET temperature_f = ? WHERE id = ?", "di", temperature_f,
                      cup);
}

/* ---- read ---------------------------------------------------------------------------------------------- */

static dw_status note_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_heat_note *out = element;
  *out = (dw_heat_note){.id = dw__query_integer(query, 0),
                        .cup = dw__query_integer(query, 1),
                        .temperature_f = dw__query_number(query, 2),
                        .minute = (int)dw__query_integer(query, 3),
                        .reheat = dw__query_integer(query, 4) != 0};
  dw__query_copy(query, 5, out->noted, sizeof out->noted);
  return DW_OK;
}

dw_status dw_book_heat_list(dw_book *book, int64_t batch, dw_heat_note **out, size_t *n, dw_error *err) {
  static const char sql[] = "SELECT h.id, h.cup, h.temperature_f, h.minute, h.reheat, h.noted FROM heat h"
                            " JOIN cup c ON c.id = h.cup WHERE c.batch = ? ORDER BY h.minute, h.id";
  return dw__book_list(book, sizeof(dw_heat_note), note_from_row, out, n, err, sql, "i", batch);
}

#define SPREAD_SELECT                                                                                        \
  "SELECT b.id, count(c.temperature_f), max(c.temperature_f) - min(c.temperature_f), b.blend_mm"             \
  " FROM batch b LEFT JOIN cup c ON c.batch = b.id WHERE "

static dw_status spread_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_batch_heat *out = element;
  *out = (dw_batch_heat){.batch = dw__query_integer(query, 0),
                         .spread_f = dw__query_integer(query, 1) >= 2 ? dw__query_number(query, 2) : NAN,
                         .blend_mm = dw__query_number(query, 3)};
  return DW_OK;
}

dw_status dw_batch_heat_list(dw_book *book, int64_t pattern, dw_batch_heat **out, size_t *n, dw_error *err) {
  return dw__book_list(book, sizeof(dw_batch_heat), spread_from_row, out, n, err,
                       SPREAD_SELECT "b.pattern = ? GROUP BY b.id ORDER BY b.poured, b.id", "i", pattern);
}

dw_status dw_batch_heat_get(dw_book *book, int64_t batch, dw_batch_heat *out, dw_error *err) {
  return dw__book_row(book, spread_from_row, out, "There is no such batch in the book.", err,
                      SPREAD_SELECT "b.id = ? GROUP BY b.id", "i", batch);
}
