/* What to do where additions don't help. */
#ifndef POURTONE_ADVISE_INSTEAD_H
#define POURTONE_ADVISE_INSTEAD_H

#include "advise/case.h"

/* Fills in result->state what to do instead, for every layer whose best advice ends far from its aim: mix it
 * anew, begin a new cup with part of it, go on in a bigger one; each only where it comes clearly nearer.
 * result  ranked.  Errors PT_NO_MEMORY */
pt_status pt__instead(const pt__case *c, pt_advice_result *result, pt_error *err);

#endif
