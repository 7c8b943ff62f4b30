/* Mixing: bottles, cups, Kubelka-Munk prediction, recipes in whole drops.
 *
 * Loadings are drops per US fluid ounce of base; K and S are per millimeter at a loading of one drop per fl
 * oz. Method, sources and figures: docs/mixing-model.md */
#ifndef POURTONE_MIX_H
#define POURTONE_MIX_H

#include "pourtone/color.h"

enum {
  PT_ID_ROOM = 48,
  PT_TITLE_ROOM = 96,
  PT_SHELF_MAX = 64,       /* bottles on a shelf */
  PT_CUP_BOTTLES_MAX = 12, /* different bottles in one cup */
  PT_DRAWS = 24,           /* posterior draws a fitted bottle carries */
  PT_AMOUNT_MAX = 10000,   /* drops, or drops per fl oz, of one bottle */
  PT_THICKNESS_MAX_MM = 1000,
  PT_VOLUME_MAX_FLOZ = 10000
};

/* Loading up to which a bottle is trusted when nothing else is known, drops per fl oz (common practice, no
 * source). */
#define PT_MAX_LOADING_DEFAULT 12.0

/* Reflectances of the usual backings; a measured one replaces them (docs/mixing-model.md#predict). */
#define PT_BACKING_BLACK 0.04
#define PT_BACKING_WHITE 0.886
#define PT_BACKING_GRAY 0.20

typedef enum pt_role { PT_ROLE_COLOR, PT_ROLE_BROWN, PT_ROLE_WHITE, PT_ROLE_BLACK, PT_ROLE_EFFECT } pt_role;
typedef enum pt_origin { PT_ORIGIN_INVENTED, PT_ORIGIN_FITTED } pt_origin;

typedef struct pt_spectra {
  double k[PT_BANDS], s[PT_BANDS];
} pt_spectra;

typedef struct pt_bottle {
  char id[PT_ID_ROOM];
  char title[PT_TITLE_ROOM];
  pt_role role;
  pt_origin origin;
  pt_spectra spectra;
  double strength;    /* learned factor on k and s; 1 as the chips said */
  double strength_sd; /* of ln strength */
  double drop_ml;     /* volume of one drop */
  double max_loading; /* largest fitted, drops per fl oz; beyond it predictions are marked */
  pt_spectra *draws; /* PT_DRAWS joint posterior draws, owned by the shelf; NULL when there is no posterior */
} pt_bottle;

/* A bottle with nothing known yet but its name: strength 1, the usual drop. */
pt_bottle pt_bottle_blank(const char *id, const char *title, pt_role role);
/* What must stand behind its title wherever a person reads it: " (invented)", or "" once it is fitted. */
const char *pt_bottle_mark(const pt_bottle *bottle);
const char *pt_role_name(pt_role role); /* "color", "brown", ... */
bool pt_role_find(const char *name, pt_role *out);

/* How light enters, and what lies under: Saunderson constants and the air gap (0 wet contact .. 1 dry). */
typedef struct pt_surface {
  double k1, k2, gap;
} pt_surface;
pt_surface pt_surface_default(void); /* 0.04, 0.60, 0 */

typedef struct pt_shelf {
  pt_spectra base;        /* the clear base */
  pt_spectra *base_draws; /* PT_DRAWS or NULL */
  pt_surface surface;
  size_t n;
  pt_bottle bottle[PT_SHELF_MAX];
} pt_shelf;

/* About ten invented bottles with smooth parametric spectra: a start until the maker's own are fitted. */
pt_status pt_shelf_starter(pt_shelf **out, pt_error *err);
pt_status pt_shelf_new(pt_shelf **out, pt_error *err); /* no bottles; a typical clear base */
pt_status pt_shelf_clone(const pt_shelf *shelf, pt_shelf **out, pt_error *err);
void pt_shelf_free(pt_shelf *shelf);
/* What to mind of drops that this shelf advises: a sentence where bottles on it are invented, NULL where all
 * are fitted. Static. */
const char *pt_shelf_warning(const pt_shelf *shelf);
/* Index, or -1 */
int pt_shelf_find(const pt_shelf *shelf, const char *id);
/* PT_USAGE: there is no such bottle, and which one may be meant. */
pt_status pt_shelf_lacks(const pt_shelf *shelf, const char *id, pt_error *err);
/* Text form (JSON, docs/file-formats.md#shelf). *out owned by the caller (free). */
pt_status pt_shelf_write(const pt_shelf *shelf, char **out, pt_error *err);
pt_status pt_shelf_parse(const char *text, size_t n, const char *name, pt_shelf **out, pt_error *err);

/* One bottle's share: drops in a cup, or drops per fl oz in a let-down. */
typedef struct pt_part {
  size_t bottle; /* index on the shelf */
  double amount;
} pt_part;
typedef struct pt_recipe {
  size_t n;
  pt_part part[PT_CUP_BOTTLES_MAX];
} pt_recipe;
/* "orange=6;brown=2"; "" is clear base; a part of 0 drops is left out; out is unchanged on error.
 * Errors PT_USAGE unknown bottle (names the nearest), twice, negative, more than PT_CUP_BOTTLES_MAX */
