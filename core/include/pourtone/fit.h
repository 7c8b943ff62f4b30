/* Knowing the bottles: chips in, spectra out; strengths learned from pours; when to stop correcting.
 * Method, sources and figures: docs/mixing-model.md#fit and #learn */
#ifndef POURTONE_FIT_H
#define POURTONE_FIT_H

#include "pourtone/mix.h"

/* ---- chips -----------------------------------------------------------------------------------------------
 */

enum { PT_CHIPS_MAX = 4000 };
#define PT_CHIP_SD_DE00 0.7 /* usual deviation of a chip's reading, CIEDE2000 (docs/mixing-model.md#fit) */
#define PT_CHIP_CLIPPED_WEIGHT 0.3

/* A let-down of known thickness over a known backing, and its measured color. A measured pour is the same
 * thing at a bait's thickness. */
typedef struct pt_chip {
  pt_recipe recipe;             /* drops per fl oz; n = 0 is clear base */
  double thickness_mm, backing; /* backing: reflectance 0..1 */
  pt_lab lab;
  bool clipped;      /* pixels of it were clipped: weighs PT_CHIP_CLIPPED_WEIGHT */
  double sd_de00;    /* deviation of the reading; 0 means PT_CHIP_SD_DE00 */
  uint64_t old_lots; /* pours only: bit i set when bottle i was an earlier lot than the one at hand */
} pt_chip;

typedef struct pt_chips {
  size_t n;
  pt_chip *chip;  /* owned */
  pt_notes notes; /* columns not known, bottles met for the first time */
} pt_chips;

/* Reads CSV with the columns recipe, thickness_mm, over, L, a, b and perhaps clipped (0, 1, yes, no).
 * shelf  bottles named for the first time are added to it (and noted); nothing is added on error
 * name   used in messages
 * out    owned by the caller, pt_chips_free
 * Errors PT_BAD_INPUT (file, line and column), PT_TOO_FEW no rows, PT_TOO_LARGE over PT_CHIPS_MAX rows or
 * PT_SHELF_MAX bottles, PT_NO_MEMORY */
pt_status pt_chips_parse(const char *text, size_t n, const char *name, pt_shelf *shelf, pt_chips **out,
                         pt_error *err);
void pt_chips_free(pt_chips *chips);
/* "orange=8 over white, 3 mm": how a chip is called in words. */
void pt_chip_words(const pt_chip *chip, const pt_shelf *shelf, char *out, size_t room);

/* ---- fit -------------------------------------------------------------------------------------------------
 */

typedef enum pt_fit_start {
  PT_FIT_FRESH,  /* from the prior: the surface is searched from several starts */
  PT_FIT_REFINE, /* from the shelf's fitted spectra and surface: an eighth quicker when chips were added */
} pt_fit_start;

/* What the fit says of one chip. */
typedef struct pt_chip_report {
  double de00;   /* CIEDE2000 of the fitted model's color to the reading */
  double weight; /* 1 as read; toward 0 where the chip disagrees with all others */
} pt_chip_report;

typedef struct pt_fit {
  pt_shelf *shelf;      /* a copy of the shelf given, its bottles named in the chips and its base refitted */
  size_t n;             /* chips */
  pt_chip_report *chip; /* n */
  double mean_de00, max_de00; /* over all chips, the mean by their weights */
  size_t worst;               /* index of the chip furthest off */
  char worst_words[PT_NOTE_TEXT];
  size_t steps;         /* Levenberg-Marquardt steps taken in all */
  pt_notes warnings;    /* what in the chips makes the answer weak */
  pt_notes suggestions; /* which chips would help most */
} pt_fit;

/* All bottles named in the chips, the clear base, k2 and the air gap, fitted at once (maximum a posteriori).
 * Bottles of the shelf that no chip names stay as they are. A fitted bottle's strength starts anew at 1.
 * Its role is guessed from its color unless the shelf gives one other than PT_ROLE_COLOR.
 * out    owned by the caller, pt_fit_free; unchanged on error
 * Errors PT_TOO_FEW no chips, or none with a bottle; PT_BAD_INPUT a chip out of range (which one);
 * PT_NO_MEMORY Thread-safe for distinct out and err; the same chips give the same answer. */
