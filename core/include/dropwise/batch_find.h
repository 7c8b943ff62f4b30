/* What is looked for in photos of a pattern's baits. */
#ifndef DROPWISE_BATCH_FIND_H
#define DROPWISE_BATCH_FIND_H

#include "dropwise/book_aims.h"
#include "dropwise/read_find.h"

/* Fills in the pattern's layers, by name, order and targets, or its colors where it is a swirl; the rest of the wish
 * stays.  out  borrows from pattern
 * Errors DW_USAGE out's rules ask for another number of layers; DW_BAD_INPUT more layers than can be found; as
 *        dw_swirl_wish_check */
dw_status dw_find_wish_take(const dw_pattern *pattern, dw_find_wish *out, dw_error *err);
/* Whether photos can be read as swirls of the pattern's layers.  Errors DW_BAD_INPUT, DW_USAGE: why not */
dw_status dw_swirl_wish_check(const dw_pattern *pattern, dw_error *err);

#endif
