/* Mixing: bottles, cups, Kubelka-Munk prediction, recipes in whole drops.
 *
 * Loadings are drops per US fluid ounce of base; K and S are per millimeter at a loading of one drop per fl
 * oz. Method, sources and figures: docs/mixing-model.md */
#ifndef DROPWISE_MIX_H
#define DROPWISE_MIX_H

#include "dropwise/color.h"

enum {
  DW_SHELF_MAX = 64,             /* bottles on a shelf */
  DW_SHELF_BYTES_MAX = 64 << 20, /* of its text */
  DW_CUP_BOTTLES_MAX = 12,       /* different bottles in one cup */
  DW_DRAWS = 24,                 /* posterior draws a fitted bottle carries */
  DW_AMOUNT_MAX = 10000,         /* drops, or drops per fl oz, of one bottle */
  DW_THICKNESS_MAX_MM = 1000,
  DW_VOLUME_MAX_FLOZ = 10000
};

/* Loading up to which a bottle is trusted when nothing else is known, drops per fl oz (common practice, no
 * source). */
#define DW_MAX_LOADING_DEFAULT 12.0

/* Reflectances of the usual backings; a measured one replaces them (docs/mixing-model.md#predict). */
#define DW_BACKING_BLACK 0.04
#define DW_BACKING_WHITE 0.886
#define DW_BACKING_GRAY 0.20

typedef enum dw_role { DW_ROLE_COLOR, DW_ROLE_BROWN, DW_ROLE_WHITE, DW_ROLE_BLACK, DW_ROLE_EFFECT } dw_role;
typedef enum dw_origin { DW_ORIGIN_INVENTED, DW_ORIGIN_FITTED } dw_origin;

typedef struct dw_spectra {
  double k[DW_BANDS], s[DW_BANDS];
} dw_spectra;

typedef struct dw_bottle {
  char id[DW_ID_ROOM];
  char title[DW_TITLE_ROOM];
  dw_role role;
  dw_origin origin;
  dw_spectra spectra;
  double strength;    /* learned factor on k and s; 1 as the chips said */
  double strength_sd; /* of ln strength */
  double drop_ml;     /* volume of one drop */
  double max_loading; /* largest fitted, drops per fl oz; beyond it predictions are marked */
  bool off_shelf;     /* cups hold it, but it is not at hand: predicted, never to be added */
  dw_spectra *draws; /* DW_DRAWS joint posterior draws, owned by the shelf; NULL when there is no posterior */
} dw_bottle;

/* A bottle with nothing known yet but its name: strength 1, the usual drop. */
dw_bottle dw_bottle_blank(const char *id, const char *title, dw_role role);
/* What must stand behind its title wherever a person reads it: " (invented)", or "" once it is fitted. */
const char *dw_bottle_mark(const dw_bottle *bottle);
const char *dw_role_name(dw_role role); /* "color", "brown", ... */
bool dw_role_find(const char *name, dw_role *out);

/* How light enters, and what lies under: Saunderson constants and the air gap (0 wet contact .. 1 dry). */
typedef struct dw_surface {
  double k1, k2, gap;
} dw_surface;
dw_surface dw_surface_default(void); /* 0.04, 0.60, 0 */

typedef struct dw_shelf {
  dw_spectra base;        /* the clear base */
  dw_spectra *base_draws; /* DW_DRAWS or NULL */
  dw_surface surface;
  size_t n;
  dw_bottle bottle[DW_SHELF_MAX];
  char lacking[DW_NOTE_TEXT / 2]; /* bottles at hand without chips, which it can't have: "rust, teal"; "" */
} dw_shelf;

/* About ten invented bottles with smooth parametric spectra: a start until the maker's own are fitted. */
dw_status dw_shelf_starter(dw_shelf **out, dw_error *err);
dw_status dw_shelf_new(dw_shelf **out, dw_error *err); /* no bottles; a typical clear base */
dw_status dw_shelf_clone(const dw_shelf *shelf, dw_shelf **out, dw_error *err);
void dw_shelf_free(dw_shelf *shelf);
/* What to mind of drops that this shelf advises: a sentence where bottles on it are invented, NULL where all
 * are fitted. Static. */