pt_status pt_bottles_fit(const pt_shelf *shelf, const pt_chip *chips, size_t n, pt_fit_start start,
                         pt_fit **out, pt_error *err);
void pt_fit_free(pt_fit *fit);

/* The role a bottle's own color suggests: the color of `loading` drops per fl oz, 3 mm over white and black.
 */
pt_role pt_bottle_role_guess(const pt_shelf *shelf, size_t bottle, double loading);

/* ---- learning --------------------------------------------------------------------------------------------
 */

#define PT_STRENGTH_PRIOR_SD 0.10         /* of ln strength: one bottle's chips */
#define PT_STRENGTH_PRIOR_SD_NEW_LOT 0.20 /* ... and a new lot of it */
#define PT_POUR_SD_DE00 1.2               /* residual deviation of a measured pour */

typedef struct pt_learned_bottle {
  double strength;          /* factor on k and s against what the chips said */
  double sd;                /* of ln strength */
  size_t pours;             /* pours of this lot that hold it */
  bool changed;             /* by a hundredth or more since it was last kept: pt_book_learn says so */
  char words[PT_NOTE_TEXT]; /* "brown runs 9% stronger than its chips said", or "" while within its doubt */
} pt_learned_bottle;

typedef struct pt_learned {
  size_t n; /* the shelf's bottles */
  pt_learned_bottle bottle[PT_SHELF_MAX];
  double before_de00, after_de00; /* mean CIEDE2000 of predicted to measured over the pours */
} pt_learned;

/* Strengths of all bottles from all measured pours: maximum a posteriori of ln strength around 0.
 * shelf     spectra as fitted; the strengths it carries are not used
 * pours     n measured pours, at the thickness and backing they were read
 * new_lots  bit i set: bottle i is a new lot since its chips (wider prior)
 * Errors PT_TOO_FEW no pours; PT_BAD_INPUT a pour out of range; PT_NO_MEMORY */
pt_status pt_strengths_learn(const pt_shelf *shelf, const pt_chip *pours, size_t n, uint64_t new_lots,
                             pt_learned *out, pt_error *err);
/* Writes strengths and their deviations into the shelf (of the same bottles). */
void pt_strengths_apply(pt_shelf *shelf, const pt_learned *learned);

/* A measured color against what its drops give. Where it is far, something else went wrong: another bait's
 * photo, marks beside the bait, a typing error, other drops.  docs/mixing-model.md#learn */
#define PT_MISS_LEAST_DE00 8.0    /* nearer than this is never called far */
#define PT_MISS_SIGMAS 3.0        /* of the doubt of prediction and reading together */
#define PT_MISS_INVENTED_DE00 5.0 /* doubt of a cup with bottles of the starter shelf (an assumption) */
#define PT_MISS_STRENGTH_SD 0.20  /* of ln strength: a lot may be new without being noted */
typedef struct pt_miss {
  double de00;       /* to the color predicted with the strengths learned, or with none: the nearer */
  double limit_de00; /* the larger of the two above */
  bool far;          /* beyond the limit */
} pt_miss;
/* loadings, slab  of the pour;  uncertainty_de00  of the reading.  Errors as pt_predict */
pt_status pt_pour_miss(const pt_shelf *shelf, const pt_recipe *loadings, const pt_slab *slab, pt_lab measured,
                       double uncertainty_de00, pt_miss *out, pt_error *err);
/* "This is nowhere near what those drops give (23 off): right photo? marks on the bait? right drops?" */
void pt_miss_words(double de00, char *out, size_t room);

/* A cup was measured: what its prediction missed is carried into its next one (pt_rules.offset), where it
 * fades with the size of the move (docs/mixing-model.md#learn). */
void pt_rules_measured(pt_rules *rules, pt_lab predicted, pt_lab measured);

/* Whether one more correction of a cup is worth its drops: PT_STOP_* says why not. */
typedef enum pt_stop {
  PT_STOP_NO,    /* go on */
  PT_STOP_CLOSE, /* measured within 0.8 of the target */
  PT_STOP_GAIN   /* the predicted gain is under 0.4: within what drops and photo can tell */
} pt_stop;
/* measured_de00  measured color to target; predicted_de00  predicted after the correction, to target */
pt_stop pt_correction_stop(double measured_de00, double predicted_de00);

#endif
