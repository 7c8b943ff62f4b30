/* Results turned into text for a terminal, JSON for scripts, CSV for spreadsheets, HTML and SVG for people.
 * One renderer for each form, shared by the command line and the page. */
#ifndef DROPWISE_REPORT_H
#define DROPWISE_REPORT_H

#include "dropwise/advise.h"
#include "dropwise/region.h"

#include <jansson.h>

enum { DW_READ_LAYERS_MAX = 64, DW_LAYER_NAME_ROOM = DW_ID_ROOM };

/* ---- what is reported ---------------------------------------------------------------------------------- */

typedef struct dw_layer_reading {
  char name[DW_LAYER_NAME_ROOM];
  dw_shape shape;
  dw_reading reading;
} dw_layer_reading;

/* One photo, read. */
typedef struct dw_photo_reading {
  char path[4096];
  dw_photo_info photo;
  dw_light_info light;
  bool has_corners;
  dw_corners corners; /* where the card was marked */
  dw_card card;       /* which card; rows = 0 without one */
  size_t n;
  dw_layer_reading layer[DW_READ_LAYERS_MAX];
} dw_photo_reading;

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
void dw_text_difference(dw_lab from, dw_lab to, const dw_style *style, dw_text *out);
void dw_text_prediction(const dw_prediction *prediction, const char *recipe, const dw_slab *slab,
                        const dw_style *style, dw_text *out);
void dw_text_advice(const dw_advice_request *request, const dw_advice_result *result, const dw_style *style,
                    dw_text *out);
void dw_text_plugins(const dw_plugins *plugins, dw_text *out);
/* What to do instead of adding to a cup, a sentence. */
void dw_text_instead(const dw_shelf *shelf, const dw_instead *instead, dw_units units, dw_text *out);
/* On what colors are judged, a sentence. */
void dw_text_judged(const dw_slab *slab, const dw_style *style, dw_text *out);
/* "+3 brown, +1 orange, +0.50 fl oz clear"; "nothing" when empty. milliliters adds "(0.15 ml)" to each. */
void dw_text_additions(const dw_shelf *shelf, const dw_recipe *add, double clear_floz, const dw_style *style,
                       bool milliliters, dw_text *out);
/* "4 fl oz", or "118 ml". */
void dw_text_volume(double floz, dw_units units, dw_text *out);
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
/* Any bytes as a JSON text: U+FFFD stands for each that is no UTF-8. For all text from outside (names of
 * files, titles in profiles and cards), which json_string would refuse. */
json_t *dw_json_text(const char *bytes);
/* The list with one item more, the object with one key more; takes the item's reference. NULL, with
 * everything freed, when any of them is NULL or memory is out, so that a whole chain needs one check, at its
 * end. */
json_t *dw_json_and(json_t *list, json_t *item);
json_t *dw_json_with(json_t *object, const char *key, json_t *value);
json_t *dw_json_shape(const dw_shape *shape); /* as dw_shape_format has it */
json_t *dw_json_reading(const dw_photo_reading *reading);
json_t *dw_json_light(const dw_light_info *light);
json_t *dw_json_layer(const dw_layer_reading *layer);
json_t *dw_json_difference(dw_lab from, dw_lab to);
json_t *dw_json_prediction(const dw_prediction *prediction);
/* A new cup begun with a share of one gone too far: take_floz, add, add_clear_floz, predicted, words. */
json_t *dw_json_new_cup(const dw_shelf *shelf, const dw_rescue *new_cup);
json_t *dw_json_advice(const dw_advice_request *request, const dw_advice_result *result);
json_t *dw_json_plugins(const dw_plugins *plugins);
json_t *dw_json_lab(dw_lab lab); /* [L, a, b] to 2 decimals */
json_t *dw_json_round(double value, int decimals);
json_t *dw_json_notes(const dw_notes *notes);

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