const char *dw_shelf_warning(const dw_shelf *shelf);
/* What chips a bottle (or several, "rust, teal") needs before it can be in a recipe; a fit, where it has
 * chips. */
void dw_bottle_lack_words(const char *bottles, bool has_chips, char *out, size_t room);
/* Index, or -1 */
int dw_shelf_find(const dw_shelf *shelf, const char *id);
/* DW_USAGE: there is no such bottle, and which one may be meant. */
dw_status dw_shelf_lacks(const dw_shelf *shelf, const char *id, dw_error *err);
/* Text form (JSON, docs/file-formats.md#shelf). *out owned by the caller (free). */
dw_status dw_shelf_write(const dw_shelf *shelf, char **out, dw_error *err);
dw_status dw_shelf_parse(const char *text, size_t n, const char *name, dw_shelf **out, dw_error *err);

/* One bottle's share: drops in a cup, or drops per fl oz in a let-down. */
typedef struct dw_part {
  size_t bottle; /* index on the shelf */
  double amount;
} dw_part;
typedef struct dw_recipe {
  size_t n;
  dw_part part[DW_CUP_BOTTLES_MAX];
} dw_recipe;
/* A recipe as it is written, its bottles not looked up. */
typedef struct dw_part_words {
  char id[DW_ID_ROOM];
  double amount;
} dw_part_words;
typedef struct dw_recipe_words {
  size_t n;
  dw_part_words part[DW_CUP_BOTTLES_MAX];
} dw_recipe_words;
/* "orange=6,brown=2", or with ';' between; "" is clear base.
 * Errors DW_USAGE not bottle=number, twice, negative, more than DW_CUP_BOTTLES_MAX, a separator with nothing
 * behind it */
dw_status dw_recipe_read(const char *text, dw_recipe_words *out, dw_error *err);
/* The same with the shelf's bottles; a part of 0 drops is left out; out is unchanged on error.
 * Errors as dw_recipe_read; DW_USAGE unknown bottle (names the nearest) */
dw_status dw_recipe_parse(const char *text, const dw_shelf *shelf, dw_recipe *out, dw_error *err);
/* The same text back, cut to room; always terminated. */
void dw_recipe_format(const dw_recipe *recipe, const dw_shelf *shelf, char *out, size_t room);
double dw_recipe_amount(const dw_recipe *recipe, size_t bottle); /* 0 when it is not in it */
double dw_recipe_total(const dw_recipe *recipe);
double dw_recipe_ml(const dw_recipe *recipe, const dw_shelf *shelf); /* drops by each bottle's drop size */
/* Adds to a part, or a new part; false when DW_CUP_BOTTLES_MAX are in it already. */
bool dw_recipe_add(dw_recipe *recipe, size_t bottle, double amount);

typedef struct dw_cup {
  dw_recipe drops;      /* whole cup, in drops */
  double volume_floz;   /* clear base in it now */
  double capacity_floz; /* what the cup holds */
} dw_cup;
#define DW_USUAL_VOLUME_FLOZ 4.0 /* clear base in a fresh cup (common practice, no source) */
#define DW_USUAL_CAPACITY 1.25   /* what a cup holds, of the clear base in it (common practice, no source) */
/* A cup with drops and clear base added to it; false where these are more bottles than a cup can have. */
bool dw_cup_after(const dw_cup *cup, const dw_recipe *add, double add_clear_floz, dw_cup *out);
double dw_cup_filled_floz(const dw_cup *cup, const dw_shelf *shelf); /* base and drops */
void dw_cup_loadings(const dw_cup *cup, dw_recipe *out); /* drops per fl oz of clear base; 0 without base */

/* black, white, gray, or NULL when it is none of these. */
const char *dw_backing_name(double reflectance);
/* A backing by name (black, white, gray) or reflectance 0..1. DW_USAGE otherwise. */
dw_status dw_backing_parse(const char *text, double *reflectance, dw_error *err);
/* The plastic as seen: thickness_mm over a backing. */
typedef struct dw_slab {
  double thickness_mm, backing;
} dw_slab;
dw_slab dw_slab_usual(void); /* where nobody says: 10 mm over gray */
/* What is not said (NAN) is as before, or with before NULL as usual. */
dw_slab dw_slab_said(const dw_slab *said, const dw_slab *before);

