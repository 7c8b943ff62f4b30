/* Advice put in order. */
#ifndef DROPWISE_ADVISE_RANK_H
#define DROPWISE_ADVISE_RANK_H

#include "advise/prepare.h"

/* Sorts by layer, then best first; the same additions from two plugins become one, which names both; keeps
 * what out has room for, shared fairly among the layers. advice is reordered.
 * out  n and advice are set; a note tells what was left out */
void dw__advice_rank(const dw__case *c, dw_advice *advice, size_t n, dw_advice_result *out);

#endif
