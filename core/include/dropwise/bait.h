/* Baits on a plain board, found in the photo: outline, axis, layers from back to belly, blends.
 * Method, figures and limits: docs/bait.md */
#ifndef DROPWISE_BAIT_H
#define DROPWISE_BAIT_H

#include "dropwise/region.h"

enum {
  DW_BAITS_MAX = 48,
  DW_BAIT_LAYERS_MAX = 4,
  DW_BAIT_STATIONS = 64, /* along the axis */
  DW_BAIT_PROFILE = 48   /* across the body */
};

/* A layer whose color lies nearer to the board's, CIEDE2000, gets a note: its outline is partly a guess. */
#define DW_BAIT_BOARD_APART 8.0

/* Which side of a bait counts as its back where the layers' targets do not say it. */
typedef enum dw_bait_back { DW_BACK_UPPER, DW_BACK_LOWER } dw_bait_back;

typedef struct dw_bait_rules {
  size_t layers;                     /* 1 to DW_BAIT_LAYERS_MAX; 0: as many as the photo shows */
  size_t n_target;                   /* 0, or the number of layers that are aimed for */
  dw_lab target[DW_BAIT_LAYERS_MAX]; /* from back to belly; L* NAN: of that layer nothing is aimed for */
  dw_bait_back back;
  bool has_card; /* what lies under the card, or another thing that is known to be none, is no bait */
  dw_corners card;
} dw_bait_rules;

/* One place along the axis, photo pixels. */
typedef struct dw_bait_station {
  double x, y;           /* on the axis */
  double back_x, back_y; /* on the outline */
  double belly_x, belly_y;
} dw_bait_station;

typedef struct dw_bait_layer {
  double share;       /* of the body's height; a bait's sum is 1 */
  dw_shape band;      /* what was read: the layer without its blends and the outline's edge */
  dw_reading reading; /* of the band; its notes belong to the layer */
  double drift_de00;  /* from the head's third to the tail's third */
  double board_de00;  /* from the board around the bait */
} dw_bait_layer;

/* Where layer i and layer i + 1 meet. */
typedef struct dw_bait_blend {
  double at;          /* 0 the back's outline to 1 the belly's, mean along the body */
  double sway;        /* standard deviation of the same along the body */
  double width_share; /* from 10% to 90% of the change, as a share of the body's height */
  dw_lab lab;         /* in its middle */
} dw_bait_blend;

typedef struct dw_bait {
  dw_rect box;      /* the whole bait with its limbs, upright, photo pixels */
  double angle_deg; /* of the axis from head to tail, clockwise in the photo from the right; -180 to 180 */
  double bend_deg;  /* how far the axis turns from head to tail */
  double length, height; /* of the body without limbs, photo pixels: along the axis, and at its highest */
  dw_bait_station station[DW_BAIT_STATIONS]; /* head to tail */
  size_t first, last; /* stations between which its layers are read; a slim tail beyond is not */
  size_t n;
  dw_bait_layer layer[DW_BAIT_LAYERS_MAX]; /* back to belly */
  dw_bait_blend blend[DW_BAIT_LAYERS_MAX - 1];
  dw_lab profile[DW_BAIT_PROFILE]; /* across the body from back to belly, median along it */
  bool back_known; /* by the targets, or as the baits beside it; else the side that the rules say */
  bool has_tips;   /* claws, legs and tails, read in one */
  dw_reading tips;
  dw_notes notes;
} dw_bait;

typedef struct dw_baits {
  size_t n;
  dw_bait *bait;      /* by rows from the top, left to right; owned by the arena */
  bool board;         /* a plain board was seen */
  dw_lab board_lab;   /* its color, by the light */
  double board_share; /* of the frame */
  dw_notes notes;     /* why there are none; what was left out */
} dw_baits;

/* Finds and reads every bait of a photo: they are looked for in a reduced picture of it, and read from its own
 * pixels, which are decoded only where baits lie.
 * view     the whole photo reduced, as dw_photo_preview gives it for dw_bait_view_side; borrowed
 * light    colors are by it; where the baits lie does not depend on it
 * arena    owns the result
 * out      unchanged on error; no board or no bait is no error: n is 0 and the notes say why
 * Errors   DW_BAD_INPUT rules out of range, DW_NO_MEMORY, those of dw_photo_patches.  Thread-safe for
 * distinct photos and arenas. */
dw_status dw_baits_find_in(dw_photo *photo, const dw_preview *view, const dw_bait_rules *rules,
                           const dw_light *light, dw_arena *arena, dw_baits *out, dw_error *err);
/* The longer side of that reduced picture, of a photo's. */
int dw_bait_view_side(int width, int height);
/* The same in a whole photo that is in memory, perhaps thinned by dw_bait_step. */
dw_status dw_baits_find(const dw_patch *photo, const dw_bait_rules *rules, const dw_light *light,
                        dw_arena *arena, dw_baits *out, dw_error *err);
int dw_bait_step(const dw_photo_info *info);

/* Whether the back of any of them is only how it lies. */
bool dw_bait_backs_open(const dw_baits *baits);
/* The number of layers that most baits have; the fewest of several that are as usual.
 * count  of baits with 0, 1, ... layers */
size_t dw_bait_layers_usual(const size_t count[DW_BAIT_LAYERS_MAX + 1]);

/* What differs between the baits of one photo that have the usual number of layers. */
typedef struct dw_baits_spread {
  size_t baits, layers;
  struct {
    dw_lab mean;
    double spread_de00; /* typical CIEDE2000 of a bait from the mean */
    double share, share_deviation;
    size_t odd;      /* the bait farthest from the others, an index of dw_baits; DW_BAITS_MAX when none is */
    double odd_de00; /* from the mean of the others */
  } layer[DW_BAIT_LAYERS_MAX];
} dw_baits_spread;
/* False with fewer than two such baits. */
bool dw_baits_compare(const dw_baits *baits, dw_baits_spread *out);

#endif
