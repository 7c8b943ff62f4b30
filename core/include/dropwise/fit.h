/* Knowing the bottles: chips in, spectra out; strengths learned from pours.
 * Method, sources and figures: docs/mixing-model.md#fit and #learn */
#ifndef DROPWISE_FIT_H
#define DROPWISE_FIT_H

#include "dropwise/mix.h"

/* ---- chips -----------------------------------------------------------------------------------------------
 */

enum { DW_CHIPS_MAX = 4000 };
#define DW_CHIP_SD_DE00 0.7 /* usual deviation of a chip's reading, CIEDE2000 (docs/mixing-model.md#fit) */
#define DW_CHIP_CLIPPED_WEIGHT 0.3

/* A let-down of known thickness over a known backing, and its measured color. A measured pour is the same
 * thing at a bait's thickness. */
typedef struct dw_chip {
  dw_recipe recipe;             /* drops per fl oz; n = 0 is clear base */
  double thickness_mm, backing; /* backing: reflectance 0..1 */
  dw_lab lab;
  bool clipped;      /* pixels of it were clipped: weighs DW_CHIP_CLIPPED_WEIGHT */
  double sd_de00;    /* deviation of the reading; 0 means DW_CHIP_SD_DE00 */
  uint64_t old_lots; /* pours only: bit i set when bottle i was an earlier lot than the one at hand */
} dw_chip;

typedef struct dw_chips {
  size_t n;
  dw_chip *chip;  /* owned */
  dw_notes notes; /* columns not known, bottles met for the first time */
} dw_chips;

/* Reads CSV with the columns recipe, thickness_mm, over, L, a, b and perhaps clipped (0, 1, yes, no).
 * shelf  bottles named for the first time are added to it (and noted); nothing is added on error
 * name   used in messages
 * out    owned by the caller, dw_chips_free
 * Errors DW_BAD_INPUT (file, line and column), DW_TOO_FEW no rows, DW_TOO_LARGE over DW_CHIPS_MAX rows or
 * DW_SHELF_MAX bottles, DW_NO_MEMORY */
dw_status dw_chips_parse(const char *text, size_t n, const char *name, dw_shelf *shelf, dw_chips **out,
                         dw_error *err);
void dw_chips_free(dw_chips *chips);
/* "orange=8 over white, 3 mm": how a chip is called in words. */
void dw_chip_words(const dw_chip *chip, const dw_shelf *shelf, char *out, size_t room);

/* ---- fit -------------------------------------------------------------------------------------------------
 */

typedef enum dw_fit_start {
  DW_FIT_FRESH,  /* from the prior: the surface is searched from several starts */
  DW_FIT_REFINE, /* from the shelf's fitted spectra and surface: an eighth quicker when chips were added */
} dw_fit_start;

/* What the fit says of one chip. */
typedef struct dw_chip_report {
  double de00;   /* CIEDE2000 of the fitted model's color to the reading */
  double weight; /* 1 as read; toward 0 where the chip disagrees with all others */
} dw_chip_report;

typedef struct dw_fit {
  dw_shelf *shelf;      /* a copy of the shelf given, its bottles named in the chips and its base refitted */
  size_t n;             /* chips */
  dw_chip_report *chip; /* n */
  double mean_de00, max_de00; /* over all chips, the mean by their weights */
  size_t worst;               /* index of the chip furthest off */
  char worst_words[DW_NOTE_TEXT];
  size_t steps;         /* Levenberg-Marquardt steps taken in all */
  dw_notes warnings;    /* what in the chips makes the answer weak */
  dw_notes suggestions; /* which chips would help most */
} dw_fit;

/* All bottles named in the chips, the clear base, k2 and the air gap, fitted at once (maximum a posteriori).
 * Bottles of the shelf that no chip names stay as they are. A fitted bottle's strength starts anew at 1.
 * Its role is guessed from its color unless the shelf gives one other than DW_ROLE_COLOR.
 * out    owned by the caller, dw_fit_free; unchanged on error
 * Errors DW_TOO_FEW no chips, or none with a bottle; DW_BAD_INPUT a chip out of range (which one);
 * DW_NO_MEMORY Thread-safe for distinct out and err; the same chips give the same answer. */
