/* What a pour needs: volumes per cup and mold, injector loads, drops, what goes in besides, and a shopping
 * list.
 *
 * Plain values filled by the caller; nothing is read from a book here. Volumes are milliliters, shares 0
 * to 1. Method and worked examples: docs/plan.md.  Thread-safe for distinct out and err. */
#ifndef DROPWISE_PLAN_H
#define DROPWISE_PLAN_H

#include "dropwise/mix.h"

enum {
  DW_PLAN_LAYERS_MAX = 8,
  DW_PLAN_MOLDS_MAX = 16,
  DW_PLAN_EXTRAS_MAX = 8,
  DW_PLAN_FILLS_MAX = 10000, /* of all molds together */
  DW_MOLD_CAVITIES_MAX = 200
};
#define DW_MOLD_VOLUME_MAX_ML 5000.0
#define DW_MOLD_FILLED_MAX_ML 1000000.0 /* plastic at hand before some fills */
#define DW_PLAN_WASTE_DEFAULT                                                                                \
  0.10 /* what stays in cups, nozzle and on the bench (common practice, no source) */

/* NIST Handbook 44, appendix C: a tablespoon is half a fluid ounce, a teaspoon a third of a tablespoon. */
#define DW_ML_PER_TEASPOON (DW_ML_PER_FLOZ / 6)

/* A volume as dw_parse_volume has it, or a weight in grams ("11.5 g") with the density of what it weighs.
 * density_g_ml  or 0 when it is not known
 * Errors DW_USAGE, saying what is missing */
dw_status dw_volume_parse(const char *text, dw_units units, double density_g_ml, double *ml, dw_error *err);

/* Shares of a bait's layers from percentages, each from 1 to 100, which add up to 100 within 1.
 * share  n of them, adding up to 1; may be the same array.  False where they are no such percentages */
bool dw_plan_shares(const double *percent, size_t n, double *share);
/* The marks of a measuring cup in those units, to which volumes are rounded up. */
double dw_plan_step_ml(dw_units units);

/* ---- molds ------------------------------------------------------------------------------------------------
 */

/* A direction on the bench, as the person before it sees it. */
typedef enum dw_side { DW_SIDE_TOWARD, DW_SIDE_AWAY, DW_SIDE_LEFT, DW_SIDE_RIGHT } dw_side;
const char *dw_side_name(dw_side side); /* "toward" */
bool dw_side_find(const char *name, dw_side *out);

typedef struct dw_mold {
  char name[DW_ID_ROOM];
  int cavities;
  double bait_ml;       /* one bait: as learned where something was, else as stated */
  double runner_ml;     /* runner and sprue, filled anew with every fill */
  dw_side sprue;        /* where the sprue faces */
  dw_side back;         /* on which side of the mold the baits' backs lie: across the sprue's direction */
  double stated_ml;     /* one bait as it was stated; 0: never learned, bait_ml is */
  size_t learned_from;  /* records of what was left over (dw_mold_learn); 0: none */
  double fill_doubt_ml; /* of a fill, one standard deviation; 0 where it can't be told */
} dw_mold;
/* Errors DW_BAD_INPUT a value out of range, or a back that lies toward or away from the sprue: streams that
 * run side by side can't reach it apart */
dw_status dw_mold_check(const dw_mold *mold, dw_error *err);
double dw_mold_fill_ml(const dw_mold *mold); /* all cavities, runner and sprue */
dw_side dw_mold_usual_back(dw_side sprue);   /* where nothing is said of the backs: left, or away */

/* Which layer goes into which chamber, so that the back ends up on the back. Streams keep side by side on
 * their way from the injector, which points into the sprue.
 * layer  n layers, 0 the back, in the order of the chambers from left to right as seen along the injector into
 *        the sprue
 * Errors as dw_mold_check; DW_BAD_INPUT no layer, or more than DW_PLAN_LAYERS_MAX */
dw_status dw_mold_chambers(const dw_mold *mold, size_t n, size_t *layer, dw_error *err);

/* What was left over after some fills of one mold tells its volume. */
typedef struct dw_mold_record {
  double filled_ml; /* plastic at hand before, in cups or injector */
  double left_ml;   /* after */
  int fills;        /* of this mold in between */
} dw_mold_record;
typedef struct dw_mold_learned {
  double fill_ml, bait_ml; /* the runner taken as stated */
  double doubt_ml;         /* of fill_ml, one standard deviation; 0 when a single record can't tell */
} dw_mold_learned;
/* Errors DW_TOO_FEW no record; DW_BAD_INPUT more left than there was, less used than the runner holds, or more
 * than a mold can take */
dw_status dw_mold_learn(const dw_mold *mold, const dw_mold_record *records, size_t n, dw_mold_learned *out,
                        dw_error *err);

/* ---- what is to be poured ---------------------------------------------------------------------------------
 */

