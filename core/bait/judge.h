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

#endif