typedef struct dw_prediction {
  dw_lab lab;
  dw_xyz xyz;
  double see_through;      /* contrast ratio Y over black / Y over white, 0 clear .. 1 opaque (ISO 6504-3) */
  double uncertainty_de00; /* one standard deviation from the fit; 0 when the bottles carry none */
  dw_notes notes;
} dw_prediction;
/* Color of a let-down.  Errors DW_BAD_INPUT amounts, thickness or backing out of range */
dw_status dw_predict(const dw_shelf *shelf, const dw_recipe *loadings, const dw_slab *slab,
                     dw_prediction *out, dw_error *err);
/* The color alone, without checks or notes: the solver's inner step. c: loading of every shelf bottle (n). */
dw_lab dw_predict_lab(const dw_shelf *shelf, const double *c, const dw_slab *slab);

/* ---- solving ----------------------------------------------------------------------------------------------
 */

typedef enum dw_aim_kind {
  DW_AIM_NEAREST = 1,    /* the target */
  DW_AIM_DULL = 2,       /* the cup's color with chroma lowered by `chroma_share`, hue held */
  DW_AIM_SEE_THROUGH = 3 /* the cup's hue and chroma with contrast ratio at `see_through` */
} dw_aim_kind;

/* What is wanted, as weighted terms; dw_aim_* fill the usual ones. */
typedef struct dw_aim {
  dw_aim_kind kind;
  dw_lab target;
  double weight_lightness, weight_chroma, weight_hue; /* on the CIEDE2000 parts; all 1 is CIEDE2000 itself */
  double see_through, weight_see_through; /* CIEDE2000 units for a contrast ratio off by 1; 0 ignores */
  double see_through_band;                /* a contrast ratio off by no more costs nothing */
} dw_aim;
dw_aim dw_aim_nearest(dw_lab target);
dw_aim dw_aim_dull(dw_lab from, double chroma_share); /* lightness left nearly free */
dw_aim dw_aim_see_through(dw_lab from, double contrast_ratio);

typedef enum dw_use { DW_USE_FREE, DW_USE_NEVER } dw_use;

#define DW_DROPS_BY_VOLUME (-1.0)
#define DW_DROPS_PER_FLOZ 15.0       /* 60 in 4 fl oz */
#define DW_DROPS_ON_TOP_PER_FLOZ 5.0 /* 20 in 4 fl oz: what a correction may need */

#define DW_DROP_COST_DE00 0.005 /* in a recipe from nothing */

typedef struct dw_rules {
  double step_drops;        /* 1, 0.5, or 0 for syringe steps of step_ml */
  double step_ml;           /* 0.1 */
  double max_drops;         /* in the whole cup, or DW_DROPS_BY_VOLUME, as is usual */
  size_t max_bottles;       /* in the whole cup, those already in it included when adding; 4 */
  double max_clear_floz;    /* clear base that may be added to a cup with drops in it; cut to the cup's room;
                               infinite */
  double step_clear_floz;   /* clear base is added in multiples of this; 0.05 */
  double drop_cost_de00;    /* what a drop must gain to be worth its work and its error */
  dw_use use[DW_SHELF_MAX]; /* per shelf bottle */
  dw_lab offset;            /* measured minus predicted of this cup as it is, to carry on */
  dw_lab offset_at;         /* predicted color of the cup when that offset was seen */
} dw_rules;
dw_rules dw_rules_default(void);
/* Whether more of this bottle may be added at all: it is at hand, and the rules don't bar it.  The solver adds
 * none of an effect bottle all the same. */
bool dw_bottle_free(const dw_shelf *shelf, const dw_rules *rules, size_t bottle);
/* Most drops that this cup may hold under the rules. By volume: DW_DROPS_PER_FLOZ for each fl oz of clear
 * base, but room for DW_DROPS_ON_TOP_PER_FLOZ more than the cup holds already, up to DW_AMOUNT_MAX. */
double dw_rules_max_drops(const dw_rules *rules, const dw_cup *cup);
/* Drops of a whole cup, given where drops per fl oz are meant, make a let-down that no cup comes to: beyond
 * DW_DROPS_PER_FLOZ, up to which a fresh cup is filled, and DW_DROPS_ON_TOP_PER_FLOZ for its correction.
 * Errors DW_USAGE the question whether that is meant */
