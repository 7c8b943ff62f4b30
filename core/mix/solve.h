/* The solver from the inside: a task prepared once, tries that are scored against it. Shared inside core/mix.
 *
 * Order of work: dw__task_prepare; dw__subsets finds promising sets of bottles by relaxed solves (drops as
 * real numbers); dw__round turns them into whole steps; dw__limit says what stood in the way. */
#ifndef DROPWISE_MIX_SOLVE_H
#define DROPWISE_MIX_SOLVE_H

#include "mix/km.h"

#define DW__BOTTLE_COST 0.10  /* in CIEDE2000, of each bottle added from */
#define DW__CLEAR_OPENED 0.03 /* of taking clear base at all, in CIEDE2000 */
#define DW__CLEAR_COST 0.02   /* of each fl oz of clear base added */
#define DW__REACHED 1.0       /* a miss up to this counts as reached */

enum { DW__POOL_MAX = 48 }; /* sets of bottles that go on to whole steps */

typedef uint64_t dw__set; /* of shelf bottles: bit i is bottle i */
_Static_assert(DW_SHELF_MAX <= 64, "a set of bottles is one 64-bit word");

typedef struct dw__task {
  const dw_shelf *shelf;
  dw_aim aim;
  double metric[9]; /* a small Lab difference near the target to weighted lightness, chroma and hue parts */
  double drop_cost; /* of each drop added */
  dw_lab offset, offset_at;

  dw__km over_slab, over_black, over_white;
  double weights[3][DW_BANDS];       /* of the bands to X, Y, Z */
  dw_spectra in_cup;                 /* K and S of what is in the cup, times its volume */
  dw_spectra per_drop[DW_SHELF_MAX]; /* strength included */
  double drop_floz[DW_SHELF_MAX];    /* volume of a drop */
  double step[DW_SHELF_MAX];         /* drops are added in multiples of this */

  double volume_floz;              /* clear base in the cup */
  double room_drops, room_floz;    /* what may still be added: drops in all, volume in all */
  double clear_most, clear_step;   /* clear base */
  dw__set own, usable, set_aside;  /* in the cup already; free to add from; barred by the rules */
  size_t new_most;                 /* bottles that may join those in the cup */
  double most_drops, drops_in_cup; /* the limit on the whole cup, and what of it is used up */
  size_t most_bottles;
} dw__task;

/* Additions under trial: as many bottles as a cup may hold, since tries are copied by the thousand. */
enum { DW__TRY_MOST = DW_CUP_BOTTLES_MAX };
typedef struct dw__try {
  size_t n;
  uint8_t bottle[DW__TRY_MOST]; /* ascending order is not needed, but each only once */
  double drops[DW__TRY_MOST];
  double clear_floz;
  double miss;  /* weighted difference from the aim, in CIEDE2000 units */
  double score; /* miss and costs; infinite where a limit is broken */
} dw__try;

/* DW_BAD_INPUT where the cup, slab, aim or rules make no sense. */
dw_status dw__task_prepare(const dw_shelf *shelf, const dw_cup *cup, const dw_slab *slab, const dw_aim *aim,
                           const dw_rules *rules, dw__task *out, dw_error *err);

/* Color with the carried offset, and contrast ratio (0 unless the aim weighs it). */
dw_lab dw__task_color(const dw__task *task, const dw__try *t, double *see_through);
dw_lab dw__carry(dw_lab predicted, dw_lab offset, dw_lab offset_at);
bool dw__within_limits(const dw__task *task, const dw__try *t);
/* Fills miss and score. */
void dw__task_score(const dw__task *task, dw__try *t);

/* DW__BY_METRIC measures the miss by CIEDE2000's metric at the target (cheap, smooth at gray, right near the
 * target), DW__BY_PARTS by CIEDE2000's own parts, whose scales are others far from the target. */
typedef enum dw__measure { DW__BY_METRIC, DW__BY_PARTS } dw__measure;

/* The slab over one backing: X, Y, Z of the cup's plastic and the slopes of every band behind them. */
typedef struct dw__seen {
  dw_xyz xyz;
  double dR_dK[DW_BANDS], dR_dS[DW_BANDS];
} dw__seen;

/* What whole steps scored before; all zero to begin with. A slot keeps the last of the tries that share it.
 */
enum { DW__MET_SLOTS = 2048 };
typedef struct dw__met_slot {
  uint64_t key; /* 0: nothing yet, or adding nothing */
  double score;
} dw__met_slot;
typedef struct dw__met {
  dw__met_slot slot[DW__MET_SLOTS];
} dw__met;
/* Whether the score of t, whole steps all, lies below `score`; only then miss and score are filled. */
bool dw__task_beats(const dw__task *task, dw__met *met, dw__try *t, double score);

/* Residuals of a relaxed try and, once asked for, their slopes in the logarithm of drops. A step that is not
 * taken needs no slopes, and they are the larger part of the work. */
enum { DW__ROWS = 6, DW__COLUMNS = DW__TRY_MOST + 1 };
typedef struct dw__slopes {
  size_t rows, columns; /* the last column is clear base where the task allows it */
  double residual[DW__ROWS];
  double J[DW__ROWS][DW__COLUMNS];
  double cost; /* sum of squares */
  dw__measure measure;
  bool sloped; /* J is filled */
  dw_spectra mix;
  dw__seen over_slab, over_black, over_white; /* the latter two where the aim weighs see-through */
} dw__slopes;
void dw__task_residuals(const dw__task *task, const dw__try *t, dw__measure measure, dw__slopes *out);
/* Fills J of the try whose residuals *out holds, unless it is filled. */
void dw__task_slopes(const dw__task *task, const dw__try *t, dw__slopes *out);
#define DW__DROP_SHIFT 0.5 /* unknowns are ln(drops + 0.5) and, for clear base, ln(fl oz + a quarter cup) */
double dw__clear_shift(const dw__task *task);

/* Improves t's drops as real numbers, at most `steps` Gauss-Newton steps; leaves it within all limits,
 * scored. */
void dw__relax(const dw__task *task, int steps, dw__try *t);

/* A set of bottles: its best amounts as real numbers, and the best of the whole steps around them. */
typedef struct dw__candidate {
  dw__try relaxed, rounded;
} dw__candidate;

/* The most promising sets of bottles, by their rounded score, best first; returns how many. *fits false:
 * memory is out. */
size_t dw__subsets(const dw__task *task, dw__met *met, dw__candidate pool[DW__POOL_MAX], bool *fits);

/* The best of the whole steps next to a relaxed try, scored. */
dw__try dw__round_near(const dw__task *task, dw__met *met, const dw__try *relaxed);
/* The best additions in whole steps, starting from the pool. Adding nothing is always among them. */
dw__try dw__round(const dw__task *task, dw__met *met, const dw__candidate *pool, size_t n);

/* What kept `best` from the aim: fills limit and limit_words. relaxed: the best of the pool, or best itself.
 */
void dw__limit(const dw__task *task, const dw__try *best, const dw__try *relaxed, dw_solution *out);

#endif
