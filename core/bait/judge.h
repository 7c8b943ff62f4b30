/* Which of the things on a board are baits. */
#ifndef BAIT_JUDGE_H
#define BAIT_JUDGE_H

#include "bait/pieces.h"

/* Gives each thing its fate by its size, outline and surroundings, and says in the notes what a person should
 * know of it. */
dw_status dw__things_judge(const dw__view *view, const dw_bait_rules *rules, dw__things *things,
                           dw_notes *notes, dw_error *err);
/* Once those that do not look like baits are known: none is where other things are more. */
dw_status dw__things_settle(const dw__view *view, dw__things *things, dw_notes *notes, dw_error *err);
/* Then, beside whole baits: what of those that reach over the photo's edge may be read is DW__BAIT_SHORT. */
dw_status dw__things_cut_short(const dw__view *view, dw__things *things, dw_error *err);
/* In the end: what was left out. */
void dw__things_note(const dw__things *things, dw_notes *notes);

#endif
