/* dropwise heat: how hot the cups are, minute by minute, and how even. */
#include "app/cli/pour.h"
#include "dropwise/batch_drift.h"
#include "dropwise/report_drift.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    {"--minute", "N", "of the batch, from its first note; default by the clock"},
    {"--reheat", NULL, "the cup went back onto the heat; then DEGREES may be left out"},
    {NULL, NULL, NULL},
};

/* ---- a batch's notes ----------------------------------------------------------------------------------- */

static const char *layer_of(const dw_pattern *pattern, const dw_book_cup *cups, size_t n, int64_t cup) {
  for (size_t i = 0; i < n; i++)
    if (cups[i].id == cup) return dw_pattern_layer_name(pattern, cups[i].layer);
  return "";
}

static void note_text(const dw_heat_note *note, const char *layer, dw_units units, dw_text *out) {
  char degrees[24] = "-";
  if (!isnan(note->temperature_f)) dw_temperature_text(note->temperature_f, units, degrees, sizeof degrees);
  dw_text_add(out, "  minute %3d  %-16s %s%s\n", note->minute, layer, degrees,
              note->reheat ? "  reheated" : "");
}

/* Of a cup that was known before there were notes. */
static void unnoted_text(const dw_book_cup *cup, const char *layer, dw_units units, dw_text *out) {
  char degrees[24];
  dw_text_add(out, "  %-11s %-16s %s\n", "when poured", layer,
              dw_temperature_text(cup->temperature_f, units, degrees, sizeof degrees));
}

static bool noted(const dw_heat_note *notes, size_t n, int64_t cup) {
  for (size_t i = 0; i < n; i++)
    if (notes[i].cup == cup) return true;
  return false;
}

/* out, list  what is said of them, as text and for scripts */
static dw_status put_notes(dw_book *book, const dw_pattern *pattern, int64_t batch, dw_units units,
                           json_t **list, dw_text *out, dw_error *err) {
  dw_book_cup *cups = NULL;
  dw_heat_note *notes = NULL;
  size_t n = 0, n_cups = 0;
  dw_status status = dw_book_cup_list(book, batch, &cups, &n_cups, err);
  if (status == DW_OK) status = dw_book_heat_list(book, batch, &notes, &n, err);
  for (size_t i = 0; i < n_cups && status == DW_OK; i++)
    if (!isnan(cups[i].temperature_f) && !noted(notes, n, cups[i].id))
      unnoted_text(&cups[i], dw_pattern_layer_name(pattern, cups[i].layer), units, out);
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    const char *layer = layer_of(pattern, cups, n_cups, notes[i].cup);
    note_text(&notes[i], layer, units, out);
    *list = dw_json_and(*list, dw_json_with(dw_json_heat_note(&notes[i]), "layer", json_string(layer)));
  }
  free(cups);
  free(notes);
  return status;
}

static dw_status put_batch(const cli_args *args, dw_book *book, const dw_pattern *pattern,
                           const dw_batch *batch, json_t **out, dw_text *text, dw_error *err) {
  dw_heat_spread spread;
  json_t *list = json_array();
  dw_text_add(text, "%s, batch %s\n", pattern->name, batch->name);
  dw_status status = put_notes(book, pattern, batch->id, args->style.units, &list, text, err);
  if (status == DW_OK) status = dw_heat_spread_get(book, batch->id, &args->settings, &spread, err);
  if (status != DW_OK) {
    json_decref(list);
    return status;
  }
  dw_text_add(text, "%s%s\n%s\n", spread.beyond ? "! " : "", spread.words, dw_heat_source);
  dw_text_caution_line(text);
  *out = dw_json_with(dw_json_heat_spread(&spread), "notes", list);
  *out = dw_json_with(*out, "pattern", json_string(pattern->name));
  *out = dw_json_with(*out, "batch", json_string(batch->name));
  return DW_OK;
}

/* ---- a note -------------------------------------------------------------------------------------------- */

static dw_status note_cup(const cli_args *args, dw_book *book, const dw_pattern *pattern, int64_t batch,
                          char *warning, size_t room, dw_error *err) {
  const char *degrees = args->n_words == 4 ? args->word[3] : NULL;
  const dw_pattern_layer *layer = NULL;
  dw_book_cup cup;
  double fahrenheit = NAN, minute;
  dw_status status = dw_pattern_layer_find(pattern, args->word[2], &layer, err);
  if (status == DW_OK) status = dw_book_cup_find(book, batch, layer->id, &cup, err);
  if (status == DW_OK && degrees) status = cli_temperature(args, degrees, &fahrenheit, warning, room, err);
  if (status == DW_OK)
    status = cli_number(args, "--minute", 0, DW_HEAT_MINUTE_MAX, DW_HEAT_BY_CLOCK, &minute, err);
  if (status == DW_OK && minute != floor(minute))
    status = dw_fail(err, DW_USAGE, "--minute takes whole minutes.");
  return status == DW_OK
             ? dw_book_heat_note(book, cup.id, fahrenheit, (int)minute, cli_has(args, "--reheat"), err)
             : status;
}

