/* Blends: the color where two layers of a bait mix, how dull it turns, and a layer that drowns its neighbor.
 * Method and figures: docs/plan.md#blends.  Thread-safe for distinct out and err. */
#ifndef DROPWISE_PLAN_BLEND_H
#define DROPWISE_PLAN_BLEND_H

#include "dropwise/mix.h"

enum { DW_BLEND_LAYERS_MAX = 8, DW_BLEND_STEPS = 3 };

/* The second layer's part of the volume at each step: .25, .5, .75. */
extern const double dw_blend_shares[DW_BLEND_STEPS];

/* A blend is muddy where its chroma C* falls below that of both its neighbors by at least this share of the
 * lower one's and by at least so many units (an assumption: docs/plan.md#muddy). */
#define DW_MUDDY_SHARE 0.25
#define DW_MUDDY_CHROMA 5.0

/* One layer as it takes part in a blend. */
typedef struct dw_blend_layer {
  char name[DW_ID_ROOM];
  dw_cup cup;         /* volume 1 fl oz and no room where only its color is known */
  dw_recipe loadings; /* drops per fl oz of clear base */
  dw_lab offset,
      offset_at; /* measured minus predicted color, and that predicted color; 0 without a measurement */
  bool guessed;  /* from its color alone: drops of the shelf that come nearest stand in */
} dw_blend_layer;

/* A cup.  measured  its color in that slab, or NULL
 * Errors DW_BAD_INPUT no clear base in it, or as dw_predict; out is unchanged on error, its name too */
dw_status dw_blend_cup(const dw_shelf *shelf, const dw_slab *slab, const dw_cup *cup, const dw_lab *measured,
                       dw_blend_layer *out, dw_error *err);
/* The layer when its cup holds something else by then: what was measured of it is carried on.
 * now  may be out.  Errors as dw_blend_cup */
dw_status dw_blend_cup_then(const dw_shelf *shelf, const dw_slab *slab, const dw_blend_layer *now,
                            const dw_cup *cup, dw_blend_layer *out, dw_error *err);
/* A color alone, as measured in that slab.  Errors as dw_solve */
dw_status dw_blend_color(const dw_shelf *shelf, const dw_slab *slab, dw_lab color, dw_blend_layer *out,
                         dw_error *err);

/* The color of both mixed. K and S add by volume of clear base; each layer's offset is carried by its share
 * and fades as dw_rules_carry has it. 0 and 1 give the layers themselves.
 * share  the second's part of the volume, 0 to 1
 * Errors DW_BAD_INPUT more than DW_CUP_BOTTLES_MAX bottles together, or as dw_predict */
dw_status dw_blend_at(const dw_shelf *shelf, const dw_slab *slab, const dw_blend_layer *first,
                      const dw_blend_layer *second, double share, dw_prediction *out, dw_error *err);

typedef enum dw_overpowers {
  DW_OVERPOWERS_NONE = -1,
  DW_OVERPOWERS_FIRST,
  DW_OVERPOWERS_SECOND
} dw_overpowers;

/* What lies between two neighbors. */
typedef struct dw_blend {
  dw_prediction end[2]; /* the layers themselves */
  dw_prediction step[DW_BLEND_STEPS];
  double chroma_kept[DW_BLEND_STEPS]; /* C* over that of an even way from one layer to the other; 1 between
                                         grays */
  double
      dull_share; /* largest share by which a step's C* lies below the lower one of the neighbors'; 0: none */
  bool muddy;
  dw_overpowers overpowers; /* the layer whose contrast ratio lies over DW_OPACITY_GAP above its neighbor's */
} dw_blend;
/* Errors as dw_blend_at */
dw_status dw_blend_between(const dw_shelf *shelf, const dw_slab *slab, const dw_blend_layer *first,
                           const dw_blend_layer *second, dw_blend *out, dw_error *err);

/* What brings an overpowering layer and its neighbor within DW_OPACITY_GAP. */
typedef struct dw_blend_even {
  bool found;           /* false: nothing that fits in either cup comes nearer */
  bool reached;         /* within DW_OPACITY_GAP */
  int layer;            /* 0 or 1: the cup to change */
  double moved_de00;    /* how far its color goes */
  dw_solution solution; /* what to add */
} dw_blend_even;
/* The change of either cup that moves its color least. Layers known by their colors alone are left as they
 * are.  rules  what may be added; the offsets are the layers'
 * Errors DW_NO_MEMORY; DW_BAD_INPUT as dw_solve */
dw_status dw_blend_evening(const dw_shelf *shelf, const dw_slab *slab, const dw_rules *rules,
                           const dw_blend_layer *first, const dw_blend_layer *second, const dw_blend *blend,
                           dw_blend_even *out, dw_error *err);

/* All layers of a bait, back first, and what lies between neighbors. */
typedef struct dw_blends {
  dw_slab slab;
  dw_rules rules; /* what may be added to even them */
  size_t n;       /* layers, at least 2 */
  dw_blend_layer layer[DW_BLEND_LAYERS_MAX];
  dw_blend between[DW_BLEND_LAYERS_MAX - 1];
  dw_blend_even even[DW_BLEND_LAYERS_MAX - 1]; /* counts where between[i].overpowers */
  dw_notes notes;
} dw_blends;
/* Fills between, even and notes from slab, rules and layer.
 * Errors DW_TOO_FEW fewer than two layers, or as dw_blend_between */
dw_status dw_blends_work(const dw_shelf *shelf, dw_blends *blends, dw_error *err);
/* What is to be said of the border behind layer i: a muddy blend, a layer that drowns its neighbor. */
void dw_blend_note(const dw_blends *blends, size_t i, dw_notes *notes);
/* The same layers over another backing, for a picture: colors and blends, no evening, no notes. What was
 * measured over the first backing is carried as it is.  Errors as dw_blend_between */
dw_status dw_blends_over(const dw_shelf *shelf, const dw_blends *blends, double backing, dw_blends *out,
                         dw_error *err);

#endif
