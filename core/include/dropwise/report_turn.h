/* A bait turned in the light, for a person. */
#ifndef DROPWISE_REPORT_TURN_H
#define DROPWISE_REPORT_TURN_H

#include "dropwise/report.h"
#include "dropwise/read_turn.h"

void dw_text_turn(const dw_turn *turn, const dw_style *style, dw_text *out);

#endif
