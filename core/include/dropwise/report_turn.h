/* A bait turned in the light, for a person. */
#ifndef DROPWISE_REPORT_TURN_H
#define DROPWISE_REPORT_TURN_H

#include "dropwise/read_turn.h"
#include "dropwise/report.h"

/* against  turn->n, or NULL */
void dw_text_turn(const dw_turn *turn, const dw_travel_against *against, const dw_style *style, dw_text *out);

#endif
