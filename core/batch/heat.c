/* How hot the cups of a pour are, and how even. */
#include "dropwise/batch_heat.h"

#include <math.h>
#include <stdio.h>

const char dw_heat_source[] = "Temperatures are the maker's to give: see the data sheet. 250 to 375 F (121 "
                              "to 191 C) when poured is common "
                              "practice, no source.";

/* ---- one cup ------------------------------------------------------------------------------------------- */

/* What a temperature was meant to be where the same number is usual in the other unit; "" where it is not. */
static void other_unit(double fahrenheit, dw_units units, char *out, size_t room) {
  const bool metric = units == DW_UNITS_METRIC;
  const double value = metric ? dw_celsius_from_fahrenheit(fahrenheit) : fahrenheit;
  const double other = metric ? value : dw_fahrenheit_from_celsius(value);
  out[0] = '\0';
  if (other >= DW_HEAT_USUAL_LEAST_F && other <= DW_HEAT_USUAL_MOST_F)
    snprintf(out, room, ", or mean %.0f%s", value, metric ? "F" : "C");
}

dw_status dw_heat_check(double fahrenheit, dw_units units, char *warning, size_t room, dw_error *err) {
  char given[24], least[24], most[24], meant[40];
  dw_temperature_text(fahrenheit, units, given, sizeof given);
  *warning = '\0';
  if (!(fahrenheit >= DW_HEAT_COLDEST_F && fahrenheit <= DW_HEAT_HOTTEST_F)) {
    other_unit(fahrenheit, units, meant, sizeof meant);
    return dw_fail(err, DW_USAGE, "A cup of %s can't be poured (%s to %s can): did you mistype%s?", given,
                   dw_temperature_text(DW_HEAT_COLDEST_F, units, least, sizeof least),
                   dw_temperature_text(DW_HEAT_HOTTEST_F, units, most, sizeof most), meant);
  }
  if (fahrenheit < DW_HEAT_USUAL_LEAST_F || fahrenheit > DW_HEAT_USUAL_MOST_F)
    snprintf(
        warning, room,
        "%s is outside the usual %s to %s (common practice, no source; the maker's data sheet rules): did "
        "you mistype?",
        given, dw_temperature_text(DW_HEAT_USUAL_LEAST_F, units, least, sizeof least),
        dw_temperature_text(DW_HEAT_USUAL_MOST_F, units, most, sizeof most));
  return DW_OK;
}

/* ---- the cups of a pour -------------------------------------------------------------------------------- */

#define TINY_F 1e-9 /* a limit in C is met by the same difference in F */

static void word_spread(const dw_heat_spread *spread, dw_units units, char *out, size_t room) {
  char apart[24], limit[24], over[24];
  if (isnan(spread->spread_f)) {
    snprintf(out, room, "How far apart the cups are is not known: temperatures of two are needed.");
    return;
  }
  dw_temperature_step_text(spread->spread_f, units, apart, sizeof apart);
  dw_temperature_step_text(spread->limit_f, units, limit, sizeof limit);
  dw_temperature_step_text(spread->spread_f - spread->limit_f, units, over, sizeof over);
  if (!(spread->limit_f > 0))
    snprintf(out, room, "The cups are %s apart; no limit is set (setting heat-limit).", apart);
  else if (spread->beyond)
    snprintf(out, room, "The cups are %s apart, %s over your limit of %s: even them before you pour.", apart,
             over, limit);
  else
    snprintf(out, room, "The cups are %s apart, within your limit of %s.", apart, limit);
}

void dw_heat_spread_judge(double spread_f, const dw_settings *settings, dw_heat_spread *out) {
  *out = (dw_heat_spread){.spread_f = spread_f, .limit_f = settings->heat_limit_f};
  out->beyond = out->limit_f > 0 && spread_f > out->limit_f + TINY_F;
  word_spread(out, settings->units, out->words, sizeof out->words);
}

dw_status dw_heat_spread_get(dw_book *book, int64_t batch, const dw_settings *settings, dw_heat_spread *out,
                             dw_error *err) {
  dw_batch_heat heat;
  dw_status status = dw_batch_heat_get(book, batch, &heat, err);
  if (status == DW_OK) dw_heat_spread_judge(heat.spread_f, settings, out);
  return status;
}

/* ---- for scripts --------------------------------------------------------------------------------------- */

static json_t *degrees_json(double fahrenheit) {
  return isnan(fahrenheit) ? json_null() : dw_json_round(fahrenheit, 1);
}

json_t *dw_json_heat_spread(const dw_heat_spread *spread) {
  return json_pack("{s:o, s:o, s:b, s:s}", "spread_f", degrees_json(spread->spread_f), "limit_f",
                   spread->limit_f > 0 ? dw_json_round(spread->limit_f, 1) : json_null(), "beyond",
                   spread->beyond, "words", spread->words);
}

json_t *dw_json_heat_note(const dw_heat_note *note) {
  return json_pack("{s:i, s:o, s:b, s:s}", "minute", note->minute, "temperature_f",
                   degrees_json(note->temperature_f), "reheat", note->reheat, "noted", note->noted);
}
