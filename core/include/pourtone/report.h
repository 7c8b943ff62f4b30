/* Results turned into text for a terminal, JSON for scripts, CSV for spreadsheets, HTML and SVG for people.
 * One renderer for each form, shared by the command line and the page. */
#ifndef POURTONE_REPORT_H
#define POURTONE_REPORT_H

#include "pourtone/advise.h"
#include "pourtone/region.h"

#include <jansson.h>

enum { PT_READ_LAYERS_MAX = 64, PT_LAYER_NAME_ROOM = PT_ID_ROOM };

/* ---- what is reported ---------------------------------------------------------------------------------- */

typedef struct pt_layer_reading {
  char name[PT_LAYER_NAME_ROOM];
  pt_shape shape;
  pt_reading reading;
} pt_layer_reading;

/* One photo, read. */
typedef struct pt_photo_reading {
  char path[4096];
  pt_photo_info photo;
  pt_light_info light;
  bool has_corners;
  pt_corners corners; /* where the card was marked */
  pt_card card;       /* which card; rows = 0 without one */
  size_t n;
  pt_layer_reading layer[PT_READ_LAYERS_MAX];
} pt_photo_reading;

/* The cautions that every sheet or page about heating plastisol carries, one sentence each; static.
 * Common practice, no source; they defer to the maker's data sheet and local rules. */
extern const char *const pt_cautions[];
extern const size_t pt_caution_count;
/* All of them on one line, for what is shown again and again. */
extern const char pt_caution_line[];

/* ---- style -----------------------------------------------------------------------------------------------
 */

typedef struct pt_style {
  bool color; /* the terminal shows 24-bit color: print swatches */
  pt_units units;
} pt_style;

/* ---- text: for a person at a bench; appended to out
 * -------------------------------------------------------- */
void pt_text_reading(const pt_photo_reading *reading, const pt_style *style, pt_text *out);
void pt_text_difference(pt_lab from, pt_lab to, const pt_style *style, pt_text *out);
void pt_text_prediction(const pt_prediction *prediction, const char *recipe, const pt_slab *slab,
                        const pt_style *style, pt_text *out);
void pt_text_advice(const pt_advice_request *request, const pt_advice_result *result, const pt_style *style,
                    pt_text *out);
void pt_text_plugins(const pt_plugins *plugins, pt_text *out);
/* What to do instead of adding to a cup, a sentence. */
void pt_text_instead(const pt_shelf *shelf, const pt_instead *instead, pt_units units, pt_text *out);
/* On what colors are judged, a sentence. */
void pt_text_judged(const pt_slab *slab, const pt_style *style, pt_text *out);
/* "+3 brown, +1 orange, +0.50 fl oz clear"; "nothing" when empty. milliliters adds "(0.15 ml)" to each. */
void pt_text_additions(const pt_shelf *shelf, const pt_recipe *add, double clear_floz, const pt_style *style,
                       bool milliliters, pt_text *out);
/* "4 fl oz", or "118 ml". */
void pt_text_volume(double floz, pt_units units, pt_text *out);
void pt_text_lab(pt_lab color, pt_text *out); /* "52.10,18.50,-40.00" */
/* "black", "white", "gray", or "a backing that reflects 35%". */
void pt_text_backing(double reflectance, pt_text *out);
/* "10.0 mm (0.39 in) thick over gray" */
void pt_text_slab(const pt_slab *slab, const pt_style *style, pt_text *out);
void pt_text_swatch(pt_lab color, const pt_style *style, pt_text *out);
void pt_text_cautions(pt_text *out);
void pt_text_caution_line(pt_text *out);

/* ---- JSON: keys are a promise (docs/file-formats.md#json). A new reference, or NULL when out of memory
 * ------- */
/* Any bytes as a JSON text: U+FFFD stands for each that is no UTF-8. For all text from outside (names of
 * files, titles in profiles and cards), which json_string would refuse. */
json_t *pt_json_text(const char *bytes);
/* The list with one item more, the object with one key more; takes the item's reference. NULL, with
 * everything freed, when any of them is NULL or memory is out, so that a whole chain needs one check, at its
 * end. */
json_t *pt_json_and(json_t *list, json_t *item);
json_t *pt_json_with(json_t *object, const char *key, json_t *value);
json_t *pt_json_shape(const pt_shape *shape); /* as pt_shape_format has it */
json_t *pt_json_reading(const pt_photo_reading *reading);
json_t *pt_json_light(const pt_light_info *light);
json_t *pt_json_layer(const pt_layer_reading *layer);
json_t *pt_json_difference(pt_lab from, pt_lab to);
json_t *pt_json_prediction(const pt_prediction *prediction);
/* A new cup begun with a share of one gone too far: take_floz, add, add_clear_floz, predicted, words. */
json_t *pt_json_new_cup(const pt_shelf *shelf, const pt_rescue *new_cup);
json_t *pt_json_advice(const pt_advice_request *request, const pt_advice_result *result);
json_t *pt_json_plugins(const pt_plugins *plugins);
json_t *pt_json_lab(pt_lab lab); /* [L, a, b] to 2 decimals */
json_t *pt_json_round(double value, int decimals);
json_t *pt_json_notes(const pt_notes *notes);

/* ---- HTML: one file that needs nothing else
 * ------------------------------------------------------------------- */

typedef struct pt_html_report {
  const char *title;
  const pt_photo_reading *reading;  /* NULL: no photo part */
  const pt_preview *preview;        /* the reduced photo, NULL when there is none */
  const pt_advice_request *request; /* NULL: no advice part */
  const pt_advice_result *advice;
  pt_units units;
} pt_html_report;
/* Errors PT_NO_MEMORY */
pt_status pt_html_write(const pt_html_report *report, pt_text *out, pt_error *err);

#endif
