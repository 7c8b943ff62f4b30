/* Drift: is this batch still the color?  Control charts and one verdict a layer.
 * Method and figures: docs/drift.md */
#ifndef DROPWISE_DRIFT_H
#define DROPWISE_DRIFT_H

#include "dropwise/color.h"

/* ---- Shewhart charts ----------------------------------------------------------------------------------- */

enum { DW_GROUP_MAX = 25 };
/* Factors for a group of n, 2 <= n <= DW_GROUP_MAX; NULL otherwise; static.
 * Source: Montgomery, Introduction to Statistical Quality Control, appendix VI (the same as ISO 7870-2, table
 * 2). */
typedef struct dw_chart_factors {
  double d2, A2, D3, D4;
} dw_chart_factors;
const dw_chart_factors *dw_chart_factors_for(size_t n);

typedef struct dw_chart_limits {
  double center, lower, upper;
  double sigma; /* of one plotted value */
} dw_chart_limits;

/* Individuals and moving-range limits from n values in the order they came (NIST/SEMATECH
 * e-Handbook, 6.3.2.2). Errors DW_TOO_FEW below 2 */
dw_status dw_chart_individuals(const double *x, size_t n, dw_chart_limits *individuals,
                               dw_chart_limits *ranges, dw_error *err);
/* X-bar and R limits from the grand mean and the mean range of groups of `size` (NIST 6.3.2.1).
 * Errors DW_BAD_INPUT size outside 2..DW_GROUP_MAX */
dw_status dw_chart_xbar_r(double grand_mean, double mean_range, size_t size, dw_chart_limits *means,
                          dw_chart_limits *ranges, dw_error *err);

/* A group as charted: the baits of a batch. */
typedef struct dw_chart_group {
  size_t size; /* 2 to DW_GROUP_MAX */
  double mean, range;
} dw_chart_group;
/* What the limits of groups of any size stand on: the mean over all members, and sigma of one member, the
 * mean of range / d2 over the groups (Montgomery, chapter 6: X-bar and R with variable sample size). Groups
 * alike give dw_chart_xbar_r's limits. */
typedef struct dw_group_chart {
  size_t n;    /* groups; 0: no chart */
  size_t size; /* that most of them have; of several the larger */
  bool alike;  /* all have it */
  double center, sigma;
} dw_group_chart;
/* Errors DW_TOO_FEW without groups; DW_BAD_INPUT a size out of range */
dw_status dw_chart_groups(const dw_chart_group *groups, size_t n, dw_group_chart *out, dw_error *err);
dw_status dw_chart_group_limits(const dw_group_chart *chart, size_t size, dw_chart_limits *means,
                                dw_chart_limits *ranges, dw_error *err);

/* Run rules, as bits (NIST 6.3.2, the Western Electric rules; ISO 7870-2 names the same patterns). */
enum {
  DW_RULE_BEYOND = 1,       /* one point beyond 3 sigma */
  DW_RULE_TWO_OF_THREE = 2, /* two of three beyond 2 sigma on one side */
  DW_RULE_FOUR_OF_FIVE = 4, /* four of five beyond 1 sigma on one side */
  DW_RULE_EIGHT = 8,        /* eight in a row on one side of the center */
  DW_RULE_TREND = 16        /* six in a row rising, or falling */
};
/* rules[i]: the bits that point i completes. sigma 0: nothing is signaled. */
void dw_run_rules(const double *x, size_t n, const dw_chart_limits *limits, unsigned *rules);
/* "two of three beyond 2 sigma"; the first of the bits; "" for 0. */
const char *dw_run_rule_words(unsigned rules);

/* ---- batches of one layer ------------------------------------------------------------------------------ */

enum { DW_DRIFT_BASE_MIN = 6, DW_DRIFT_BASE_MAX = 30 };

typedef struct dw_batch_color {
  dw_lab lab;              /* mean of the baits read */
  double uncertainty_de00; /* of lab: repeatability and light; what a photo of it can't tell */
  bool good;               /* the maker called the batch good: it may serve for the limits */
} dw_batch_color;

typedef struct dw_batch_check {
  double de00_target, de00_previous; /* CIEDE2000; previous is 0 for the first batch */
  double de00_first;                 /* to the first good batch; to the first of all while none is good */
  double moving_range;               /* of de00_target */
  double part[3];      /* lightness, chroma, hue difference from the target, in CIEDE2000 units */
  unsigned rules[3];   /* run rules that each part's individuals chart completes here */
  double off;          /* from the good batches' mean color, CIEDE2000; 0 while there are no limits */
  double away;         /* the same, smoothed over this batch and those before */
  double away_unknown; /* what the photos can't tell of it */
  double p;            /* chance of so large an away without drift; 1 while there are no limits */
  bool back;           /* p is very small, but for the batches before: this one is as the good ones */
  bool signal;         /* drift: p very small, not back, off and away beyond what the photos can tell */
} dw_batch_check;

typedef enum dw_drift_verdict {
  DW_DRIFT_TOO_FEW, /* not enough good batches for limits */
  DW_DRIFT_IN_CONTROL,
  DW_DRIFT_UNSURE, /* statistically away, but within what the photos can tell */
  DW_DRIFT_FOUND
} dw_drift_verdict;

