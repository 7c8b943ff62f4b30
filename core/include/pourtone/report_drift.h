/* Drift of a pattern's layers as text, JSON, CSV, a chart and an HTML report. */
#ifndef POURTONE_REPORT_DRIFT_H
#define POURTONE_REPORT_DRIFT_H

#include "pourtone/book_pours.h"
#include "pourtone/report.h"

/* What a correction of the next cup is: worked out by the caller. */
typedef struct pt_next_cup {
  bool known;    /* false: words alone */
  bool has_good; /* there was a good batch, and what was in its cup is known: */
  char good_batch[PT_BATCH_NAME_ROOM], good_recipe[PT_NOTE_TEXT];
  char good_words[2 * PT_NOTE_TEXT]; /* "Last good batch, 3 May (7): orange 28, white 1" */
  char recipe[PT_NOTE_TEXT];         /* "orange=11;brown=5" */
  char last[PT_NOTE_TEXT];           /* what was in the last cup */
  double volume_floz;
  double predicted_de00; /* to the target */
  pt_lab predicted;
  char words[PT_NOTE_TEXT]; /* "1 drop less of orange, 1 more of brown" */
} pt_next_cup;

typedef struct pt_drift_layer {
  char name[PT_ID_ROOM];
  bool has_target;
  pt_lab target;
  double target_doubt_de00; /* of the target itself: that of its photo; 0 for numbers */
  bool target_no_card;      /* its photo had no card */
  pt_layer_history history;
  pt_batch_check *check;  /* history.n; owned */
  pt_drift_result result; /* words alone when there is no target or no batch */
  /* X-bar and R of the baits' CIEDE2000 to the target, where the good batches have the same number of them */
  size_t group; /* baits a batch; 0: no such chart */
  pt_chart_limits means, ranges;
  double *bait_mean, *bait_range; /* history.n; owned; NAN where a batch has another number of baits */
  char drops[PT_NOTE_TEXT]; /* the last cup against the last good one: "8 drops less of orange than batch 7";
                               "" */
  bool has_advice;
  pt_next_cup next;
} pt_drift_layer;

/* An answer from the book's own pours by rank correlation. */
typedef struct pt_heat_answer {
  size_t n;
  bool enough;   /* of pours to tell */
  bool measured; /* any pour was noted for it; words say what is missing otherwise */
  double rho, p;
  char words[PT_NOTE_TEXT];
} pt_heat_answer;

typedef struct pt_drift_report {
  pt_pattern pattern;
  size_t n;
  pt_drift_layer layer[PT_PATTERN_LAYERS_MAX];
  pt_lot_change *change; /* of lots, before the drift began where there is drift; owned */
  size_t n_changes;
  pt_heat_answer heat_blend,
      heat_drift;          /* spread of the cups' temperatures with the blend's width, with drift */
  pt_repeatability repeat; /* over all layers */
} pt_drift_report;
void pt_drift_report_free(pt_drift_report *report); /* frees what it owns and zeroes it */
/* Whether any layer's verdict is drift. */
bool pt_drift_report_found(const pt_drift_report *report);

typedef enum pt_detail { PT_DETAIL_BRIEF, PT_DETAIL_ALL } pt_detail;
/* Words first; charts, single rules and answers without news with PT_DETAIL_ALL. */
void pt_text_drift(const pt_drift_report *report, pt_detail detail, const pt_style *style, pt_text *out);
json_t *pt_json_drift(const pt_drift_report *report);
/* What is the next cup: the last good one, and what to pour; nothing where nothing is known. */
void pt_text_next_cup(const pt_next_cup *next, const pt_style *style, pt_text *out);
json_t *pt_json_next_cup(const pt_next_cup *next);
/* One line a batch and layer; a header line first. */
void pt_csv_drift(const pt_drift_report *report, pt_text *out);
/* Errors PT_NO_MEMORY */
pt_status pt_html_drift(const pt_drift_report *report, pt_text *out, pt_error *err);

/* The chart of a layer's CIEDE2000 to its target, newest batch right. */
void pt_chart_text(const pt_drift_layer *layer, pt_text *out); /* at most 80 columns wide */
void pt_chart_svg(const pt_drift_layer *layer, pt_text *out);  /* one <svg> element */

#endif
