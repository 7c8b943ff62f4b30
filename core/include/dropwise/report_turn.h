/* A bait turned in the light, for a person. */
#ifndef DROPWISE_REPORT_TURN_H
#define DROPWISE_REPORT_TURN_H

#include "dropwise/book_travels.h"
#include "dropwise/read_turn.h"
#include "dropwise/report.h"

/* against  turn->n, or NULL */
void dw_text_turn(const dw_turn *turn, const dw_travel_against *against, const dw_style *style, dw_text *out);

/* A travel that the book has: "  t3  2026-05-01T10:12  back  bait 2  travels by 6.1 (doubt 0.8), hue +40 degrees"; a
 * line. */
void dw_text_travel(const dw_book_travel *travel, dw_text *out);
/* {"id", "layer", "bait" (null of a target), "travels", "de00", "doubt_de00", "hue_deg", "hue_doubt_deg", "p", "taken"}:
 * a new reference, or NULL. */
json_t *dw_json_travel(const dw_book_travel *travel);

#endif
