/* The solver from the inside: a task prepared once, tries that are scored against it. Shared inside core/mix.
 *
 * Order of work: pt__task_prepare; pt__subsets finds promising sets of bottles by relaxed solves (drops as
 * real numbers); pt__round turns them into whole steps; pt__limit says what stood in the way. */
#ifndef POURTONE_MIX_SOLVE_H
#define POURTONE_MIX_SOLVE_H

#include "mix/km.h"

#define PT__BOTTLE_COST 0.10  /* in CIEDE2000, of each bottle added from */
#define PT__DROP_COST 0.005   /* of each drop added */
#define PT__CLEAR_OPENED 0.03 /* of taking clear base at all, in CIEDE2000 */
#define PT__CLEAR_COST 0.02   /* of each fl oz of clear base added */
#define PT__REACHED 1.0       /* a miss up to this counts as reached */

enum { PT__POOL_MAX = 48 }; /* sets of bottles that go on to whole steps */

typedef uint64_t pt__set; /* of shelf bottles: bit i is bottle i */
_Static_assert(PT_SHELF_MAX <= 64, "a set of bottles is one 64-bit word");

typedef struct pt__task {
  const pt_shelf *shelf;
  pt_aim aim;
  double metric[9]; /* a small Lab difference near the target to weighted lightness, chroma and hue parts */
  pt_lab offset, offset_at;

  pt__km over_slab, over_black, over_white;
  double weights[3][PT_BANDS];       /* of the bands to X, Y, Z */
  pt_spectra in_cup;                 /* K and S of what is in the cup, times its volume */
  pt_spectra per_drop[PT_SHELF_MAX]; /* strength included */
  double drop_floz[PT_SHELF_MAX];    /* volume of a drop */
  double step[PT_SHELF_MAX];         /* drops are added in multiples of this */

  double volume_floz;              /* clear base in the cup */
  double room_drops, room_floz;    /* what may still be added: drops in all, volume in all */
  double clear_most, clear_step;   /* clear base */
  pt__set own, usable, set_aside;  /* in the cup already; free to add from; barred by the rules */
  size_t new_most;                 /* bottles that may join those in the cup */
  double most_drops, drops_in_cup; /* the limit on the whole cup, and what of it is used up */
  size_t most_bottles;
} pt__task;

/* Additions under trial: as many bottles as a cup may hold, since tries are copied by the thousand. */
enum { PT__TRY_MOST = PT_CUP_BOTTLES_MAX };
typedef struct pt__try {
  size_t n;
  uint8_t bottle[PT__TRY_MOST]; /* ascending order is not needed, but each only once */
  double drops[PT__TRY_MOST];
  double clear_floz;
  double miss;  /* weighted difference from the aim, in CIEDE2000 units */
  double score; /* miss and costs; infinite where a limit is broken */
} pt__try;

/* PT_BAD_INPUT where the cup, slab, aim or rules make no sense. */
pt_status pt__task_prepare(const pt_shelf *shelf, const pt_cup *cup, const pt_slab *slab, const pt_aim *aim,
                           const pt_rules *rules, pt__task *out, pt_error *err);

/* Color with the carried offset, and contrast ratio (0 unless the aim weighs it). */
pt_lab pt__task_color(const pt__task *task, const pt__try *t, double *see_through);
pt_lab pt__carry(pt_lab predicted, pt_lab offset, pt_lab offset_at);
bool pt__within_limits(const pt__task *task, const pt__try *t);
/* Fills miss and score. */
void pt__task_score(const pt__task *task, pt__try *t);

/* PT__BY_METRIC measures the miss by CIEDE2000's metric at the target (cheap, smooth at gray, right near the
 * target), PT__BY_PARTS by CIEDE2000's own parts, whose scales are others far from the target. */
typedef enum pt__measure { PT__BY_METRIC, PT__BY_PARTS } pt__measure;

/* The slab over one backing: X, Y, Z of the cup's plastic and the slopes of every band behind them. */
typedef struct pt__seen {
  pt_xyz xyz;
  double dR_dK[PT_BANDS], dR_dS[PT_BANDS];
} pt__seen;

/* What whole steps scored before; all zero to begin with. A slot keeps the last of the tries that share it.
 */
enum { PT__MET_SLOTS = 2048 };
typedef struct pt__met_slot {
  uint64_t key; /* 0: nothing yet, or adding nothing */
  double score;
} pt__met_slot;
typedef struct pt__met {
  pt__met_slot slot[PT__MET_SLOTS];
} pt__met;
/* Whether the score of t, whole steps all, lies below `score`; only then miss and score are filled. */
bool pt__task_beats(const pt__task *task, pt__met *met, pt__try *t, double score);

/* Residuals of a relaxed try and, once asked for, their slopes in the logarithm of drops. A step that is not
 * taken needs no slopes, and they are the larger part of the work. */
enum { PT__ROWS = 6, PT__COLUMNS = PT__TRY_MOST + 1 };
typedef struct pt__slopes {
  size_t rows, columns; /* the last column is clear base where the task allows it */
  double residual[PT__ROWS];
  double J[PT__ROWS][PT__COLUMNS];
  double cost; /* sum of squares */
  pt__measure measure;
  bool sloped; /* J is filled */
  pt_spectra mix;
  pt__seen over_slab, over_black, over_white; /* the latter two where the aim weighs see-through */
} pt__slopes;
void pt__task_residuals(const pt__task *task, const pt__try *t, pt__measure measure, pt__slopes *out);
/* Fills J of the try whose residuals *out holds, unless it is filled. */
void pt__task_slopes(const pt__task *task, const pt__try *t, pt__slopes *out);
#define PT__DROP_SHIFT 0.5 /* unknowns are ln(drops + 0.5) and, for clear base, ln(fl oz + a quarter cup) */
double pt__clear_shift(const pt__task *task);

/* Improves t's drops as real numbers, at most `steps` Gauss-Newton steps; leaves it within all limits,
 * scored. */
void pt__relax(const pt__task *task, int steps, pt__try *t);

/* A set of bottles: its best amounts as real numbers, and the best of the whole steps around them. */
typedef struct pt__candidate {
  pt__try relaxed, rounded;
} pt__candidate;

/* The most promising sets of bottles, by their rounded score, best first; returns how many. *fits false:
 * memory is out. */
size_t pt__subsets(const pt__task *task, pt__met *met, pt__candidate pool[PT__POOL_MAX], bool *fits);

/* The best of the whole steps next to a relaxed try, scored. */
pt__try pt__round_near(const pt__task *task, pt__met *met, const pt__try *relaxed);
/* The best additions in whole steps, starting from the pool. Adding nothing is always among them. */
pt__try pt__round(const pt__task *task, pt__met *met, const pt__candidate *pool, size_t n);

/* What kept `best` from the aim: fills limit and limit_words. relaxed: the best of the pool, or best itself.
 */
void pt__limit(const pt__task *task, const pt__try *best, const pt__try *relaxed, pt_solution *out);

#endif
