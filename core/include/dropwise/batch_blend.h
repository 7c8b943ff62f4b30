/* The layers of a question as they meet in a bait. */
#ifndef DROPWISE_BATCH_BLEND_H
#define DROPWISE_BATCH_BLEND_H

#include "dropwise/advise.h"
#include "dropwise/plan_blend.h"

/* Each layer's cup, with what was measured of it; where its cup holds no drop, its color alone: as measured,
 * or what its next cup is led to.
 * out  its slab is set and is where the request's measured colors are meant; layers and rules are filled in
 * Errors as dw_blend_cup and dw_blend_color */
dw_status dw_request_blends(const dw_advice_request *request, dw_blends *out, dw_error *err);

#endif