dw_status dw_bottles_fit(const dw_shelf *shelf, const dw_chip *chips, size_t n, dw_fit_start start,
                         dw_fit **out, dw_error *err);
void dw_fit_free(dw_fit *fit);

/* The role a bottle's own color suggests: the color of `loading` drops per fl oz, 3 mm over white and black.
 */
dw_role dw_bottle_role_guess(const dw_shelf *shelf, size_t bottle, double loading);

/* ---- learning --------------------------------------------------------------------------------------------
 */

#define DW_STRENGTH_PRIOR_SD 0.10         /* of ln strength: one bottle's chips */
#define DW_STRENGTH_PRIOR_SD_NEW_LOT 0.20 /* ... and a new lot of it */
#define DW_POUR_SD_DE00 1.2               /* residual deviation of a measured pour */

typedef struct dw_learned_bottle {
  double strength;          /* factor on k and s against what the chips said */
  double sd;                /* of ln strength */
  size_t pours;             /* pours of this lot that hold it */
  bool changed;             /* by a hundredth or more since it was last kept: dw_book_learn says so */
  char words[DW_NOTE_TEXT]; /* "brown runs 9% stronger than its chips said", or "" while within its doubt */
} dw_learned_bottle;

typedef struct dw_learned {
  size_t n; /* the shelf's bottles */
  dw_learned_bottle bottle[DW_SHELF_MAX];
  double before_de00, after_de00; /* mean CIEDE2000 of predicted to measured over the pours */
} dw_learned;

/* Strengths of all bottles from all measured pours: maximum a posteriori of ln strength around 0.
 * shelf     spectra as fitted; the strengths it carries are not used
 * pours     n measured pours, at the thickness and backing they were read
 * new_lots  bit i set: bottle i is a new lot since its chips (wider prior)
 * Errors DW_TOO_FEW no pours; DW_BAD_INPUT a pour out of range; DW_NO_MEMORY */
dw_status dw_strengths_learn(const dw_shelf *shelf, const dw_chip *pours, size_t n, uint64_t new_lots,
                             dw_learned *out, dw_error *err);
/* Writes strengths and their deviations into the shelf (of the same bottles). */
void dw_strengths_apply(dw_shelf *shelf, const dw_learned *learned);

/* A measured color against what its drops give. Where it is far, something else went wrong: another bait's
 * photo, marks beside the bait, a typing error, other drops.  docs/mixing-model.md#learn */
#define DW_MISS_LEAST_DE00 8.0    /* nearer than this is never called far */
#define DW_MISS_SIGMAS 3.0        /* of the doubt of prediction and reading together */
#define DW_MISS_INVENTED_DE00 5.0 /* doubt of a cup with bottles of the starter shelf (an assumption) */
#define DW_MISS_STRENGTH_SD 0.20  /* of ln strength: a lot may be new without being noted */
typedef struct dw_miss {
  double de00;       /* to the color predicted with the strengths learned, or with none: the nearer */
  double limit_de00; /* the larger of the two above */
  bool far;          /* beyond the limit */
} dw_miss;
/* loadings, slab  of the pour;  uncertainty_de00  of the reading.  Errors as dw_predict */
dw_status dw_pour_miss(const dw_shelf *shelf, const dw_recipe *loadings, const dw_slab *slab, dw_lab measured,
                       double uncertainty_de00, dw_miss *out, dw_error *err);
/* "This is nowhere near what those drops give (23 off): right photo? marks on the bait? right drops?" */
void dw_miss_words(double de00, char *out, size_t room);

/* A cup was measured: what its prediction missed is carried into its next one (dw_rules.offset), where it
 * fades with the size of the move (docs/mixing-model.md#learn). */
void dw_rules_measured(dw_rules *rules, dw_lab predicted, dw_lab measured);

#endif
