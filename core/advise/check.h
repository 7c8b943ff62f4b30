/* One proposal held to the rules. */
#ifndef DROPWISE_ADVISE_CHECK_H
#define DROPWISE_ADVISE_CHECK_H

#include "advise/prepare.h"

/* Turns a plugin's proposal into advice with the host's own prediction. out->plugin is left to the caller.
 * False when it breaks a rule; why then holds which (the rest of a sentence: "adds nan drops of brown"). */
bool dw__proposal_check(const dw__case *c, const dw_proposal *proposal, dw_advice *out, char *why,
                        size_t room);

#endif
