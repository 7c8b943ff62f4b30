/* Swirls, for a person. */
#ifndef DROPWISE_REPORT_SWIRL_H
#define DROPWISE_REPORT_SWIRL_H

#include "dropwise/read_swirl.h"
#include "dropwise/report.h"

/* names, targets  as many as the swirl has colors, or NULL */
void dw_text_swirls(const dw_swirls *swirls, const char *const *names, const dw_lab *targets,
                    const dw_style *style, dw_text *out);

/* One bait's colors as they are kept: photo and light, then a line a color with its share. */
void dw_text_swirl_colors(const dw_photo_reading *reading, const dw_style *style, dw_text *out);

#endif
