/* What to do where additions don't help. */
#ifndef DROPWISE_ADVISE_INSTEAD_H
#define DROPWISE_ADVISE_INSTEAD_H

#include "advise/prepare.h"

/* Fills in result->state what to do instead, for every layer whose best advice ends far from its aim: mix it
 * anew, begin a new cup with part of it, go on in a bigger one; each only where it comes clearly nearer.
 * result  ranked.  Errors DW_NO_MEMORY */
dw_status dw__instead(const dw__case *c, dw_advice_result *result, dw_error *err);

#endif
