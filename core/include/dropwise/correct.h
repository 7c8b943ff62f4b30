/* When a cup is right, and what a correction is worth: every door asks here, and every threshold of
 * correcting stands here.  How each was chosen: docs/mixing-model.md#stop */
#ifndef DROPWISE_CORRECT_H
#define DROPWISE_CORRECT_H

#include "dropwise/mix.h"

/* ---- whether to correct at all --------------------------------------------------------------------------
 */

/* No eye tells less apart in a bait. */
#define DW_LEAVE_LEAST_DE00 0.8
/* A difference up to this times the joined doubt of both colors is left alone ... */
#define DW_LEAVE_FACTOR 1.5
/* ... but readings by a card are never so far apart by themselves, whatever doubt they tell. */
#define DW_LEAVE_CARD_MOST_DE00 2.5
/* Beyond that the doubt is a photo's without a card: of it, two photos of one camera share this much less. */
#define DW_LEAVE_SHARED 0.6
/* Doubt of a color given as numbers without any: what two photos of one bait differ by, taken by one camera
 * in one light. */
#define DW_MEASURED_DOUBT_DE00 0.5

typedef struct dw_judged {
  double de00;       /* as given */
  double doubt_de00; /* of the difference: both joined */
  double leave_de00; /* up to here it is left alone */
  bool leave;
  char words[DW_NOTE_TEXT]; /* why it is left alone, the end of a sentence ("2.0 from its target, and ...");
                               "" where it is not */
} dw_judged;
/* Judges a difference between a measured color and its target.
 * measured_doubt_de00  of the reading; 0 for a color predicted from the drops
 * target_doubt_de00    of the target; 0 where it was given as numbers */
void dw_difference_judge(double de00, double measured_doubt_de00, double target_doubt_de00, dw_judged *out);

/* ---- how to correct ------------------------------------------------------------------------------------ */

/* A gain below this is within what drops and photo can tell. */
#define DW_GAIN_LEAST_DE00 0.4
/* What a drop must gain in a cup of up to DW_DROP_COST_FLOZ; in a larger one as much less. Sixteen drops cost
 * more than a difference of one. */
#define DW_CORRECTION_DROP_COST_DE00 0.065
#define DW_DROP_COST_FLOZ 4.0
/* A cup's contrast ratio is held: within the band at no cost, beyond it at so many CIEDE2000 for each 1. */
#define DW_HOLD_BAND 0.035
#define DW_HOLD_WEIGHT 100.0
/* Of a cup farther off than this the color comes first: the weight falls with the square of the distance. */
#define DW_HOLD_NEAR_DE00 5.0
/* The same of a contrast ratio that is asked for; and what counts as held or reached. */
#define DW_SEE_THROUGH_WEIGHT 40.0
#define DW_SEE_THROUGH_NEAR 0.05

/* CIEDE2000 for a contrast ratio off by 1 from the one held, for a cup so far from its target. */
double dw_hold_weight(double now_de00);
/* Makes rules those of a correction: a drop costs what it is worth. Of an empty cup nothing changes. */
void dw_correction_rules(const dw_cup *cup, dw_rules *rules);
/* Makes aim and rules those of a correction; where the aim asks for no contrast ratio of its own the cup's is
 * held.  Errors as dw_predict */
dw_status dw_correction_prepare(const dw_shelf *shelf, const dw_cup *cup, const dw_slab *slab, dw_aim *aim,
                                dw_rules *rules, dw_error *err);

/* ---- when a cup is not worth staying with ---------------------------------------------------------------
 */

/* A recipe as near as this is near enough: no other bottles, no other cup are tried for more. */
#define DW_REACHED_DE00 1.0
/* From here on other ways are named, and what such a way must gain. */
#define DW_FAR_DE00 3.0
#define DW_INSTEAD_GAIN_DE00 1.5
/* Where nothing reaches the aim: keeping less of the cup must bring it nearer by the first, keeping more may
 * leave it farther by the second. */
#define DW_KEEP_LESS_GAIN_DE00 1.0
#define DW_KEEP_MORE_LOSS_DE00 0.5

#endif