typedef struct dw_drift_result {
  size_t base;                 /* good batches the limits stand on */
  dw_chart_limits de00, range; /* individuals and moving range of de00_target */
  dw_chart_limits part[3];     /* individuals of each part */
  dw_drift_verdict verdict;    /* of the last batch */
  size_t since;                /* index of the first batch of the run of signals that the last belongs to */
  char words[400];             /* for a person: what, by how much, since when */
} dw_drift_result;

/* Batches in the order they were poured.  The limits stand on the good ones (at most the first
 * DW_DRIFT_BASE_MAX).
 * name    of the layer, for the words
 * checks  n, filled in
 * Errors  DW_TOO_FEW without batches; DW_NO_MEMORY */
dw_status dw_drift_check(const char *name, dw_lab target, const dw_batch_color *batches, size_t n,
                         dw_batch_check *checks, dw_drift_result *out, dw_error *err);

/* ---- the share of a swirl's color ------------------------------------------------------------------------ */

typedef struct dw_batch_share {
  double share, doubt; /* of the bait, 0 to 1: mean of the baits read; what photos of them can't tell */
  bool good;
} dw_batch_share;

typedef struct dw_share_check {
  double off;                /* this less the good batches' mean, of 1; 0 while there are no limits */
  double away, away_unknown; /* as dw_batch_check's, of 1 */
  double p;
  unsigned rules; /* of the individuals chart */
  bool back, signal;
} dw_share_check;

typedef struct dw_share_drift {
  size_t base;           /* good batches the limits stand on */
  dw_chart_limits share; /* individuals; from 2 good batches on */
  dw_drift_verdict verdict;
  size_t since;
  char words[400];
} dw_share_drift;

/* As dw_drift_check, of one color's share through the batches that told it.
 * target  wanted; NAN: any.  Errors DW_TOO_FEW without batches; DW_NO_MEMORY */
dw_status dw_shares_check(const char *name, double target, const dw_batch_share *batches, size_t n,
                          dw_share_check *checks, dw_share_drift *out, dw_error *err);

/* ---- baits of one shot ----------------------------------------------------------------------------------
 */

typedef struct dw_shot {
  size_t n; /* baits read of a batch */
  const dw_lab *bait;
} dw_shot;

/* Deviations, CIEDE2000 and its parts (lightness, chroma, hue) near the target. */
typedef struct dw_shot_spread {
  size_t batches, baits;         /* of batches with two baits at least */
  double within[3], within_de00; /* of a bait from its shot's mean; what a photo can't tell counts in it */
  double between[3],
      between_de00; /* of a batch's true color from all batches', beyond what within explains */
  bool apart;       /* between is more than chance: p below 5% */
  double p;
  char words[240];
} dw_shot_spread;
/* name  of the layer, for the words.  False without a batch of two baits */
bool dw_shots_compare(const char *name, dw_lab target, const dw_shot *shot, size_t n, dw_shot_spread *out);

/* ---- repeatability ------------------------------------------------------------------------------------- */

/* How far photos of the same bait disagree: what any reading must exceed to mean something. Zero-initialise.
 */
typedef struct dw_repeatability {
  double sd_de00; /* of one photo's reading, CIEDE2000; 0 before any repeat */
  double degrees; /* of freedom behind it: photos less baits */
} dw_repeatability;
/* Pools n readings of one bait from n photos; fewer than 2 change nothing. */
void dw_repeatability_add(dw_repeatability *repeat, const dw_lab *readings, size_t n);

/* ---- tones: the range of natural colors of a layer ----------------------------------------------------- */

/* An ellipsoid in the CIEDE2000 metric at its center that holds about 95% of the colors its references speak
 * for (docs/drift.md#tones). */
typedef struct dw_tone_range {
  size_t n; /* references */
  dw_lab center;
  double metric[9], back[9]; /* Lab differences from the center to CIEDE2000 units, and back; row-major */
  double axis[9];            /* the three axes in CIEDE2000 units, unit rows, the shortest first */
  double half[3];            /* their half lengths, CIEDE2000 */
} dw_tone_range;
/* Few references are drawn toward a sphere of the usual spread.  Errors DW_TOO_FEW without any */
dw_status dw_tone_fit(const dw_lab *colors, size_t n, dw_tone_range *out, dw_error *err);

/* Where a color lies with regard to a tone. */
typedef struct dw_tone_spot {
  bool inside;
  double share;     /* of the way from the center to the surface; above 1 outside */
  dw_lab nearest;   /* the color itself inside, else the nearest color of the tone */
  double away_de00; /* CIEDE2000 from the color to it; 0 inside */
} dw_tone_spot;
void dw_tone_place(const dw_tone_range *tone, dw_lab color, dw_tone_spot *out);
/* inside the natural tone "belly"; 2.3 outside the natural tone "belly": too bright, too yellow */
void dw_tone_words(const char *name, dw_lab color, const dw_tone_spot *spot, char *out, size_t room);
/* Where to lead a color: itself inside; else the nearest color of the tone that has its hue; the nearest of
 * all where the tone has no color of that hue, or the color none to speak of. */
dw_lab dw_tone_lead(const dw_tone_range *tone, dw_lab color);

#endif
