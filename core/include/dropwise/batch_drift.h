/* The batches of a pattern, set against its targets: the book's history turned into answers. */
#ifndef DROPWISE_BATCH_DRIFT_H
#define DROPWISE_BATCH_DRIFT_H

#include "dropwise/batch_advice.h"
#include "dropwise/batch_tone.h"
#include "dropwise/batch_turn.h"

/* Of a batch of its number of baits. */
typedef struct dw_bait_limits {
  dw_chart_limits mean, range;
} dw_bait_limits;

/* The share that a swirl's color has, through the batches that told it. */
typedef struct dw_drift_shares {
  double target; /* wanted; NAN: any */
  size_t n;
  size_t *row;           /* n: which of the layer's history; owned */
  dw_batch_share *batch; /* n; owned */
  dw_share_check *check; /* n; owned */
  dw_share_drift result; /* words alone without any batch */
} dw_drift_shares;

typedef struct dw_drift_layer {
  char name[DW_ID_ROOM];
  bool has_target;
  dw_lab target;
  double target_doubt_de00; /* of the target itself: that of its photo; 0 for numbers */
  bool target_no_card;      /* its photo had no card */
  dw_layer_history history;
  dw_toned tone;          /* of the newest batch */
  dw_batch_check *check;  /* history.n; owned */
  dw_drift_result result; /* words alone when there is no target or no batch */
  /* X-bar and R of the baits' CIEDE2000 to the target, on the good batches of which two baits were read */
  dw_group_chart groups;          /* n 0: fewer than two such batches */
  double *bait_mean, *bait_range; /* history.n; owned; NAN where a batch has one bait */
  dw_bait_limits *bait_limits;    /* history.n; owned; zeroed where there is no chart */
  bool has_shots;
  bool swirl; /* it is the color of a swirl: */
  dw_layer_travels travels;
  dw_drift_shares shares_of; /* zeroed else */
  dw_shot_spread shots;      /* what differs within a shot, and what between batches */
  char drops[DW_NOTE_TEXT];  /* the last cup against the last good one: "8 drops less of orange than batch 7";
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
  double low, high; /* between which the correlation lies with 95% */
  char words[DW_NOTE_TEXT];
} dw_heat_answer;

typedef struct dw_drift_report {
  dw_pattern pattern;
  char lack[DW_NOTE_TEXT]; /* with advice: what bottles without chips need; "" */
  size_t n;
  dw_drift_layer layer[DW_PATTERN_LAYERS_MAX];
  dw_lot_change *change; /* of lots, before the drift began where there is drift; owned */
  size_t n_changes;
  dw_heat_answer heat_blend,
      heat_drift;          /* spread of the cups' temperatures with the blend's width, with drift */
  dw_repeatability repeat; /* over all layers */
} dw_drift_report;
void dw_drift_report_free(dw_drift_report *report); /* frees what it owns and zeroes it */
/* Whether any layer's verdict is drift, of its color or of its share of a swirl. */
bool dw_drift_report_found(const dw_drift_report *report);

enum { DW_HEAT_POURS_MIN = 8 }; /* batches from which a rank correlation can tell anything */

/* All of a pattern's layers checked for drift, with the lots that changed and what the temperatures say.
 * out  large: on the heap; dw_drift_report_free, on error too */
dw_status dw_drift_report_load(dw_book *book, const char *pattern, dw_drift_report *out, dw_error *err);
/* The next cup of every layer that drifted (of all layers when none did). */
dw_status dw_drift_report_advise(dw_book *book, const dw_shelf *shelf, const dw_plugins *plugins,
                                 dw_drift_report *report, dw_error *err);

#endif
