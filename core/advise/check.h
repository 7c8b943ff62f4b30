/* One proposal held to the rules. */
#ifndef POURTONE_ADVISE_CHECK_H
#define POURTONE_ADVISE_CHECK_H

#include "advise/case.h"

/* Turns a plugin's proposal into advice with the host's own prediction. out->plugin is left to the caller.
 * False when it breaks a rule; why then holds which (the rest of a sentence: "adds nan drops of brown"). */
bool pt__proposal_check(const pt__case *c, const pt_proposal *proposal, pt_advice *out, char *why,
                        size_t room);

#endif