dw_status dw_loadings_question(const dw_recipe *loadings, dw_error *err);
/* A predicted color with the carried offset, which fades with the distance from offset_at. */
dw_lab dw_rules_carry(const dw_rules *rules, dw_lab predicted);

typedef enum dw_limit {
  DW_LIMIT_NONE, /* reached: within CIEDE2000 1 */
  DW_LIMIT_DARK, /* nothing dark enough in reach */
  DW_LIMIT_LIGHT,
  DW_LIMIT_CHROMA,
  DW_LIMIT_HUE,
  DW_LIMIT_FULL,        /* the cup's capacity, or clear base that may be added */
  DW_LIMIT_DROPS,       /* the most drops a cup may hold */
  DW_LIMIT_BOTTLES,     /* max_bottles */
  DW_LIMIT_STEP,        /* whole drops are too coarse in a cup this small */
  DW_LIMIT_SET_ASIDE,   /* a bottle that may not be used */
  DW_LIMIT_SEE_THROUGH, /* the contrast ratio asked for, or the cup's own, which is held */
  DW_LIMIT_WORTH        /* more drops than the gain is worth */
} dw_limit;

typedef struct dw_solution {
  dw_recipe add; /* drops to add; n = 0: leave it */
  double add_clear_floz;
  dw_cup cup;              /* as it will be */
  dw_prediction predicted; /* with the carried offset */
  double de00;             /* CIEDE2000 of predicted to aim->target */
  dw_limit limit;
  char limit_words[DW_NOTE_TEXT]; /* what limits it, a sentence; "" when reached */
} dw_solution;

/* Best additions to a cup (an empty cup: a recipe from nothing). Never takes anything out.
 * Errors DW_BAD_INPUT cup over capacity, no bottle usable, volume 0; DW_NO_MEMORY */
dw_status dw_solve(const dw_shelf *shelf, const dw_cup *cup, const dw_slab *slab, const dw_aim *aim,
                   const dw_rules *rules, dw_solution *out, dw_error *err);

/* ---- a cup gone too far: "too much brown"
 * ------------------------------------------------------------------ */

#define DW_RESCUE_TOLERANCE_DE00 1.0 /* the usual tolerance of a rescue */

/* What a drop is worth in fl oz of clear base, for comparing ways back (an assumption: twelve times its
 * volume). */
#define DW_DROP_WORTH_FLOZ 0.02
/* What it is worth not to open a bottle that is not in the cup yet: as much as five drops (an assumption). */
#define DW_BOTTLE_WORTH_FLOZ 0.10

typedef struct dw_rescue_job {
  const dw_shelf *shelf;
  const dw_cup *cup;
  const dw_slab *slab;
  const dw_aim *aim;
  const dw_rules *rules;
  double tolerance_de00; /* the cup is back when the prediction lies within this of the aim's target */
} dw_rescue_job;

typedef struct dw_rescue {
  bool reached;      /* within the tolerance; false: the nearest way that was found */
  double keep_share; /* 1: the whole cup; less: this share of it starts a new cup of as much base; 0: none */
  double take_floz;  /* the same as a volume, base and drops */
  double clear_floz; /* all clear base to add: what fills the new cup up, and solution.add_clear_floz */
  double waste_floz; /* of the old cup, left over */
  double cost_floz;  /* clear base, waste, drops and new bottles at their worth */
  dw_solution solution;         /* its drops are then added; solution.cup is the cup at the end */
  char words[2 * DW_NOTE_TEXT]; /* what to do, a sentence; volumes in fl oz */
} dw_rescue;

/* The cheapest way to bring a cup back: with its own bottles, with clear base, with any bottle; and where
 * none of these does within its room, how much of it to take as the start of a new cup, or none. A new cup
 * that does not reach the aim either is given only where it ends clearly nearer.
 * Errors DW_BAD_INPUT as dw_solve, tolerance not above 0; DW_NO_MEMORY */
dw_status dw_cup_rescue(const dw_rescue_job *job, dw_rescue *out, dw_error *err);
/* Its words in other units; cut to room, always terminated. */
void dw_rescue_words(const dw_shelf *shelf, const dw_rescue *rescue, dw_units units, char *out, size_t room);

#endif