pt_status pt_recipe_parse(const char *text, const pt_shelf *shelf, pt_recipe *out, pt_error *err);
/* The same text back, cut to room; always terminated. */
void pt_recipe_format(const pt_recipe *recipe, const pt_shelf *shelf, char *out, size_t room);
double pt_recipe_amount(const pt_recipe *recipe, size_t bottle); /* 0 when it is not in it */
double pt_recipe_total(const pt_recipe *recipe);
double pt_recipe_ml(const pt_recipe *recipe, const pt_shelf *shelf); /* drops by each bottle's drop size */
/* Adds to a part, or a new part; false when PT_CUP_BOTTLES_MAX are in it already. */
bool pt_recipe_add(pt_recipe *recipe, size_t bottle, double amount);

typedef struct pt_cup {
  pt_recipe drops;      /* whole cup, in drops */
  double volume_floz;   /* clear base in it now */
  double capacity_floz; /* what the cup holds */
} pt_cup;
double pt_cup_filled_floz(const pt_cup *cup, const pt_shelf *shelf); /* base and drops */
void pt_cup_loadings(const pt_cup *cup, pt_recipe *out); /* drops per fl oz of clear base; 0 without base */

/* black, white, gray, or NULL when it is none of these. */
const char *pt_backing_name(double reflectance);
/* A backing by name (black, white, gray) or reflectance 0..1. PT_USAGE otherwise. */
pt_status pt_backing_parse(const char *text, double *reflectance, pt_error *err);
/* The plastic as seen: thickness_mm over a backing. */
typedef struct pt_slab {
  double thickness_mm, backing;
} pt_slab;

typedef struct pt_prediction {
  pt_lab lab;
  pt_xyz xyz;
  double see_through;      /* contrast ratio Y over black / Y over white, 0 clear .. 1 opaque (ISO 6504-3) */
  double uncertainty_de00; /* one standard deviation from the fit; 0 when the bottles carry none */
  pt_notes notes;
} pt_prediction;
/* Color of a let-down.  Errors PT_BAD_INPUT amounts, thickness or backing out of range */
pt_status pt_predict(const pt_shelf *shelf, const pt_recipe *loadings, const pt_slab *slab,
                     pt_prediction *out, pt_error *err);
/* The color alone, without checks or notes: the solver's inner step. c: loading of every shelf bottle (n). */
pt_lab pt_predict_lab(const pt_shelf *shelf, const double *c, const pt_slab *slab);

/* ---- solving ----------------------------------------------------------------------------------------------
 */

typedef enum pt_aim_kind {
  PT_AIM_NEAREST = 1,    /* the target */
  PT_AIM_DULL = 2,       /* the cup's color with chroma lowered by `chroma_share`, hue held */
  PT_AIM_SEE_THROUGH = 3 /* the cup's hue and chroma with contrast ratio at `see_through` */
} pt_aim_kind;

/* What is wanted, as weighted terms; pt_aim_* fill the usual ones. */
typedef struct pt_aim {
  pt_aim_kind kind;
  pt_lab target;
  double weight_lightness, weight_chroma, weight_hue; /* on the CIEDE2000 parts; all 1 is CIEDE2000 itself */
  double see_through, weight_see_through; /* CIEDE2000 units for a contrast ratio off by 1; 0 ignores */
} pt_aim;
pt_aim pt_aim_nearest(pt_lab target);
pt_aim pt_aim_dull(pt_lab from, double chroma_share); /* lightness left nearly free */
pt_aim pt_aim_see_through(pt_lab from, double contrast_ratio);

typedef enum pt_use { PT_USE_FREE, PT_USE_NEVER } pt_use;

#define PT_DROPS_BY_VOLUME (-1.0)
#define PT_DROPS_PER_FLOZ 15.0       /* 60 in 4 fl oz */
#define PT_DROPS_ON_TOP_PER_FLOZ 5.0 /* 20 in 4 fl oz: what a correction may need */

typedef struct pt_rules {
  double step_drops;        /* 1, 0.5, or 0 for syringe steps of step_ml */
  double step_ml;           /* 0.1 */
  double max_drops;         /* in the whole cup, or PT_DROPS_BY_VOLUME, as is usual */
  size_t max_bottles;       /* in the whole cup, those already in it included when adding; 4 */
  double max_clear_floz;    /* clear base that may be added to a cup with drops in it; cut to the cup's room;
                               infinite */
  double step_clear_floz;   /* clear base is added in multiples of this; 0.05 */
  pt_use use[PT_SHELF_MAX]; /* per shelf bottle */
  pt_lab offset;            /* measured minus predicted of this cup as it is, to carry on */
  pt_lab offset_at;         /* predicted color of the cup when that offset was seen */
} pt_rules;
pt_rules pt_rules_default(void);
/* Most drops that this cup may hold under the rules. By volume: PT_DROPS_PER_FLOZ for each fl oz of clear
 * base, but room for PT_DROPS_ON_TOP_PER_FLOZ more than the cup holds already, up to PT_AMOUNT_MAX. */