/* Powder or flake, which goes by weight or by spoon: one of the two is stated. */
typedef struct dw_powder {
  char name[DW_ID_ROOM];
  double grams_floz;         /* per fl oz of cup; 0 when it goes by spoon */
  double teaspoons_floz;     /* per fl oz of cup; 0 when it goes by weight */
  double grams_per_teaspoon; /* to turn one into the other; 0 when not known */
} dw_powder;

/* Softener, hardener, heat stabilizer, scent: a share of the plastic, which it adds to. */
typedef struct dw_additive {
  char name[DW_ID_ROOM];
  double share;
} dw_additive;

typedef struct dw_plan_layer {
  char name[DW_ID_ROOM];
  double share; /* of the bait's volume */
  bool has_recipe;
  dw_recipe loadings; /* drops per fl oz */
  size_t n_powders;
  dw_powder powder[DW_PLAN_EXTRAS_MAX];
} dw_plan_layer;

typedef struct dw_plan_mold {
  dw_mold mold;
  int fills; /* 0 in every mold: as many as `baits` needs, each mold in turn */
} dw_plan_mold;

typedef struct dw_plan_job {
  const dw_shelf *shelf; /* of the recipes; may be NULL when no layer has one */
  dw_slab slab;          /* where colors are judged */
  size_t n_layers;
  dw_plan_layer layer[DW_PLAN_LAYERS_MAX]; /* back first; shares add up to 1 within 0.01 */
  size_t n_molds;
  dw_plan_mold mold[DW_PLAN_MOLDS_MAX]; /* filled in this order, each once, then again */
  int baits;                            /* wanted; 0: as the fills give */
  double chamber_ml;                    /* what each chamber of the injector holds; 0 when not known */
  double cup_ml;                        /* what a cup holds; 0 when not known */
  double waste;                         /* share on top of what the molds take */
  double step_ml;                       /* cups are rounded up to this; 0: not at all */
  size_t n_additives;
  dw_additive additive[DW_PLAN_EXTRAS_MAX];
} dw_plan_job;

/* What goes into a job besides, as a person types it: an additive's name and percentage ("softener=5"), a
 * powder of one of the job's layers with its amount per fl oz ("belly:flake=0.2g", "belly:pearl=0.1tsp").
 * what  what the text is called in the sentence.  Errors DW_USAGE */
dw_status dw_plan_additive_read(const char *what, const char *text, dw_plan_job *job, dw_error *err);
dw_status dw_plan_powder_read(const char *what, const char *text, dw_plan_job *job, dw_error *err);

typedef struct dw_plan_cup {
  double volume_ml;  /* of plastic and additives; drops come on top */
  double plastic_ml; /* without additives */
  double additive_ml[DW_PLAN_EXTRAS_MAX];
  dw_recipe drops;      /* whole */
  double rounding_de00; /* how far whole drops move the color */
  size_t chamber;       /* from 1, left to right (dw_mold_chambers), in the first mold */
  double grams[DW_PLAN_EXTRAS_MAX], teaspoons[DW_PLAN_EXTRAS_MAX]; /* per powder; 0 when not known */
} dw_plan_cup;

typedef struct dw_plan {
  int fills[DW_PLAN_MOLDS_MAX], baits;
  double molds_ml;                     /* what the molds take */
  double total_ml;                     /* of all cups */
  int loads;                           /* of the injector; 0 when its chambers are not known */
  int first_load_fills;                /* how many fills the first load reaches */
  bool reaches_last;                   /* the first load fills every mold once */
  bool enough;                         /* it can be poured like this */
  dw_plan_cup cup[DW_PLAN_LAYERS_MAX]; /* by layer */
  size_t chamber[DW_PLAN_MOLDS_MAX][DW_PLAN_LAYERS_MAX]; /* layer by chamber, for each mold */
  dw_notes notes;
} dw_plan;
/* Errors DW_BAD_INPUT what is out of range, named; a plan that can't be filled is no error: enough says so */
dw_status dw_plan_make(const dw_plan_job *job, dw_plan *out, dw_error *err);

/* Whole drops for a cup of that volume. The color moves by the rounding alone.
 * rounding_de00  by how much, or NULL;  Errors as dw_predict; DW_BAD_INPUT a volume not above 0 */
dw_status dw_recipe_scale(const dw_shelf *shelf, const dw_recipe *loadings, const dw_slab *slab,
                          double volume_floz, dw_recipe *drops, double *rounding_de00, dw_error *err);

/* All of it together, to buy or to set out. */
typedef struct dw_shopping {
  double plastic_ml;
  double additive_ml[DW_PLAN_EXTRAS_MAX]; /* by the job's additives */
  double drops[DW_SHELF_MAX];             /* by the shelf's bottles */
  size_t n_powders;
  struct {
    char name[DW_ID_ROOM];
    double grams, teaspoons;                         /* 0 when not known */
  } powder[DW_PLAN_LAYERS_MAX * DW_PLAN_EXTRAS_MAX]; /* of one name together */
} dw_shopping;
void dw_plan_shopping(const dw_plan_job *job, const dw_plan *plan, dw_shopping *out);

#endif
