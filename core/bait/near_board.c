/* Where a layer hardly differs from the board, the outline is hardly seen, or the layer not at all. */
#include "bait/near_board.h"

#include <math.h>

static bool has_near(const dw_bait *bait) {
  for (size_t l = 0; l < bait->n; l++)
    if (bait->layer[l].board_de00 < DW_BAIT_BOARD_APART) return true;
  return false;
}

static void note_aims(const dw_bait_rules *rules, dw_baits *baits) {
  double least = INFINITY;
  for (size_t l = 0; l < rules->n_target; l++)
    if (!isnan(rules->target[l].L)) least = fmin(least, dw_de00(rules->target[l], baits->board_lab));
  if (least < DW_BAIT_BOARD_APART)
    dw_note(
        &baits->notes,
        "The board's color is only %.1f away from a layer's target: that layer may be taken for board; lay "
        "the baits on one of another color.",
        least);
}

void dw__board_notes(const dw_bait_rules *rules, dw_baits *baits) {
  size_t n = 0;
  for (size_t i = 0; i < baits->n; i++) n += has_near(&baits->bait[i]);
  if (n)
    dw_note(&baits->notes,
            "%zu bait%s a layer less than %.0f away from the board's color: where it ends there is partly a "
            "guess; a board of another color shows it.",
            n, n == 1 ? " has" : "s have", DW_BAIT_BOARD_APART);
  else
    note_aims(rules, baits);
}
