/* Back and belly: by the targets, else as the baits beside it lie, else as the rules say of most of its colors. */
#include "bait/back.h"

#include "bait/read.h"

#include <math.h>

/* The way round that fits is told where the other is so much worse, CIEDE2000 over all layers. */
#define TURN_CLEAR 3.0
/* Layers of the same cups differ by less than this from bait to bait, CIEDE2000 in the mean. */
#define SAME_MOST 4.0

/* Colors that a bait's layers are held against, back first; L* is NAN where there is none. */
typedef struct colors {
  size_t n;
  dw_lab lab[DW_BAIT_LAYERS_MAX];
} colors;

/* How far the layers lie off them in all, in one order or the other. */
static double away(const dw_bait *bait, const colors *aim, bool turned) {
  double sum = 0;
  for (size_t i = 0; i < aim->n; i++)
    if (!isnan(aim->lab[i].L))
      sum += dw_de00(bait->layer[turned ? aim->n - 1 - i : i].reading.lab, aim->lab[i]);
  return sum;
}

/* Turns the bait where the other way round fits clearly better; false where neither does. */
static bool turn_by(const colors *aim, dw_bait *bait) {
  if (bait->n != aim->n || bait->n < 2) return false;
  const double better = away(bait, aim, false) - away(bait, aim, true);
  bait->back_known = fabs(better) > TURN_CLEAR;
  if (bait->back_known && better > 0) dw__bait_turn(bait);
  return bait->back_known;
}

static void add(const dw_bait *bait, colors *sum) {
  for (size_t i = 0; i < sum->n; i++) {
    const dw_lab *lab = &bait->layer[i].reading.lab;
    sum->lab[i].L += lab->L, sum->lab[i].a += lab->a, sum->lab[i].b += lab->b;
  }
}

/* Baits of one shot are of the same cups, under the same light: those of which the targets tell the back tell that of
 * the others. */
static void turn_as_others(size_t layers, dw_baits *baits) {
  colors mean = {.n = layers};
  double n = 0;
  for (size_t i = 0; i < baits->n; i++)
    if (baits->bait[i].back_known) add(&baits->bait[i], &mean), n++;
  for (size_t l = 0; l < layers; l++)
    mean.lab[l] = (dw_lab){mean.lab[l].L / n, mean.lab[l].a / n, mean.lab[l].b / n};
  for (size_t i = 0; i < baits->n && n > 0; i++)
    if (!baits->bait[i].back_known) turn_by(&mean, &baits->bait[i]);
}

/* Whether a bait shows the colors of another, the same way round or, clearly, the other way. */
typedef enum alike { UNLIKE, SAME_WAY, OTHER_WAY } alike;

static alike compare(const dw_bait *bait, const dw_bait *with) {
  colors aim = {.n = with->n};
  if (bait->n != with->n || bait->n < 2) return UNLIKE;
  add(with, &aim);
  const double as_is = away(bait, &aim, false), turned = away(bait, &aim, true),
               most = SAME_MOST * (double)aim.n;
  if (turned < most && as_is - turned > TURN_CLEAR) return OTHER_WAY;
  return as_is < most ? SAME_WAY : UNLIKE;
}

/* Of those that show the colors of bait `first`, the fewer that lie one way are turned as the others lie. */
static void turn_as_most(size_t first, dw_baits *baits, bool *seen) {
  alike like[DW_BAITS_MAX];
  size_t n[OTHER_WAY + 1] = {0};
  for (size_t i = first; i < baits->n; i++) {
    like[i] = seen[i] || baits->bait[i].back_known ? UNLIKE : compare(&baits->bait[i], &baits->bait[first]);
    seen[i] = seen[i] || like[i] != UNLIKE;
    n[like[i]]++;
  }
  const alike fewer = n[OTHER_WAY] > n[SAME_WAY] ? SAME_WAY : OTHER_WAY;
  for (size_t i = first; i < baits->n; i++) {
    if (like[i] != fewer) continue;
    dw__bait_turn(&baits->bait[i]);
    dw_note(&baits->bait[i].notes,
            "This bait lies the other way than others of its colors: it is turned as they lie.");
  }
}

static void note_open(size_t aimed, dw_bait *bait) {
  if (bait->back_known || bait->n < 2) return;
  dw_note(&bait->notes, "%s is taken from how the bait lies in the photo.",
          aimed == bait->n ? "The targets fit about as well either way round, so which side is the back"
                           : "Which side is the back");
}

static colors aim_of(const dw_bait_rules *rules) {
  colors aim = {.n = rules->n_target};
  bool any = false;
  for (size_t l = 0; l < aim.n; l++) {
    aim.lab[l] = rules->target[l];
    any = any || !isnan(aim.lab[l].L);
  }
  return any ? aim : (colors){.n = 0};
}

void dw__backs_find(const dw_bait_rules *rules, dw_baits *baits) {
  const colors aim = aim_of(rules);
  for (size_t i = 0; i < baits->n; i++) {
    if (rules->back == DW_BACK_LOWER) dw__bait_turn(&baits->bait[i]);
    turn_by(&aim, &baits->bait[i]);
  }
  turn_as_others(aim.n, baits);
  bool seen[DW_BAITS_MAX] = {false};
  for (size_t i = 0; i < baits->n; i++) turn_as_most(i, baits, seen);
  for (size_t i = 0; i < baits->n; i++) note_open(aim.n, &baits->bait[i]);
}

bool dw_bait_backs_open(const dw_baits *baits) {
  for (size_t i = 0; i < baits->n; i++)
    if (!baits->bait[i].back_known && baits->bait[i].n > 1) return true;
  return false;
}
