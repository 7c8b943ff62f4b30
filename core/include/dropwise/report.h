/* Results turned into text for a terminal, JSON for scripts, CSV for spreadsheets, HTML and SVG for people.
 * One renderer for each form, shared by the command line and the page. */
#ifndef DROPWISE_REPORT_H
#define DROPWISE_REPORT_H

#include "dropwise/batch.h"
#include "dropwise/book_journal.h"
#include "dropwise/plugin_check.h"

/* The cautions that every sheet or page about heating plastisol carries, one sentence each; static.
 * Common practice, no source; they defer to the maker's data sheet and local rules. */
extern const char *const dw_cautions[];
extern const size_t dw_caution_count;
/* All of them on one line, for what is shown again and again. */
extern const char dw_caution_line[];

/* ---- style -----------------------------------------------------------------------------------------------
 */

typedef struct dw_style {
  bool color; /* the terminal shows 24-bit color: print swatches */
  dw_units units;
} dw_style;

/* ---- text: for a person at a bench; appended to out
 * -------------------------------------------------------- */
void dw_text_reading(const dw_photo_reading *reading, const dw_style *style, dw_text *out);
void dw_text_reading_legend(dw_text *out); /* what the columns of dw_text_reading mean */
/* A contrast ratio, 0 to 1, with the direction it counts in. */
void dw_text_see_through(double ratio, dw_text *out);
void dw_text_difference(dw_lab from, dw_lab to, const dw_style *style, dw_text *out);
/* "2.3 outside the natural tone ..." */
void dw_text_tone(const char *name, dw_lab color, const dw_tone_spot *spot, dw_text *out);
void dw_text_prediction(const dw_prediction *prediction, const char *recipe, const dw_slab *slab,
                        const dw_style *style, dw_text *out);
void dw_text_advice(const dw_advice_request *request, const dw_advice_result *result, const dw_style *style,
                    dw_text *out);
void dw_text_plugin_checks(const dw_plugin_checks *checks, dw_text *out);
/* kept  the numbers of plugins that the book keeps */
void dw_text_plugins(const dw_plugins *plugins, const dw_numbers *kept, dw_text *out);
/* What to do instead of adding to a cup, a sentence. */
void dw_text_instead(const dw_shelf *shelf, const dw_instead *instead, dw_units units, dw_text *out);
/* On what colors are judged, a sentence. */
void dw_text_judged(const dw_slab *slab, const dw_style *style, dw_text *out);
/* "+3 brown, +1 orange, +0.50 fl oz clear"; "nothing" when empty. milliliters adds "(0.15 ml)" to each. */
void dw_text_additions(const dw_shelf *shelf, const dw_recipe *add, double clear_floz, const dw_style *style,
                       bool milliliters, dw_text *out);
/* "4 fl oz", or "118 ml". */
void dw_text_volume(double floz, dw_units units, dw_text *out);
/* "! ..." on a line each, behind the indent. */
void dw_text_notes(const dw_notes *notes, const char *indent, dw_text *out);
void dw_text_lab(dw_lab color, dw_text *out); /* "52.10,18.50,-40.00" */
/* "black", "white", "gray", or "a backing that reflects 35%". */
void dw_text_backing(double reflectance, dw_text *out);
/* "10.0 mm (0.39 in) thick over gray" */
void dw_text_slab(const dw_slab *slab, const dw_style *style, dw_text *out);
void dw_text_swatch(dw_lab color, const dw_style *style, dw_text *out);
void dw_text_cautions(dw_text *out);
void dw_text_caution_line(dw_text *out);

/* ---- JSON: keys are a promise (docs/file-formats.md#json). A new reference, or NULL when out of memory
 * ------- */
json_t *dw_json_difference(dw_lab from, dw_lab to);
/* A chip of the book, its recipe in drops per fl oz. */
json_t *dw_json_chip(const dw_chip_kept *chip, const dw_shelf *shelf);
json_t *dw_json_prediction(const dw_prediction *prediction);
/* A new cup begun with a share of one gone too far: take_floz, add, add_clear_floz, predicted, words. */
json_t *dw_json_new_cup(const dw_shelf *shelf, const dw_instead *new_cup);
/* {name, inside, away_de00, words}: a color with regard to a tone. */
json_t *dw_json_tone(const char *name, dw_lab color, const dw_tone_spot *spot);
/* A tone of the book: what it is called, and where it reaches.  range  NULL for one without colors */
json_t *dw_json_tone_kept(const dw_tone *tone, const dw_tone_range *range);
json_t *dw_json_advice(const dw_advice_request *request, const dw_advice_result *result);
json_t *dw_json_entry(const dw_entry *entry); /* of the book's journal */
json_t *dw_json_bait_number(int bait);        /* in its batch, from 1; null of a color that was taken over */
json_t *dw_json_plugins(const dw_plugins *plugins, const dw_numbers *kept);
json_t *dw_json_plugin_checks(const dw_plugin_checks *checks);
json_t *dw_json_parameters(const dw_plugin_entry_info *plugin, const dw_numbers *kept);

/* ---- HTML: one file that needs nothing else
 * ------------------------------------------------------------------- */

typedef struct dw_html_report {
  const char *title;
  const dw_photo_reading *reading;  /* NULL: no photo part */
  const dw_preview *preview;        /* the reduced photo, NULL when there is none */
  const dw_advice_request *request; /* NULL: no advice part */
  const dw_advice_result *advice;
  dw_units units;
} dw_html_report;
/* Errors DW_NO_MEMORY */
dw_status dw_html_write(const dw_html_report *report, dw_text *out, dw_error *err);

#endif
