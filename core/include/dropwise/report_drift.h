/* Drift of a pattern's layers as text, JSON, CSV, a chart and an HTML report. */
#ifndef DROPWISE_REPORT_DRIFT_H
#define DROPWISE_REPORT_DRIFT_H

#include "dropwise/book_pours.h"
#include "dropwise/report.h"

/* What a correction of the next cup is: worked out by the caller. */
typedef struct dw_next_cup {
  bool known;    /* false: words alone */
  bool has_good; /* there was a good batch, and what was in its cup is known: */
  char good_batch[DW_BATCH_NAME_ROOM], good_recipe[DW_NOTE_TEXT];
  char good_words[2 * DW_NOTE_TEXT]; /* "Last good batch, 3 May (7): orange 28, white 1" */
  char recipe[DW_NOTE_TEXT];         /* "orange=11;brown=5" */
  char last[DW_NOTE_TEXT];           /* what was in the last cup */
  double volume_floz;
  double predicted_de00; /* to the target */
  dw_lab predicted;
  char words[DW_NOTE_TEXT]; /* "1 drop less of orange, 1 more of brown" */
} dw_next_cup;

typedef struct dw_drift_layer {
  char name[DW_ID_ROOM];
  bool has_target;
  dw_lab target;
  double target_doubt_de00; /* of the target itself: that of its photo; 0 for numbers */
  bool target_no_card;      /* its photo had no card */
  dw_layer_history history;
  dw_batch_check *check;  /* history.n; owned */
  dw_drift_result result; /* words alone when there is no target or no batch */
  /* X-bar and R of the baits' CIEDE2000 to the target, where the good batches have the same number of them */
  size_t group; /* baits a batch; 0: no such chart */
  dw_chart_limits means, ranges;
  double *bait_mean, *bait_range; /* history.n; owned; NAN where a batch has another number of baits */
  char drops[DW_NOTE_TEXT]; /* the last cup against the last good one: "8 drops less of orange than batch 7";
                               "" */
  bool has_advice;
  dw_next_cup next;
} dw_drift_layer;

/* An answer from the book's own pours by rank correlation. */
typedef struct dw_heat_answer {
  size_t n;
  bool enough;   /* of pours to tell */
  bool measured; /* any pour was noted for it; words say what is missing otherwise */
  double rho, p;
  char words[DW_NOTE_TEXT];
} dw_heat_answer;

typedef struct dw_drift_report {
  dw_pattern pattern;
  size_t n;
  dw_drift_layer layer[DW_PATTERN_LAYERS_MAX];
  dw_lot_change *change; /* of lots, before the drift began where there is drift; owned */
  size_t n_changes;
  dw_heat_answer heat_blend,
      heat_drift;          /* spread of the cups' temperatures with the blend's width, with drift */
  dw_repeatability repeat; /* over all layers */
} dw_drift_report;
void dw_drift_report_free(dw_drift_report *report); /* frees what it owns and zeroes it */
/* Whether any layer's verdict is drift. */
bool dw_drift_report_found(const dw_drift_report *report);

typedef enum dw_detail { DW_DETAIL_BRIEF, DW_DETAIL_ALL } dw_detail;
/* Words first; charts, single rules and answers without news with DW_DETAIL_ALL. */
void dw_text_drift(const dw_drift_report *report, dw_detail detail, const dw_style *style, dw_text *out);
json_t *dw_json_drift(const dw_drift_report *report);
/* What is the next cup: the last good one, and what to pour; nothing where nothing is known. */
void dw_text_next_cup(const dw_next_cup *next, const dw_style *style, dw_text *out);
json_t *dw_json_next_cup(const dw_next_cup *next);
/* One line a batch and layer; a header line first. */
void dw_csv_drift(const dw_drift_report *report, dw_text *out);
/* Errors DW_NO_MEMORY */
dw_status dw_html_drift(const dw_drift_report *report, dw_text *out, dw_error *err);

/* The chart of a layer's CIEDE2000 to its target, newest batch right. */
void dw_chart_text(const dw_drift_layer *layer, dw_text *out); /* at most 80 columns wide */
void dw_chart_svg(const dw_drift_layer *layer, dw_text *out);  /* one <svg> element */

#endif