/* The note is in the book by now: what can't be shown of the batch is a remark, not a failure. */
static dw_status say_noted(const cli_args *args, dw_book *book, const dw_pattern *pattern,
                           const dw_batch *batch, const char *warning, dw_error *err) {
  dw_text text = {0};
  json_t *json = NULL;
  cli_book_kept(args, "The note was kept", book);
  dw_status status = dw_book_begin_reading(book, err);
  if (status == DW_OK) status = put_batch(args, book, pattern, batch, &json, &text, err);
  if (*warning) dw_text_add(&text, "! %s\n", warning);
  json = dw_json_with(json, "warning", json_string(warning));
  return cli_book_say(args, book, status, json, &text, err);
}

static dw_status run_note(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_pattern pattern;
  dw_batch batch;
  char warning[2 * DW_NOTE_TEXT] = "";
  dw_status status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = cli_batch_find(book, args->word[0], args->word[1], &pattern, &batch, err);
  if (status == DW_OK) status = note_cup(args, book, &pattern, batch.id, warning, sizeof warning, err);
  if (status == DW_OK) status = dw_book_commit(book, err);
  if (status == DW_OK) return say_noted(args, book, &pattern, &batch, warning, err);
  dw_book_close(book);
  return status;
}

/* ---- a pattern's batches ------------------------------------------------------------------------------- */

static dw_status put_spreads(const cli_args *args, dw_book *book, int64_t pattern, json_t **list,
                             dw_text *out, dw_error *err) {
  dw_batch_heat *heat = NULL;
  size_t n = 0;
  dw_status status = dw_batch_heat_list(book, pattern, &heat, &n, err);
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    dw_batch batch;
    dw_heat_spread spread;
    if (isnan(heat[i].spread_f)) continue;
    status = dw_batch_get(book, heat[i].batch, &batch, err);
    if (status != DW_OK) break;
    dw_heat_spread_judge(heat[i].spread_f, &args->settings, &spread);
    dw_text_add(out, "%s %-16s %.10s  %s\n", spread.beyond ? "!" : " ", batch.name, batch.poured,
                spread.words);
    *list = dw_json_and(*list, dw_json_with(dw_json_heat_spread(&spread), "batch", json_string(batch.name)));
  }
  free(heat);
  return status;
}

static dw_status run_pattern(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_text text = {0};
  json_t *list = json_array(), *json = NULL;
  dw_drift_report *report = calloc(1, sizeof *report);
  if (!report) return dw_fail_memory(err, "the temperatures");
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_drift_report_load(book, args->word[0], report, err);
  if (status == DW_OK) status = put_spreads(args, book, report->pattern.id, &list, &text, err);
  dw_text_add(&text, "%s\n%s\n%s\n", report->heat_blend.words, report->heat_drift.words, dw_heat_source);
  dw_text_caution_line(&text);
  json = json_pack("{s:s, s:o, s:o, s:o}", "pattern", report->pattern.name, "batches", list, "heat_blend",
                   dw_json_heat_answer(&report->heat_blend), "heat_drift",
                   dw_json_heat_answer(&report->heat_drift));
  dw_drift_report_free(report);
  free(report);
  return cli_book_say(args, book, status, json, &text, err);
}

/* ---- the command --------------------------------------------------------------------------------------- */

static dw_status run(const cli_args *args, dw_error *err) {
  const bool notes = args->n_words > 2;
  dw_status status = cli_words(args, 1, 4, "a pattern, a batch, a layer and degrees", err);
  if (status != DW_OK) return status;
  if (!notes && (cli_has(args, "--minute") || cli_has(args, "--reheat")))
    return dw_fail(err, DW_USAGE, "--minute and --reheat belong to a note: name the layer, too.");
  if (args->n_words == 3 && !cli_has(args, "--reheat"))
    return dw_fail(err, DW_USAGE, "Give the degrees, as in 340F, or --reheat.");
  if (notes) return run_note(args, err);
  return args->n_words == 2 ? cli_batch_say(args, args->word[0], args->word[1], put_batch, err)
                            : run_pattern(args, err);
}

const cli_command cli_heat = {
    .name = "heat",
    .summary = "how hot the cups of a pour are, minute by minute, and how even",
    .usage =
        "PATTERN BATCH LAYER DEGREES [--minute N] [--reheat] | PATTERN BATCH LAYER --reheat [--minute N] |\n"
        "     PATTERN BATCH | PATTERN",
    .about =
        "With a layer it notes how hot its cup is, and that it went back onto the heat; with a batch alone "
        "it "
        "shows the\n"
        "notes and how far apart the cups are, against the limit that you set (dropwise settings heat-limit "
        "5F); with a\n"
        "pattern alone what its batches say: whether a wider spread goes with wider blends, or with more "
        "distance from the\n"
        "targets. Temperatures are the maker's to give: see the data sheet.",
    .example = "dropwise heat \"creek crawfish\" 2 belly 340F --minute 12",
    .options = options,
    .run = run,
    .settings = true,
};
