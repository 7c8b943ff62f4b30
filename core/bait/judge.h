/* Which of the things on a board are baits. */
#ifndef BAIT_JUDGE_H
#define BAIT_JUDGE_H

#include "bait/pieces.h"

/* Takes from the list what is no bait, and says in the notes what a person should know of it. */
dw_status dw__things_judge(const dw__view *view, const dw_bait_rules *rules, dw__things *things,
                           dw_notes *notes, dw_error *err);

#endif