double pt_rules_max_drops(const pt_rules *rules, const pt_cup *cup);
/* A predicted color with the carried offset, which fades with the distance from offset_at. */
pt_lab pt_rules_carry(const pt_rules *rules, pt_lab predicted);

typedef enum pt_limit {
  PT_LIMIT_NONE, /* reached: within CIEDE2000 1 */
  PT_LIMIT_DARK, /* nothing dark enough in reach */
  PT_LIMIT_LIGHT,
  PT_LIMIT_CHROMA,
  PT_LIMIT_HUE,
  PT_LIMIT_FULL,       /* the cup's capacity, or clear base that may be added */
  PT_LIMIT_DROPS,      /* the most drops a cup may hold */
  PT_LIMIT_BOTTLES,    /* max_bottles */
  PT_LIMIT_STEP,       /* whole drops are too coarse in a cup this small */
  PT_LIMIT_SET_ASIDE,  /* a bottle that may not be used */
  PT_LIMIT_SEE_THROUGH /* the contrast ratio asked for */
} pt_limit;

typedef struct pt_solution {
  pt_recipe add; /* drops to add; n = 0: leave it */
  double add_clear_floz;
  pt_cup cup;              /* as it will be */
  pt_prediction predicted; /* with the carried offset */
  double de00;             /* CIEDE2000 of predicted to aim->target */
  pt_limit limit;
  char limit_words[PT_NOTE_TEXT]; /* what limits it, a sentence; "" when reached */
} pt_solution;

/* Best additions to a cup (an empty cup: a recipe from nothing). Never takes anything out.
 * Errors PT_BAD_INPUT cup over capacity, no bottle usable, volume 0; PT_NO_MEMORY */
pt_status pt_solve(const pt_shelf *shelf, const pt_cup *cup, const pt_slab *slab, const pt_aim *aim,
                   const pt_rules *rules, pt_solution *out, pt_error *err);

/* ---- a cup gone too far: "too much brown"
 * ------------------------------------------------------------------ */

/* A cup that the best additions leave further off than this may be worth a new one (CIEDE2000): beyond what a
 * good pour comes to (docs/mixing-model.md#learn). */
#define PT_RESCUE_FROM_DE00 2.0
#define PT_RESCUE_TOLERANCE_DE00 1.0 /* the usual tolerance of a rescue */

/* What a drop is worth in fl oz of clear base, for comparing ways back (an assumption: twelve times its
 * volume). */
#define PT_DROP_WORTH_FLOZ 0.02
/* What it is worth not to open a bottle that is not in the cup yet: as much as five drops (an assumption). */
#define PT_BOTTLE_WORTH_FLOZ 0.10

typedef struct pt_rescue_job {
  const pt_shelf *shelf;
  const pt_cup *cup;
  const pt_slab *slab;
  const pt_aim *aim;
  const pt_rules *rules;
  double tolerance_de00; /* the cup is back when the prediction lies within this of the aim's target */
} pt_rescue_job;

typedef struct pt_rescue {
  bool reached;      /* within the tolerance; false: the nearest way that was found */
  double keep_share; /* 1: the whole cup; less: this share of it starts a new cup of as much base; 0: none */
  double take_floz;  /* the same as a volume, base and drops */
  double clear_floz; /* all clear base to add: what fills the new cup up, and solution.add_clear_floz */
  double waste_floz; /* of the old cup, left over */
  double cost_floz;  /* clear base, waste, drops and new bottles at their worth */
  pt_solution solution;         /* its drops are then added; solution.cup is the cup at the end */
  char words[2 * PT_NOTE_TEXT]; /* what to do, a sentence; volumes in fl oz */
} pt_rescue;

/* The cheapest way to bring a cup back: with its own bottles, with clear base, with any bottle; and where
 * none of these does within its room, how much of it to take as the start of a new cup, or none. A new cup
 * that does not reach the aim either is given only where it ends clearly nearer.
 * Errors PT_BAD_INPUT as pt_solve, tolerance not above 0; PT_NO_MEMORY */
pt_status pt_cup_rescue(const pt_rescue_job *job, pt_rescue *out, pt_error *err);
/* For advice: whole_de00 is what the best additions leave the cup off. Beyond PT_RESCUE_FROM_DE00 the rescue
 * is worked out, and *worth says whether a new cup comes nearer; *out counts only then. Errors as
 * pt_cup_rescue. */
pt_status pt_cup_renew(const pt_rescue_job *job, double whole_de00, bool *worth, pt_rescue *out,
                       pt_error *err);
/* Its words in other units; cut to room, always terminated. */
void pt_rescue_words(const pt_shelf *shelf, const pt_rescue *rescue, pt_units units, char *out, size_t room);

#endif
